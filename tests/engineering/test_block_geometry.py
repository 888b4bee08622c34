"""The shape of a planned block, checked by arithmetic of its own: points on each hole's surface."""

from dataclasses import replace
from math import acos, cos, hypot, isclose, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engineering.block import (
    BlockPlan,
    BlockRequest,
    Port,
    RunningCase,
    Section,
    find_section,
    plan_block,
    stock_sections,
)
from service.engineering.block.request import ENDS
from service.engineering.block.setting_out import Hole
from service.engineering.errors import NoSolution
from service.engineering.threads.catalogue.series import find_thread

Point = tuple[float, float, float]

THREADS = ("1/8 x 40 ME", "3/16 x 40 ME", "1/4 x 40 ME", "5/16 x 32 ME", "M6 x 0.75", "2 BA")
FACES = ("top", "front", "bottom", "back")
OUTWARD = {
    "top": (0, 0, 1), "bottom": (0, 0, -1), "front": (0, -1, 0), "back": (0, 1, 0),
    "left end": (-1, 0, 0), "right end": (1, 0, 0),
}  # fmt: skip
TINY = 1e-7


@st.composite
def requests(draw: st.DrawFn) -> BlockRequest:
    """Blocks that somebody might want: up to six outlets, any faces, an inlet anywhere."""
    threads = st.sampled_from(THREADS).map(find_thread)
    outlets = draw(
        st.lists(
            st.builds(
                Port,
                thread=threads,
                place=st.sampled_from(FACES),
                spacing=st.none() | st.floats(0.005, 0.03),
            ),
            min_size=1,
            max_size=6,
        )
    )
    inlet = Port(draw(threads), draw(st.sampled_from(("left end", "right end", "top", "back"))))
    ends = draw(st.sampled_from((0, 1))) if inlet.place in ENDS else 0
    flow = st.floats(0.5, 8.0).map(lambda grams: grams / 60e3)
    return BlockRequest(
        outlets=tuple(outlets),
        inlet=inlet,
        ends=tuple(Port(draw(threads)) for _ in range(ends)),
        pressure=draw(st.floats(2e5, 9e5)),
        drop_budget=draw(st.floats(3e3, 6e4)),
        cases=(RunningCase("all", tuple(draw(flow) for _ in outlets)),),
        material=draw(st.sampled_from(("brass", "bronze", "mild steel"))),
    )


def make_plan(request: BlockRequest) -> BlockPlan:
    """A plan from the table of stock, with two large bars after it for the largest wishes."""
    large = (
        Section("60 x 60 mm", "square", 0.060, 0.060),
        Section("70 mm round", "round", 0.070, 0.070),
    )
    return plan_block(request, sections=(*stock_sections(), *large))


def try_plan(request: BlockRequest) -> BlockPlan | None:
    """The plan; None where no bore keeps the budget."""
    try:
        return make_plan(request)
    except NoSolution:
        return None


def surface(hole: Hole, radius: float, start: float, stop: float) -> list[Point]:
    """Points on a cylinder about a hole's axis, from `start` to `stop` inwards of its face."""
    out = OUTWARD[hole.place]
    across = [axis for axis in range(3) if not out[axis]]
    points = []
    for step in range(6):
        depth = start + (stop - start) * step / 5
        for turn in range(24):
            point = [hole.x, hole.y, hole.z]
            for axis in range(3):
                point[axis] -= out[axis] * depth
            point[across[0]] += radius * cos(2 * pi * turn / 24)
            point[across[1]] += radius * sin(2 * pi * turn / 24)
            points.append((point[0], point[1], point[2]))
    return points


def threaded(plan: BlockPlan) -> list[Hole]:
    return [hole for hole in plan.setting_out if hole.thread]


def is_inside(plan: BlockPlan, point: Point) -> bool:
    x, y, z = point
    width, height = plan.section.width, plan.section.height
    along = -TINY <= x <= plan.length + TINY
    if plan.section.shape == "round":
        return along and hypot(y - width / 2, z - height / 2) <= width / 2 + TINY
    return along and -TINY <= y <= width + TINY and -TINY <= z <= height + TINY


@settings(max_examples=120)
@given(requests())
def test_every_hole_lies_inside_the_block(request: BlockRequest) -> None:
    plan = try_plan(request)
    if plan is None:
        return

    for hole in threaded(plan):
        for point in surface(hole, hole.radius, 0.0, hole.full_thread):
            assert is_inside(plan, point), (hole.letter, point)


@settings(max_examples=80)
@given(requests())
def test_no_point_of_one_thread_is_nearer_another_than_the_least_wall(
    request: BlockRequest,
) -> None:
    plan = try_plan(request)
    if plan is None:
        return
    clouds = {
        hole.letter: surface(hole, hole.radius, 0.0, hole.full_thread) for hole in threaded(plan)
    }

    letters = sorted(clouds)
    for place, one in enumerate(letters):
        for other in letters[place + 1 :]:
            gap = min(
                hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])
                for a in clouds[one]
                for b in clouds[other]
            )
            # Opposite ports keep their distance through the bore; all others the stated wall.
            assert gap >= min(plan.wall_least, plan.bore) - TINY, (one, other)


@settings(max_examples=120)
@given(requests())
def test_walls_are_never_thinner_than_asked(request: BlockRequest) -> None:
    plan = try_plan(request)
    if plan is None:
        return

    assert plan.wall_least >= request.least_wall - TINY
    assert plan.wall_least == min(wall.thickness for wall in plan.walls)


