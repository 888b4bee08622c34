"""The drawing of a distribution block, as SVG, DXF and PDF."""

import datetime as dt
import io
import re
from math import pi
from xml.etree import ElementTree

import ezdxf
import pypdfium2
import pytest
from ezdxf.document import Drawing
from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.block_drawing import draw_block
from service.documents.drawing.sheet import Dimension, Hatching, Label, Lettering, Line, Pen, Sheet
from service.documents.drawing.surroundings import DrawingTitle
from service.documents.drawing.writing import ENDINGS, Ending, write_sheet
from service.engineering.block import (
    BlockPlan,
    BlockRequest,
    Place,
    Port,
    RunningCase,
    find_section,
    plan_block,
)
from service.engineering.threads.catalogue.series import find_thread
from service.quantities.wording import Measure
from tests.documents.lettering import outside, overlapping

GRAMS = 1 / 60e3
TITLE = DrawingTitle(
    title="Distribution block",
    workshop="The workshop",
    number="BLK-017",
    reference="C-2026-014",
    drawn_on=dt.date(2026, 11, 25),
)
SVG = "{http://www.w3.org/2000/svg}"


def make_plan(bar: str, *places: Place, inlet: Place = "left end") -> BlockPlan:
    thread = find_thread("1/4 x 40 ME")
    return plan_block(
        BlockRequest(
            outlets=tuple(
                Port(thread, place, name=f"engine {count}", spacing=0.016)
                for count, place in enumerate(places, 1)
            ),
            inlet=Port(thread, inlet, name="main valve"),
            pressure=5e5,
            drop_budget=2e4,
            cases=(RunningCase("all", (15 * GRAMS,) * len(places)),),
        ),
        sections=[find_section(bar)],
    )


@pytest.fixture(scope="module")
def plan() -> BlockPlan:
    return make_plan("5/8 in square", "top", "top", "top")


def lettering(sheet: Sheet) -> list[str]:
    return [mark.text for mark in sheet.marks if isinstance(mark, Lettering)]


def read_dxf(data: bytes) -> Drawing:
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def test_the_table_of_holes_says_what_the_plan_says(plan: BlockPlan) -> None:
    words = lettering(draw_block(plan, title=TITLE))

    for hole in plan.setting_out:
        for length in (hole.x, hole.y, hole.z, hole.drilled_depth):
            assert f"{length * 1e3:.2f}".rstrip("0").rstrip(".") in words
        assert hole.drill.name in words
        assert words.count(hole.letter) >= (1 if hole.thread is None else 2)


def test_dimensions_are_true_lengths(plan: BlockPlan) -> None:
    sheet = draw_block(plan, title=TITLE)

    found = [mark for mark in sheet.marks if isinstance(mark, Dimension)]
    assert len(found) >= 6
    last = next(hole for hole in reversed(plan.setting_out) if hole.place == "top")
    end = next(hole for hole in plan.setting_out if hole.place == "left end")
    planned = [
        *(size / part for size in (plan.section.width, plan.section.height) for part in (1, 2)),
        *{last.full_thread, last.drilled_depth},
        end.drilled_depth,
    ]
    told = sorted(float(mark.text) for mark in found)
    assert told == pytest.approx(sorted(length * 1e3 for length in planned), abs=0.006)
    for mark in found:
        along = 0 if mark.along == "x" else 1
        drawn = abs(mark.first[along] - mark.second[along]) / sheet.scale
        assert drawn == pytest.approx(float(mark.text), abs=0.006)


def test_the_title_block_names_scale_projection_bar_and_workshop(plan: BlockPlan) -> None:
    words = lettering(draw_block(plan, title=TITLE))

    for expected in (
        "Distribution block", "The workshop", "BLK-017", "C-2026-014", "25 November 2026",
        "First-angle projection", "2 : 1, A3", "brass", "5/8 in square",
    ):  # fmt: skip
        assert expected in words
    assert any("inspector" in text for text in words)


