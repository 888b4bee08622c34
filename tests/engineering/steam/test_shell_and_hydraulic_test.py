"""Hoop stress of a plain copper cylinder, and the test pressures that regimes ask."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange, Unsuitable
from service.engineering.steam.shell import (
    CopperCylinder,
    check_shell,
    find_hydraulic_test,
    list_regimes,
)
from service.engineering.steam.shell.shell import find_copper_stress, find_hoop_pressure

PSI = 6894.757293168361
SHELL = CopperCylinder(0.0762, 0.0016, "brazed_strap")
FOUR_BAR = 501_325.0


@pytest.mark.parametrize(("stress", "bar"), [(4700, 11.07), (4000, 9.42), (3000, 7.07)])
def test_three_inch_shell_by_hand(stress: float, bar: float) -> None:
    """2 S t E/(D - 0.8 t) for 76.2 x 1.6 mm, E 0.8, rounded to 0.01 bar."""
    found = find_hoop_pressure(SHELL, stress=stress * PSI)

    assert found / 1e5 == pytest.approx(bar, abs=0.005)


def test_strength_form_by_hand() -> None:
    """25 000 psi over 8 at the outside radius: 7.2 bar."""
    found = check_shell(SHELL, pressure=FOUR_BAR)

    assert (found.pressure_by_strength - 101_325) / 1e5 == pytest.approx(7.24, abs=0.01)


def test_copper_is_judged_annealed_and_hot() -> None:
    """Saturated 7 bar gauge is 339 degF: between 4700 at 300 and 4000 at 350 degF."""
    cold, hot = find_copper_stress(293.15), find_copper_stress(170.48 + 273.15)

    assert cold == pytest.approx(6000 * PSI)
    assert hot / PSI == pytest.approx(4155, abs=5)


def test_copper_above_its_table_is_refused() -> None:
    with pytest.raises(OutOfRange, match="lost its strength"):
        check_shell(SHELL, pressure=1.8e6)


def test_ends_are_never_judged_and_every_answer_says_so() -> None:
    found = check_shell(SHELL, pressure=FOUR_BAR)

    assert "ends-not-judged" in {finding.code for finding in found.findings}
    assert any("Nothing calculated here raises it" in caution for caution in found.cautions)


def test_thin_shell_fails_at_a_pressure_it_should_not_carry() -> None:
    thin = CopperCylinder(0.0762, 0.0006, "brazed_strap")

    found = check_shell(thin, pressure=FOUR_BAR)

    assert found.findings[0].level == "fail"
    assert found.findings[0].code == "hoop-stress-high"


@given(st.floats(0.01, 0.3), st.floats(0.01, 0.09), st.floats(1.5e5, 1.5e6))
def test_stress_and_pressure_agree(diameter: float, part: float, pressure: float) -> None:
    cylinder = CopperCylinder(diameter, part * diameter, "seamless")
    found = check_shell(cylinder, pressure=pressure)

    assert find_hoop_pressure(cylinder, stress=found.hoop_stress) == pytest.approx(
        pressure - 101_325
    )
    assert (found.hoop_stress > found.allowable_stress) == (pressure > found.pressure_by_stress)


@pytest.mark.parametrize(
    ("joint", "words"),
    [("butt", "without a strap"), ("soft_solder", "Soft solder"), ("glued", "not one of")],
)
def test_unfit_joints_are_refused(joint: str, words: str) -> None:
    with pytest.raises(Unsuitable, match=words) as refusal:
        CopperCylinder(0.0762, 0.0016, joint)

    assert refusal.value.field == "joint"


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: CopperCylinder(0.0, 0.001, "seamless"), "outside_diameter"),
        (lambda: CopperCylinder(0.05, 0.0, "seamless"), "thickness"),
        (lambda: CopperCylinder(0.05, 0.006, "seamless"), "thickness"),
        (lambda: check_shell(SHELL, pressure=1e5), "pressure"),
        (lambda: find_hydraulic_test("uk_small", working_pressure=1e5), "working_pressure"),
        (lambda: find_hydraulic_test("ped", working_pressure=FOUR_BAR), "stress_ratio"),
        (
            lambda: find_hydraulic_test("uk_small", working_pressure=FOUR_BAR, stress_ratio=1.2),
            "stress_ratio",
        ),
    ],
)
def test_nonsense_is_refused_by_field(call, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()

    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("regime", "ratio", "first", "repeat"),
    [
        ("uk_small", None, 8.0, 6.0),
        ("uk_large", None, 8.0, None),
        ("australia", None, 8.0, None),
        ("ped", 1.0, 5.72, None),
        ("ped", 1.3, 6.5, None),
        ("asme_viii", 6700 / 3142, 4 * 1.3 * 6700 / 3142, None),
        ("asme_i_electric", None, 6.0, None),
    ],
)
def test_regimes_ask_their_factors_on_the_gauge_pressure(
    regime: str, ratio: float | None, first: float, repeat: float | None
) -> None:
    found = find_hydraulic_test(regime, working_pressure=FOUR_BAR, stress_ratio=ratio)

    assert (found.first_pressure - 101_325) / 1e5 == pytest.approx(first)
    if repeat is None:
        assert found.repeat_pressure is None
    else:
        assert found.repeat_pressure is not None
        assert (found.repeat_pressure - 101_325) / 1e5 == pytest.approx(repeat)


def test_hot_stress_case_of_the_worked_example() -> None:
    """UG-99 worked case: 100 psi at 3142 psi allowable hot and 6700 cold is tested at 277 psi."""
    found = find_hydraulic_test(
        "asme_viii", working_pressure=101_325 + 100 * PSI, stress_ratio=6700 / 3142
    )

    assert (found.first_pressure - 101_325) / PSI == pytest.approx(277, abs=0.5)


def test_unverified_figures_are_not_offered() -> None:
    assert "asme_i_miniature" not in {regime.key for regime in list_regimes()}
    with pytest.raises(Unsuitable) as refusal:
        find_hydraulic_test("asme_i_miniature", working_pressure=FOUR_BAR)
    assert refusal.value.field == "regime"


def test_every_offered_regime_has_source_and_edition() -> None:
    for regime in list_regimes():
        assert regime.source
        assert regime.edition
        assert regime.first >= 1.3
