"""The metal of a distribution block: thread, faces, walls and stress, a hair either side."""

from dataclasses import replace
from math import cos, pi, radians, sqrt, tan

import pytest

from service.engineering.block import (
    BlockPlan,
    BlockRequest,
    Port,
    RunningCase,
    Section,
    plan_block,
)
from service.engineering.block.sizing import Refusal
from service.engineering.block.ways import ask_tapping, meet_bore
from service.engineering.errors import NoSolution
from service.engineering.thick_tube import hoop_stress
from service.engineering.threads.catalogue import Drill, Thread, custom_thread
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.strength.areas import joint_shear_areas

MM, INCH, HAIR = 1e-3, 25.4e-3, 1e-6
ATMOSPHERE = 101_325.0
GRAM = 1 / 60e3
QUARTER, SMALL = find_thread("1/4 x 40 ME"), find_thread("1/8 x 40 ME")
THREE_SIXTEENTHS, LARGE = find_thread("3/16 x 40 ME"), find_thread("3/8 x 32 ME")
PITCH = INCH / 40
POINT = tan(radians(31))
"""118 degree point: ISO 5419."""
WALL = INCH / 16
STRENGTH = {"brass": 340e6 * 0.80, "copper": 200e6 * 0.75}
"""Least strength by the share kept in steam [Pa]: the table of metals."""


def drills(*sizes: float) -> tuple[Drill, ...]:
    return tuple(Drill(f"{size} mm", size * MM, "metric") for size in sizes)


ON_HAND = drills(2.64, 3.0, 4.0, 5.55625)
"""With these a bore of 4 mm is fed by 3 mm ways; 5.556 mm is the tapping drill of 1/4 in x 40."""

PLAIN = BlockRequest(
    outlets=(Port(QUARTER),),
    inlet=Port(QUARTER),
    pressure=5e5,
    drop_budget=3.9e5,
    cases=(RunningCase("all", (0.1 * GRAM,)),),
    drills=drills(3.0, 4.0, 5.55625),
)
BIG = Section("the big bar", "square", 0.06, 0.06)


def rectangle(width: float, height: float) -> Section:
    return Section("the bar", "rectangle", width, height)


def square(side: float) -> Section:
    return Section("the bar", "square", side, side)


def try_bar(bar: Section, **changes) -> BlockPlan | Refusal:
    """What becomes of one bar; a big one stands by."""
    plan = plan_block(replace(PLAIN, **changes), sections=[bar, BIG])
    return plan.refused[0] if plan.refused else plan


def is_taken(answer: BlockPlan | Refusal) -> bool:
    return isinstance(answer, BlockPlan)


def test_hoop_stress_is_that_of_a_thick_tube() -> None:
    """Lame: a tube of twice the bore carries 5/3 of the pressure, one of three times 5/4."""
    assert hoop_stress(6e5, 2 * MM, wall=2 * MM) == pytest.approx(6e5 * 5 / 3)
    assert hoop_stress(6e5, 2 * MM, wall=4 * MM) == pytest.approx(6e5 * 10 / 8)
    # A thin one as p r / w: the shell formula.
    assert hoop_stress(6e5, 0.1, wall=0.1 * MM) == pytest.approx(6e5 * 1000, rel=2e-3)
    # No tube is under less than the pressure itself.
    assert hoop_stress(6e5, MM, wall=1.0) == pytest.approx(6e5, rel=1e-5)


@pytest.mark.parametrize(("off", "taken"), [(HAIR, True), (-HAIR, False)])
def test_bar_must_hold_five_turns_above_the_bore(off: float, taken: bool) -> None:
    """Half the bore, half a millimetre of floor, the drill's point, two turns of lead, and five."""
    point = (5.55625 - 3.0) / 2 * MM * POINT
    spent = 2.0 * MM + 0.5 * MM + point + 2 * PITCH

    answer = try_bar(square(2 * (spent + 5 * PITCH + off)))

    assert is_taken(answer) is taken
    if isinstance(answer, Refusal):
        assert answer.code == "block-thread"
        assert answer.limit == pytest.approx(5 * PITCH)
        assert answer.value == pytest.approx(5 * PITCH + off, abs=1e-8)
        assert answer.shortfall == pytest.approx(HAIR / (5 * PITCH), rel=0.01)
    else:
        assert answer.turns == pytest.approx(5)
        told = next(each for each in answer.findings if each.code == "block-thread")
        assert told.level == "ok"


