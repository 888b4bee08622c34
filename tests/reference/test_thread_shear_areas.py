"""Areas of threads against published rows."""

import pytest

from service.engineering.threads.catalogue import limits_of
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.strength.areas import (
    female_shear_area,
    joint_shear_areas,
    male_shear_area,
    stress_area,
)

MM, MM2, INCH = 1e-3, 1e-6, 0.0254


# thread, limits printed beside it (Kn, Es, Ds, En in mm), areas printed in mm2, length 1 D, 6H/6g
HANDBOOK_ROWS = [
    ("M5", (4.334, 4.361, 4.826, 4.605), (35.366, 49.994, 14.183)),
    ("M6", (5.153, 5.212, 5.794, 5.500), (51.875, 73.145, 20.123)),
    ("M8", (6.912, 7.042, 7.760, 7.348), (97.290, 134.63, 36.609)),
    ("M10", (8.676, 8.862, 9.732, 9.206), (155.80, 214.77, 57.990)),
]


@pytest.mark.parametrize(("designation", "limits", "areas"), HANDBOOK_ROWS)
def test_areas_of_the_bolted_joint_handbook(
    designation: str, limits: tuple[float, ...], areas: tuple[float, ...]
) -> None:
    """Table of stress and shear areas in a handbook of bolted joints, by its own limits."""
    thread = find_thread(designation)
    hole, male_effective, male_major, female_effective = (limit * MM for limit in limits)
    length = thread.major_diameter
    male = male_shear_area(thread, length, hole=hole, effective=male_effective)
    female = female_shear_area(thread, length, male_major=male_major, effective=female_effective)

    assert male / MM2 == pytest.approx(areas[0], rel=5e-5)
    assert female / MM2 == pytest.approx(areas[1], rel=5e-5)
    assert stress_area(thread) / MM2 == pytest.approx(areas[2], rel=5e-5)


@pytest.mark.parametrize(("designation", "limits", "areas"), HANDBOOK_ROWS)
def test_areas_by_our_own_limits_are_within_their_rounding(
    designation: str, limits: tuple[float, ...], areas: tuple[float, ...]
) -> None:
    """The handbook rounds limits to a micrometre first, which is up to one part in 1000 here."""
    thread = find_thread(designation)
    male, female = joint_shear_areas(
        thread, thread, length=thread.major_diameter, hole=limits[0] * MM
    )

    assert male / MM2 == pytest.approx(areas[0], rel=1e-3)
    assert female / MM2 == pytest.approx(areas[1], rel=1e-3)


@pytest.mark.parametrize(
    ("designation", "printed"), [("M3", 5.03), ("M4", 8.78), ("M5", 14.2), ("M6", 20.1)]
)
def test_stress_area_of_iso_898_1(designation: str, printed: float) -> None:
    """EN ISO 898-1, nominal stress areas; printed to three figures."""
    assert stress_area(find_thread(designation)) / MM2 == pytest.approx(printed, rel=3e-3)


def test_stress_area_of_a_unified_thread() -> None:
    """ASME B1.1: pi/4 (D - 0.9743/n)^2 is 0.0318 in2 for 1/4-20 (Machinery's Handbook)."""
    assert stress_area(find_thread("1/4-20 UNC")) / INCH**2 == pytest.approx(0.0318, abs=5e-5)


def test_full_strength_length_of_a_quarter_inch_unified_bolt() -> None:
    """ASME B1.1 appendix B worked for 1/4-20 2A/2B: 0.174 in, 0.70 diameters."""
    thread = find_thread("1/4-20 UNC")

    hole = limits_of(thread).female_core[1]
    length = 2 * stress_area(thread) / male_shear_area(thread, 1.0, hole=hole)
    assert length / INCH == pytest.approx(0.174, abs=0.001)


def test_shear_areas_of_a_model_engineer_thread_worked_by_hand() -> None:
    """ASME B1.1 appendix B with tan 27.5: 1/4 x 40, 5 mm long, three drills, worked by hand."""
    thread = find_thread("1/4 x 40 ME")
    by_drill = {5.55625: 64.9, 5.7: 56.0, 5.8: 49.5}

    for drill, worked in by_drill.items():
        assert male_shear_area(thread, 5 * MM, hole=drill * MM) / MM2 == pytest.approx(
            worked, abs=0.15
        )
    assert female_shear_area(thread, 5 * MM, male_major=6.22 * MM) / MM2 == pytest.approx(
        63.8, abs=0.3
    )
