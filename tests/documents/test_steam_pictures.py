"""The two pictures of a running plant: well-formed, uncoloured, labelled, and drawn to scale."""

from xml.etree import ElementTree

import pytest

from service.documents.drawing.axes import Axes, find_ticks, part_labels, widen_range
from service.documents.drawing.sheet import Filled, Hatching, Lettering, Line, Pen, Sheet
from service.documents.drawing.writing import write_svg
from service.documents.steam_pictures import draw_pressure_line, draw_supply_and_demand
from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band
from service.engineering.steam.network import PressureLine, Station, SupplyAndDemand
from service.quantities.wording import Measure
from tests.documents.lettering import outside, overlapping

SVG = "{http://www.w3.org/2000/svg}"


def gauge(bar: float) -> float:
    return bar * 1e5 + ATMOSPHERE


def exact(value: float) -> Band:
    return Band(value, value, value)


CURVES = SupplyAndDemand(
    case="both <engines>",
    pressures=tuple(gauge(step / 10) for step in range(1, 41)),
    supply=tuple(Band(3e-4, 4e-4, 5e-4) for _ in range(40)),
    demand=tuple(Band(1e-5 * step, 2e-5 * step, 3e-5 * step) for step in range(1, 41)),
    meeting_pressure=Band(gauge(1.5), gauge(2.0), gauge(3.0)),
    meeting_steam=Band(3e-4, 4e-4, 5e-4),
    heat_bound=True,
)
TRUNK = (Station("boiler", gauge(4)), Station("stop valve", gauge(3.9)))
WAYS = (
    PressureLine(
        "port & starboard",
        TRUNK,
        (Station("bore", gauge(3.8)), Station("stop valve", gauge(3.4))),
        True,
    ),
    PressureLine("pump", TRUNK, (Station("direct", gauge(3.9)),), False),
)


def words(sheet: Sheet) -> list[str]:
    return [mark.text for mark in sheet.marks if isinstance(mark, Lettering)]


def read(sheet: Sheet) -> ElementTree.Element:
    return ElementTree.fromstring(write_svg(sheet))


PICTURES = [
    pytest.param(draw(shown, measure=measure), id=f"{name}, {measure}")
    for measure in Measure
    for name, draw, shown in (
        ("supply and demand", draw_supply_and_demand, CURVES),
        ("pressure line", draw_pressure_line, WAYS),
    )
]


@pytest.mark.parametrize("sheet", PICTURES)
def test_picture_has_no_colour_script_or_link_of_its_own(sheet: Sheet) -> None:
    tree = read(sheet)

    paints = {
        value
        for node in tree.iter()
        for name, value in node.attrib.items()
        if name in ("fill", "stroke", "color", "style")
    }
    assert paints == {"none", "currentColor"}
    assert not {node.tag for node in tree.iter()} & {f"{SVG}script", f"{SVG}image", f"{SVG}a"}
    assert "href" not in write_svg(sheet)


@pytest.mark.parametrize("sheet", PICTURES)
def test_picture_says_what_it_shows_to_those_who_cannot_see_it(sheet: Sheet) -> None:
    tree = read(sheet)

    title = tree.find(f"{SVG}title")
    assert title is not None
    assert tree.get("role") == "img"
    assert tree.get("aria-label") == title.text


@pytest.mark.parametrize("sheet", PICTURES)
def test_everything_drawn_lies_on_the_sheet_and_no_text_on_another(sheet: Sheet) -> None:
    points = [
        point
        for mark in sheet.marks
        for point in (
            mark.points
            if isinstance(mark, Line)
            else mark.boundary
            if isinstance(mark, Filled | Hatching)
            else ()
        )
    ]

    assert points
    assert all(0 <= x <= sheet.width and 0 <= y <= sheet.height for x, y in points)
    assert outside(sheet, 0, 0, 0, 0) == []
    assert overlapping(sheet) == []


def test_axes_are_labelled_with_their_units() -> None:
    assert {"steam, g/min", "pressure in the boiler, bar (gauge)"} <= set(
        words(draw_supply_and_demand(CURVES))
    )
    assert "pressure, bar (gauge)" in words(draw_pressure_line(WAYS))
    assert "pressure, psi (gauge)" in words(draw_pressure_line(WAYS, measure=Measure.IMPERIAL))


