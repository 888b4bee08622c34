"""The drawing engine: hatching by arithmetic, lettering that fits, and the same bytes each time."""

import io
import os
import subprocess
import sys
from hashlib import sha256
from math import cos, dist, pi, sin
from xml.etree import ElementTree

import pytest
from ezdxf.filemanagement import read
from hypothesis import given
from hypothesis import strategies as st

from service.documents.drawing.sheet import (
    WAYS,
    Dimension,
    Filled,
    Hatching,
    Lettering,
    Line,
    Pen,
    Sheet,
    break_lines,
    choose_scale,
    draw_dimension,
    show_scale,
    text_width,
)
from service.documents.drawing.surroundings import Column, Table
from service.documents.drawing.writing import ENDINGS, Ending, hatch_lines, write_sheet, write_svg
from service.quantities.wording import Measure
from tests.documents.lettering import text_box

SQUARE = ((0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0))
ROUND = tuple((15 + 8 * cos(pi * step / 90), 15 + 8 * sin(pi * step / 90)) for step in range(180))

DRAW = """
from hashlib import sha256
from tests.documents.test_drawing import draw_everything
from service.documents.drawing.writing import write_sheet
for ending in ("svg", "dxf", "pdf"):
    print(sha256(write_sheet(draw_everything(), ending)).hexdigest())
"""


def draw_everything() -> Sheet:
    """One of every shape."""
    sheet = Sheet(100.0, 80.0, title="Every shape", scale=2.0)
    sheet.hatch(SQUARE, ROUND)
    sheet.loop(Pen.OUTLINE, SQUARE)
    sheet.cross((50.0, 40.0), 6.0)
    sheet.arc(Pen.HIDDEN, (50.0, 40.0), 6.0)
    sheet.arc(Pen.THIN, (70.0, 40.0), 6.0, start=100.0, end=370.0)
    sheet.fill((80.0, 10.0), (84.0, 10.0), (82.0, 14.0))
    sheet.dimension((0.0, 0.0), (30.0, 0.0), along="x", line=40.0)
    sheet.label("A", (60.0, 60.0))
    sheet.letter("turned", (90.0, 20.0), turn=90.0)
    return sheet


def hatched_length(hatching: Hatching) -> float:
    return sum(dist(*line) for line in hatch_lines(hatching))


@pytest.mark.parametrize("slope", [45.0, -45.0, 30.0])
def test_hatching_covers_the_metal_and_not_the_void(slope: float) -> None:
    """Length of all lines times their gap is the area, the closer the finer."""
    hatching = Hatching(SQUARE, (ROUND,), gap=0.02, slope=slope)

    area = hatched_length(hatching) * hatching.gap
    assert area == pytest.approx(30 * 30 - pi * 8**2, rel=2e-3)
    for start, end in hatch_lines(Hatching(SQUARE, (ROUND,), slope=slope)):
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        assert dist(middle, (15, 15)) > 7.98


@given(
    st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=3, max_size=12),
    st.sampled_from((0.0, 45.0, -45.0, 90.0)),
    st.sampled_from((0.5, 1.0, 1.8)),
)
def test_any_outline_can_be_hatched_and_no_line_leaves_it(points, slope, gap) -> None:
    boundary = tuple((float(x), float(y)) for x, y in points)
    xs, ys = zip(*boundary, strict=True)

    for line in hatch_lines(Hatching(boundary, gap=gap, slope=slope)):
        for x, y in line:
            assert min(xs) - 1e-6 <= x <= max(xs) + 1e-6
            assert min(ys) - 1e-6 <= y <= max(ys) + 1e-6


def test_hatching_of_neighbours_is_one_pattern() -> None:
    """The lines lie on one grid, whatever the outline begins with."""
    left = hatch_lines(Hatching(((0, 0), (10, 0), (10, 10), (0, 10))))
    right = hatch_lines(Hatching(((10, 0), (20, 0), (20, 10), (10, 10))))

    levels = [round((y - x) / 2**0.5 / 1.8, 6) for (x, y), _ in (*left, *right)]
    assert all(level == round(level) for level in levels)


def test_pens_of_ways_differ_by_their_dashes_only() -> None:
    assert len({pen.dashes for pen in WAYS}) == len(WAYS) == 5
    assert {pen.width for pen in WAYS} == {Pen.OUTLINE.width}


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_same_sheet_gives_the_same_bytes(ending: Ending) -> None:
    assert write_sheet(draw_everything(), ending) == write_sheet(draw_everything(), ending)


