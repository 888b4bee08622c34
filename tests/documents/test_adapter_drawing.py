"""The workshop drawing of an adapter: sound DXF, readable SVG, true dimensions."""

import io
from xml.etree import ElementTree

import pytest
from ezdxf.filemanagement import read

from service.documents.adapter_drawing import draw_adapter
from service.documents.drawing.sheet import Dimension, Lettering, Line, Sheet
from service.documents.drawing.surroundings import DrawingTitle
from service.documents.drawing.writing import ENDINGS, Ending, write_sheet
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import AdapterPlan, plan_adapter
from service.quantities.wording import Measure, word
from tests.documents.lettering import outside, overlapping

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


TITLE = DrawingTitle(title="Adapter", workshop="The workshop", number="AD-3", reference="2026-014")


def draw(adapter: AdapterPlan, measure: Measure = Measure.METRIC) -> Sheet:
    return draw_adapter(adapter, title=TITLE, measure=measure)


def lettering(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in sheet.marks if isinstance(mark, Lettering))


def open_drawing(adapter: AdapterPlan):
    return read(io.StringIO(write_sheet(draw(adapter), "dxf").decode("utf-8")))


@pytest.mark.parametrize("adapter", PLANS.values(), ids=PLANS.keys())
def test_drawing_is_sound_when_it_is_read_again(adapter: AdapterPlan) -> None:
    document = open_drawing(adapter)

    assert not document.audit().errors


@pytest.mark.parametrize("adapter", PLANS.values(), ids=PLANS.keys())
def test_dimensions_measure_what_was_planned(adapter: AdapterPlan) -> None:
    document = open_drawing(adapter)

    drawn = sorted(
        dimension.get_measurement() for dimension in document.modelspace().query("DIMENSION")
    )
    told = sorted(float(mark.text) for mark in draw(adapter).marks if isinstance(mark, Dimension))
    wanted = [adapter.body_length, adapter.total_length]
    for end in adapter.ends:
        wanted += {end.thread_length, end.length}
    assert drawn == pytest.approx(sorted(length * 1000 for length in wanted), abs=2e-3)
    assert told == pytest.approx(drawn, abs=6e-3)


@pytest.mark.parametrize("measure", Measure)
@pytest.mark.parametrize("adapter", PLANS.values(), ids=PLANS.keys())
def test_everything_lies_on_the_sheet_and_nothing_on_another(
    adapter: AdapterPlan, measure: Measure
) -> None:
    sheet = draw(adapter, measure)

    for mark in sheet.marks:
        for x, y in mark.points if isinstance(mark, Line) else ():
            assert 0 <= x <= 210
            assert 0 <= y <= 297
    assert outside(sheet, 20, 10, 10, 10) == []
    assert overlapping(sheet) == []


@pytest.mark.parametrize("adapter", PLANS.values(), ids=PLANS.keys())
def test_table_lists_every_operation(adapter: AdapterPlan) -> None:
    written = lettering(draw(adapter))

    for step in adapter.operations:
        for piece in (*word(step.text).split(), *step.tool.split()):
            assert piece in written
    assert "…" not in written


def test_notes_name_bar_bore_drill_and_undercut() -> None:
    written = lettering(draw(PLANS["socket and stub"]))

    for expected in ("1/2 in hexagon", "Bore ⌀3 mm", "drill 8.8 mm", "undercut ⌀5.44 mm"):
        assert expected in written


def test_title_block_is_that_of_every_drawing() -> None:
    written = lettering(draw(PLANS["nipple"]))

    for expected in ("The workshop", "AD-3", "2026-014", "First-angle projection", ", A4", "brass"):
        assert expected in written
    assert "the inspector's pressure is the limit" in written


def test_sizes_are_in_inches_where_inches_are_asked_for() -> None:
    written = lettering(draw(PLANS["socket and stub"], Measure.IMPERIAL))

    assert "1/2 in across flats" in written
    assert "undercut ⌀214 thou" in written
    assert "drill 8.8 mm" in written  # a drill keeps its name


def test_metal_is_hatched_in_section() -> None:
    document = open_drawing(PLANS["nipple"])

    (hatch,) = document.modelspace().query("HATCH[layer=='HATCH']")
    assert hatch.dxf.pattern_name == "ANSI31"


def test_picture_is_one_page_of_svg_with_its_title() -> None:
    title = DrawingTitle(title="Nipple <for> A & B")
    drawn = write_sheet(draw_adapter(PLANS["nipple"], title=title), "svg").decode()

    root = ElementTree.fromstring(drawn)
    assert root.get("width") == "210mm"
    assert root.findtext("{http://www.w3.org/2000/svg}title") == "Nipple <for> A & B"
    assert "<script" not in drawn


@pytest.mark.parametrize("ending", ENDINGS)
def test_same_plan_gives_the_same_bytes(ending: Ending) -> None:
    first, second = (write_sheet(draw(PLANS["nipple"]), ending) for _ in range(2))

    assert first == second