def test_cut_metal_is_hatched_hidden_lines_dashed_and_centre_lines_chained(plan: BlockPlan) -> None:
    sheet = draw_block(plan, title=TITLE)

    # One along the bore and one across, each with what is open in it.
    assert [len(mark.voids) for mark in sheet.marks if isinstance(mark, Hatching)] == [1, 1]
    pens = {mark.pen for mark in sheet.marks if isinstance(mark, Line)}
    assert {Pen.OUTLINE, Pen.THIN, Pen.HIDDEN, Pen.CENTRE, Pen.DIMENSION, Pen.FRAME} <= pens
    assert Pen.OUTLINE.width >= 2 * Pen.THIN.width > Pen.HATCH.width


def test_hatched_area_along_the_bore_is_what_arithmetic_gives(plan: BlockPlan) -> None:
    sheet = draw_block(plan, title=TITLE)

    along = max(
        (mark for mark in sheet.marks if isinstance(mark, Hatching)),
        key=lambda mark: polygon_area(mark.boundary),
    )
    (void,) = along.voids
    area = (polygon_area(along.boundary) - polygon_area(void)) / sheet.scale**2
    whole = plan.length * plan.section.height * 1e6 - plan.bore * plan.length * 1e6
    assert area == pytest.approx(whole - void_area(plan), rel=1e-6)


def void_area(plan: BlockPlan) -> float:
    """Area that the ports take beyond the bore in the plane along it [mm2]."""
    slope = 0.6008606190275604  # tan 31 degrees: a 118 degree point
    total = 0.0
    for hole in plan.setting_out[:-1]:
        wide, deep = hole.drill.diameter * 1e3, hole.drilled_depth * 1e3
        narrow = (hole.feed.diameter if hole.feed else plan.bore) * 1e3
        cone = (wide - narrow) ** 2 / 4 * slope
        if hole.feed:
            below = hole.feed_depth * 1e3 - deep - plan.bore * 500
            total += wide * deep + narrow * below + cone
        else:
            total += (wide - narrow) * deep + cone
    if not any(hole.place == "right end" for hole in plan.setting_out[:-1]):
        radius, blind = plan.bore * 500, (plan.length - plan.bore_end) * 1e3
        total += radius**2 * slope - plan.bore * 1e3 * blind
    return total


def polygon_area(points: tuple[tuple[float, float], ...]) -> float:
    following = (*points[1:], points[0])
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, following, strict=True)) / 2)


@settings(max_examples=30)
@given(
    st.sampled_from(("1 in square", "1 in round", "3/4 x 1 in", "30 mm square")),
    st.lists(st.sampled_from(("top", "front", "bottom", "back")), min_size=1, max_size=6),
    st.sampled_from(("left end", "right end", "top")),
    st.sampled_from(Measure),
)
def test_nothing_leaves_the_paper_and_no_two_texts_overlap(
    bar: str, places: list[Place], inlet: Place, measure: Measure
) -> None:
    sheet = draw_block(make_plan(bar, *places, inlet=inlet), title=TITLE, measure=measure)

    assert outside(sheet, 20, 10, 10, 10) == []
    assert overlapping(sheet) == []


def test_svg_is_well_formed_and_as_large_as_the_paper(plan: BlockPlan) -> None:
    root = ElementTree.fromstring(write_sheet(draw_block(plan, title=TITLE), "svg"))

    assert root.tag == f"{SVG}svg"
    assert (root.get("width"), root.get("height")) == ("420mm", "297mm")
    assert root.get("viewBox") == "0 0 420 297"
    assert len(root.findall(f".//{SVG}text")) > 60


def test_dxf_passes_its_audit_and_is_true_to_size(plan: BlockPlan) -> None:
    document = read_dxf(write_sheet(draw_block(plan, title=TITLE), "dxf"))

    assert document.audit().errors == []
    assert document.units == ezdxf.units.MM
    outlines = [
        entity
        for entity in document.modelspace().query("LWPOLYLINE")
        if entity.dxf.layer == "OUTLINE" and entity.closed and len(entity) == 4
    ]
    widths = [
        max(point[0] for point in entity) - min(point[0] for point in entity) for entity in outlines
    ]
    assert any(width == pytest.approx(plan.length * 1e3) for width in widths)


