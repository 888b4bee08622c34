"""Where the verdict on a screwed joint turns, and which way each load and strength goes.

Every strength is reckoned here from the geometry of a 1/4 x 40 Model Engineer thread.
"""

from math import pi, radians, sqrt, tan

import pytest

from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.materials import Material, find_material
from service.engineering.threads.catalogue import limits_of
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.strength import (
    Engagement,
    end_load,
    engagement,
    needed_length,
    spanner_load,
)
from service.engineering.threads.strength.areas import (
    female_shear_area,
    joint_shear_areas,
    male_shear_area,
    neck_area,
    stress_area,
)

MM = 1e-3
INCH = 0.0254
HAIR = 1e-6
ME = find_thread("1/4 x 40 ME")
MAJOR, PITCH = 6.35 * MM, 0.635 * MM
DEPTH = 0.640327 * PITCH
"""BS 84: two thirds of the sharp height; effective is one depth under major, the core two."""
SLOPE = tan(radians(27.5))
MEDIUM = (0.002 * 0.25 ** (1 / 3) + 0.003 * 0.5 + 0.005 * sqrt(1 / 40)) * INCH
"""BS 84 tolerance of the medium class."""
LEAST_MAJOR = MAJOR - MEDIUM - 0.01 * sqrt(1 / 40) * INCH
LEAST_EFFECTIVE = MAJOR - DEPTH - MEDIUM
LARGEST_EFFECTIVE = MAJOR - DEPTH + MEDIUM
LARGEST_CORE = MAJOR - 2 * DEPTH + (0.2 / 40 + 0.004) * INCH
HOLE = 7 / 32 * INCH

COLD, KEPT = 300e6, 0.8
STEAM = COLD * KEPT
SHEAR = STEAM / sqrt(3)
"""Von Mises."""
METAL = Material("test metal", COLD, KEPT, "soft", "for tests", "none")


def weaken(share: float) -> Material:
    return Material("weak metal", share * COLD, KEPT, "soft", "for tests", "none")


def engage(**changes: float | Material | None) -> Engagement:
    joint = {
        "length": 8 * MM,
        "bore": 3 * MM,
        "drilled": HOLE,
        "male_material": METAL,
        "female_material": METAL,
        "pressure": 0.0,
        "torque": 0.0,
    }
    return engagement(ME, ME, **(joint | changes))


def levels(result: Engagement) -> dict[str, str]:
    return {finding.code: finding.level for finding in result.findings}


def neck_strength(bore: float) -> float:
    middle = MAJOR - 1.5 * DEPTH
    return pi / 4 * (middle**2 - bore**2) * STEAM


def shorn_male(length: float, hole: float) -> float:
    """ASME B1.1 appendix B with the tangent of 27.5 degrees."""
    return pi * length / PITCH * hole * (PITCH / 2 + SLOPE * (LEAST_EFFECTIVE - hole))


def shorn_female(length: float) -> float:
    width = PITCH / 2 + SLOPE * (LEAST_MAJOR - LARGEST_EFFECTIVE)
    return pi * length / PITCH * LEAST_MAJOR * width


@pytest.mark.parametrize(("share", "level"), [(1 - HAIR, "ok"), (1 + HAIR, "fail")])
def test_pressure_is_borne_eight_times_or_not_at_all(share: float, level: str) -> None:
    """Common practice for small boilers: strength eight times the push of the steam."""
    pressure = share * neck_strength(3 * MM) / 8 / (pi / 4 * MAJOR**2)
    result = engage(pressure=pressure)

    assert result.governing == "male neck"
    assert levels(result)["engagement-pressure"] == level
    assert result.factor == pytest.approx(8 / share, rel=1e-5)


@pytest.mark.parametrize(
    ("factor", "level"),
    [(1.5 + HAIR, "ok"), (1.5 - HAIR, "caution"), (1 + HAIR, "caution"), (1 - HAIR, "fail")],
)
def test_spanner_is_borne_one_and_a_half_times(factor: float, level: str) -> None:
    """Common practice; under the strength itself it gives way. T = 0.2 F D."""
    torque = 0.2 * MAJOR * neck_strength(3 * MM) / factor
    result = engage(torque=torque)

    assert levels(result)["engagement-spanner"] == level
    assert result.spanner_factor == pytest.approx(factor, rel=1e-5)
    assert result.spanner_load == pytest.approx(neck_strength(3 * MM) / factor, rel=1e-5)


