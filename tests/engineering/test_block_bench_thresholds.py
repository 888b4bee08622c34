"""The choice of a block's bar and bore, what is told of it, and the work at the bench."""

from dataclasses import replace
from math import cos, pi, radians

import pytest

from service.engineering.block import (
    BlockPlan,
    BlockRequest,
    Port,
    RunningCase,
    Section,
    plan_block,
)
from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.findings import Finding
from service.engineering.threads.catalogue import Drill
from service.engineering.threads.catalogue.series import find_thread
from service.quantities.wording import word

MM = 1e-3
ATMOSPHERE = 101_325.0
GRAM = 1 / 60e3
QUARTER, SMALL, LARGE = (find_thread(n) for n in ("1/4 x 40 ME", "1/8 x 40 ME", "3/8 x 32 ME"))
JAW = "four-jaw chuck and dial gauge"


def drills(*sizes: float) -> tuple[Drill, ...]:
    return tuple(Drill(f"{size} mm", size * MM, "metric") for size in sizes)


def square(side: float) -> Section:
    return Section(f"{side} mm", "square", side * MM, side * MM)


def block(*outlets: Port, sections: list[Section] | None = None, **changes) -> BlockPlan:
    """Outlets on a large bar with a bore of 4 mm, fed by ways of 3 mm."""
    ports = outlets or (Port(QUARTER),)
    request = BlockRequest(
        outlets=ports,
        inlet=Port(QUARTER),
        pressure=5e5,
        drop_budget=3.9e5,
        cases=(RunningCase("all", (0.1 * GRAM,) * len(ports)),),
        drills=drills(3.0, 4.0, 5.55625),
    )
    return plan_block(replace(request, **changes), sections=sections or [square(40)])


def finding(plan: BlockPlan, code: str) -> Finding | None:
    return next((each for each in plan.findings if each.code == code), None)


def sized(plan: BlockPlan, size: str) -> list[float]:
    """Minutes of every step with a tool of that size."""
    return [step.minutes for step in plan.operations if word(step.size) == size]


@pytest.mark.parametrize(("least", "bore"), [((0.999, 1.0), 1.0), ((0.9999, 1.5), 1.5)])
def test_no_bore_is_under_a_millimetre(least: tuple[float, float], bore: float) -> None:
    plan = block(Port(SMALL), inlet=Port(SMALL), drills=drills(0.5, *least, 2.64))

    assert plan.bore == pytest.approx(bore * MM)


@pytest.mark.parametrize(("widest", "is_bored"), [(30.0, True), (30.0001, False)])
def test_no_bore_is_over_thirty_millimetres(widest: float, is_bored: bool) -> None:
    """A drill of 25.9 mm leaves no way into a bore under 29.9 mm."""
    wide = replace(QUARTER, designation="wide", major_diameter=50 * MM)
    changes = {"inlet": Port(wide), "drills": drills(25.9, widest, 49.3), "sections": [square(150)]}

    if is_bored:
        assert block(Port(wide), **changes).bore == pytest.approx(30 * MM)
    else:
        with pytest.raises(NoSolution) as refusal:
            block(Port(wide), **changes)
        assert refusal.value.field == "drills"


@pytest.mark.parametrize(("smallest", "bore"), [(3.464, 4.0), (3.4642, 5.55625)])
def test_bore_is_wide_enough_for_the_narrowest_way(smallest: float, bore: float) -> None:
    """4 mm x cos 30 = 3.4641 mm."""
    plan = block(drills=drills(smallest, 4.0, 5.55625))

    assert plan.bore == pytest.approx(bore * MM)


@pytest.mark.parametrize(("unit", "ending"), [("in", " in"), ("mm", " mm")])
def test_bore_is_drilled_in_the_units_of_the_bar(unit: str, ending: str) -> None:
    plan = block(sections=[Section("bar", "square", 40 * MM, 40 * MM, unit)], drills=None)

    assert plan.setting_out[-1].drill.name.endswith(ending)
    assert plan.setting_out[1].feed is not None
    assert plan.setting_out[1].feed.name.endswith(ending)