@pytest.mark.parametrize(("off", "taken"), [(HAIR, True), (-HAIR, False)])
def test_bar_must_hold_the_thread_that_was_asked_for(off: float, taken: bool) -> None:
    spent = 2.5 * MM + (5.55625 - 3.0) / 2 * MM * POINT + 2 * PITCH
    outlet = Port(QUARTER, engagement=4 * MM)

    assert is_taken(try_bar(square(2 * (spent + 4 * MM + off)), outlets=(outlet,))) is taken


@pytest.mark.parametrize(("off", "is_stepped"), [(HAIR, False), (-HAIR, True)])
def test_tapping_drill_runs_straight_in_where_it_breaks_through_at_30_degrees(
    off, is_stepped
) -> None:
    """acos(hole / bore): geometry of two cylinders whose axes cross."""
    tapping = ask_tapping(Port(QUARTER), material="brass", pressure=5e5, drills=ON_HAND)
    bore = 5.55625 * MM / cos(radians(30)) + off

    way = meet_bore(tapping, bore, drills=ON_HAND)

    assert way.is_stepped is is_stepped
    assert way.feed.diameter == pytest.approx((4.0 if is_stepped else 5.55625) * MM)
    point = (5.55625 - 4.0) / 2 * MM * POINT
    below = 0.5 * MM + point + 2 * PITCH if is_stepped else 0.0
    assert way.spent == pytest.approx(bore / 2 + below, abs=1e-9)
    assert cos(way.breakthrough) == pytest.approx(way.feed.diameter / bore)


def test_way_is_the_widest_drill_that_breaks_through_at_30_degrees() -> None:
    tapping = ask_tapping(Port(QUARTER), material="brass", pressure=5e5, drills=ON_HAND)
    bore = 3.0 * MM / cos(radians(30))

    assert meet_bore(tapping, bore + HAIR, drills=ON_HAND).feed.diameter == 3.0 * MM
    assert meet_bore(tapping, bore - HAIR, drills=ON_HAND).feed.diameter == 2.64 * MM
    with pytest.raises(NoSolution):
        meet_bore(tapping, 2.64 * MM / cos(radians(30)) - HAIR, drills=ON_HAND)


FINE = custom_thread("fine", diameter=12 * MM, pitch=0.2 * MM, included_angle=radians(60))


@pytest.mark.parametrize(
    ("male_material", "gauge"), [("aluminium", 1e5), ("aluminium", 38e5), ("brass", 38e5)]
)
@pytest.mark.parametrize("thread", [FINE, replace(FINE, major_diameter=50 * MM)])
def test_thread_wanted_carries_eight_times_the_pressure_and_one_and_a_half_times_a_spanner(
    thread: Thread, male_material: str, gauge: float
) -> None:
    """8 p pi/4 D² or 1.5 T / 0.2 D, T by 4 N/mm of D on 14 D; shear by von Mises."""
    major = thread.major_diameter
    hole = drills(major / MM - 0.15)
    strength = {"aluminium": 215e6 * 0.5, "brass": 272e6}[male_material]
    male, female = joint_shear_areas(thread, thread, length=1.0, hole=hole[0].diameter)
    load = max(8 * gauge * pi / 4 * major**2, 1.5 * 14 * 4000 * major**2 / (0.2 * major))
    wanted = load / min(0.577 * strength * male, 0.577 * 272e6 * female)

    tapping = ask_tapping(
        Port(thread, male_material=male_material),
        material="brass",
        pressure=gauge + ATMOSPHERE,
        drills=hole,
    )

    assert wanted > 5 * thread.pitch or male_material == "brass"
    assert tapping.engagement == pytest.approx(max(wanted, 5 * thread.pitch), rel=1e-6)


