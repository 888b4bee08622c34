"""What a plan for a distribution block says: the choice, reasons, refusals and the bench work."""

import re
from dataclasses import replace
from math import acos, cos, degrees, pi, radians, sqrt, tan

import pytest

from service.engineering.block import (
    BlockRequest,
    Place,
    Port,
    RunningCase,
    Section,
    find_section,
    plan_block,
    stock_sections,
)
from service.engineering.block.stock import sections_in
from service.engineering.errors import NoSolution, OutOfRange, UnknownMaterial, Unsuitable
from service.engineering.findings import SEVERITY
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.remedies import density_of
from service.quantities.wording import Measure, figures_in, word

QUARTER = find_thread("1/4 x 40 ME")
SMALL = find_thread("3/16 x 40 ME")
ATMOSPHERE, PSI, INCH = 101325.0, 6894.757293168, 0.0254
GRAMS = 1 / 60e3
"""One gram a minute [kg/s]."""


def launch_block(**changes: object) -> BlockRequest:
    """Three outlets on top, main valve on the left, whistle on the right, 60 psi."""
    plain = BlockRequest(
        outlets=tuple(Port(QUARTER, spacing=5 / 8 * INCH) for _ in range(3)),
        inlet=Port(QUARTER, name="main valve"),
        ends=(Port(SMALL, name="whistle"),),
        pressure=ATMOSPHERE + 60 * PSI,
        drop_budget=2 * PSI,
        cases=(
            RunningCase("both", (20 * GRAMS, 20 * GRAMS, 0.0)),
            RunningCase("all", (20 * GRAMS,) * 3, (15 * GRAMS,)),
        ),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def test_depth_in_a_half_inch_square_is_what_pencil_and_paper_give() -> None:
    square = [find_section("5/8 in square")]

    plan = plan_block(launch_block(), sections=square)

    bore = plan.bore
    way = plan.setting_out[1].feed
    assert way is not None
    # Middle to face, less half the bore, 0.5 mm floor, the cone of a 118 degree point from the
    # way out to the 7/32 in tapping hole, and two turns of lead.
    point = (7 / 32 * INCH - way.diameter) / 2 * tan(radians(31))
    room = 5 / 16 * INCH - bore / 2 - 0.0005 - point - 2 * INCH / 40
    assert plan.engagement == pytest.approx(int(room * 1e4) / 1e4)
    assert plan.setting_out[1].drilled_depth == pytest.approx(plan.engagement + 2 * INCH / 40)
    assert degrees(plan.breakthrough) == pytest.approx(degrees(acos(way.diameter / bore)))


def test_stations_of_the_launch_block_are_what_pencil_and_paper_give() -> None:
    plan = plan_block(launch_block(), sections=[find_section("5/8 in square")])

    # End thread: one diameter and two turns; then 1/16 in of wall and half the outlet's thread.
    first = (1 / 4 + 2 / 40) + 1 / 16 + 1 / 8
    grid = 1 / 32
    snapped = -(-first // grid) * grid
    assert [hole.x / INCH for hole in plan.setting_out[1:4]] == pytest.approx(
        [snapped, snapped + 5 / 8, snapped + 10 / 8]
    )
    last = snapped + 10 / 8 + 1 / 8 + 1 / 16 + (3 / 16 + 2 / 40)
    assert plan.length / INCH == pytest.approx(-(-last // grid) * grid)


def test_mass_of_the_launch_block_is_what_pencil_and_paper_give() -> None:
    plan = plan_block(launch_block(), sections=[find_section("5/8 in square")])

    def cylinder(diameter: float, length: float) -> float:
        return pi / 4 * diameter**2 * length

    inlet, outlet, whistle = plan.setting_out[0], plan.setting_out[1], plan.setting_out[4]
    assert outlet.feed is not None
    below = 5 / 16 * INCH - plan.bore / 2 - outlet.drilled_depth
    outlets = cylinder(outlet.drill.diameter, outlet.drilled_depth)
    outlets += cylinder(outlet.feed.diameter, below)
    volume = (5 / 8 * INCH) ** 2 * plan.length - cylinder(plan.bore, plan.length) - 3 * outlets
    for end in (inlet, whistle):
        volume -= cylinder(end.drill.diameter, end.drilled_depth)
        volume += cylinder(plan.bore, end.drilled_depth)
    assert plan.mass == pytest.approx(volume * 8470, rel=1e-6)


def test_the_winner_is_the_bar_of_least_section() -> None:
    plan = plan_block(launch_block())

    assert all(other.section.area >= plan.section.area for other in plan.alternatives)
    assert 2 <= len(plan.alternatives) <= 3
    for other in plan.alternatives:
        more = dict(figures_in(other.why))["more"].value
        assert more == pytest.approx(other.section.area / plan.section.area - 1)
    assert len({other.section.name for other in plan.alternatives}) == len(plan.alternatives)


def test_alternatives_offer_another_shape_or_the_other_system_of_units() -> None:
    plan = plan_block(launch_block())

    best = plan.section
    assert any(other.section.unit != best.unit for other in plan.alternatives)
    assert any(other.section.shape != best.shape for other in plan.alternatives)


def test_a_bar_too_small_is_refused_with_the_figure() -> None:
    bars = [find_section("1/2 in square"), find_section("5/8 in square")]

    plan = plan_block(launch_block(), sections=bars)

    (refusal,) = plan.refused
    assert plan.section.name == "5/8 in square"
    assert refusal.section.name == "1/2 in square"
    assert refusal.code == "block-thread"
    assert refusal.value < refusal.limit == pytest.approx(5 * INCH / 40)
    figures = dict(figures_in(refusal.text))
    assert figures["room"].value == refusal.value
    assert figures["wanted"].value == refusal.limit
    assert "3.17 mm wanted" in word(refusal.text)
    assert "125 thou wanted" in word(refusal.text, Measure.IMPERIAL)


def test_no_bar_at_all_says_which_comes_nearest_and_what_it_lacks() -> None:
    bars = [find_section("1/2 in square"), find_section("3/8 in square")]

    with pytest.raises(NoSolution) as caught:
        plan_block(launch_block(), sections=bars)

    said = caught.value.message
    assert re.search(r"nearest is 1/2 in square: Only .* of full thread", word(said))
    assert dict(figures_in(said)).keys() == {"room", "bore", "wanted"}


def test_a_drop_that_no_bore_keeps_is_refused_with_the_figure() -> None:
    with pytest.raises(NoSolution) as caught:
        plan_block(launch_block(drop_budget=100.0))

    said = caught.value.message
    assert "0.001 bar is allowed" in word(said)
    assert dict(figures_in(said))["drop"].value > 100.0


def test_rectangles_are_laid_the_way_that_serves() -> None:
    lying = Section("1/2 x 3/4 in", "rectangle", 3 / 4 * INCH, 1 / 2 * INCH, "in")

    plan = plan_block(launch_block(), sections=[lying])

    assert (plan.section.width, plan.section.height) == (1 / 2 * INCH, 3 / 4 * INCH)


def test_a_wide_bore_lets_the_tapping_drill_straight_in_and_says_how_long_a_male_may_be() -> None:
    outlets = tuple(Port(SMALL) for _ in range(3))
    inlet = Port(find_thread("3/8 x 32 ME"), seat=0.012)
    cases = (RunningCase("all", (30 * GRAMS,) * 3),)
    request = launch_block(outlets=outlets, inlet=inlet, ends=(), cases=cases)

    plan = plan_block(request, sections=[find_section("1/2 in square")])

    straight = [hole for hole in plan.setting_out if hole.purpose == "outlet"]
    assert all(hole.feed is None and hole.drill.name == "5/32 in" for hole in straight)
    assert plan.bore >= 5 / 32 * INCH / cos(radians(30))
    assert any(finding.code == "block-male-length" for finding in plan.findings)


def test_the_loss_counted_with_40_percent_more_is_a_caution_when_it_breaks_the_budget() -> None:
    plan = plan_block(launch_block())

    finding = next(each for each in plan.findings if each.code == "block-drop")
    assert plan.drop.low < plan.drop.likely < plan.drop.high
    assert plan.drop.likely <= 2 * PSI
    assert (finding.level == "caution") == (plan.drop.high > 2 * PSI)


def test_drops_are_given_for_every_port_that_passes_steam_in_every_case() -> None:
    plan = plan_block(launch_block())

    passing = {(drop.case, drop.port) for drop in plan.drops}
    assert passing == {("both", 1), ("both", 2), ("all", 1), ("all", 2), ("all", 3), ("all", 4)}
    worst = max(plan.drops, key=lambda drop: drop.drop.likely)
    assert worst.drop == plan.drop


def test_findings_come_worst_first_and_every_working_names_its_source() -> None:
    plan = plan_block(launch_block())

    levels = [SEVERITY[finding.level] for finding in plan.findings]
    assert levels == sorted(levels)
    assert all(working.source for working in plan.workings)
    assert any("inspector" in caution for caution in plan.cautions)


def test_operations_stand_in_bench_order() -> None:
    plan = plan_block(launch_block())

    texts = [word(step.text) for step in plan.operations]
    order = [
        next(place for place, text in enumerate(texts) if text.startswith(start))
        for start in (
            "Saw", "Face one end", "Mark out A", "Hold the block with the top up", "Centre B",
            "Drill B", "Tapping drill B", "Tap B", "Hold the block in the four-jaw", "Drill bore F",
            "Tapping drill A", "Tap A", "Turn the", "Try the", "Plug the ports",
        )
    ]  # fmt: skip
    assert order == sorted(order)
    assert [step.number for step in plan.operations] == list(range(1, len(texts) + 1))
    assert plan.minutes == pytest.approx(sum(step.minutes for step in plan.operations))
    assert all(step.minutes > 0 and step.tool for step in plan.operations)


def test_every_hole_is_marked_out_drilled_and_tapped_once() -> None:
    plan = plan_block(launch_block())

    texts = [word(step.text) for step in plan.operations]
    for hole in plan.setting_out[:-1]:
        for verb in ("Mark out", "Tapping drill", "Tap"):
            assert sum(text.startswith(f"{verb} {hole.letter} ") for text in texts) == 1


def test_the_bar_is_cut_longer_than_the_block_to_face_both_ends() -> None:
    plan = plan_block(launch_block(), sections=[Section("16 mm square", "square", 0.016, 0.016)])

    assert word(plan.operations[0].text).startswith(
        f"Saw {plan.length * 1e3 + 2:g} mm off the 16 mm"
    )


def test_an_inlet_in_a_face_gets_a_plugged_end_to_drill_the_bore_from() -> None:
    request = launch_block(
        inlet=Port(QUARTER, "back"), ends=(), cases=(RunningCase("all", (20 * GRAMS,) * 3),)
    )

    plan = plan_block(request)

    (plug,) = [hole for hole in plan.setting_out if hole.purpose == "plug"]
    assert plug.thread == QUARTER
    assert any(finding.code == "block-plug" for finding in plan.findings)


def test_pointing_is_kept_with_the_hole_and_mentions_shims() -> None:
    outlets = (Port(QUARTER, pointing=pi / 2), Port(QUARTER), Port(QUARTER))

    plan = plan_block(launch_block(outlets=outlets))

    assert plan.setting_out[1].pointing == pi / 2
    finding = next(each for each in plan.findings if each.code == "block-pointing")
    assert finding.value == pytest.approx(INCH / 40)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"outlets": ()}, "1 to 12 outlets"),
        ({"drop_budget": 0.0}, "drop that is allowed"),
        ({"pressure": 9e4}, "under pressure"),
        ({"least_wall": 1e-4}, "least wall"),
        ({"cases": ()}, "1 to 12 running cases"),
        ({"cases": (RunningCase("one", (1e-4,)),)}, "steam of every outlet"),
        ({"cases": (RunningCase("none", (0.0, 0.0, 0.0)),)}, "no steam at all"),
        ({"cases": (RunningCase("odd", (1e-4, -1e-4, 0.0)),)}, "negative"),
        ({"pulsation": 0.5}, "Pulsation"),
        ({"drills": ()}, "no drills"),
        ({"inlet": Port(QUARTER, seat=0.001)}, "seat"),
    ],
)
def test_figures_out_of_range_are_refused(changes: dict[str, object], words: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        plan_block(launch_block(**changes))

    assert words in word(caught.value.message)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"inlet": Port(find_thread("1/8-27 NPT"))}, "taper"),
        ({"ends": (Port(SMALL, "left end"),)}, "same end"),
        ({"ends": (Port(SMALL), Port(SMALL))}, "two ends"),
        ({"ends": (Port(SMALL, "top"),)}, "end of the block"),
    ],
)
def test_ports_that_do_not_go_together_are_refused(changes: dict[str, object], words: str) -> None:
    with pytest.raises(Unsuitable) as caught:
        plan_block(launch_block(**changes))

    assert words in word(caught.value.message)