@pytest.mark.parametrize("off", [1e-4, -1e-4])
def test_wider_bore_is_taken_where_it_lets_the_tapping_drill_straight_in(off: float) -> None:
    """A bar of 14.5 mm has no room for a step; from 5.55625 / cos 30 = 6.4158 mm none is needed."""
    bore = 5.55625 / cos(radians(30)) + off
    plan = block(
        Port(QUARTER), inlet=Port(LARGE), drills=drills(2.8, 5.55625, bore, 8.6),
        sections=[square(14.5), square(40)],
    )  # fmt: skip

    outlet = plan.setting_out[1]
    assert (plan.section.name == "14.5 mm") is (off > 0)
    if off > 0:
        assert plan.bore == pytest.approx(bore * MM)
        assert outlet.feed is None
        told = finding(plan, "block-male-length")
        assert told is not None
        assert told.value == pytest.approx(outlet.full_thread)
        assert outlet.full_thread == pytest.approx((7.25 - bore / 2) * MM, abs=0.1 * MM)
        assert outlet.drilled_depth == pytest.approx(7.25 * MM)
    else:
        assert finding(plan, "block-male-length") is None


def test_male_may_be_as_long_as_the_shortest_of_the_threads_tapped_straight_in() -> None:
    """Five turns of the small one, 3.175 mm; the other has 7.5 - 3.25 mm of room."""
    plan = block(
        Port(QUARTER),
        Port(SMALL),
        inlet=Port(LARGE),
        drills=drills(2.64, 5.55625, 6.5, 8.6),
        sections=[square(15)],
    )

    told = finding(plan, "block-male-length")
    assert told is not None
    assert told.value == pytest.approx(3.175 * MM)
    assert plan.setting_out[1].full_thread == pytest.approx(4.2 * MM)


def test_least_section_wins_and_then_the_smaller_bore_and_the_name() -> None:
    bars = [square(40), Section("b", "rectangle", 30 * MM, 20 * MM),
            Section("a", "rectangle", 20 * MM, 30 * MM), square(26)]  # fmt: skip

    plan = block(sections=bars)

    assert plan.section.name == "a"
    assert [each.section.name for each in plan.alternatives] == ["b", "26 mm", "40 mm"]


def test_twelve_refusals_are_told_the_largest_first() -> None:
    """Of one kind of bar the next two are named beside the winner."""
    bars = [square(10 + step / 10) for step in range(14)] + [square(30 + step) for step in range(6)]

    plan = block(sections=bars)

    assert plan.section.name == "30 mm"
    assert [each.section.name for each in plan.alternatives] == ["31 mm", "32 mm"]
    assert [each.section.name for each in plan.refused] == [
        f"{10 + step / 10} mm" for step in range(13, 1, -1)
    ]


def test_alternatives_are_drawn_from_other_units_and_shapes_before_more_of_the_same() -> None:
    bars = [square(30 + step) for step in range(6)]
    bars += [Section("inch", "square", 45 * MM, 45 * MM, "in")]
    bars += [Section("round", "round", 60 * MM, 60 * MM)]

    plan = block(sections=bars)

    assert [each.section.name for each in plan.alternatives] == ["31 mm", "inch", "round"]


@pytest.mark.parametrize(("count", "is_taken"), [(0, False), (1, True), (500, True), (501, False)])
def test_one_to_five_hundred_bars_are_looked_at(count: int, is_taken: bool) -> None:
    bars = [square(40 + step / 10) for step in range(count)]
    request = BlockRequest(
        outlets=(Port(QUARTER),), inlet=Port(QUARTER), pressure=5e5, drop_budget=1e5,
        cases=(RunningCase("all", (GRAM,)),), drills=drills(3.0, 4.0, 5.55625),
    )  # fmt: skip

    if is_taken:
        assert plan_block(request, sections=bars).section.name == "40.0 mm"
    else:
        with pytest.raises(OutOfRange) as refusal:
            plan_block(request, sections=bars)
        assert refusal.value.field == "sections"


