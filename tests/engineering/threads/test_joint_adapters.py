"""Adapters as parts: every length, wall, bar and limit by hand."""

from dataclasses import replace
from math import pi, sqrt

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import AdapterPlan, plan_adapter
from service.quantities.wording import word

MM, INCH, HAIR = 1e-3, 25.4e-3, 1e-6
PITCH = INCH / 40
DEPTH = 0.640327 * PITCH
ROOT = 6.35 * MM - 2 * DEPTH
EFFECTIVE = 6.35 * MM - DEPTH
"""Of 1/4 in x 40 on the Whitworth form: BS 84."""
TAPPING = 7 / 32 * INCH
QUARTER, LARGE = find_thread("1/4 x 40 ME"), find_thread("3/8 x 32 ME")
TAPER = find_thread("1/8 BSPT")


def at(thread: Thread, major: float) -> Thread:
    return replace(thread, designation="another", major_diameter=major)


def nipple(thread: Thread = QUARTER, *, bore: float = 3 * MM, **circumstances) -> AdapterPlan:
    """Two males of one thread."""
    end = MaleEnd(thread, length=6 * MM)
    return plan_adapter(end, end, bore=bore, **circumstances)


def coupling(thread: Thread = QUARTER, *, depth: float = 6 * MM, boss: float | None = None,
             bore: float = 3 * MM, **circumstances) -> AdapterPlan:  # fmt: skip
    """Two females of one thread."""
    end = FemaleEnd(thread, depth=depth, boss=boss)
    return plan_adapter(end, end, bore=bore, **circumstances)


@pytest.mark.parametrize(
    ("thread", "length"),
    [
        ("1/4 x 40 ME", 5.5),  # 0.8 D = 5.08, above 6 P = 3.81
        ("1/8 x 26 brass", 6.0),  # 6 P = 5.86, above 0.8 D = 2.54
        ("1/8 BSPT", 7.0),  # gauge length 4.0 and three pitches of 0.907
        ("M10 x 1", 8.0),  # 0.8 D to the half millimetre already
    ],
)
def test_thread_of_no_stated_length_is_as_long_as_use_asks(thread: str, length: float) -> None:
    """Eight tenths of a diameter, six pitches at least; up to the next half millimetre."""
    plan = plan_adapter(MaleEnd(find_thread(thread)), FemaleEnd(find_thread(thread)), bore=1 * MM)

    assert [end.thread_length for end in plan.ends] == pytest.approx([length * MM] * 2)


@pytest.mark.parametrize(("off", "bar"), [(-HAIR, "3/8 in hexagon"), (2 * HAIR, "7/16 in hexagon")])
def test_hexagon_stands_a_millimetre_past_a_male_on_each_side(off: float, bar: str) -> None:
    assert nipple(at(QUARTER, 3 / 8 * INCH - 2 * MM + off)).stock == bar


@pytest.mark.parametrize("metal", ["brass", "mild steel"])
@pytest.mark.parametrize(("off", "bar"), [(-HAIR, "3/8 in hexagon"), (2 * HAIR, "7/16 in hexagon")])
def test_hexagon_leaves_a_female_the_wall_that_its_metal_wants(metal, off, bar) -> None:
    wall = {"brass": 0.8 * MM, "mild steel": 1.0 * MM}[metal]
    thread = at(QUARTER, 3 / 8 * INCH - 2 * wall + off)

    assert coupling(thread, material=metal).stock == bar


@pytest.mark.parametrize(("off", "bar"), [(-HAIR, "3/8 in hexagon"), (2 * HAIR, "7/16 in hexagon")])
def test_hexagon_around_a_coarse_female_is_thicker_than_the_thread_is_deep(off, bar) -> None:
    """A pitch of 1.5 mm is 0.960 mm deep, more than the 0.8 mm wanted in brass: BS 84."""
    depth = 0.6403274 * 1.5 * MM
    thread = at(replace(QUARTER, pitch=1.5 * MM), 3 / 8 * INCH - 2 * depth + off)

    assert coupling(thread).stock == bar


@pytest.mark.parametrize(
    ("boss", "bar"),
    [(9.525, "3/8 in hexagon"), (9.53, "7/16 in hexagon"), (12.0, "1/2 in hexagon")],
)
def test_hexagon_is_as_large_as_the_boss_that_was_asked_for(boss: float, bar: str) -> None:
    plan = coupling(boss=boss * MM)

    assert plan.stock == bar
    assert plan.end_a.wall == pytest.approx((plan.stock_diameter - 6.35 * MM) / 2)


def test_larger_end_chooses_the_hexagon_whichever_it_is() -> None:
    """9.525 + 2 mm lies between 7/16 and 1/2 in."""
    ends = MaleEnd(QUARTER), MaleEnd(LARGE)

    assert plan_adapter(*ends, bore=3 * MM).stock == "1/2 in hexagon"
    assert plan_adapter(*reversed(ends), bore=3 * MM).stock == "1/2 in hexagon"