@pytest.mark.parametrize(
    ("turns", "level"),
    [(5 + HAIR, "ok"), (5 - HAIR, "caution"), (4 + HAIR, "caution"), (4 - HAIR, "fail")],
)
def test_five_turns_are_wanted_and_four_let_pass(turns: float, level: str) -> None:
    result = engage(length=turns * PITCH)

    assert levels(result)["engagement-turns"] == level
    assert result.turns == pytest.approx(turns, abs=1e-9)


@pytest.mark.parametrize(
    ("share", "level"),
    [(0.5 + HAIR, "ok"), (0.5 - HAIR, "caution"), (0.35 + HAIR, "caution"), (0.35 - HAIR, "fail")],
)
def test_threads_reach_half_their_depth_into_one_another(share: float, level: str) -> None:
    """Common practice: half the depth on each side, by the smallest male in the hole as drilled."""
    result = engage(drilled=LEAST_MAJOR - 2 * share * 0.6403269 * PITCH)

    assert levels(result)["engagement-overlap"] == level
    assert result.overlap == pytest.approx(share * DEPTH, rel=1e-5)


def test_five_turns_and_four_are_themselves_let_pass() -> None:
    whole = [engage(length=turns * ME.pitch) for turns in (4, 5)]

    assert [result.turns for result in whole] == [4, 5]
    assert [levels(result)["engagement-turns"] for result in whole] == ["caution", "ok"]


def test_findings_state_the_limits_they_are_judged_by() -> None:
    result = engage(pressure=4e5, torque=1.0)
    limits = {finding.code: finding.limit for finding in result.findings}

    assert limits == {
        "engagement-overlap": pytest.approx(0.5 * DEPTH, rel=1e-5),
        "engagement-turns": 5,
        "engagement-pressure": 8,
        "engagement-spanner": 1.5,
    }
    values = {finding.code: finding.value for finding in result.findings}
    assert values["engagement-pressure"] == result.factor
    assert values["engagement-spanner"] == result.spanner_factor
    assert values["engagement-turns"] == result.turns
    assert values["engagement-overlap"] == result.overlap


def test_no_load_is_not_judged() -> None:
    result = engage()

    assert set(levels(result)) == {"engagement-overlap", "engagement-turns"}
    assert (result.factor, result.spanner_factor) == (None, None)
    assert "engagement-pressure" in levels(engage(pressure=100.0))
    assert "engagement-spanner" in levels(engage(torque=1e-4))


def test_neck_governs_by_its_own_metal_and_bore() -> None:
    result = engage(male_material=weaken(0.5), length=20 * MM)

    assert result.governing == "male neck"
    assert result.strength == pytest.approx(neck_strength(3 * MM) / 2, rel=1e-5)
    assert result.tensile_area == pytest.approx(neck_strength(3 * MM) / STEAM, rel=1e-5)


def test_weak_female_strips_at_the_crests_of_the_male() -> None:
    result = engage(female_material=weaken(0.1))

    assert result.governing == "female thread"
    assert result.shear_area_female == pytest.approx(shorn_female(8 * MM), rel=1e-5)
    assert result.strength == pytest.approx(shorn_female(8 * MM) * SHEAR / 10, rel=1e-3)


def test_male_strips_along_a_wide_hole() -> None:
    hole = 6.0 * MM
    result = engage(bore=0.0, length=3 * MM, drilled=hole)

    assert result.governing == "male thread"
    assert result.shear_area_male == pytest.approx(shorn_male(3 * MM, hole), rel=1e-5)
    assert result.strength == pytest.approx(shorn_male(3 * MM, hole) * SHEAR, rel=1e-3)


def test_undrilled_joint_is_taken_at_the_largest_core_of_its_family() -> None:
    assert engage(drilled=None).overlap == pytest.approx((LEAST_MAJOR - LARGEST_CORE) / 2, rel=1e-5)


@pytest.mark.parametrize(("share", "load"), [(1 - 1e-4, "pressure"), (1 + 1e-4, "spanner")])
def test_load_that_asks_for_more_strength_governs(share: float, load: str) -> None:
    """Eight times the push against one and a half times the pull."""
    pressure = 20e5
    push = pressure * pi / 4 * MAJOR**2
    result = engage(pressure=pressure, torque=share * 8 * push / 1.5 * 0.2 * MAJOR)

    assert result.governing_load == load


