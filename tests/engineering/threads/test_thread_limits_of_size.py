"""Limits of size of the inch and BA systems, each allowance and tolerance reckoned afresh here."""

from dataclasses import dataclass
from math import isclose, radians, sqrt

import pytest

from service.engineering.errors import Unsuitable
from service.engineering.threads.catalogue import Thread, custom_thread, limits_of, load_series
from service.engineering.threads.catalogue.limits import Limits
from service.engineering.threads.catalogue.series import find_thread

INCH = 0.0254
MM = 1e-3
SHARP_SIXTY = 0.8660254
"""Height of the sharp 60 degree V per pitch: cos 30."""


@dataclass(frozen=True)
class Widths:
    """How far each diameter may vary [m], and how far the whole member stands off basic [m]."""

    male_major: float
    male_effective: float
    male_root: float
    female_major: float
    female_effective: float
    female_core: float
    male_allowance: float = 0.0


def expect_limits(thread: Thread, limits: Limits, widths: Widths) -> None:
    """A male lies under basic by its allowance and tolerance, a female over it."""
    basics = {
        "major": thread.major_diameter,
        "effective": thread.effective_diameter,
        "root": thread.root_diameter,
        "core": thread.core_diameter,
    }
    for part in ("major", "effective", "root"):
        largest = basics[part] - widths.male_allowance
        least = largest - getattr(widths, f"male_{part}")
        assert getattr(limits, f"male_{part}") == pytest.approx((least, largest), abs=1e-9), part
    for part in ("major", "effective", "core"):
        ends = (basics[part], basics[part] + getattr(widths, f"female_{part}"))
        assert getattr(limits, f"female_{part}") == pytest.approx(ends, abs=1e-9), part


WHITWORTH = [
    # designation, diameter and pitch in inches, constant of the female's core (BS 84)
    ("1/4 x 40 ME", 1 / 4, 1 / 40, 0.004),
    ("3/8 x 26 brass", 3 / 8, 1 / 26, 0.004),
    ("3/16 BSW", 3 / 16, 1 / 24, 0.005),
    ("5/16 BSF", 5 / 16, 1 / 22, 0.005),
    ("1/4 BSW", 1 / 4, 1 / 20, 0.007),
    ("1 BSW", 1.0, 1 / 8, 0.007),
]


@pytest.mark.parametrize(
    ("male_class", "male_share"), [("close", 2 / 3), ("medium", 1), ("free", 1.5)]
)
@pytest.mark.parametrize(
    ("female_class", "female_share"), [("close", 2 / 3), ("medium", 1), ("normal", 1.5)]
)
@pytest.mark.parametrize(("designation", "diameter", "pitch", "core"), WHITWORTH)
def test_whitworth_form_by_bs_84(
    designation: str,
    diameter: float,
    pitch: float,
    core: float,
    male_class: str,
    male_share: float,
    female_class: str,
    female_share: float,
) -> None:
    """T = 0.002 D^(1/3) + 0.003 D^(1/2) + 0.005 P^(1/2); close 2T/3, free and normal 3T/2; the
    male's major has 0.01 P^(1/2) more, its root 0.02 P^(1/2) more, or 0.013 where close; inches."""
    medium = 0.002 * diameter ** (1 / 3) + 0.003 * sqrt(diameter) + 0.005 * sqrt(pitch)
    male, female = male_share * medium, female_share * medium
    root = 0.013 if male_class == "close" else 0.020
    thread = find_thread(designation)

    limits = limits_of(thread, male_class=male_class, female_class=female_class)

    expect_limits(
        thread,
        limits,
        Widths(
            male_major=(male + 0.01 * sqrt(pitch)) * INCH,
            male_effective=male * INCH,
            male_root=(male + root * sqrt(pitch)) * INCH,
            female_major=female * INCH,
            female_effective=female * INCH,
            female_core=(0.2 * pitch + core) * INCH,
        ),
    )


def test_one_inch_whitworth_worked_by_hand() -> None:
    """D = 1: 0.002 + 0.003 + 0.005 x 0.353553 = 0.006768 in."""
    least, largest = limits_of(find_thread("1 BSW")).male_effective

    assert (largest - least) / INCH == pytest.approx(0.006768, abs=1e-6)


