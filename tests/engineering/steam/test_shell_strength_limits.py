"""A copper shell's hoop stress turns at the lower of two figures; test pressures by their rules."""

from math import isclose

import pytest

from service.engineering.saturation import saturation_pressure
from service.engineering.steam.shell import (
    CopperCylinder,
    ShellCheck,
    check_shell,
    find_hydraulic_test,
)
from service.engineering.steam.shell.shell import find_copper_stress

AIR = 101_325.0
PSI = 6894.757293168361
SHELL = CopperCylinder(0.0762, 0.0016, "brazed_strap")


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


def hoop(found: ShellCheck) -> tuple[str, str]:
    (finding,) = [one for one in found.findings if one.code.startswith("hoop-stress")]
    return finding.code, finding.level


def test_strength_form_by_hand() -> None:
    """25 000 psi, 1.6 mm, joint 0.8, over 38.1 mm radius and 8: 723 859 Pa."""
    found = check_shell(SHELL, pressure=5e5)

    assert found.joint_factor == 0.8
    assert found.pressure_by_strength - AIR == pytest.approx(
        25_000 * PSI * 1.6 * 0.8 / 38.1 / 8, rel=1e-12
    )


@pytest.mark.parametrize(
    ("gauge", "judged"),
    [(723_800.0, ("hoop-stress-low", "ok")), (723_900.0, ("hoop-stress-high", "fail"))],
)
def test_cold_strength_over_eight_speaks_against_a_pressure(
    gauge: float, judged: tuple[str, str]
) -> None:
    found = check_shell(SHELL, pressure=AIR + gauge)

    assert found.pressure_by_stress > found.pressure_by_strength  # so it is strength that decides
    assert hoop(found) == judged


@pytest.mark.parametrize(
    ("share", "judged"), [(1.001, ("hoop-stress-low", "ok")), (0.999, ("hoop-stress-high", "fail"))]
)
def test_hot_copper_speaks_against_a_pressure(share: float, judged: tuple[str, str]) -> None:
    """At 399 degF 3020 psi are allowed: the wall of P = 2 S t/(D - 0.8 t), and a hair either way.

    So hot, the stress decides and not the cold strength.
    """
    pressure = saturation_pressure(kelvin(399))
    carried = share * (pressure - AIR) / (2 * 3020 * PSI)
    wall = 0.05 * carried / (1 + 0.8 * carried)

    found = check_shell(CopperCylinder(0.05, wall, "seamless"), pressure=pressure)

    assert found.allowable_stress == pytest.approx(3020 * PSI, rel=1e-5)
    assert found.pressure_by_stress < found.pressure_by_strength
    assert found.hoop_stress == pytest.approx(3020 * PSI / share, rel=1e-5)
    assert hoop(found) == judged
    assert isclose(found.pressure_by_stress - AIR, share * (pressure - AIR), rel_tol=1e-5)


@pytest.mark.parametrize(
    ("fahrenheit", "stress"),
    [(60, 6000), (99.9, 6000), (125, 5550), (150, 5100), (175, 5000), (200, 4900), (225, 4850),
     (250, 4800), (275, 4750), (300, 4700), (325, 4350), (350, 4000), (375, 3500), (399.9, 3002)],
)  # fmt: skip
def test_annealed_copper_by_its_table_and_the_lines_between(
    fahrenheit: float, stress: float
) -> None:
    assert find_copper_stress(kelvin(fahrenheit)) == pytest.approx(stress * PSI, rel=1e-6)


def test_stress_by_hand_and_by_its_scaling() -> None:
    """4 bar in 76.2 x 1.6 mm with a strap: 4 (76.2 - 1.28)/(2 * 1.6 * 0.8) = 117.06 bar."""
    strapped = check_shell(SHELL, pressure=AIR + 4e5).hoop_stress
    whole = check_shell(CopperCylinder(0.0762, 0.0016, "seamless"), pressure=AIR + 4e5)

    assert strapped == pytest.approx(117.0625e5, rel=1e-9)
    assert whole.joint_factor == 1.0
    assert whole.hoop_stress == pytest.approx(0.8 * strapped)
    assert whole.pressure_by_strength - AIR == pytest.approx(723_859 / 0.8, rel=1e-5)


@pytest.mark.parametrize(
    ("ratio", "factor"), [(1.0, 1.43), (1.143, 1.43), (1.145, 1.43125), (2.0, 2.5)]
)
def test_the_directive_asks_the_greater_of_its_two_factors(ratio: float, factor: float) -> None:
    """1.43 p, or 1.25 p times the ratio of stresses: they meet at 1.144."""
    found = find_hydraulic_test("ped", working_pressure=AIR + 5e5, stress_ratio=ratio)

    assert found.first_pressure - AIR == pytest.approx(factor * 5e5)


def test_a_test_pressure_is_never_called_passed() -> None:
    found = find_hydraulic_test("uk_small", working_pressure=AIR + 5e5)

    assert [(one.code, one.level) for one in found.findings] == [("test-pressure", "caution")]


def test_the_arithmetic_of_a_test_ends_in_its_pressure_as_a_gauge_shows_it() -> None:
    found = find_hydraulic_test("ped", working_pressure=AIR + 5e5, stress_ratio=1.0)

    assert found.workings[-1].value == pytest.approx(1.43 * 5e5)