def test_supply_and_demand_names_the_meeting_point_with_its_span() -> None:
    sheet = draw_supply_and_demand(CURVES)

    texts = words(sheet)
    assert "settles at 2 bar (1.5 bar to 3 bar)" in texts
    assert "with 24 g/min (18 g/min to 30 g/min)" in texts
    assert "limit 4 bar" in texts
    assert "both <engines>" in str(read(sheet).get("aria-label"))


def test_figures_are_told_in_the_measure_asked_for() -> None:
    texts = " ".join(words(draw_supply_and_demand(CURVES, measure=Measure.US)))

    assert "limit 58 psi" in texts  # 4 bar is 58.02 psi
    assert "settles at 29 psi (21.8 psi to 43.5 psi) with 0.85 oz/min" in texts
    assert " bar" not in texts
    assert "g/min" not in texts


def test_lines_are_told_apart_without_colour() -> None:
    sheet = draw_supply_and_demand(CURVES)

    pens = [mark.pen for mark in sheet.marks if isinstance(mark, Line) and len(mark.points) == 40]
    thick = [pen for pen in pens if pen.width == Pen.OUTLINE.width]
    assert len({pen.dashes for pen in thick}) == len(thick) == 2
    assert len({mark.slope for mark in sheet.marks if isinstance(mark, Hatching)}) == 2
    assert {"supply", "(dashed)", "demand", "(solid)"} <= set(words(sheet))


def test_ways_are_told_apart_by_dashes() -> None:
    sheet = draw_pressure_line(WAYS)

    pens = {mark.pen for mark in sheet.marks if isinstance(mark, Line)}
    assert {Pen.OUTLINE, Pen.DASHED} <= pens


def test_the_meeting_point_stands_where_its_figures_say() -> None:
    sheet = draw_supply_and_demand(CURVES)
    axes = Axes(18, 14, 152, 92, (0, 4), (0, 80))

    x, y = axes.place(2.0, 24.0)
    centres = {
        tuple(round(sum(along) / len(along), 3) for along in zip(*mark.boundary, strict=True))
        for mark in sheet.marks
        if isinstance(mark, Filled)
    }
    assert (round(x, 3), round(y, 3)) in centres


def test_a_boiler_that_holds_its_limit_is_said_to() -> None:
    held = SupplyAndDemand(
        case="one",
        pressures=CURVES.pressures,
        supply=tuple(exact(9e-4) for _ in range(40)),
        demand=tuple(exact(2e-5 * step) for step in range(1, 41)),
        meeting_pressure=exact(gauge(4)),
        meeting_steam=exact(8e-4),
        heat_bound=False,
    )
    sheet = draw_supply_and_demand(held)

    assert {"holds its limit, 4 bar", "with 48 g/min"} <= set(words(sheet))
    # Nothing is soft, so there is no band.
    assert not [mark for mark in sheet.marks if isinstance(mark, Hatching)]


def test_pressure_line_names_every_part_and_every_end() -> None:
    texts = words(draw_pressure_line(WAYS, title="Morning run"))

    assert texts[0] == "Morning run"
    assert {"boiler", "block", "trunk", "port & starboard", "3.4 bar", "bore"} <= set(texts)
    assert texts.count("stop valve") == 2
    assert "3.9 bar, stands" in texts


@pytest.mark.parametrize(
    ("low", "high", "values"),
    [(0, 4, [0, 1, 2, 3, 4]), (2.6, 3.0, [2.6, 2.7, 2.8, 2.9, 3.0]), (0, 60, [0, 20, 40, 60])],
)
def test_ticks_are_round(low: float, high: float, values: list[float]) -> None:
    ticks = find_ticks(low, high)

    assert [value for value, _ in ticks] == pytest.approx(values)
    assert len({len(text.partition(".")[2]) for _, text in ticks}) == 1


def test_range_grows_outwards_to_round_values() -> None:
    assert widen_range(0.3, 45.2) == pytest.approx((0, 50))


def test_labels_are_moved_apart_and_no_further() -> None:
    heights = (100.0, 104.0, 300.0)

    moved = part_labels(heights, apart=30)

    assert moved[1] - moved[0] >= 30
    assert max(abs(now - was) for now, was in zip(moved, heights, strict=True)) <= 30
