"""Where the ports of a block lie, how long it is, what it weighs, and what it may not be asked."""

from dataclasses import replace
from math import acos, cos, pi, radians, sqrt, tan

import pytest

from service.engineering.block import (
    BlockPlan,
    BlockRequest,
    Port,
    RunningCase,
    Section,
    plan_block,
)
from service.engineering.errors import NoSolution, OutOfRange, Unsuitable
from service.engineering.threads.catalogue import Drill
from service.engineering.threads.catalogue.series import find_thread

MM, INCH, MICROMETRE = 1e-3, 25.4e-3, 1e-6
ATMOSPHERE = 101_325.0
GRAM = 1 / 60e3
QUARTER, SMALL = find_thread("1/4 x 40 ME"), find_thread("1/8 x 40 ME")
PITCH = INCH / 40
POINT = tan(radians(31))
WALL = INCH / 16
RADIUS = 6.35 / 2 * MM
BRASS = 8470.0


def drills(*sizes: float) -> tuple[Drill, ...]:
    return tuple(Drill(f"{size} mm", size * MM, "metric") for size in sizes)


def block(
    *outlets: Port, side: float = 40 * MM, bar: Section | None = None, **changes
) -> BlockPlan:
    """Outlets on a large bar with a bore of 4 mm, fed by ways of 3 mm."""
    request = BlockRequest(
        outlets=outlets,
        inlet=Port(QUARTER),
        pressure=5e5,
        drop_budget=3.9e5,
        cases=(RunningCase("all", (0.1 * GRAM,) * len(outlets)),),
        drills=drills(3.0, 4.0, 5.55625),
    )
    bar = bar or Section("the bar", "square", side, side)
    return plan_block(replace(request, **changes), sections=[bar])


def stations(plan: BlockPlan) -> list[float]:
    return [hole.x for hole in plan.setting_out if hole.purpose == "outlet"]


def gap(*outlets: Port, **changes) -> float:
    first, second = stations(block(*outlets, **changes))
    return second - first