@pytest.mark.parametrize(("off", "taken"), [(HAIR, True), (-HAIR, False)])
@pytest.mark.parametrize(
    ("outlet", "wall", "across"),
    [
        (Port(QUARTER, seat=14 * MM), WALL, 14 * MM),
        (Port(LARGE), WALL, 1.5 * 9.525 * MM),
        (Port(QUARTER, seat=6.35 * MM), 3.5 * MM, 6.35 * MM + 2 * 3.5 * MM),
    ],
)
def test_face_is_as_wide_as_the_seat_and_the_walls_want(outlet, wall, across, off, taken) -> None:
    """A seat of one and a half diameters unless one is stated."""
    inlet = Port(THREE_SIXTEENTHS, seat=4.7625 * MM)
    on_hand = drills(3.0, 4.0, 5.55625, 8.6)

    answer = try_bar(
        rectangle(across + off, 30 * MM),
        outlets=(outlet,), inlet=inlet, least_wall=wall, drills=on_hand,
    )  # fmt: skip

    assert is_taken(answer) is taken
    if isinstance(answer, Refusal):
        assert answer.code == "block-face"
        assert answer.limit == pytest.approx(across)


@pytest.mark.parametrize(("off", "taken"), [(HAIR, True), (-HAIR, False)])
def test_wall_around_an_end_thread_is_kept(off: float, taken: bool) -> None:
    """1/16 in beside half of 1/4 in."""
    side = 2 * (6.35 / 2 * MM + WALL + off)
    ports = {"outlets": (Port(SMALL),), "inlet": Port(QUARTER, seat=6.35 * MM)}

    answer = try_bar(rectangle(side, 30 * MM), **ports, drills=ON_HAND)

    assert is_taken(answer) is taken
    if isinstance(answer, Refusal):
        assert answer.code == "block-end-wall"
        assert answer.limit == pytest.approx(WALL)


@pytest.mark.parametrize("place", ["inlet", "other end"])
@pytest.mark.parametrize(("off", "taken"), [(HAIR, True), (0.0, True), (-HAIR, False)])
def test_seat_of_an_end_port_lies_on_the_end(place: str, off: float, taken: bool) -> None:
    seated, plain = Port(QUARTER, seat=14 * MM), Port(QUARTER)
    inlet, end = (seated, plain) if place == "inlet" else (plain, seated)

    answer = try_bar(
        rectangle(14 * MM + off, 30 * MM),
        outlets=(Port(SMALL),), inlet=inlet, ends=(end,), drills=ON_HAND,
    )  # fmt: skip

    assert is_taken(answer) is taken
    if isinstance(answer, Refusal):
        assert answer.code == "block-end-face"
        assert answer.limit == pytest.approx(14 * MM)


@pytest.mark.parametrize(("off", "code"), [(HAIR, "block-end-wall"), (-HAIR, "block-wall")])
def test_wall_beside_the_bore_is_kept_before_that_around_the_end_thread(off, code) -> None:
    """The end thread is wider than the bore, so it always asks for more."""
    answer = try_bar(
        rectangle(2 * (2.0 * MM + 4 * MM + off), 40 * MM), outlets=(Port(SMALL, seat=3.175 * MM),),
        least_wall=4 * MM, drills=drills(3.0, 4.0, 5.55625),
    )  # fmt: skip

    assert isinstance(answer, Refusal)
    assert answer.code == code
    if code == "block-wall":
        assert answer.value == pytest.approx(4 * MM + off, abs=1e-9)
        assert answer.limit == pytest.approx(4 * MM)


STRESSED = {
    "outlets": (Port(SMALL, seat=3.175 * MM),),
    "inlet": Port(LARGE, seat=9.525 * MM),
    "least_wall": 0.5 * MM,
    "material": "copper",
    "drills": drills(2.0, 2.64, 3.0, 8.6),
}
"""A narrow bar of a soft metal around a wide end thread, the bore as small as it may be."""


def lame(radius: float, outside: float) -> float:
    """Stress over pressure at the inside of a thick tube [-]."""
    return (outside**2 + radius**2) / (outside**2 - radius**2)