@pytest.mark.parametrize(
    ("depth", "body"),
    [
        # two holes of depth + 2.5 P, and a web of 2 mm, up to the half millimetre
        ((10.0 - 2 - 5 * 0.635 - 0.001) / 2, 10.0),
        ((10.0 - 2 - 5 * 0.635 + 0.001) / 2, 10.5),
    ],
)
def test_body_holds_both_tapping_holes_and_a_web_between_them(depth: float, body: float) -> None:
    plan = coupling(depth=depth * MM)

    assert plan.body_length == pytest.approx(body * MM)
    assert plan.total_length == pytest.approx(body * MM)
    assert plan.end_a.length == pytest.approx((depth + 2.5 * 0.635) * MM)


@pytest.mark.parametrize(("depth", "body"), [(0.412, 4.0), (0.413, 4.5)])
def test_spanner_has_four_millimetres_of_hexagon(depth: float, body: float) -> None:
    """One female of so little depth leaves 2 mm of web: depth + 1.5875 + 2 against 4."""
    plan = plan_adapter(FemaleEnd(QUARTER, depth=depth * MM), MaleEnd(QUARTER), bore=3 * MM)

    assert plan.body_length == pytest.approx(body * MM)
    assert nipple().body_length == pytest.approx(4 * MM)


def test_bar_is_faced_drilled_past_and_parted_off_by_what_the_tools_take() -> None:
    """Half a millimetre to face at each end, two for the parting tool."""
    plan = nipple()

    total = 4 + 2 * (6 + 2 * 0.635)
    assert plan.total_length == pytest.approx(total * MM)
    assert plan.parting_length == pytest.approx((total + 0.5) * MM)
    assert plan.drilling_depth == pytest.approx((total + 0.5 + 2) * MM)
    assert plan.bar_length == pytest.approx((total + 1.0 + 2) * MM)


def test_undercut_is_a_tenth_under_the_root_two_pitches_wide_and_thins_the_wall() -> None:
    end = nipple().end_a

    assert end.undercut_diameter == pytest.approx(ROOT - 0.1 * MM, abs=1e-9)
    assert end.undercut_width == pytest.approx(2 * PITCH)
    assert end.wall == pytest.approx((ROOT - 0.1 * MM - 3 * MM) / 2, abs=1e-9)
    assert end.diameter == pytest.approx(6.35 * MM)


def test_mass_of_two_females_is_the_hexagon_less_their_holes() -> None:
    """A thread counts as a cylinder of its effective diameter, its lead as the tapping hole."""
    plan = coupling()

    across, body = plan.stock_diameter, plan.body_length
    threads = 2 * pi / 4 * (EFFECTIVE**2 - (3 * MM) ** 2) * 6 * MM
    leads = 2 * pi / 4 * (TAPPING**2 - (3 * MM) ** 2) * 2.5 * PITCH
    bore = pi / 4 * (3 * MM) ** 2 * body
    volume = sqrt(3) / 2 * across**2 * body - threads - leads - bore
    assert plan.mass == pytest.approx(volume * 8470, rel=1e-5)
    assert coupling(material="copper").mass == pytest.approx(volume * 8940, rel=1e-5)


def test_mass_counts_the_undercut_and_the_bore_through_both_males() -> None:
    plan = nipple()

    stubs = 2 * pi / 4 * (EFFECTIVE**2 * 6 * MM + (ROOT - 0.1 * MM) ** 2 * 2 * PITCH)
    bore = pi / 4 * (3 * MM) ** 2 * plan.total_length
    volume = sqrt(3) / 2 * plan.stock_diameter**2 * 4 * MM + stubs - bore
    assert plan.mass == pytest.approx(volume * 8470, rel=1e-5)


@pytest.mark.parametrize(
    ("wall", "code"),
    [
        (0.8 * MM + HAIR, "wall-over-bore-sound"),
        (0.8 * MM - HAIR, "wall-over-bore-thin"),
        (DEPTH + HAIR, "wall-over-bore-thin"),
        (DEPTH - HAIR, "wall-over-bore-too-thin"),
    ],
)
def test_wall_under_the_undercut_is_judged_as_any_other(wall: float, code: str) -> None:
    plan = nipple(bore=ROOT - 0.1 * MM - 2 * wall)

    assert {finding.code for finding in plan.findings} == {code}
    assert plan.wall_least == pytest.approx(wall, abs=1e-9)


def test_wall_is_judged_by_the_metal_of_the_bar() -> None:
    bore = ROOT - 0.1 * MM - 2 * 0.9 * MM

    assert nipple(bore=bore).findings[0].code == "wall-over-bore-sound"
    assert nipple(bore=bore, material="mild steel").findings[0].code == "wall-over-bore-thin"


