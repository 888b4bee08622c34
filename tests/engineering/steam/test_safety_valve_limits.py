"""A safety valve's capacity by three rules, and where each judgement on it turns."""

from dataclasses import replace
from math import pi, sqrt

import pytest

from service.engineering.saturation import saturation
from service.engineering.steam.safety_valve import (
    ReliefCheck,
    SafetyValve,
    check_relief_area,
    check_safety_valve,
    find_greatest_evaporation,
)
from service.engineering.steam.safety_valve.safety_valve import find_capacity

AIR = 101_325.0
FOUR_BAR = 501_325.0
RELIEVING = AIR + 4.4e5
PSI = 6894.757293168361
SQUARE_INCH = 0.0254**2
POUND = 0.45359237
VALVE = SafetyValve(4e-3, 2e-4)


def check(valve: SafetyValve = VALVE, *, evaporation: float = 1e-4) -> ReliefCheck:
    return check_safety_valve(
        valve, set_pressure=FOUR_BAR, accumulation=0.10, evaporation=evaporation
    )


def judged(found: ReliefCheck) -> set[tuple[str, str]]:
    return {(finding.code, finding.level) for finding in found.findings}


def test_napier_and_its_sister_by_their_own_units() -> None:
    """One square inch at 100 psi absolute: 100/70 lb a second, and 5150 lb an hour."""
    found = find_capacity(SQUARE_INCH, 100 * PSI, coefficient=1.0)

    assert found.napier == pytest.approx(100 / 70 * POUND, rel=1e-9)
    assert found.asme_51_5 == pytest.approx(51.5 * 100 * POUND / 3600, rel=1e-9)


def test_the_iso_rule_is_the_choked_nozzle_of_dry_steam() -> None:
    """Its 0.2883 and 3.948 are only units: A root(k p/v) (2/(k + 1))^((k + 1)/(2 (k - 1)))."""
    k, pressure = 1.135, 5e5
    volume = saturation(pressure).vapour_volume
    expected = 1e-4 * sqrt(k * pressure / volume) * (2 / (k + 1)) ** ((k + 1) / (2 * (k - 1)))

    found = find_capacity(1e-4, pressure, coefficient=1.0)

    assert found.iso_4126 == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("gauge", "apart"), [(1e5, 0.04), (4e5, 0.01), (7e5, 0.01), (8e5, 0.01), (15e5, 0.04)]
)
def test_the_three_rules_agree_and_are_nearest_at_usual_pressures(
    gauge: float, apart: float
) -> None:
    found = find_capacity(1e-6, AIR + gauge, coefficient=0.6)

    rules = (found.iso_4126, found.napier, found.asme_51_5)
    assert found.least == min(rules)
    assert max(rules) < (1 + apart) * min(rules)


def test_capacity_goes_with_area_and_coefficient() -> None:
    plain, wide, rough = (
        find_capacity(area, RELIEVING, coefficient=part)
        for area, part in ((1e-6, 0.6), (3e-6, 0.6), (1e-6, 0.3))
    )

    for rule in ("iso_4126", "napier", "asme_51_5"):
        assert getattr(wide, rule) == pytest.approx(3 * getattr(plain, rule))
        assert getattr(rough, rule) == pytest.approx(getattr(plain, rule) / 2)


@pytest.mark.parametrize(
    ("share", "adequate", "finding"),
    [
        (1 - 1e-9, True, ("enough-on-paper", "ok")),
        (1.0, True, ("enough-on-paper", "ok")),
        (1 + 1e-9, False, ("too-small", "fail")),
    ],
)
def test_the_lowest_rule_at_the_relieving_pressure_decides(
    share: float, adequate: bool, finding: tuple[str, str]
) -> None:
    least = find_capacity(pi * 4e-3 * 2e-4, RELIEVING, coefficient=0.6).least

    by_seat = check(evaporation=share * least)
    by_area = check_relief_area(
        pi * 4e-3 * 2e-4,
        discharge_coefficient=0.6,
        set_pressure=FOUR_BAR,
        accumulation=0.10,
        evaporation=share * least,
    )

    for found in (by_seat, by_area):
        assert found.relieving_pressure == pytest.approx(RELIEVING)
        assert found.adequate is adequate
        assert finding in judged(found)
        assert {"enough-on-paper", "too-small"} & {one.code for one in found.findings} == {
            finding[0]
        }
        assert found.required_area == pytest.approx(share * pi * 4e-3 * 2e-4)


def test_nobody_measured_a_coefficient_so_six_tenths_is_taken() -> None:
    assert check().capacity == check(replace(VALVE, discharge_coefficient=0.6)).capacity


def test_the_lift_wanted_is_in_proportion_to_the_steam() -> None:
    """A flat seat of 4 mm and a cone of 60 degrees, which opens half as much for each lift."""
    cone = replace(VALVE, seat_angle=pi / 3)
    for valve, sine in ((VALVE, 1.0), (cone, 0.5)):
        least = find_capacity(pi * 4e-3 * 2e-4 * sine, RELIEVING, coefficient=0.6).least
        found = check(valve, evaporation=2 * least)
        assert found.effective_area == pytest.approx(pi * 4e-3 * 2e-4 * sine)
        assert found.required_lift == pytest.approx(4e-4)
        assert not found.adequate


@pytest.mark.parametrize(("share", "small"), [(1 - 1e-6, False), (1 + 1e-6, True)])
def test_a_seat_is_too_small_once_its_whole_bore_is_not_enough(share: float, small: bool) -> None:
    whole = find_capacity(pi / 4 * 4e-3**2, RELIEVING, coefficient=0.6).least

    found = check(evaporation=share * whole)

    assert (("seat-small", "fail") in judged(found)) is small
    assert (found.required_lift is None) is small
    if not small:
        assert found.required_lift == pytest.approx(1e-3, rel=1e-5)  # a quarter of the seat


@pytest.mark.parametrize(
    ("share", "tight"), [(0.99, True), (1.0, True), (1.001, False), (3.0, False)]
)
def test_ways_out_no_wider_than_the_seat_passes_are_tight(share: float, tight: bool) -> None:
    found = check(replace(VALVE, exit_area=share * pi * 4e-3 * 2e-4))

    assert (("exits-tight", "caution") in judged(found)) is tight
    assert found.effective_area == pytest.approx(min(share, 1.0) * pi * 4e-3 * 2e-4)


@pytest.mark.parametrize(("share", "doubtful"), [(0.999, False), (1.001, True)])
def test_a_lift_above_a_twelfth_of_the_seat_is_doubtful(share: float, doubtful: bool) -> None:
    found = check(SafetyValve(4e-3, share * 4e-3 / 12))

    assert (("lift-doubtful", "caution") in judged(found)) is doubtful


def test_the_greatest_evaporation_is_heat_over_latent_heat() -> None:
    """2 kW at 5 bar absolute: 2748.1 - 640.2 = 2107.9 kJ/kg by the steam tables."""
    found = find_greatest_evaporation(2000.0, relieving_pressure=5e5)

    assert found == pytest.approx(2000 / 2107.9e3, rel=1e-4)