@pytest.mark.parametrize(
    "names", [("1/4 x 40 ME", "5/16 x 32 ME"), ("5/16 x 32 ME", "1/4 x 40 ME")]
)
def test_steam_pushes_on_the_larger_thread_and_the_spanner_on_the_male(
    names: tuple[str, str],
) -> None:
    male, female = (find_thread(name) for name in names)
    result = engagement(
        male,
        female,
        length=10 * MM,
        male_material=METAL,
        female_material=METAL,
        pressure=10e5,
        torque=1.0,
    )

    assert result.end_load == pytest.approx(1e6 * pi / 4 * (5 / 16 * INCH) ** 2)
    assert result.spanner_load == pytest.approx(5 / male.major_diameter)
    assert result.turns == pytest.approx(10 * MM / male.pitch)


def test_end_load_goes_with_pressure_and_the_square_of_the_diameter() -> None:
    """10 bar on 10 mm: 78.54 N."""
    assert end_load(0.010, 1e6) == pytest.approx(78.54, abs=0.005)
    assert end_load(0.020, 1e6) == pytest.approx(4 * end_load(0.010, 1e6))
    assert end_load(0.010, 3e6) == pytest.approx(3 * end_load(0.010, 1e6))


def test_usual_pull_of_a_spanner() -> None:
    """10 mm: a spanner of 140 mm pulled with 40 N is 5.6 N m, over 0.2 x 10 mm 2800 N."""
    assert spanner_load(0.010) == pytest.approx(2800)
    assert spanner_load(0.020) == pytest.approx(2 * 2800)
    assert engage(torque=None).spanner_load == pytest.approx(280 * 6.35)


@pytest.mark.parametrize(
    ("field", "refused"),
    [
        ("diameter", lambda: end_load(0.0, 1e5)),
        ("diameter", lambda: spanner_load(0.0)),
        ("pressure", lambda: end_load(0.01, -1.0)),
        ("torque", lambda: spanner_load(0.01, torque=-1e-9)),
        ("bore", lambda: neck_area(ME, bore=-1e-9)),
        ("length", lambda: male_shear_area(ME, -1e-9, hole=HOLE)),
        ("length", lambda: female_shear_area(ME, -1e-9, male_major=MAJOR)),
        ("hole", lambda: male_shear_area(ME, 0.005, hole=0.0)),
        ("male_major", lambda: female_shear_area(ME, 0.005, male_major=0.0)),
        ("length", lambda: engage(length=0.0)),
    ],
)
def test_impossible_figure_is_refused_by_field(field: str, refused) -> None:
    with pytest.raises(OutOfRange) as refusal:
        refused()

    assert refusal.value.field == field


def test_nothing_is_a_load_and_a_length_like_any_other() -> None:
    assert end_load(0.01, 0.0) == 0
    assert neck_area(ME) == neck_area(ME, bore=0.0) == pytest.approx(stress_area(ME))
    assert male_shear_area(ME, 0.0, hole=HOLE) == 0
    assert female_shear_area(ME, 0.0, male_major=MAJOR) == 0


@pytest.mark.parametrize(
    ("designation", "middle"),
    [
        # halfway between effective and root, of the printed tables; mm
        ("2 BA", (4.215 + 3.73) / 2),
        ("0 BA", (5.400 + 4.80) / 2),
        ("1/8 BSP", (9.147 + 8.566) / 2),
        ("M6", (5.350 + 4.773) / 2),
        # ASME B1.1: D - 0.9743 P
        ("1/4-20 UNC", 6.35 - 0.9743 * 1.27),
    ],
)
def test_stress_area_is_of_the_circle_midway(designation: str, middle: float) -> None:
    area = stress_area(find_thread(designation))

    assert area / MM**2 == pytest.approx(pi / 4 * middle**2, rel=3e-4)


def test_bore_that_takes_the_whole_neck_leaves_nothing() -> None:
    middle = MAJOR - 1.5 * DEPTH

    assert neck_area(ME, bore=middle * (1 - 1e-4)) > 0
    assert neck_area(ME, bore=middle * (1 + 1e-4)) == 0


def test_threads_that_miss_shear_nothing() -> None:
    touching = joint_shear_areas(ME, ME, length=5 * MM, hole=LEAST_MAJOR - 1e-9)

    assert min(touching) > 0
    assert joint_shear_areas(ME, ME, length=5 * MM, hole=LEAST_MAJOR + 1e-9) == (0, 0)
    edge = limits_of(ME).male_major[0]
    assert joint_shear_areas(ME, ME, length=5 * MM, hole=edge) == (0, 0)
    # past the apex of the flanks the formula itself has nothing left
    apex = LEAST_EFFECTIVE + PITCH / 2 / SLOPE
    assert male_shear_area(ME, 5 * MM, hole=apex + 1e-7) == 0
    assert female_shear_area(ME, 5 * MM, male_major=MAJOR - 3 * DEPTH) == 0