@pytest.mark.parametrize(("off", "is_told"), [(1e-6, False), (-1e-6, True)])
def test_bore_of_more_than_twelve_diameters_is_deep(off: float, is_told: bool) -> None:
    """Right through two ends; the length does not hang on the bore."""
    ports = [Port(QUARTER, spacing=20 * MM)] * 2
    ends = {"ends": (Port(QUARTER),)}
    length = block(*ports, **ends).length

    bore = length / 12 * (1 + off) / MM
    plan = block(*ports, **ends, drills=drills(3.0, bore, 5.55625))

    assert plan.length == pytest.approx(length)
    told = finding(plan, "block-deep-bore")
    assert (told is not None) is is_told
    if told:
        assert (told.level, told.limit) == ("caution", 12.0)
        assert told.value == pytest.approx(12.0, rel=1e-5)


def test_wall_and_thread_are_told_with_the_limits_they_keep() -> None:
    plan = block(least_wall=2 * MM)

    wall, thread = finding(plan, "block-wall"), finding(plan, "block-thread")
    assert wall is not None
    assert thread is not None
    assert (wall.level, wall.value, wall.limit) == ("ok", plan.wall_least, 2 * MM)
    assert (thread.level, thread.value, thread.limit) == ("ok", plan.turns, 5.0)


def test_breakthrough_is_told_of_the_hole_that_meets_the_bore_flattest() -> None:
    plan = block(Port(QUARTER), Port(SMALL), drills=drills(2.64, 3.0, 4.0, 5.55625))

    told = finding(plan, "block-breakthrough")
    assert told is not None
    assert cos(told.value) == pytest.approx(3.0 / 4.0)
    assert told.limit == pytest.approx(radians(30))


def test_poor_tapping_drill_is_told_and_a_good_one_is_not() -> None:
    """5.9 mm leaves 0.45 mm of 0.813, 55 % of full depth: under 60 is shallow."""
    assert finding(block(), "drill-shallow") is None
    assert finding(block(drills=drills(3.0, 4.0, 5.9)), "drill-shallow") is not None


def strength(code: str, *metals: str, gauge: float = 4e5) -> float:
    ports = (Port(QUARTER, male_material=metal) for metal in metals)
    told = finding(block(*ports, pressure=gauge + ATMOSPHERE, drop_budget=1e5), code)
    assert told is not None
    assert told.value is not None
    return told.value


def test_strength_is_told_of_the_weakest_port() -> None:
    copper = strength("engagement-pressure", "copper")

    assert copper < 0.99 * strength("engagement-pressure", "brass")
    assert copper < strength("engagement-pressure", "stainless steel")
    assert strength("engagement-pressure", "brass", "copper", "brass") == pytest.approx(copper)


def test_strength_over_pressure_goes_by_the_pressure_above_the_air() -> None:
    one, two = (strength("engagement-pressure", "brass", gauge=gauge) for gauge in (4e5, 8e5))

    assert one == pytest.approx(2 * two)
    # A spanner pulls alike at any pressure.
    spanner = [strength("engagement-spanner", "brass", gauge=gauge) for gauge in (4e5, 8e5)]
    assert spanner[0] == pytest.approx(spanner[1])
    # Pressure pushes with p pi/4 D², a spanner with 14 D x 4 N/mm D over 0.2 D.
    push, pull = 4e5 * pi / 4 * (6.35 * MM) ** 2, 14 * 4000 * 6.35 * MM / 0.2
    assert one / spanner[0] == pytest.approx(pull / push, rel=1e-6)


@pytest.mark.parametrize(("bore", "pilots"), [(5.0, 1), (4.9999, 0)])
def test_bore_of_five_millimetres_is_piloted_at_half_its_size(bore: float, pilots: int) -> None:
    """The drill nearest 2.5 mm; opening out takes a minute longer than drilling. 1.5 for 10 mm."""
    plan = block(drills=drills(2.4, 2.55, bore, 5.55625))

    deep = plan.setting_out[-1].drilled_depth / (10 * MM)
    pilot = [2 + 1.5 * deep] * pilots
    # The outlet's way first: 20 mm to the middle of the bore.
    assert sized(plan, "2.55 mm") == pytest.approx([2 + 1.5 * 2.0, *pilot])
    assert sized(plan, f"{bore} mm") == pytest.approx([2 + pilots + 1.5 * deep])


