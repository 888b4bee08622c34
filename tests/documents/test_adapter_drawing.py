"""The workshop drawing of an adapter: sound DXF, readable SVG, true dimensions."""

import io
from xml.etree import ElementTree

import pytest
from ezdxf.filemanagement import read

from service.documents.adapter_drawing import draw_adapter
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import AdapterPlan, plan_adapter
from service.quantities.wording import word

MILLIMETRE = 1e-3


def plan(first, second, *, bore: float = 3 * MILLIMETRE) -> AdapterPlan:
    return plan_adapter(first, second, bore=bore)


PLANS = {
    "socket and stub": plan(FemaleEnd(find_thread("1/8 BSP")), MaleEnd(find_thread("1/4 x 40 ME"))),
    "nipple": plan(MaleEnd(find_thread("1/4 x 40 ME")), MaleEnd(find_thread("3/8 x 32 ME"))),
    "coupling": plan(FemaleEnd(find_thread("1/4 x 40 ME")), FemaleEnd(find_thread("M10 x 1"))),
    "taper": plan(MaleEnd(find_thread("1/8-27 NPT")), FemaleEnd(find_thread("1/8 BSPT"))),
    "large": plan(MaleEnd(find_thread("1/2 BSP")), MaleEnd(find_thread("3/4 BSP"))),
    "small": plan(MaleEnd(find_thread("2 BA")), MaleEnd(find_thread("4 BA")), bore=1 * MILLIMETRE),
}


def open_drawing(drawn: bytes):
    return read(io.StringIO(drawn.decode("utf-8")))


@pytest.mark.parametrize("adapter", PLANS.values(), ids=PLANS.keys())
def test_drawing_is_sound_when_it_is_read_again(adapter: AdapterPlan) -> None:
    document = open_drawing(draw_adapter(adapter).dxf)

    assert not document.audit().errors


@pytest.mark.parametrize("adapter", PLANS.values(), ids=PLANS.keys())
def test_dimensions_measure_what_was_planned(adapter: AdapterPlan) -> None:
    document = open_drawing(draw_adapter(adapter).dxf)

    told = sorted(
        round(dimension.get_measurement() * dimension.override().get("dimlfac"), 3)
        for dimension in document.modelspace().query("DIMENSION")
    )
    wanted = [adapter.body_length, adapter.total_length]
    for end in adapter.ends:
        wanted += {end.thread_length, end.length}
    assert told == pytest.approx(sorted(length * 1000 for length in wanted), abs=2e-3)


@pytest.mark.parametrize("adapter", PLANS.values(), ids=PLANS.keys())
def test_everything_lies_on_the_sheet(adapter: AdapterPlan) -> None:
    document = open_drawing(draw_adapter(adapter).dxf)

    for line in document.modelspace().query("LINE LWPOLYLINE"):
        points = [line.dxf.start, line.dxf.end] if line.dxftype() == "LINE" else line.vertices()
        for x, y, *_ in points:
            assert 0 <= x <= 210
            assert 0 <= y <= 297


def test_table_lists_every_operation() -> None:
    adapter = PLANS["socket and stub"]
    document = open_drawing(draw_adapter(adapter).dxf)

    written = {text.dxf.text for text in document.modelspace().query("TEXT")}
    for step in adapter.operations:
        assert word(step.text) in written
        assert step.tool in written


def test_notes_name_bar_bore_drill_and_undercut() -> None:
    document = open_drawing(draw_adapter(PLANS["socket and stub"]).dxf)

    written = " ".join(text.dxf.text for text in document.modelspace().query("TEXT"))
    for expected in ("1/2 in hexagon", "Bore Ø3.00", "drill 8.8 mm", "undercut Ø5.44"):
        assert expected in written


def test_metal_is_hatched_in_section() -> None:
    document = open_drawing(draw_adapter(PLANS["nipple"]).dxf)

    (hatch,) = document.modelspace().query("HATCH")
    assert hatch.dxf.pattern_name == "ANSI31"


def test_picture_is_one_page_of_svg_with_its_title() -> None:
    drawn = draw_adapter(PLANS["nipple"], title="Nipple <for> A & B").svg

    root = ElementTree.fromstring(drawn)
    assert root.get("width") == "210mm"
    assert root.findtext("{http://www.w3.org/2000/svg}title") == "Nipple <for> A & B"
    assert "<script" not in drawn


def test_same_plan_gives_the_same_bytes() -> None:
    first, second = (draw_adapter(PLANS["nipple"]).dxf for _ in range(2))

    assert first == second
