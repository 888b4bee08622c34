"""A line of bores, valves and bends, asked over HTTP."""

from math import log, pi, sqrt
from typing import Any

import pytest
from iapws import IAPWS97

from service.engineering.steam.passages import Bore, Loss, Valve, flow_through
from tests.api.conftest import EXAMPLES
from tests.conftest import Caller

ATMOSPHERE = 101_325.0
PATH = "/calculations/passage"
EXAMPLE = EXAMPLES["passage"]
BORE = {"kind": "bore", "diameter": "3 mm", "length": "40 mm"}


def ask(calculator: Caller, **changes: Any) -> Any:
    """The example with some members changed; None takes one out."""
    body = {name: value for name, value in (EXAMPLE | changes).items() if value is not None}
    return calculator.post(PATH, body)


def errors(answer: Any) -> dict[str, list[str]]:
    """The faults of a refused request by field."""
    assert answer.status_code == 422, answer.get_data(as_text=True)
    faults: dict[str, list[str]] = answer.json["errors"]
    return faults


def with_elements(calculator: Caller, *elements: dict[str, Any]) -> Any:
    return ask(calculator, elements=list(elements))


def test_answer_is_that_of_the_engineering_floor(calculator: Caller) -> None:
    found = flow_through(
        [Bore(0.003, 0.040), Loss(0.003, 14.5), Valve(0.004, 0.1764, 0.7)],
        pressure=4e5 + ATMOSPHERE,
        outlet_pressure=3e5 + ATMOSPHERE,
    )
    answer = ask(calculator).json
    assert answer["flow"]["value"] == pytest.approx(found.flow * 60e3, rel=1e-9)
    assert answer["velocity"]["value"] == pytest.approx(found.velocity, rel=1e-9)
    assert answer["choked"] is False
    assert [element["kind"] for element in answer["elements"]] == ["bore", "loss", "valve"]
    pressures = [element["pressure_out"]["value"] for element in answer["elements"]]
    expected = [(element.pressure_out - ATMOSPHERE) / 1e5 for element in found.elements]
    assert pressures == pytest.approx(expected, rel=1e-9)


def test_flow_through_one_loss_meets_the_isothermal_equation(calculator: Caller) -> None:
    # p1² - p2² = (m/A)² p v (K + 2 ln(p1/p2)), textbook of gas dynamics; v_g by iapws.
    answer = with_elements(calculator, {"kind": "loss", "diameter": "3 mm", "k": 10}).json
    first, last = 4e5 + ATMOSPHERE, 3e5 + ATMOSPHERE
    product = first * IAPWS97(P=first / 1e6, x=1).v
    flux = sqrt((first**2 - last**2) / (product * (10 + 2 * log(first / last))))
    assert answer["flow"]["value"] == pytest.approx(flux * pi / 4 * 0.003**2 * 60e3, rel=1e-4)


def test_flow_given_back_finds_the_pressure_again(calculator: Caller) -> None:
    flow = ask(calculator).json["flow"]["value"]
    answer = ask(calculator, outlet_pressure=None, flow=f"{flow:.6f} g/min").json
    assert answer["outlet_pressure"]["value"] == pytest.approx(3.0, abs=1e-4)
    band = answer["outlet_pressure_band"]
    assert band["low"]["value"] < 3.0 < band["high"]["value"]


def test_line_that_opens_to_the_air_is_choked_and_says_so(calculator: Caller) -> None:
    answer = with_elements(calculator, BORE)
    assert answer.json["choked"] is False
    choked = calculator.post(
        PATH, {"pressure": "4 bar", "outlet_pressure": "0 bar", "elements": [BORE]}
    )
    assert choked.json["choked"] is True
    assert choked.json["elements"][0]["mach"] == pytest.approx(1.0, abs=1e-6)
    assert any(finding["code"] == "choked" for finding in choked.json["findings"])


def test_pulsing_demand_costs_more_pressure(calculator: Caller) -> None:
    steady = ask(calculator, outlet_pressure=None, flow="40 g/min").json
    pulsing = ask(calculator, outlet_pressure=None, flow="40 g/min", pulsation=2.0).json
    assert pulsing["outlet_pressure"]["value"] < steady["outlet_pressure"]["value"]


@pytest.mark.parametrize(
    "element",
    [
        BORE,
        {"kind": "pipe", "diameter": "3 mm", "length": "300 mm", "roughness": "0.0015 mm"},
        {"kind": "corner", "diameter": "3 mm"},
        {"kind": "bend", "diameter": "3 mm", "radius": "9 mm", "angle": "45 deg"},
        {"kind": "contraction", "diameter": "3 mm", "upstream_diameter": "5 mm"},
        {"kind": "tee", "diameter": "3 mm", "run_diameter": "5 mm", "share": 0.5},
        {"kind": "loss", "diameter": "3 mm", "k": 2},
        {"kind": "valve", "diameter": "4 mm", "kv": 0.17},
        {"kind": "stop_valve", "diameter": "4 mm", "lift": "1 mm"},
    ],
    ids=lambda element: element["kind"],
)
def test_every_kind_of_element_passes_steam(calculator: Caller, element: dict[str, Any]) -> None:
    answer = with_elements(calculator, element)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    assert answer.json["flow"]["value"] > 0


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"kind": "hose"}, "kind"),
        ({"diameter": "3"}, "diameter"),
        ({"diameter": 3}, "diameter"),
        ({"diameter": "-3 mm"}, "diameter"),
        ({"diameter": "0 mm"}, "diameter"),
        ({"diameter": None}, "diameter"),
        ({"length": None}, "length"),
        ({"length": "200 m"}, "length"),
        ({"kv": 0.2}, "kv"),
        ({"bore": "3 mm"}, "bore"),
        ({"roughness": "1 mm"}, "roughness"),
    ],
)
def test_fault_in_an_element_is_named_where_it_stands(
    calculator: Caller, changes: dict[str, Any], field: str
) -> None:
    answer = with_elements(calculator, BORE, BORE | changes)
    assert list(errors(answer)) == [f"elements.1.{field}"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"flow": "20 g/min"}, "flow"),
        ({"outlet_pressure": None}, "outlet_pressure"),
        ({"outlet_pressure": "4 bar"}, "outlet_pressure"),
        ({"pressure": "4"}, "pressure"),
        ({"pressure": 4}, "pressure"),
        ({"pressure": "500 bar"}, "pressure"),
        ({"pressure": None}, "pressure"),
        ({"elements": []}, "elements"),
        ({"elements": [BORE] * 41}, "elements"),
        ({"elements": "a bore"}, "elements"),
        ({"pulsation": 0.5}, "pulsation"),
        ({"pulsation": "1.2"}, "pulsation"),
        ({"outlet_pressure": None, "flow": "900 g/min"}, "flow"),
        ({"outlet_pressure": None, "flow": "0 g/min"}, "flow"),
        ({"temperature": "150 degC"}, "temperature"),
    ],
)
def test_fault_in_the_question_names_its_field(
    calculator: Caller, changes: dict[str, Any], field: str
) -> None:
    assert list(errors(ask(calculator, **changes))) == [field]


def test_only_a_token_may_ask(stranger: Caller) -> None:
    assert stranger.post(PATH, EXAMPLE).status_code == 401
