"""Steps at the bench: speeds, minutes, undercuts, the hole below a thread, and bar."""

from dataclasses import replace
from math import pi

import pytest

from service.engineering.errors import NoSolution, OutOfRange, UnknownMaterial, Unsuitable
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import Remedy, Step, density_of, find_remedies
from service.engineering.threads.remedies.bars import choose_hexagon
from service.engineering.threads.remedies.job_sheet import choose_speed_class, find_standard_time
from service.quantities.wording import word

MM, INCH = 1e-3, 25.4e-3
PITCH = INCH / 40
DEPTH = 0.640327 * PITCH
QUARTER, LARGE = find_thread("1/4 x 40 ME"), find_thread("3/8 x 32 ME")
SPEEDS = {
    "brass": 60, "gunmetal": 30, "bronze": 25, "copper": 35, "mild steel": 25,
    "stainless steel": 12, "cast iron": 20, "aluminium": 80,
}  # fmt: skip
"""Surface speeds for high-speed steel [m/min]: common practice."""
DENSITIES = {
    "brass": 8470, "gunmetal": 8800, "bronze": 8800, "copper": 8940, "mild steel": 7850,
    "stainless steel": 7900, "cast iron": 7200, "aluminium": 2700,
}  # fmt: skip
"""Handbook figures [kg/m3]."""
LENGTH = 8 * MM


def remedy(kind: str, male, female, **circumstances) -> Remedy:
    found = find_remedies(MaleEnd(male, LENGTH), FemaleEnd(female, LENGTH), **circumstances)
    return next(each for each in found if each.kind == kind)


def by_tool(remedy: Remedy, tool: str) -> Step:
    return next(step for step in remedy.steps if step.tool == tool)


@pytest.mark.parametrize(("metal", "speed"), SPEEDS.items())
def test_spindle_is_fast_from_1000_turns_a_minute_and_medium_from_300(metal, speed) -> None:
    """v = pi d n."""
    for turns, above, below in ((1000, "fast", "medium"), (300, "medium", "slow")):
        diameter = speed / (pi * turns)
        assert choose_speed_class(diameter * (1 - 1e-9), metal) == above
        assert choose_speed_class(diameter * (1 + 1e-9), metal) == below


@pytest.mark.parametrize("diameter", [0.0, -MM])
def test_cut_of_no_diameter_has_no_speed(diameter: float) -> None:
    with pytest.raises(OutOfRange):
        choose_speed_class(diameter, "brass")


@pytest.mark.parametrize("minutes", [0.0, 600.0])
def test_own_time_of_0_to_600_minutes_is_taken(minutes: float) -> None:
    own = find_standard_time("face", table={"face": minutes})

    assert own.minutes == minutes
    assert own.tool == find_standard_time("face").tool