@pytest.mark.parametrize(("pilot", "is_told"), [(1.88, False), (1.87, True)])
def test_chips_are_cleared_where_a_hole_is_deeper_than_four_times_its_pilot(
    pilot: float, is_told: bool
) -> None:
    """7.5 mm to the middle of the bar."""
    plan = block(
        Port(QUARTER), inlet=Port(LARGE), drills=drills(pilot, 5.55625, 6.5, 8.6),
        sections=[square(15)],
    )  # fmt: skip

    outlet = plan.setting_out[1]
    (told,) = [
        word(step.text)
        for step in plan.operations
        if word(step.text).startswith(f"Pilot {outlet.letter} ")
    ]
    assert ("clear the chips often" in told) is is_told


def test_pilot_is_smaller_than_its_hole_or_there_is_none() -> None:
    """The nearest drill to half of the outlet's hole is the hole's own; the bore has that one."""
    plan = block(
        Port(QUARTER), inlet=Port(LARGE), drills=drills(5.55625, 6.5, 8.6), sections=[square(15)]
    )

    deep = plan.setting_out[-1].drilled_depth / (10 * MM)
    assert sized(plan, "5.55625 mm") == pytest.approx([2 + 1.5 * 0.75, 2 + 1.5 * deep])
    assert sized(plan, "6.5 mm") == pytest.approx([3 + 1.5 * deep])


def test_straight_hole_is_piloted_too() -> None:
    plan = block(
        Port(QUARTER), inlet=Port(LARGE), drills=drills(2.8, 5.55625, 6.5, 8.6),
        sections=[square(15)],
    )  # fmt: skip

    # Outlet and bore: the drill nearest half of 5.556 and of 6.5 mm is one and the same.
    bore = plan.setting_out[-1].drilled_depth / (10 * MM)
    assert sized(plan, "2.8 mm") == pytest.approx([2 + 1.5 * 0.75, 2 + 1.5 * bore])
    assert sized(plan, "5.55625 mm") == pytest.approx([3 + 1.5 * 0.75])


def test_stepped_hole_is_drilled_narrow_then_opened_out_and_tapped() -> None:
    plan = block()

    outlet = plan.setting_out[1]
    assert sized(plan, "3.0 mm") == pytest.approx([2 + 1.5 * 2.0])
    opened = [3 + 1.5 * depth / (10 * MM)
              for depth in (outlet.drilled_depth, plan.setting_out[0].drilled_depth)]  # fmt: skip
    assert sized(plan, "5.55625 mm") == pytest.approx(opened)
    taps = [step.minutes for step in plan.operations if step.tool.startswith("tap:")]
    fulls = [outlet.full_thread, plan.setting_out[0].full_thread]
    assert taps == pytest.approx([5 + 2 * full / (10 * MM) for full in fulls])


def test_end_narrower_than_the_bore_is_centred_and_drilled_from_its_own_side() -> None:
    """Drilling takes 2 minutes, opening out 3; the block is turned about for the second end."""
    narrow = block(Port(QUARTER), ends=(Port(SMALL),), drills=drills(2.64, 3.0, 4.0, 5.55625))
    wide = block(Port(QUARTER), ends=(Port(QUARTER),))
    blind = block(Port(QUARTER))

    end = narrow.setting_out[2]
    assert sized(narrow, "2.64 mm") == pytest.approx([2 + 1.5 * end.drilled_depth / (10 * MM)])
    held = [[step.tool for step in plan.operations].count(JAW) for plan in (narrow, wide, blind)]
    assert held == [2, 2, 1]
    centred = [
        [step.tool for step in plan.operations].count("centre drill")
        for plan in (narrow, wide, blind)
    ]
    assert centred == [3, 2, 2]


def test_round_bar_has_a_flat_milled_for_every_port_in_its_side() -> None:
    plan = block(Port(QUARTER), Port(QUARTER), sections=[Section("r", "round", 40 * MM, 40 * MM)])

    assert [step.tool for step in plan.operations].count("end mill") == 2
    assert not [step for step in block().operations if step.tool == "end mill"]


def test_every_thread_is_gauged_once() -> None:
    plan = block(Port(QUARTER), Port(SMALL), Port(QUARTER),
                 drills=drills(2.64, 3.0, 4.0, 5.55625))  # fmt: skip

    gauged = [word(step.size) for step in plan.operations if step.tool.startswith("thread gauge")]
    assert sorted(gauged) == ["1/4 x 40 ME", "1/8 x 40 ME"]