@settings(max_examples=120)
@given(requests())
def test_full_thread_stays_above_the_bore_and_is_five_turns_at_least(request: BlockRequest) -> None:
    plan = try_plan(request)
    if plan is None:
        return
    middle = (plan.section.width / 2, plan.section.height / 2)

    for hole in threaded(plan):
        assert hole.turns >= 5 - 1e-6
        if hole.place not in ENDS:
            reach = hypot(hole.y - middle[0], hole.z - middle[1])
            assert hole.full_thread <= reach - plan.bore / 2 + TINY


@settings(max_examples=120)
@given(requests())
def test_cross_holes_open_into_the_bore_within_its_width(request: BlockRequest) -> None:
    plan = try_plan(request)
    if plan is None:
        return

    for hole in threaded(plan):
        if hole.place in ENDS:
            continue
        way = hole.feed or hole.drill
        depth = hole.feed_depth if hole.feed else hole.drilled_depth
        reach = hypot(hole.y - plan.section.width / 2, hole.z - plan.section.height / 2)
        assert isclose(depth, reach, abs_tol=TINY)
        assert plan.bore_start - TINY <= hole.x - way.diameter / 2
        assert hole.x + way.diameter / 2 <= plan.bore_end + TINY
        assert hole.breakthrough == pytest.approx(acos(way.diameter / plan.bore))
        assert hole.breakthrough >= pi / 6 - 1e-9


@settings(max_examples=120)
@given(requests())
def test_neighbours_on_a_face_keep_the_spacing_and_the_order_asked_for(
    request: BlockRequest,
) -> None:
    plan = try_plan(request)
    if plan is None:
        return
    holes = [hole for hole in plan.setting_out if hole.purpose == "outlet"]

    for place, one in enumerate(holes):
        for other, port in zip(holes[place + 1 :], request.outlets[place + 1 :], strict=True):
            if one.place == other.place:
                spacing = ((request.outlets[place].spacing or 0) + (port.spacing or 0)) / 2
                assert other.x - one.x >= spacing - TINY


@settings(max_examples=60)
@given(requests())
def test_the_mass_is_less_than_the_bar_and_more_than_the_bar_less_every_cylinder(
    request: BlockRequest,
) -> None:
    plan = try_plan(request)
    if plan is None:
        return
    density = {"brass": 8470, "bronze": 8800, "mild steel": 7850}[request.material]
    solid = plan.section.area * plan.length * density
    holes = pi / 4 * plan.bore**2 * plan.length
    for hole in threaded(plan):
        depth = max(hole.drilled_depth, hole.feed_depth)
        holes += pi / 4 * hole.drill.diameter**2 * depth
    half = plan.section.width / 2
    flats = sum(
        hole.flat**2 * (half - hypot(hole.y - half, hole.z - half))
        for hole in threaded(plan)
        if hole.flat
    )

    assert solid - (holes + flats) * density <= plan.mass < solid


@settings(max_examples=40)
@given(requests(), st.floats(1.0, 8.0))
def test_a_bigger_budget_never_needs_a_bigger_bore_in_the_same_bar(
    request: BlockRequest, factor: float
) -> None:
    bar = (Section("60 x 60 mm", "square", 0.060, 0.060),)
    generous = replace(request, drop_budget=min(request.drop_budget * factor, 1e5))
    try:
        tight = plan_block(request, sections=bar)
    except NoSolution:
        return

    assert plan_block(generous, sections=bar).bore <= tight.bore + TINY


@settings(max_examples=40)
@given(requests(), st.floats(1.0, 8.0))
def test_a_bigger_budget_never_needs_a_bigger_bar(request: BlockRequest, factor: float) -> None:
    plan = try_plan(request)
    if plan is None:
        return

    generous = make_plan(replace(request, drop_budget=min(request.drop_budget * factor, 1e5)))

    assert generous.section.area <= plan.section.area + 1e-12


@settings(max_examples=40)
@given(requests(), st.floats(1.0, 3.0))
def test_thicker_walls_never_make_the_bar_smaller(request: BlockRequest, factor: float) -> None:
    try:
        thick = make_plan(replace(request, least_wall=request.least_wall * factor))
    except NoSolution:
        return

    assert make_plan(request).section.area <= thick.section.area + 1e-12


def test_the_datum_of_a_round_bar_is_where_planes_touch_it() -> None:
    thread = find_thread("1/4 x 40 ME")
    request = BlockRequest(
        outlets=(Port(thread, "top"), Port(thread, "front")),
        inlet=Port(thread),
        pressure=5e5,
        drop_budget=1e4,
        cases=(RunningCase("both", (1e-4, 1e-4)),),
    )

    plan = plan_block(request, sections=[find_section("1 in round")])

    _, top, front, _ = plan.setting_out
    half = 0.0127
    # A flat of 1.5 x 6.35 mm on a circle of 12.7 mm radius lies sqrt(r² - w²/4) from the middle.
    flat = (half**2 - (1.5 * 6.35e-3 / 2) ** 2) ** 0.5
    assert (top.y, top.z) == pytest.approx((half, half + flat), abs=1e-6)
    assert (front.y, front.z) == pytest.approx((half - flat, half), abs=1e-6)
