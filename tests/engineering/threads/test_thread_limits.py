"""Limits of size of every family."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.constants import INCH
from service.engineering.errors import Unsuitable
from service.engineering.threads.catalogue import Thread, catalogue, custom_thread, limits_of
from service.engineering.threads.catalogue.series import find_thread

MM = 1e-3
RANGES = (
    "male_major",
    "male_effective",
    "male_root",
    "female_major",
    "female_effective",
    "female_core",
)


@pytest.mark.parametrize("thread", catalogue(), ids=lambda thread: thread.designation)
def test_any_good_male_goes_into_any_good_female(thread: Thread) -> None:
    limits = limits_of(thread)

    for name in RANGES:
        least, most = getattr(limits, name)
        assert 0 < least < most
    if not thread.is_taper:
        assert limits.male_major[1] <= limits.female_major[0] + 1e-12
        assert limits.male_effective[1] <= limits.female_effective[0] + 1e-12
        assert limits.male_root[1] <= limits.female_core[0] + 1e-12
    assert limits.source


@pytest.mark.parametrize("thread", catalogue(), ids=lambda thread: thread.designation)
def test_loosest_pair_still_overlaps(thread: Thread) -> None:
    limits = limits_of(thread)

    assert limits.male_major[0] > limits.female_core[1]


def test_closer_class_lies_within_the_wider() -> None:
    thread = find_thread("1/4 x 40 ME")
    close = limits_of(thread, male_class="close", female_class="close")
    usual = limits_of(thread)
    free = limits_of(thread, male_class="free", female_class="normal")

    for name in ("male_major", "male_effective", "male_root"):
        assert getattr(close, name)[0] > getattr(usual, name)[0] > getattr(free, name)[0]
    assert close.female_effective[1] < usual.female_effective[1] < free.female_effective[1]
    assert (usual.male_class, usual.female_class) == ("medium", "medium")


def test_unified_class_3_has_no_allowance() -> None:
    thread = find_thread("1/4-28 UNF")

    assert limits_of(thread, male_class="3A").male_effective[1] == thread.effective_diameter
    assert limits_of(thread).male_effective[1] < thread.effective_diameter


def test_pipe_class_b_has_twice_the_tolerance_of_class_a() -> None:
    """ISO 228-1."""
    thread = find_thread("1/4 BSP")
    widths = [
        most - least
        for each in ("A", "B")
        for least, most in (limits_of(thread, male_class=each).male_effective,)
    ]

    assert widths[1] == pytest.approx(2 * widths[0])


def test_gauge_plane_of_a_taper_moves_a_turn_either_way() -> None:
    """ISO 7-1: 0.907 mm for the male of 1/8, 1.13 mm for the female; 1 in 16 on diameter."""
    thread = find_thread("1/8 BSPT")
    limits = limits_of(thread)

    assert limits.male_effective[1] - thread.effective_diameter == pytest.approx(
        0.907 * MM / 16, rel=1e-3
    )
    assert limits.female_effective[1] - thread.effective_diameter == pytest.approx(
        1.134 * MM / 16, rel=1e-3
    )


def test_class_of_another_family_is_refused_by_field() -> None:
    with pytest.raises(Unsuitable, match="6g") as refusal:
        limits_of(find_thread("M6"), male_class="2A")

    assert refusal.value.field == "male_class"


@pytest.mark.parametrize(
    "thread",
    [thread for thread in catalogue() if thread.form.name == "ISO metric"],
    ids=lambda thread: thread.designation,
)
def test_metric_table_follows_the_formula_of_iso_965_1(thread: Thread) -> None:
    """Td2 = 90 P^0.4 d^0.1 and 1.32 of it inside, rounded to the R 40 series and by hand: 6 %."""
    diameter, pitch = thread.major_diameter / MM, thread.pitch / MM
    bounds = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45)
    over = max(bound for bound in bounds if bound < diameter)
    mean = sqrt(over * bounds[bounds.index(over) + 1])
    formula = 90 * pitch**0.4 * mean**0.1 * 1e-6
    limits = limits_of(thread)
    male = limits.male_effective[1] - limits.male_effective[0]
    female = limits.female_effective[1] - limits.female_effective[0]

    assert male == pytest.approx(formula, rel=0.06)
    assert female == pytest.approx(1.32 * formula, rel=0.06)


@pytest.mark.parametrize(
    "pitch_mm", [0.25, 0.35, 0.4, 0.5, 0.6, 0.7, 0.75, 0.8, 1, 1.25, 1.5, 1.75, 2, 2.5, 3]
)
def test_metric_pitch_table_follows_the_formulas_of_iso_965_1(pitch_mm: float) -> None:
    """es = 15 + 11 P, Td = 180 P^(2/3) - 3.15 P^-0.5, TD1 by two branches; um, rounded: 6 %."""
    thread = next(
        thread
        for thread in catalogue()
        if thread.form.name == "ISO metric" and thread.pitch == pytest.approx(pitch_mm * MM)
    )
    limits = limits_of(thread)
    allowance = (thread.major_diameter - limits.male_major[1]) * 1e6
    major = (limits.male_major[1] - limits.male_major[0]) * 1e6
    core = (limits.female_core[1] - limits.female_core[0]) * 1e6
    core_formula = 433 * pitch_mm - 190 * pitch_mm**1.22 if pitch_mm < 1 else 230 * pitch_mm**0.7

    assert allowance == pytest.approx(15 + 11 * pitch_mm, abs=1.5)
    assert major == pytest.approx(180 * pitch_mm ** (2 / 3) - 3.15 / sqrt(pitch_mm), rel=0.06)
    assert core == pytest.approx(core_formula, rel=0.06)


@given(diameter=st.floats(0.002, 0.05), share=st.floats(0.02, 0.2), angle=st.floats(0.5, 1.5))
def test_custom_thread_has_limits_too(diameter: float, share: float, angle: float) -> None:
    pitch = min(max(diameter * share, 0.0001), 0.004)
    thread = custom_thread("own", diameter=diameter, pitch=pitch, included_angle=angle)
    limits = limits_of(thread)

    assert limits.male_effective[0] < limits.male_effective[1] <= limits.female_effective[0]


def test_core_tolerance_of_whitworth_steps_with_the_pitch() -> None:
    """BS 84: 0.2 P + 0.004 at 26 tpi and finer, 0.005 at 24 and 22, 0.007 at 20 and coarser; in."""
    constants = {"1/4 BSF": 0.004, "3/16 BSW": 0.005, "5/16 BSF": 0.005, "1/4 BSW": 0.007}

    for designation, constant in constants.items():
        thread = find_thread(designation)
        least, most = limits_of(thread).female_core
        assert (most - least) / INCH == pytest.approx(0.2 * thread.pitch / INCH + constant)