@pytest.mark.parametrize(("factor", "taken"), [(1 - 1e-6, True), (1 + 1e-6, False)])
@pytest.mark.parametrize("ends", ["wide inlet", "wide other end"])
def test_stress_around_the_widest_end_thread_is_held_to_an_eighth_of_the_strength(
    ends, factor, taken
) -> None:
    """Lame on half the thread's diameter, the metal out to the nearest face; pressure as gauge."""
    wide, narrow = Port(LARGE, seat=9.525 * MM), Port(SMALL, seat=3.175 * MM)
    inlet, other = (wide, narrow) if ends == "wide inlet" else (narrow, wide)
    allowed = STRENGTH["copper"] / 8
    gauge = factor * allowed / lame(9.525 / 2 * MM, 5.5 * MM)

    answer = try_bar(
        rectangle(11 * MM, 40 * MM),
        **(STRESSED | {"inlet": inlet, "ends": (other,), "pressure": gauge + ATMOSPHERE}),
    )

    assert is_taken(answer) is taken
    if isinstance(answer, Refusal):
        assert answer.code == "block-stress"
        assert answer.value == pytest.approx(allowed, rel=1e-5)
        assert answer.limit == pytest.approx(allowed)
        assert answer.shortfall == pytest.approx(1e-6, rel=0.01)


@pytest.mark.parametrize(("factor", "radius"), [(1 - 1e-6, 9.525 / 2), (1 + 1e-6, 4.3)])
def test_stress_beside_the_bore_is_looked_at_before_that_around_the_end_thread(
    factor, radius
) -> None:
    """A bore of 8.6 mm; the end thread lies nearer the face and so is always under more."""
    allowed = 215e6 * 0.50 / 8
    gauge = factor * allowed / lame(4.3 * MM, 5.75 * MM)

    answer = try_bar(
        rectangle(11.5 * MM, 40 * MM),
        **(STRESSED | {"drills": drills(2.64, 8.6), "material": "aluminium",
                       "pressure": gauge + ATMOSPHERE}),
    )  # fmt: skip

    assert isinstance(answer, Refusal)
    assert answer.code == "block-stress"
    assert answer.value == pytest.approx(gauge * lame(radius * MM, 5.75 * MM), rel=1e-6)


@pytest.mark.parametrize(("off", "taken"), [(HAIR, True), (-HAIR, False)])
def test_round_bar_is_measured_to_the_flat_that_the_seat_wants(off: float, taken: bool) -> None:
    """sqrt(D² - w²) / 2 from the middle to a flat w wide: geometry of a chord."""
    spent = 2.5 * MM + (5.55625 - 3.0) / 2 * MM * POINT + 2 * PITCH
    reach = spent + 5 * PITCH
    across = 1.5 * 6.35 * MM
    diameter = sqrt((2 * reach) ** 2 + across**2) + off

    answer = try_bar(Section("the bar", "round", diameter, diameter))

    assert is_taken(answer) is taken
    if isinstance(answer, Refusal):
        assert answer.code == "block-thread"


@pytest.mark.parametrize(("off", "taken"), [(2 * HAIR, True), (-2 * HAIR, False)])
def test_round_bar_keeps_its_end_wall_under_the_deepest_flat(off: float, taken: bool) -> None:
    across = 8 * MM
    reach = 6.35 / 2 * MM + 4 * MM
    diameter = sqrt((2 * reach) ** 2 + (3.175 * MM + 8 * MM) ** 2) + off
    outlets = (Port(SMALL, seat=across),)

    answer = try_bar(
        Section("the bar", "round", diameter, diameter),
        outlets=outlets, inlet=Port(QUARTER, seat=6.35 * MM), least_wall=4 * MM, drills=ON_HAND,
    )  # fmt: skip

    assert is_taken(answer) is taken
    if isinstance(answer, Refusal):
        assert answer.code == "block-end-wall"


def test_nearest_miss_is_by_its_share_of_what_was_wanted() -> None:
    """A bar refused on either side tells the side that comes nearest."""
    answer = try_bar(rectangle(14 * MM, 10 * MM))

    assert isinstance(answer, Refusal)
    assert answer.section.height == 14 * MM
    assert answer.shortfall == pytest.approx(abs(answer.limit - answer.value) / answer.limit)


def test_working_of_the_stress_is_lame_beside_the_bore() -> None:
    plan = plan_block(PLAIN, sections=[square(20 * MM)])

    told = {working.symbol: working.value for working in plan.workings}
    assert told["R"] == pytest.approx(10 * MM)
    assert told["sigma"] == pytest.approx((5e5 - ATMOSPHERE) * lame(plan.bore / 2, 10 * MM))