@pytest.mark.parametrize("minutes", [-1e-9, 600.0 + 1e-9])
def test_own_time_a_hair_beyond_is_refused(minutes: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        find_standard_time("face", table={"face": minutes})
    assert refusal.value.field == "table_of_times"


def test_own_table_changes_nothing_that_it_does_not_name() -> None:
    standard = find_standard_time("turn")

    assert find_standard_time("turn", table={"face": 99.0}) == standard
    own = find_standard_time("turn", table={"turn": 7.0})
    assert own.minutes_per_length == standard.minutes_per_length == pytest.approx(2 / (10 * MM))


def test_every_operation_of_the_table_is_looked_at_before_any_work_is_planned() -> None:
    ends = MaleEnd(QUARTER, LENGTH), FemaleEnd(LARGE, LENGTH)

    with pytest.raises(Unsuitable):
        find_remedies(*ends, table_of_times={"face": 2.0, "polish": 1.0})
    with pytest.raises(OutOfRange):
        find_remedies(*ends, table_of_times={"counterbore": 601.0})


def test_male_is_turned_undercut_chamfered_and_threaded_for_its_length() -> None:
    """3 + 2 minutes for 10 mm turned, 4 + 2 threaded; undercut 0.1 mm under the thread's root."""
    made = remedy("turn_down", LARGE, QUARTER)

    turned = by_tool(made, "turning tool")
    assert turned.minutes == pytest.approx(3 + 2 * 0.8)
    assert (word(turned.size), turned.speed_class) == ("6.35 mm", "fast")
    undercut = by_tool(made, "parting or grooving tool")
    assert float(word(undercut.size).split()[0]) == pytest.approx(
        6.35 - 2 * DEPTH / MM - 0.1, abs=0.005
    )
    die = by_tool(made, "die in the tailstock holder")
    assert die.minutes == pytest.approx(4 + 2 * 0.8)
    assert (word(die.size), die.speed_class) == ("1/4 x 40 ME", "by hand")
    assert by_tool(made, "chamfering tool").speed_class == "fast"
    assert made.steps[0].speed_class == "still"


def test_taper_male_has_no_undercut_and_takes_a_taper_die() -> None:
    made = remedy("turn_down", find_thread("1/2 BSP"), find_thread("1/8 BSPT"))

    tools = {step.tool for step in made.steps}
    assert "taper pipe die" in tools
    assert not tools & {"parting or grooving tool", "die in the tailstock holder"}
    # 7 + 3 minutes for 10 mm, over the shorter of the lengths of the joint.
    assert by_tool(made, "taper pipe die").minutes == pytest.approx(7 + 3 * 0.8)


def test_hole_is_drilled_two_and_a_half_pitches_past_the_full_thread() -> None:
    """3 + 1.5 minutes for each 10 mm opened out; 5 + 2 tapped."""
    made = remedy("open_out", QUARTER, find_thread("3/16 x 40 ME"))

    drilled = by_tool(made, "twist drill")
    assert word(drilled.size) == "7/32 in"
    assert drilled.minutes == pytest.approx(3 + 1.5 * (LENGTH + 2.5 * PITCH) / (10 * MM))
    tapped = by_tool(made, "tap: taper, second, plug")
    assert tapped.minutes == pytest.approx(5 + 2 * 0.8)


def test_taper_hole_takes_a_taper_tap() -> None:
    made = remedy("open_out", find_thread("1/8 BSPT"), QUARTER)

    assert by_tool(made, "taper pipe tap").speed_class == "by hand"
    assert all(step.tool != "tap: taper, second, plug" for step in made.steps)


def test_plug_is_bored_for_and_turned_to_the_same_depth_then_drilled_anew() -> None:
    """Plug of 6.9 mm, over a bottom two and a half pitches deeper than the thread."""
    made = remedy("plug", find_thread("3/16 x 40 ME"), QUARTER)

    depth = LENGTH + 2.5 * PITCH
    bored, drilled = (step for step in made.steps if step.tool == "twist drill")
    assert word(bored.size) == "6.9 mm"
    assert bored.minutes == pytest.approx(3 + 1.5 * depth / (10 * MM))
    assert by_tool(made, "turning tool").minutes == pytest.approx(3 + 2 * depth / (10 * MM))
    assert drilled.minutes == pytest.approx(2 + 1.5 * depth / (10 * MM))
    assert by_tool(made, "torch, flux and silver solder").minutes == 30


def test_chasing_takes_six_minutes_and_skims_only_a_crest_that_stands_out() -> None:
    """6 + 2 minutes for 10 mm; a hundredth of a millimetre is not skimmed."""
    for excess, is_skimmed in ((0.009, False), (0.011, True)):
        male = replace(
            find_thread("1/4-40 UNS"), major_diameter=QUARTER.major_diameter + excess * MM
        )
        found = find_remedies(MaleEnd(male, LENGTH), FemaleEnd(QUARTER, LENGTH))
        die = next(
            each
            for each in found
            if each.kind == "recut" and any(word(step.size).endswith("die") for step in each.steps)
        )
        assert by_tool(die, "die in the tailstock holder").minutes == pytest.approx(6 + 2 * 0.8)
        assert any(step.tool == "turning tool" for step in die.steps) is is_skimmed


@pytest.mark.parametrize(
    ("least", "bar"),
    [
        (3 / 8 * INCH + 0.9e-6, "3/8 in hexagon"),
        (3 / 8 * INCH + 1.1e-6, "7/16 in hexagon"),
        (1e-9, "5/32 in hexagon"),
        (2 * INCH, "2 in hexagon"),
    ],
)
def test_smallest_hexagon_that_is_large_enough_is_taken(least: float, bar: str) -> None:
    assert choose_hexagon(least).name == bar


def test_hexagon_of_nothing_or_beyond_the_table_is_refused() -> None:
    with pytest.raises(OutOfRange):
        choose_hexagon(0.0)
    with pytest.raises(NoSolution):
        choose_hexagon(2 * INCH + 1.1e-6)


@pytest.mark.parametrize(("metal", "density"), DENSITIES.items())
def test_every_metal_has_its_density(metal: str, density: float) -> None:
    assert density_of(metal) == density
    assert density_of(metal.upper()) == density


def test_unknown_metal_has_none() -> None:
    with pytest.raises(UnknownMaterial):
        density_of("cheese")