def test_each_member_is_reckoned_on_its_own_thread() -> None:
    """A 60 degree male in a 55 degree female: tan 30 along the hole, tan 27.5 along the crests."""
    male = find_thread("1/4-40 UNS")
    areas = joint_shear_areas(male, ME, length=5 * MM, hole=HOLE)
    class_2a = 0.0015 * 0.25 ** (1 / 3) + 0.0015 * sqrt(9 / 40) + 0.015 * (1 / 40) ** (2 / 3)
    effective = MAJOR - 0.649519 * PITCH - 1.3 * class_2a * INCH
    crest = MAJOR - (0.3 * class_2a + 0.060 * (1 / 40) ** (2 / 3)) * INCH

    width = PITCH / 2 + tan(radians(30)) * (effective - HOLE)
    assert areas[0] == pytest.approx(pi * 5 * MM / PITCH * HOLE * width, rel=1e-5)
    width = PITCH / 2 + SLOPE * (crest - LARGEST_EFFECTIVE)
    assert areas[1] == pytest.approx(pi * 5 * MM / PITCH * crest * width, rel=1e-5)


def length_for(load: float, male: Material, female: Material, hole: float = HOLE) -> float:
    return needed_length(
        ME, ME, load=load, drilled=hole, male_material=male, female_material=female
    )


def test_needed_length_is_load_over_the_weaker_thread() -> None:
    load = 30_000.0
    male_led = length_for(load, METAL, weaken(3), hole=6.0 * MM)
    female_led = length_for(load, weaken(3), METAL)

    assert male_led == pytest.approx(load / (shorn_male(1.0, 6.0 * MM) * SHEAR), rel=1e-3)
    assert female_led == pytest.approx(load / (shorn_female(1.0) * SHEAR), rel=1e-3)
    assert length_for(2 * load, weaken(3), METAL) == pytest.approx(2 * female_led)
    assert length_for(load, weaken(3), weaken(0.5)) == pytest.approx(2 * female_led)


def test_needed_length_leaves_five_turns_where_the_load_asks_more() -> None:
    for_five = 5 * PITCH * min(shorn_female(1.0), shorn_male(1.0, HOLE)) * SHEAR

    assert length_for(0.99 * for_five, METAL, METAL) == pytest.approx(5 * PITCH)
    assert length_for(1.01 * for_five, METAL, METAL) == pytest.approx(5.05 * PITCH, rel=2e-3)
    with pytest.raises(OutOfRange):
        length_for(-1.0, METAL, METAL)
    with pytest.raises(NoSolution):
        length_for(1.0, METAL, METAL, hole=LEAST_MAJOR + 1e-9)


@pytest.mark.parametrize(
    ("pressure", "torque", "load"),
    [(400e5, 0.0, 8 * 400e5 * pi / 4 * MAJOR**2), (0.0, 20.0, 1.5 * 20 / (0.2 * MAJOR))],
)
def test_length_wanted_of_a_joint_is_for_the_greater_load(
    pressure: float, torque: float, load: float
) -> None:
    result = engage(pressure=pressure, torque=torque)
    weaker = min(shorn_male(1.0, HOLE), shorn_female(1.0))

    assert result.needed_length == pytest.approx(load / (weaker * SHEAR), rel=1e-3)


@pytest.mark.parametrize(
    ("name", "tensile", "kept", "tapping"),
    [
        # least tensile strength of the standard named in the table, MPa; share kept from memory
        ("brass", 340, 0.80, "soft"),  # EN 12164 CW614N
        ("gunmetal", 200, 0.90, "soft"),  # EN 1982 CC491K, sand cast
        ("bronze", 250, 0.90, "soft"),  # EN 1982 CC481K, sand cast
        ("copper", 200, 0.75, "soft"),  # EN 12163 CW024A, annealed
        ("mild steel", 360, 0.95, "steel"),  # EN 10025-2 S235
        ("stainless steel", 500, 0.75, "tough"),  # EN 10088-3 1.4301
        ("cast iron", 200, 1.00, "steel"),  # EN 1561 EN-GJL-200
        ("aluminium", 215, 0.50, "soft"),  # EN 755-2 EN AW-6060 T66
    ],
)
def test_strength_of_a_metal_in_steam(name: str, tensile: float, kept: float, tapping: str) -> None:
    metal = find_material(name)

    assert metal.tensile_strength == pytest.approx(tensile * 1e6)
    assert metal.steam_strength == pytest.approx(tensile * kept * 1e6)
    assert metal.shear_strength == pytest.approx(tensile * kept * 1e6 / sqrt(3), rel=1e-3)
    assert metal.tapping == tapping