def snap(length: float, grid: float) -> float:
    return -(-(length - 1e-9) // grid) * grid


NARROW = {"seat": 6.35 * MM}
"""A seat no wider than the thread, so that walls decide."""


@pytest.mark.parametrize(("off", "step"), [(0, 0), (1, 1)])
@pytest.mark.parametrize(("unit", "grid"), [("mm", 0.5 * MM), ("in", INCH / 32)])
def test_ports_stand_on_the_grid_of_the_bar(unit, grid, off, step) -> None:
    """Half a millimetre or 1/32 in; a hair more than a step takes the next."""
    apart = 30 * grid + off * MICROMETRE
    bar = Section("the bar", "square", 40 * MM, 40 * MM, unit)

    assert gap(*[Port(QUARTER, spacing=apart)] * 2, bar=bar) == pytest.approx((30 + step) * grid)


@pytest.mark.parametrize(("off", "apart"), [(0, 9.5), (1, 10.0)])
def test_wall_is_left_between_threads_in_one_face(off: int, apart: float) -> None:
    """6.35 mm of thread and 3.15 mm of wall."""
    ports = [Port(QUARTER, **NARROW)] * 2

    assert gap(*ports, least_wall=3.15 * MM + off * MICROMETRE) == pytest.approx(apart * MM)


@pytest.mark.parametrize(("off", "apart"), [(0, 13.0), (1, 13.5)])
def test_seats_in_one_face_do_not_overlap(off: int, apart: float) -> None:
    ports = Port(QUARTER, seat=14 * MM), Port(QUARTER, seat=12 * MM + 2 * off * MICROMETRE)

    assert gap(*ports) == pytest.approx(apart * MM)


def test_spacing_is_half_of_each_neighbours() -> None:
    assert gap(Port(QUARTER, spacing=20 * MM), Port(QUARTER, spacing=16 * MM)) == pytest.approx(
        18 * MM
    )
    assert gap(Port(QUARTER, spacing=30 * MM), Port(QUARTER)) == pytest.approx(15 * MM)


@pytest.mark.parametrize(
    ("places", "apart"),
    [
        (("top", "top"), 20.0),
        (("top", "front"), 8.0),
        (("front", "bottom"), 8.0),
        (("back", "top"), 8.0),
        (("top", "bottom"), 0.0),
        (("front", "back"), 0.0),
    ],
)
def test_ports_in_faces_that_adjoin_keep_a_wall_and_those_opposite_nothing(places, apart) -> None:
    """Seats of 20 mm count in one face alone; 6.35 + 1.5875 mm, to the half millimetre."""
    ports = (Port(QUARTER, place, seat=20 * MM) for place in places)

    assert gap(*ports) == pytest.approx(apart * MM)


@pytest.mark.parametrize(
    ("outlet", "wall", "place"),
    [
        # full thread of the end one diameter, two turns of lead; a wall, half the outlet's thread
        (Port(QUARTER, **NARROW), WALL, 6.35 * MM + 2 * PITCH + WALL + RADIUS),
        (Port(QUARTER, **NARROW), 3 * MM, 6.35 * MM + 2 * PITCH + 3 * MM + RADIUS),
        (Port(QUARTER, seat=30 * MM), WALL, 15 * MM),
    ],
)
def test_first_port_clears_the_thread_of_the_left_end(outlet, wall, place) -> None:
    (x,) = stations(block(outlet, least_wall=wall))

    assert x == pytest.approx(snap(place, 0.5 * MM))


def test_blind_end_leaves_room_for_bore_point_and_wall() -> None:
    """A bore of 5.556 mm past a small port: half its way, half a millimetre, point, wall."""
    plan = block(Port(SMALL), drills=drills(2.64, 5.55625))

    (x,) = stations(plan)
    beyond = 2.64 / 2 * MM + 0.5 * MM + 5.55625 / 2 * MM * POINT + WALL
    assert beyond > 3.175 / 2 * MM + WALL
    assert plan.length == pytest.approx(snap(x + beyond, 0.5 * MM))
    assert (plan.bore_start, plan.bore_end) == pytest.approx((0.0, x + 1.82 * MM))
    assert plan.setting_out[-1].drilled_depth == pytest.approx(x + 1.82 * MM)


def test_end_thread_narrower_than_the_bore_is_met_from_beyond_a_blind_end() -> None:
    """The whistle's hole does not pass the bore: its thread and lead stand past the point."""
    plan = block(
        Port(SMALL),
        ends=(Port(SMALL),),
        drills=drills(2.64, 5.55625),
        cases=(RunningCase("all", (0.1 * GRAM,), (0.1 * GRAM,)),),
        least_wall=0.6 * MM,
    )

    (x,) = stations(plan)
    thread = 5 * PITCH + 2 * PITCH
    beyond = 1.82 * MM + 5.55625 / 2 * MM * POINT + thread
    assert beyond > thread + 3.175 / 2 * MM + 0.6 * MM + 0.5 * MM
    assert plan.length == pytest.approx(snap(x + beyond, 0.5 * MM))
    assert plan.bore_end == pytest.approx(x + 1.82 * MM)
    assert plan.setting_out[-1].place == "left end"


def test_bore_runs_through_both_ends_that_let_it() -> None:
    plan = block(Port(QUARTER), ends=(Port(QUARTER),))

    assert (plan.bore_start, plan.bore_end) == pytest.approx((0.0, plan.length))
    assert plan.setting_out[-1].place == "left end"


def test_block_is_bored_from_the_end_with_the_wider_hole() -> None:
    plan = block(Port(QUARTER), inlet=Port(SMALL), ends=(Port(QUARTER),),
                 drills=drills(2.64, 3.0, 4.0, 5.55625))  # fmt: skip

    assert plan.bore == pytest.approx(4 * MM)
    assert plan.setting_out[-1].place == "right end"
    assert plan.setting_out[-1].x == pytest.approx(plan.length)
    assert plan.bore_end == pytest.approx(plan.length)
    assert plan.bore_start == pytest.approx(stations(plan)[0] - 3.0 / 2 * MM - 0.5 * MM)


def test_inlet_of_two_alike_ends_is_the_one_that_is_bored_from() -> None:
    plan = block(Port(QUARTER), inlet=Port(QUARTER, "right end"), ends=(Port(QUARTER),))

    assert plan.setting_out[-1].place == "right end"


def test_inlet_in_a_face_stands_in_the_middle_of_its_outlets() -> None:
    plan = block(*[Port(QUARTER)] * 4, inlet=Port(QUARTER, "top"))

    places = stations(plan)
    inlet = plan.setting_out[0].x
    assert places == sorted(places)
    assert places[1] < inlet < places[2]


@pytest.mark.parametrize(("off", "step"), [(0.001, 0), (-0.001, -1)])
def test_full_thread_is_given_in_whole_tenths_of_a_millimetre(off: float, step: int) -> None:
    """Never more than there is room for, up to one diameter."""
    spent = 2.5 * MM + (5.55625 - 3.0) / 2 * MM * POINT + 2 * PITCH
    side = 2 * (spent + (4.5 + off) * MM)

    hole = block(Port(QUARTER), side=side).setting_out[1]

    assert hole.full_thread == pytest.approx((4.5 + step / 10) * MM)
    assert hole.drilled_depth == pytest.approx(hole.full_thread + 2 * PITCH)
    assert hole.feed_depth == pytest.approx(side / 2)
    assert hole.turns == pytest.approx(hole.full_thread / PITCH)


def test_full_thread_is_no_longer_than_a_diameter_unless_more_is_asked_for() -> None:
    assert block(Port(QUARTER)).setting_out[1].full_thread == pytest.approx(6.3 * MM)
    deep = block(Port(QUARTER, engagement=8 * MM)).setting_out[1]
    assert deep.full_thread == pytest.approx(8 * MM)


def test_walls_are_told_as_the_hand_would_measure_them() -> None:
    """Ports, faces, the bore, and both ends; a bar of 30 by 40 mm with a bore of 4 mm."""
    bar = Section("the bar", "rectangle", 30 * MM, 40 * MM)
    plan = block(Port(QUARTER), Port(QUARTER), bar=bar)

    first, second = stations(plan)
    bottom = 6.35 * MM + 2 * PITCH  # of the inlet's hole
    expected = [
        *[20 * MM - 2 * MM] * 2,  # bore to top and bottom
        *[15 * MM - 2 * MM] * 2,  # bore to front and back
        plan.length - plan.bore_end - 2 * MM * POINT,  # point of the drill to the blind end
        *[15 * MM - RADIUS] * 2,  # outlets to the sides of their face
        first - RADIUS - bottom,
        second - RADIUS - bottom,
        plan.length - first - RADIUS,
        plan.length - second - RADIUS,
        second - first - 2 * RADIUS,
        15 * MM - RADIUS,  # the inlet's thread to the nearest faces
    ]
    assert [wall.thickness for wall in plan.walls] == pytest.approx(sorted(expected))
    assert plan.wall_least == pytest.approx(min(expected))


def cylinder(diameter: float, length: float) -> float:
    return pi / 4 * diameter**2 * length


def test_mass_of_a_hole_drilled_straight_in_and_of_a_narrow_end() -> None:
    """Brass of 8470 kg/m3 by the bar less every cylinder; threads as their tapping holes."""
    on_hand = drills(2.64, 5.55625)
    plan = block(Port(SMALL), ends=(Port(SMALL),), drills=on_hand,
                 cases=(RunningCase("all", (0.1 * GRAM,)),))  # fmt: skip

    inlet, _, end, bore = plan.setting_out
    assert bore.drill.diameter == pytest.approx(5.55625 * MM)
    volume = (40 * MM) ** 2 * plan.length
    volume -= cylinder(5.55625 * MM, plan.bore_end - plan.bore_start)
    volume -= cylinder(2.64 * MM, 20 * MM - 5.55625 / 2 * MM)
    assert inlet.drill.diameter == bore.drill.diameter  # no more than the bore takes
    assert end.drill.diameter < bore.drill.diameter  # reckoned as within the bore's own
    assert plan.mass == pytest.approx(volume * BRASS, rel=1e-6)


def test_mass_of_a_round_bar_is_less_its_flats() -> None:
    """A square flat w wide cuts a segment r² acos(h/r) - h w/2 for a length of w."""
    plan = block(Port(QUARTER), bar=Section("the bar", "round", 40 * MM, 40 * MM))

    across, radius = 1.5 * 6.35 * MM, 20 * MM
    height = sqrt(radius**2 - (across / 2) ** 2)
    segment = radius**2 * acos(height / radius) - height * across / 2
    inlet, outlet, bore = plan.setting_out
    volume = pi * radius**2 * plan.length - segment * across
    volume -= cylinder(plan.bore, plan.bore_end)
    volume -= cylinder(inlet.drill.diameter, inlet.drilled_depth)
    volume += cylinder(plan.bore, inlet.drilled_depth)
    volume -= cylinder(outlet.drill.diameter, outlet.drilled_depth)
    volume -= cylinder(3 * MM, height - plan.bore / 2 - outlet.drilled_depth)
    assert plan.mass == pytest.approx(volume * BRASS, rel=1e-6)
    assert outlet.flat == pytest.approx(across)
    assert (inlet.flat, bore.flat) == (0.0, 0.0)


@pytest.mark.parametrize(("size", "is_bar"), [(3.0, True), (2.999, False), (200.0, True),
                                              (200.001, False)])  # fmt: skip
def test_bar_is_3_to_200_mm_across(size: float, is_bar: bool) -> None:
    for shape in ("square", "round"):
        if is_bar:
            assert Section("bar", shape, size * MM, size * MM).width == size * MM
        else:
            with pytest.raises(OutOfRange):
                Section("bar", shape, size * MM, size * MM)
    if not is_bar:
        for sides in ((size, 10.0), (10.0, size)):
            with pytest.raises(OutOfRange):
                Section("bar", "rectangle", sides[0] * MM, sides[1] * MM)


@pytest.mark.parametrize("shape", ["square", "round"])
def test_square_or_round_is_as_high_as_wide(shape: str) -> None:
    with pytest.raises(OutOfRange):
        Section("bar", shape, 10 * MM, 10.001 * MM)


def test_faces_of_a_bar_are_measured_from_its_own_middle() -> None:
    bar = Section("bar", "rectangle", 10 * MM, 30 * MM)

    for place, reach, breadth in (("top", 15, 10), ("bottom", 15, 10), ("front", 5, 30),
                                  ("back", 5, 30), ("left end", 5, 10)):  # fmt: skip
        assert (bar.reach(place, 4 * MM), bar.breadth(place)) == pytest.approx(
            (reach * MM, breadth * MM)
        )
    turned = bar.turned()
    assert (turned.width, turned.height) == (30 * MM, 10 * MM)
    assert turned.breadth("right end") == 10 * MM
    assert bar.area == pytest.approx(300e-6)
    assert Section("bar", "round", 10 * MM, 10 * MM).area == pytest.approx(pi * 25e-6)


def port(**changes) -> dict:
    return {"outlets": (Port(**({"thread": QUARTER} | changes)),)}


def sized(major: float):
    return replace(QUARTER, designation="another", major_diameter=major * MM)


@pytest.mark.parametrize(
    ("taken", "refused", "field"),
    [
        ({"least_wall": 0.5 * MM}, {"least_wall": 0.4999 * MM}, "least_wall"),
        ({"least_wall": 20 * MM}, {"least_wall": 20.001 * MM}, "least_wall"),
        ({"pressure": ATMOSPHERE + 1, "drop_budget": 1e5}, {"pressure": ATMOSPHERE,
                                                            "drop_budget": 1e5}, "pressure"),
        ({"drop_budget": 5e5 - 1000.1}, {"drop_budget": 5e5 - 1000.0}, "drop_budget"),
        (port(spacing=0.5), port(spacing=0.5001), "spacing"),
        (port(seat=6.35 * MM), port(seat=6.349 * MM), "seat"),
        (port(seat=0.1), port(seat=0.1001), "seat"),
        (port(engagement=50 * MM), port(engagement=50.001 * MM), "engagement"),
        (port(engagement=1e-9), port(engagement=0.0), "engagement"),
        (port(pointing=2 * pi), port(pointing=2 * pi + 1e-9), "pointing"),
        (port(pointing=-2 * pi), port(pointing=-2 * pi - 1e-9), "pointing"),
        (port(thread=sized(60.0)), port(thread=sized(60.001)), "thread"),
    ],
)  # fmt: skip
def test_request_is_taken_at_its_limit_and_refused_beyond(taken, refused, field) -> None:
    on_hand = {"drills": drills(3.0, 4.0, 5.55625, 59.3)}
    changes = on_hand | {"bar": Section("the bar", "square", 0.2, 0.2)}

    assert block(*taken.get("outlets", (Port(QUARTER),)), **(changes | taken)).mass > 0
    with pytest.raises(OutOfRange) as refusal:
        block(*refused.get("outlets", (Port(QUARTER),)), **(changes | refused))
    assert refusal.value.field == field


def test_thread_of_a_block_is_a_millimetre_at_least() -> None:
    tiny = replace(QUARTER, major_diameter=0.999 * MM, pitch=0.25 * MM)

    with pytest.raises(OutOfRange) as refusal:
        block(Port(tiny))
    assert refusal.value.field == "thread"


def test_flow_of_a_port_is_a_kilogram_a_second_at_most() -> None:
    """So much is taken as a question, though no bore here passes it."""
    for flow, error, field in ((1.0, NoSolution, "sections"), (1.0001, OutOfRange, "flows")):
        with pytest.raises(error) as refusal:
            block(Port(QUARTER), cases=(RunningCase("all", (flow,)),))
        assert refusal.value.field == field


def test_twelve_outlets_and_twelve_cases_are_the_most() -> None:
    cases = tuple(RunningCase(str(place), (0.1 * GRAM,)) for place in range(13))

    assert len(stations(block(*[Port(QUARTER)] * 12))) == 12
    assert len(block(Port(QUARTER), cases=cases[:12]).drops) == 12
    for outlets, changes, field in (
        ([Port(QUARTER)] * 13, {}, "outlets"),
        ([Port(QUARTER)], {"cases": cases}, "flows"),
    ):
        with pytest.raises(OutOfRange) as refusal:
            block(*outlets, **changes)
        assert refusal.value.field == field


def test_end_port_takes_the_end_that_is_free() -> None:
    plan = block(Port(QUARTER), inlet=Port(QUARTER, "right end"), ends=(Port(SMALL, name="w"),))

    assert next(hole.place for hole in plan.setting_out if hole.name == "w") == "left end"
    with pytest.raises(Unsuitable):
        block(Port(QUARTER), ends=(Port(SMALL), Port(SMALL)))


def test_breakthrough_and_engagement_are_the_least_of_all_the_ports() -> None:
    plan = block(Port(QUARTER), Port(SMALL), drills=drills(2.64, 3.0, 4.0, 5.55625))

    threaded = [hole for hole in plan.setting_out if hole.thread]
    assert plan.engagement == min(hole.full_thread for hole in threaded)
    assert plan.engagement < max(hole.full_thread for hole in threaded)
    assert plan.turns == min(hole.turns for hole in threaded)
    assert cos(plan.breakthrough) == pytest.approx(3.0 / 4.0)
