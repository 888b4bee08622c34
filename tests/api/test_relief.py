"""A safety valve against the steam it must pass, asked over HTTP."""

from math import pi, sin
from typing import Any

import pytest
from iapws import IAPWS97

from tests.api.conftest import EXAMPLES
from tests.conftest import Caller

PATH = "/calculations/safety-valve"
EXAMPLE = EXAMPLES["safety-valve"]
POUND, INCH, PSI, ATMOSPHERE = 0.45359237, 0.0254, 6894.757293168, 101_325.0


def ask(calculator: Caller, **changes: Any) -> Any:
    """The example with some members changed; None takes one out."""
    body = {name: value for name, value in (EXAMPLE | changes).items() if value is not None}
    return calculator.post(PATH, body)


BY_AREA = {"seat": None, "lift": None, "seat_angle": None, "area": "1.24 mm2"}


def test_capacity_meets_the_formulas_of_the_rules(calculator: Caller) -> None:
    # Napier: W = A P/70 lb/s; 51.5 A P lb/h; in square inches and psi absolute at 4.4 bar gauge.
    answer = ask(calculator).json
    area = pi * 4e-3 * sin(pi / 4) * 0.16e-3
    imperial = area / INCH**2 * (4.4e5 + ATMOSPHERE) / PSI * 0.6 * POUND
    assert answer["effective_area"]["value"] == pytest.approx(area * 1e6, rel=1e-9)
    assert answer["relieving_pressure"]["value"] == pytest.approx(4.4)
    assert answer["capacity"]["napier"]["value"] == pytest.approx(imperial / 70 * 60e3, rel=1e-6)
    assert answer["capacity"]["asme_51_5"]["value"] == pytest.approx(
        51.5 * imperial / 3600 * 60e3, rel=1e-6
    )
    # ISO 4126-1 lies within 1 % of both for dry steam of this pressure.
    assert answer["capacity"]["iso_4126"]["value"] == pytest.approx(imperial / 70 * 60e3, rel=0.01)


def test_valve_too_small_on_paper_is_refused_with_the_lift_it_wants(calculator: Caller) -> None:
    answer = ask(calculator).json
    assert answer["adequate"] is False
    assert answer["findings"][0]["level"] == "fail"
    wanted = 0.16 * 57 / min(rule["value"] for rule in answer["capacity"].values())
    assert answer["required_lift"]["value"] == pytest.approx(wanted, rel=1e-6)
    lifted = ask(calculator, lift="0.25 mm").json
    assert lifted["adequate"] is True


def test_answer_ends_in_the_accumulation_test(calculator: Caller) -> None:
    for answer in (ask(calculator).json, ask(calculator, **BY_AREA).json):
        assert answer["cautions"][-1].endswith("only the accumulation test proves it.")


def test_area_stands_for_seat_and_lift(calculator: Caller) -> None:
    answer = ask(calculator, **BY_AREA).json
    assert answer["effective_area"]["value"] == pytest.approx(1.24)
    assert answer["required_lift"] is None
    per_area = ask(calculator).json["required_area"]["value"]
    assert answer["required_area"]["value"] == pytest.approx(per_area)


def test_heat_raises_what_the_latent_heat_allows(calculator: Caller) -> None:
    answer = ask(calculator, evaporation=None, heat="2 kW").json
    pressure = (4.4e5 + ATMOSPHERE) / 1e6
    latent = (IAPWS97(P=pressure, x=1).h - IAPWS97(P=pressure, x=0).h) * 1e3
    assert answer["evaporation"]["value"] == pytest.approx(2000 / latent * 60e3, rel=1e-4)


def test_rule_that_asks_for_the_accumulation_is_named(calculator: Caller) -> None:
    codes = {finding["code"] for finding in ask(calculator).json["findings"]}
    assert "rule-unnamed" in codes
    named = ask(calculator, rule="the test code in force").json["findings"]
    assert any("the test code in force" in finding["text"] for finding in named)


def test_tight_exits_limit_the_valve(calculator: Caller) -> None:
    answer = ask(calculator, exit_area="0.5 mm2").json
    assert answer["effective_area"]["value"] == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("changes", "fields"),
    [
        ({"accumulation": None}, ["accumulation"]),
        ({"accumulation": "10 %"}, ["accumulation"]),
        ({"accumulation": 10}, ["accumulation"]),
        ({"accumulation": -0.1}, ["accumulation"]),
        ({"set_pressure": "4"}, ["set_pressure"]),
        ({"set_pressure": 4}, ["set_pressure"]),
        ({"set_pressure": "0.2 bar"}, ["set_pressure"]),
        ({"set_pressure": "500 bar"}, ["set_pressure"]),
        ({"set_pressure": "500 bar", "evaporation": None, "heat": "2 kW"}, ["set_pressure"]),
        ({"seat": "-4 mm"}, ["seat"]),
        ({"seat": None}, ["seat"]),
        ({"lift": None}, ["lift"]),
        ({"lift": "3 mm"}, ["lift"]),
        ({"seat_angle": None}, ["seat_angle"]),
        ({"seat_angle": 90}, ["seat_angle"]),
        ({"seat_angle": "10 deg"}, ["seat_angle"]),
        ({"area": "1.24 mm2"}, ["seat", "lift", "seat_angle"]),
        (BY_AREA | {"exit_area": "8 mm2"}, ["exit_area"]),
        (BY_AREA | {"area": "0 mm2"}, ["area"]),
        ({"discharge_coefficient": None}, ["discharge_coefficient"]),
        ({"discharge_coefficient": 1.2}, ["discharge_coefficient"]),
        ({"evaporation": None}, ["evaporation"]),
        ({"evaporation": "57"}, ["evaporation"]),
        ({"evaporation": "0 g/min"}, ["evaporation"]),
        ({"heat": "2 kW"}, ["evaporation"]),
        ({"evaporation": None, "heat": "0 W"}, ["heat"]),
        ({"spring": "stiff"}, ["spring"]),
    ],
)
def test_fault_names_its_field(
    calculator: Caller, changes: dict[str, Any], fields: list[str]
) -> None:
    answer = ask(calculator, **changes)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    assert list(answer.json["errors"]) == fields