@pytest.mark.parametrize(("off", "code"), [(-HAIR, "boss-wall-sound"), (HAIR, "boss-wall-thin")])
def test_taper_female_wants_twice_the_wall(off: float, code: str) -> None:
    """Up to 3/8 in, twice 0.8 mm in brass, around it in a 1/2 in hexagon."""
    thread = at(TAPER, 1 / 2 * INCH - 2 * 1.6 * MM + 2 * off)

    taper = coupling(thread, boss=12 * MM)
    parallel = coupling(replace(thread, taper=0.0, gauge_length=None), boss=12 * MM)

    assert {finding.code for finding in taper.findings} == {code}
    assert {finding.code for finding in parallel.findings} == {"boss-wall-sound"}


def test_thinner_end_is_the_wall_that_counts() -> None:
    ends = MaleEnd(QUARTER), FemaleEnd(LARGE)
    plan = plan_adapter(*ends, bore=3 * MM)

    assert plan.wall_least == min(plan.end_a.wall, plan.end_b.wall)
    assert plan.end_a.wall != plan.end_b.wall


@pytest.mark.parametrize(
    ("end", "bottom"),
    [
        (MaleEnd(QUARTER), ROOT),
        (FemaleEnd(QUARTER), TAPPING),
        (FemaleEnd(QUARTER, drilled=5.8 * MM), 5.8 * MM),
        (MaleEnd(TAPER), TAPER.root_diameter - 4.0 * MM / 16),
    ],
)
def test_bore_stays_under_the_bottom_of_either_thread(end, bottom: float) -> None:
    """Of a taper at its small end, a gauge length of 4.0 mm at 1 in 16 below: ISO 7-1."""
    other = MaleEnd(find_thread("1/2 BSP"))

    assert plan_adapter(end, other, bore=bottom - HAIR).bore == bottom - HAIR
    for ends in ((end, other), (other, end)):
        with pytest.raises(OutOfRange) as refusal:
            plan_adapter(*ends, bore=bottom + HAIR)
        assert refusal.value.field == "bore"


@pytest.mark.parametrize("end", [MaleEnd(QUARTER, length=0.201), FemaleEnd(QUARTER, depth=0.201)])
def test_end_that_no_fitting_has_is_refused(end) -> None:
    with pytest.raises(OutOfRange):
        plan_adapter(end, MaleEnd(QUARTER), bore=3 * MM)


def test_hole_that_was_drilled_is_kept_and_named_by_its_size() -> None:
    plan = plan_adapter(FemaleEnd(QUARTER, drilled=5.8 * MM), FemaleEnd(QUARTER), bore=3 * MM)

    assert plan.end_a.diameter == pytest.approx(5.8 * MM)
    assert plan.end_a.drill != plan.end_b.drill
    assert word(plan.end_b.drill) == "7/32 in"


@pytest.mark.parametrize(
    ("a", "b", "first"),
    [
        (MaleEnd(QUARTER, 4 * MM), MaleEnd(LARGE, 9 * MM), "3/8 x 32 ME"),
        (MaleEnd(QUARTER, 9 * MM), MaleEnd(LARGE, 4 * MM), "1/4 x 40 ME"),
        (FemaleEnd(QUARTER, 9 * MM), MaleEnd(LARGE, 4 * MM), "3/8 x 32 ME"),
        (FemaleEnd(QUARTER, 4 * MM), FemaleEnd(LARGE, 9 * MM), "3/8 x 32 ME"),
    ],
)
def test_male_is_made_before_a_female_and_the_longer_end_before_the_shorter(a, b, first) -> None:
    assert plan_adapter(a, b, bore=3 * MM).threading_order[0] == first
    assert plan_adapter(b, a, bore=3 * MM).threading_order[0] == first


def test_workings_carry_the_figures_of_the_plan() -> None:
    plan = plan_adapter(MaleEnd(QUARTER, 6 * MM), FemaleEnd(LARGE, 6 * MM), bore=3 * MM)

    told = {working.symbol: working.value for working in plan.workings}
    assert told['w_"a"'] == pytest.approx((ROOT - 0.1 * MM - 3 * MM) / 2, abs=1e-9)
    assert told['w_"b"'] == pytest.approx((plan.stock_diameter - 9.525 * MM) / 2)
    assert told['l_"a"'] == pytest.approx(6 * MM + 2 * PITCH)
    assert told['l_"b"'] == pytest.approx(6 * MM + 2.5 * INCH / 32)
    assert (told['"AF"'], told['l_"body"'], told["l"]) == (
        plan.stock_diameter, plan.body_length, plan.total_length,
    )  # fmt: skip


def test_own_times_are_used() -> None:
    """Two facing cuts of two minutes become two of twelve."""
    assert nipple(table_of_times={"face": 12.0}).minutes - nipple().minutes == pytest.approx(20)