@pytest.mark.parametrize(
    ("threads_per_inch", "constant"), [(25.1, 0.004), (24.9, 0.005), (21.1, 0.005), (20.9, 0.007)]
)
def test_pitch_between_two_rows_of_bs_84_takes_the_nearer(
    threads_per_inch: float, constant: float
) -> None:
    """BS 84 prints 26, 24, 22 and 20 threads per inch; an odd pitch goes to the nearer of them."""
    thread = custom_thread(
        "odd", diameter=INCH / 2, pitch=INCH / threads_per_inch, included_angle=radians(55)
    )
    least, most = limits_of(thread).female_core

    assert (most - least) / INCH == pytest.approx(0.2 / threads_per_inch + constant, abs=1e-8)


@pytest.mark.parametrize(
    ("designation", "pitch", "normal_major"),
    [("0 BA", 1.0, 0.20), ("4 BA", 0.66, 0.20), ("10 BA", 0.35, 0.20), ("11 BA", 0.31, 0.25)],
)
@pytest.mark.parametrize("male_class", ["normal", "close"])
def test_british_association_by_bs_93(
    designation: str, pitch: float, normal_major: float, male_class: str
) -> None:
    """Male close 0.15 P, 0.08 P + 0.02; normal 0.20 P to 10 BA, 0.25 P from 11 BA, 0.10 P + 0.025;
    root twice the effective. Female 0.12 P + 0.03, core 0.375 P; mm."""
    is_close = male_class == "close"
    effective = 0.08 * pitch + 0.02 if is_close else 0.10 * pitch + 0.025
    thread = find_thread(designation)

    expect_limits(
        thread,
        limits_of(thread, male_class=male_class),
        Widths(
            male_major=(0.15 if is_close else normal_major) * pitch * MM,
            male_effective=effective * MM,
            male_root=2 * effective * MM,
            female_major=(0.12 * pitch + 0.03) * MM,
            female_effective=(0.12 * pitch + 0.03) * MM,
            female_core=0.375 * pitch * MM,
        ),
    )


UNIFIED = [
    # designation, diameter, pitch and length of engagement in inches
    ("1/4-20 UNC", 1 / 4, 1 / 20, 1 / 4),
    ("1-8 UNC", 1.0, 1 / 8, 1.0),
    ("5/16-24 UNF", 5 / 16, 1 / 24, 5 / 16),
    ("3/8-32 UNEF", 3 / 8, 1 / 32, 9 / 32),
    ("1/4-40 UNS", 1 / 4, 1 / 40, 9 / 40),
]


@pytest.mark.parametrize(
    ("male_class", "male_share", "major", "allowance"),
    [("1A", 1.5, 0.090, 0.3), ("2A", 1.0, 0.060, 0.3), ("3A", 0.75, 0.060, 0.0)],
)
@pytest.mark.parametrize(
    ("female_class", "female_share"), [("1B", 1.95), ("2B", 1.3), ("3B", 0.975)]
)
@pytest.mark.parametrize(("designation", "diameter", "pitch", "engaged"), UNIFIED)
def test_unified_by_asme_b1_1(
    designation: str,
    diameter: float,
    pitch: float,
    engaged: float,
    male_class: str,
    male_share: float,
    major: float,
    allowance: float,
    female_class: str,
    female_share: float,
) -> None:
    """Td2(2A) = 0.0015 D^(1/3) + 0.0015 LE^(1/2) + 0.015 P^(2/3), LE = D for UNC and UNF, 9 P for
    the rest; core 0.25 P - 0.4 P^2 from 1/4 in up; roots down to a flat of P/8, grooves to P/24."""
    class_2a = 0.0015 * diameter ** (1 / 3) + 0.0015 * sqrt(engaged) + 0.015 * pitch ** (2 / 3)
    height = SHARP_SIXTY * pitch
    male, female = male_share * class_2a, female_share * class_2a
    thread = find_thread(designation)

    expect_limits(
        thread,
        limits_of(thread, male_class=male_class, female_class=female_class),
        Widths(
            male_major=major * pitch ** (2 / 3) * INCH,
            male_effective=male * INCH,
            male_root=(male + height / 12) * INCH,
            female_major=(female + height / 6) * INCH,
            female_effective=female * INCH,
            female_core=(0.25 * pitch - 0.4 * pitch**2) * INCH,
            male_allowance=allowance * class_2a * INCH,
        ),
    )


