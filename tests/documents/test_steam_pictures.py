"""The two pictures of a running plant: well-formed, uncoloured, labelled, and drawn to scale."""

from xml.etree import ElementTree

import pytest

from service.documents.chart_frame import Frame, find_ticks, part_labels, widen_range
from service.documents.steam_pictures import draw_pressure_line, draw_supply_and_demand
from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band
from service.engineering.steam.network import PressureLine, Station, SupplyAndDemand

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


def read(svg: str) -> tuple[ElementTree.Element, list[str]]:
    tree = ElementTree.fromstring(svg)
    return tree, ["".join(text.itertext()) for text in tree.iter(f"{SVG}text")]


PICTURES = [
    pytest.param(draw_supply_and_demand(CURVES), id="supply and demand"),
    pytest.param(draw_pressure_line(WAYS), id="pressure line"),
]


@pytest.mark.parametrize("svg", PICTURES)
def test_picture_has_no_colour_script_or_link_of_its_own(svg: str) -> None:
    tree, _ = read(svg)

    paints = {
        value
        for node in tree.iter()
        for name, value in node.attrib.items()
        if name in ("fill", "stroke", "color", "style")
    }
    assert paints == {"none", "currentColor"}
    assert not {node.tag for node in tree.iter()} & {f"{SVG}script", f"{SVG}image", f"{SVG}a"}
    assert "href" not in svg


@pytest.mark.parametrize("svg", PICTURES)
def test_picture_says_what_it_shows_to_those_who_cannot_see_it(svg: str) -> None:
    tree, _ = read(svg)

    title = tree.find(f"{SVG}title")
    assert title is not None
    assert tree.get("role") == "img"
    assert tree.get("aria-label") == title.text


@pytest.mark.parametrize("svg", PICTURES)
def test_everything_drawn_lies_on_the_sheet(svg: str) -> None:
    tree, _ = read(svg)
    _, _, width, height = map(float, str(tree.get("viewBox")).split())

    points = [
        tuple(map(float, pair.split(",")))
        for node in tree.iter()
        for pair in node.get("points", "").split()
    ]
    points += [
        (float(node.get("x", "0")), float(node.get("y", "0"))) for node in tree.iter(f"{SVG}text")
    ]
    assert points
    assert all(0 <= x <= width and 0 <= y <= height for x, y in points)


def test_axes_are_labelled_with_their_units() -> None:
    _, supply_texts = read(draw_supply_and_demand(CURVES))
    _, line_texts = read(draw_pressure_line(WAYS))

    assert {"steam, g/min", "pressure in the boiler, bar (gauge)"} <= set(supply_texts)
    assert "pressure, bar (gauge)" in line_texts


def test_supply_and_demand_names_the_meeting_point_with_its_span() -> None:
    tree, texts = read(draw_supply_and_demand(CURVES))

    assert "settles at 2 bar (1.5 bar to 3 bar) with 24 g/min (18 g/min to 30 g/min)" in texts
    assert "limit 4 bar" in texts
    assert "both <engines>" in str(tree.get("aria-label"))


def test_lines_are_told_apart_without_colour() -> None:
    tree, texts = read(draw_supply_and_demand(CURVES))

    thick = [line for line in tree.iter(f"{SVG}polyline") if line.get("stroke-width") == "2.2"]
    assert len({line.get("stroke-dasharray") for line in thick}) == len(thick) == 2
    assert {"supply", "(dashed)", "demand", "(solid)"} <= set(texts)


def test_the_meeting_point_stands_where_its_figures_say() -> None:
    tree, _ = read(draw_supply_and_demand(CURVES))
    frame = Frame(70, 74, 600, 392, (0, 4), (0, 80))

    x, y = frame.place(2.0, 24.0)
    centres = {
        (float(mark.get("cx", "0")), float(mark.get("cy", "0")))
        for mark in tree.iter(f"{SVG}circle")
    }
    assert (round(x, 1), round(y, 1)) in centres


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
    tree, texts = read(draw_supply_and_demand(held))

    assert "holds its limit, 4 bar with 48 g/min" in texts
    assert not list(tree.iter(f"{SVG}polygon"))  # nothing soft, so no band


def test_pressure_line_names_every_part_and_every_end() -> None:
    _, texts = read(draw_pressure_line(WAYS, title="Morning run"))

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