@pytest.mark.parametrize("place", ["left end", "right end"])
def test_an_outlet_in_an_end_is_refused(place: Place) -> None:
    with pytest.raises(Unsuitable, match="outlet lies in a face"):
        plan_block(launch_block(outlets=(Port(QUARTER, place),) * 3))


def test_an_unknown_metal_is_refused() -> None:
    with pytest.raises(UnknownMaterial, match="unobtainium"):
        plan_block(launch_block(material="unobtainium"))


def test_the_table_of_stock_is_sound() -> None:
    names = [section.name for section in stock_sections()]

    assert len(names) == len(set(names)) >= 60
    assert {section.shape for section in stock_sections()} == {"square", "rectangle", "round"}
    assert {section.unit for section in stock_sections()} == {"in", "mm"}
    assert all(section.source and section.materials for section in stock_sections())
    for section in stock_sections():
        for material in section.materials:
            assert density_of(material) > 2000
            assert section in sections_in(material)


def test_sizes_of_stock_are_read_in_the_unit_of_the_row() -> None:
    assert find_section("5/8 in square").width == pytest.approx(15.875e-3)
    assert find_section("20 mm round").area == pytest.approx(pi / 4 * 4e-4)
    assert find_section("20 mm round").reach("top", 0.012) == pytest.approx(
        sqrt(0.010**2 - 0.006**2)
    )