@pytest.mark.parametrize("designation", ["1/4-20 UNC", "M6", "M10 x 1"])
def test_sixty_degree_extremes_are_the_flats_of_the_standard(designation: str) -> None:
    """ASME B1.1, ISO 68-1: the male's root no deeper than a flat of P/8 leaves it, the female's
    groove no wider than a flat of P/24; reckoned from the effective line of the sharp V."""
    thread = find_thread(designation)
    height = SHARP_SIXTY * thread.pitch
    limits = limits_of(thread)

    root = limits.male_effective[0] - 2 * (height / 2 - height / 8)
    groove = limits.female_effective[1] + 2 * (height / 2 - height / 24)
    assert limits.male_root[0] == pytest.approx(root, abs=1e-9)
    assert limits.female_major[1] == pytest.approx(groove, abs=1e-9)


def unified_of_size(diameter: str, threads_per_inch: str) -> Thread:
    (thread,) = load_series(
        "designation,family,form,diameter,unit,threads_per_inch,source\n"
        f"odd,UNS,Unified,{diameter},in,{threads_per_inch},ours\n"
    )
    return thread


@pytest.mark.parametrize(
    ("diameter", "threads_per_inch", "tolerance"),
    [
        # 0.05 P^(2/3) + 0.03 P/D - 0.002 under 1/4 in, between 0.25 P - 0.4 P^2 and 0.394 P;
        # worked by hand, inches (ASME B1.1)
        ("0.06", "80", 0.394 / 80),
        ("0.112", "40", 0.0089713),
        ("0.19", "32", 0.0078947),
        ("7/32", "40", 0.25 / 40 - 0.4 / 1600),
        # 0.12 in pitch tells the two formulas apart at 1/4 in itself
        ("0.2499", "25/3", 0.0245702),
        ("0.25", "25/3", 0.0242400),
    ],
)
def test_core_of_the_small_unified_sizes(
    diameter: str, threads_per_inch: str, tolerance: float
) -> None:
    least, most = limits_of(unified_of_size(diameter, threads_per_inch)).female_core

    assert (most - least) / INCH == pytest.approx(tolerance, abs=2e-7)


CLASSES = [
    # the usual class first
    ("1/4 x 40 ME", ("medium", "close", "free"), ("medium", "close", "normal")),
    ("2 BA", ("normal", "close"), ("normal",)),
    ("1/4-20 UNC", ("2A", "1A", "3A"), ("2B", "1B", "3B")),
    ("M6", ("6g",), ("6H",)),
    ("1/4 BSP", ("A", "B"), ("G",)),
    ("1/4 BSPT", ("gauge",), ("gauge",)),
    ("1/4-18 NPT", ("gauge",), ("gauge",)),
]
EVERY_CLASS = sorted({name for _, males, females in CLASSES for name in (*males, *females)})


@pytest.mark.parametrize(("designation", "males", "females"), CLASSES)
def test_usual_class_is_taken_and_no_other_familys(
    designation: str, males: tuple[str, ...], females: tuple[str, ...]
) -> None:
    thread = find_thread(designation)

    usual = limits_of(thread)
    assert (usual.male_class, usual.female_class) == (males[0], females[0])
    assert limits_of(thread, male_class=males[0], female_class=females[0]) == usual
    for field, allowed in (("male_class", males), ("female_class", females)):
        for name in EVERY_CLASS:
            if name in allowed:
                assert getattr(limits_of(thread, **{field: name}), field) == name
                continue
            with pytest.raises(Unsuitable) as refusal:
                limits_of(thread, **{field: name})
            assert refusal.value.field == field


@pytest.mark.parametrize(
    ("wide", "narrow"),
    [("1/2 BSW", "1/2 x 40 ME"), ("1/2-13 UNC", "1/2-28 UNEF"), ("M10", "M10 x 1")],
)
def test_finer_pitch_of_one_diameter_has_the_smaller_limits(wide: str, narrow: str) -> None:
    coarse, fine = (limits_of(find_thread(name)) for name in (wide, narrow))

    for part in ("male_major", "male_effective", "female_effective", "female_core"):
        widths = [getattr(limits, part)[1] - getattr(limits, part)[0] for limits in (coarse, fine)]
        assert widths[0] > widths[1]
        assert not isclose(*widths, rel_tol=0.05)
