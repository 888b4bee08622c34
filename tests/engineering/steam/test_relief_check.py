"""Safety valves on paper: three rules, area from lift, and the sentence that ends every answer."""

from math import pi, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange
from service.engineering.steam.safety_valve import (
    SafetyValve,
    check_relief_area,
    check_safety_valve,
    find_greatest_evaporation,
    find_relieving_pressure,
)
from service.quantities.wording import word

FOUR_BAR = 501_325.0
ORDER = {"set_pressure": FOUR_BAR, "accumulation": 0.10, "evaporation": 57 / 60e3}


def codes(check) -> set[str]:
    return {finding.code for finding in check.findings}


def test_accumulation_grows_the_gauge_reading_not_the_air() -> None:
    assert find_relieving_pressure(FOUR_BAR, 0.10) == pytest.approx(101_325 + 4.4e5)


@pytest.mark.parametrize(
    ("gauge", "steam", "area", "lift"),
    [(2e5, 3.34, 2.03e-6, 0.26e-3), (4e5, 3.43, 1.24e-6, 0.16e-3), (7e5, 3.54, 0.80e-6, 0.10e-3)],
)
def test_two_kilowatts_need_less_area_the_higher_the_set_pressure(
    gauge: float, steam: float, area: float, lift: float
) -> None:
    """2 kW over the latent heat; 51.5 A P by hand; curtain of a flat 4 mm seat at Kd 0.6."""
    pressure = 101_325 + gauge
    evaporation = find_greatest_evaporation(
        2000, relieving_pressure=find_relieving_pressure(pressure, 0.10)
    )
    order = {"set_pressure": pressure, "accumulation": 0.10, "evaporation": evaporation}

    by_area = check_relief_area(1e-6, discharge_coefficient=0.975, **order)
    by_seat = check_safety_valve(SafetyValve(0.004, 0.0002), **order)

    assert evaporation * 3600 == pytest.approx(steam, abs=0.005)
    assert by_area.required_area == pytest.approx(area, abs=0.006e-6)
    assert by_seat.required_lift == pytest.approx(lift, abs=0.005e-3)


def test_conical_seat_opens_by_the_sine_of_its_half_angle() -> None:
    flat, cone = SafetyValve(0.004, 0.0002), SafetyValve(0.004, 0.0002, radians(90))

    assert flat.effective_area == pytest.approx(pi * 0.004 * 0.0002)
    assert cone.effective_area == pytest.approx(flat.effective_area * 0.7071, rel=1e-4)


def test_effective_area_is_the_least_of_bore_curtain_and_exits() -> None:
    assert SafetyValve(0.004, 0.002).effective_area == pytest.approx(pi / 4 * 0.004**2)
    assert SafetyValve(0.004, 0.002, exit_area=1e-6).effective_area == 1e-6


@given(st.floats(0.001, 0.02), st.floats(0.01, 0.25), st.floats(0.5236, pi), st.floats(2e5, 1.5e6))
def test_required_lift_would_be_adequate(
    seat: float, part: float, angle: float, pressure: float
) -> None:
    order = {**ORDER, "set_pressure": pressure}
    check = check_safety_valve(SafetyValve(seat, part * seat, angle), **order)

    if check.required_lift is None:
        assert check.required_area > pi / 4 * seat**2
        assert "seat-small" in codes(check)
    elif check.required_lift * 1.0001 < seat / 2:
        again = check_safety_valve(SafetyValve(seat, check.required_lift * 1.0001, angle), **order)
        assert again.adequate
    assert check.adequate == (check.capacity.least >= check.evaporation)


def test_small_valve_fails_and_large_one_is_only_enough_on_paper() -> None:
    small = check_safety_valve(SafetyValve(0.004, 0.00015), **ORDER)
    large = check_safety_valve(SafetyValve(0.004, 0.0002), **ORDER)

    assert not small.adequate
    assert small.findings[0].code == "too-small"
    assert large.adequate
    paper = next(finding for finding in large.findings if finding.code == "enough-on-paper")
    assert word(paper.text).endswith("Only the accumulation test proves it.")


def test_every_answer_says_that_only_the_test_proves_it() -> None:
    check = check_relief_area(1e-6, discharge_coefficient=0.6, **ORDER)

    assert any("Only the accumulation test proves" in caution for caution in check.cautions)


def test_accumulation_without_its_rule_is_questioned_and_both_habits_are_shown() -> None:
    unnamed = check_safety_valve(SafetyValve(0.004, 0.0002), **ORDER)
    named = check_safety_valve(SafetyValve(0.004, 0.0002), **ORDER, rule="club test code, 2018")

    text = next(
        word(finding.text) for finding in unnamed.findings if finding.code == "rule-unnamed"
    )
    assert "10 %" in text
    assert "6 %" in text
    assert "rule-named" in codes(named)


def test_doubtful_lift_and_tight_exits_are_told() -> None:
    check = check_safety_valve(SafetyValve(0.004, 0.001, exit_area=1e-6), **ORDER)

    assert {"lift-doubtful", "exits-tight"} <= codes(check)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: SafetyValve(0.0, 0.0002), "seat"),
        (lambda: SafetyValve(0.004, 0.0), "lift"),
        (lambda: SafetyValve(0.004, 0.003), "lift"),
        (lambda: SafetyValve(0.004, 0.0002, 0.1), "seat_angle"),
        (lambda: SafetyValve(0.004, 0.0002, pi, 1.2), "discharge_coefficient"),
        (lambda: SafetyValve(0.004, 0.0002, exit_area=0.0), "exit_area"),
        (lambda: check_relief_area(0.0, discharge_coefficient=0.6, **ORDER), "area"),
        (
            lambda: check_relief_area(1e-6, discharge_coefficient=0.0, **ORDER),
            "discharge_coefficient",
        ),
        (
            lambda: check_relief_area(
                1e-6, discharge_coefficient=0.6, **{**ORDER, "set_pressure": 1.5e5}
            ),
            "set_pressure",
        ),
        (
            lambda: check_relief_area(
                1e-6, discharge_coefficient=0.6, **{**ORDER, "accumulation": 0.5}
            ),
            "accumulation",
        ),
        (
            lambda: check_relief_area(
                1e-6, discharge_coefficient=0.6, **{**ORDER, "evaporation": 0.0}
            ),
            "evaporation",
        ),
        (lambda: find_greatest_evaporation(0.0, relieving_pressure=5e5), "heat"),
    ],
)
def test_nonsense_is_refused_by_field(call, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()

    assert refusal.value.field == field