@pytest.mark.parametrize("seed", ["0", "3", "4"])
def test_another_process_gives_the_same_bytes(seed: str) -> None:
    told = subprocess.run(
        [sys.executable, "-c", DRAW],
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": ".", "TZ": "Pacific/Auckland"},
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()

    here = [sha256(write_sheet(draw_everything(), ending)).hexdigest() for ending in ENDINGS]
    assert told == here


@given(st.floats(0.1, 200), st.text("0123456789/. thou", min_size=1, max_size=12), st.booleans())
def test_figure_of_a_dimension_stands_clear_of_its_arrows_and_on_its_line(
    size: float, text: str, before: bool
) -> None:
    parts = draw_dimension(Dimension((0.0, 0.0), (size, 0.0), "x", 10.0, text, before))

    figure = next(part for part in parts if isinstance(part, Lettering))
    left, bottom, right, _ = text_box(figure)
    lines = [part.points for part in parts if isinstance(part, Line)]
    drawn = [point[0] for line in lines for point in line if line[0][1] == line[1][1]]
    assert bottom > 10.0
    assert min(drawn) <= left + 1e-9
    assert right - 1e-9 <= max(drawn)
    if right - left > size:
        assert (right <= 0) if before else (left >= size)


def test_dimension_is_the_true_length_in_the_measure_of_the_sheet() -> None:
    for measure, text in ((Measure.METRIC, "12.7"), (Measure.IMPERIAL, "1/2")):
        sheet = Sheet(100, 100, title="", scale=5.0, measure=measure)
        sheet.dimension((10, 20), (10, 20 + 63.5), along="y", line=5)
        (mark,) = sheet.marks
        assert isinstance(mark, Dimension)
        assert mark.text == text


@pytest.mark.parametrize(
    ("length", "text"), [(0.0, "0"), (0.0127, "1/2"), (0.033338, "1 5/16"), (0.00628, "247.2 thou")]
)
def test_a_size_in_inches_says_thou_where_it_is_thou(length: float, text: str) -> None:
    assert Sheet(1, 1, title="", measure=Measure.IMPERIAL).show_size(length) == text


def test_scale_is_the_largest_that_fits() -> None:
    assert choose_scale(20, 10, room=(100, 100)) == 5.0
    assert choose_scale(20, 10.01, room=(200, 100)) == 5.0
    assert choose_scale(9000, 10, room=(100, 100)) == 0.1
    assert [show_scale(scale) for scale in (5.0, 1.0, 0.2)] == ["5 : 1", "1 : 1", "1 : 5"]


def test_a_figure_keeps_its_unit_where_a_line_is_broken() -> None:
    assert break_lines("drill 8.8 mm deep", 9) == ["drill", "8.8 mm", "deep"]


def test_table_is_as_wide_as_its_words_and_cuts_only_what_it_was_told_to() -> None:
    columns = (Column(("No.", "")), Column(("Words", ""), most=12, lines=2))
    table = Table.lay_out(columns, [("1", "turn it down to size, then stop")], room=100.0)
    sheet = Sheet(200, 100, title="")
    table.draw(sheet, (10, 10))

    words = [mark for mark in sheet.marks if isinstance(mark, Lettering)]
    assert [mark.text for mark in words if mark.text] == [
        "No.", "1", "Words", "turn it down", "to size,…",
    ]  # fmt: skip
    frame = next(mark for mark in sheet.marks if isinstance(mark, Line))
    left, right = frame.points[0][0], frame.points[1][0]
    assert right - left <= 100
    for mark in words:
        assert left < mark.at[0] < mark.at[0] + text_width(mark.text, mark.height) < right


def test_what_fouls_has_a_colour_on_screen_and_is_black_on_paper() -> None:
    for on_screen, fill in ((True, "var(--no,#9e1239)"), (False, "#000")):
        sheet = Sheet(10, 10, title="", on_screen=on_screen)
        sheet.marks.append(Filled(((0, 0), (1, 0), (1, 1)), fouls=True))
        groups = ElementTree.fromstring(write_svg(sheet)).iter("{http://www.w3.org/2000/svg}g")
        assert [group.get("fill") for group in groups] == [fill]


def test_figure_of_a_dxf_dimension_stands_where_the_sheet_has_it() -> None:
    """A drawing program must not push figures together that the sheet keeps apart."""
    sheet = Sheet(100.0, 80.0, title="", scale=2.0, measure=Measure.IMPERIAL)
    sheet.dimension((40.0, 0.0), (50.0, 0.0), along="x", line=10.0, before=True)
    document = read(io.StringIO(write_sheet(sheet, "dxf").decode()))

    (drawn,) = document.modelspace().query("DIMENSION")
    (mark,) = sheet.marks
    assert isinstance(mark, Dimension)
    left, bottom, right, top = text_box(
        next(part for part in draw_dimension(mark) if isinstance(part, Lettering))
    )
    middle = ((left + right) / 4, (bottom + top) / 4)  # at a scale of 2 : 1
    assert tuple(drawn.dxf.text_midpoint)[:2] == pytest.approx(middle)
    assert drawn.get_measurement() == pytest.approx(5.0)