def test_dxf_has_layers_for_the_kinds_of_line_and_real_dimensions(plan: BlockPlan) -> None:
    document = read_dxf(write_sheet(draw_block(plan, title=TITLE), "dxf"))

    layers = {layer.dxf.name: layer for layer in document.layers}
    assert layers["HIDDEN"].dxf.linetype == "HIDDEN_LINE"
    assert layers["CENTRE"].dxf.linetype == "CENTRE_LINE"
    assert layers["OUTLINE"].dxf.lineweight == 50
    assert len(document.modelspace().query("DIMENSION")) >= 6
    assert len(document.modelspace().query("HATCH[layer=='HATCH']")) == 2


def test_pdf_is_one_a3_page_with_text_that_can_be_searched(plan: BlockPlan) -> None:
    document = pypdfium2.PdfDocument(write_sheet(draw_block(plan, title=TITLE), "pdf"))

    page = document[0]
    width, height = page.get_size()
    assert len(document) == 1
    assert (width / 72 * 25.4, height / 72 * 25.4) == pytest.approx((420, 297), abs=0.1)
    text = page.get_textpage().get_text_range()
    assert "Distribution block" in text
    assert "1/4 x 40 ME" in text
    document.close()


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_same_plan_gives_the_same_bytes(plan: BlockPlan, ending: Ending) -> None:
    first, second = (write_sheet(draw_block(plan, title=TITLE), ending) for _ in range(2))

    assert first == second


def test_sizes_are_in_inches_where_inches_are_asked_for(plan: BlockPlan) -> None:
    words = lettering(draw_block(plan, title=TITLE, measure=Measure.IMPERIAL))

    assert {"5/8", "5/16"} <= set(words)  # across the bar of 5/8 in, and half of it
    assert any(word.endswith(" thou") for word in words)
    assert any(word.startswith("Inches, or thou where said.") for word in words)
    assert any(word.endswith(" psi gauge") for word in words)
    assert not [word for word in words if re.search(r"\d mm|Millimetres| bar\b", word)]


def test_what_people_wrote_is_printed_and_never_read_as_markup(plan: BlockPlan) -> None:
    evil = DrawingTitle(title='<script>&"#evil[x]', workshop="]]>\x00\x1b$x$", number="../../x")

    svg = write_sheet(draw_block(plan, title=evil), "svg")

    root = ElementTree.fromstring(svg)
    texts = [element.text or "" for element in root.iter(f"{SVG}text")]
    assert '<script>&"#evil[x]' in texts
    assert not root.findall(f".//{SVG}script")
    assert read_dxf(write_sheet(draw_block(plan, title=evil), "dxf")).audit().errors == []
    assert write_sheet(draw_block(plan, title=evil), "pdf").startswith(b"%PDF")


def test_a_name_too_long_for_its_column_is_cut_with_an_ellipsis() -> None:
    thread = find_thread("1/4 x 40 ME")
    request = BlockRequest(
        outlets=(Port(thread, name="the starboard engine of the steam launch"),),
        inlet=Port(thread),
        pressure=5e5,
        drop_budget=2e4,
        cases=(RunningCase("one", (15 * GRAMS,)),),
    )

    words = lettering(draw_block(plan_block(request), title=TITLE))

    assert any(re.fullmatch(r"the starboard \w*…", word) for word in words)


def test_a_fitting_that_must_point_one_way_has_an_arrow_and_a_note() -> None:
    thread = find_thread("1/4 x 40 ME")
    request = BlockRequest(
        outlets=(Port(thread, pointing=pi / 2),),
        inlet=Port(thread),
        pressure=5e5,
        drop_budget=2e4,
        cases=(RunningCase("one", (15 * GRAMS,)),),
    )

    words = lettering(draw_block(plan_block(request), title=TITLE))

    assert any(word.endswith("B 90") for word in words)


def test_letters_of_sections_are_none_of_the_holes(plan: BlockPlan) -> None:
    sheet = draw_block(plan, title=TITLE)

    labels = {mark.text for mark in sheet.marks if isinstance(mark, Label)}
    assert {"S–S", "T–T"} <= labels
    assert not {"S", "T"} & {hole.letter for hole in plan.setting_out}
