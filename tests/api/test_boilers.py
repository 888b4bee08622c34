"""Boiler supply, pipes, shell, cold-water test and blowdown, asked over HTTP."""

from math import pi, sqrt
from typing import Any

import pytest
from iapws import IAPWS97

from tests.api.conftest import EXAMPLES
from tests.conftest import Caller

ATMOSPHERE, PSI = 101_325.0, 6894.757293168

FIRE = EXAMPLES["boiler-supply"]["fire"]
WEIGHED = {"kind": "spirit_pot", "fuel": "spirit", "rate": "2.5 g/min", "carried": "150 g"}


def ask(calculator: Caller, name: str, **changes: Any) -> Any:
    """The example with some members changed; None takes one out."""
    body = EXAMPLES[name] | changes
    return calculator.post(
        f"/calculations/{name}", {key: value for key, value in body.items() if value is not None}
    )


def within(name: str, **changes: Any) -> dict[str, Any]:
    """A member of the boiler's example, itself changed."""
    whole = EXAMPLES["boiler-supply"][name] | changes
    return {name: {key: value for key, value in whole.items() if value is not None}}


def refused(answer: Any) -> list[str]:
    """The fields at fault."""
    assert answer.status_code == 422, answer.get_data(as_text=True)
    return list(answer.json["errors"])


@pytest.mark.parametrize(
    "name", ["boiler-supply", "pipe-loss", "shell", "hydraulic-test", "blowdown"]
)
def test_example_is_answered_with_reasons(calculator: Caller, name: str) -> None:
    answer = ask(calculator, name)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    assert answer.json["findings"]
    assert all(working["source"] for working in answer.json["workings"])
    assert any("inspector" in caution for caution in answer.json["cautions"])


def test_electric_heat_less_the_shells_loss_makes_steam(calculator: Caller) -> None:
    # Heat balance with h_g and h_feed by iapws; 0.97 of the power reaches the water.
    answer = ask(calculator, "boiler-supply", fire={"kind": "electric", "power": "1500 W"}).json
    net = 0.97 * 1500 - answer["shell_loss"]["value"]
    pressure = (4e5 + ATMOSPHERE) / 1e6
    heat = (IAPWS97(P=pressure, x=1).h - IAPWS97(P=pressure, T=288.15).h) * 1e3
    assert answer["net_heat"]["likely"]["value"] == pytest.approx(net)
    assert answer["evaporation"]["likely"]["value"] == pytest.approx(net / heat * 60e3, rel=1e-4)
    assert answer["fuel_time"] is None


def test_weighed_fuel_lasts_as_long_as_it_is_carried(calculator: Caller) -> None:
    answer = ask(calculator, "boiler-supply", fire=WEIGHED | {"rate": "3 g/min"}).json
    assert answer["fuel_time"]["value"] == pytest.approx(50)
    assert answer["fuel_time"]["text"] == "50 min"


def test_water_between_the_levels_is_what_the_segment_holds(calculator: Caller) -> None:
    # From the middle to the top of a lying barrel is half of it; 10 % is taken by tubes.
    glass = {"low": "50 mm", "high": "100 mm"}
    answer = ask(calculator, "boiler-supply", glass=glass).json
    volume = pi / 8 * 0.1**2 * 0.2 * 0.9
    density = 1 / IAPWS97(P=(4e5 + ATMOSPHERE) / 1e6, x=0).v
    assert answer["usable_water"]["value"] == pytest.approx(volume * density * 1e3, rel=1e-4)


def test_pressure_above_what_the_inspector_stated_is_refused(calculator: Caller) -> None:
    answer = ask(calculator, "boiler-supply", pressure="61 psi")
    assert refused(answer) == ["pressure"]
    assert "60 psi" in answer.json["errors"]["pressure"][0]
    assert ask(calculator, "boiler-supply", pressure="60 psi").status_code == 200


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"pressure": "4"}, "pressure"),
        ({"pressure": 4}, "pressure"),
        ({"pressure_limit": 4}, "pressure_limit"),
        ({"feed_temperature": "15"}, "feed_temperature"),
        ({"feed_temperature": "300 degC"}, "feed_temperature"),
        ({"air_temperature": "90 degC"}, "air_temperature"),
        ({"metal_mass": "0 kg"}, "metal_mass"),
        ({"heating_surface": "0 cm2"}, "heating_surface"),
        ({"lagging": "-6 mm"}, "lagging"),
        ({"emissivity": 1.5}, "emissivity"),
        ({"fire": None}, "fire"),
        (within("fire", rate="2 g/min"), "fire.rate"),
        (within("fire", jet=None), "fire.rate"),
        (within("fire", jet="5 mm"), "fire.jet"),
        (within("fire", jet="0.25"), "fire.jet"),
        (within("fire", fuel=None), "fire.fuel"),
        (within("fire", fuel="coal"), "fire.fuel"),
        (within("fire", fuel="peat"), "fire.fuel"),
        (within("fire", kind="bonfire"), "fire.kind"),
        (within("fire", kind="electric"), "fire.kind"),
        (within("fire", pressure=None), "fire.pressure"),
        (within("fire", carried="0 g"), "fire.carried"),
        ({"fire": {"power": "1500 W", "fuel": "butane"}}, "fire.fuel"),
        ({"fire": {"power": "1500 W", "carried": "100 g"}}, "fire.carried"),
        ({"fire": {"power": "0 W"}}, "fire.power"),
        ({"fire": {"power": 1500}}, "fire.power"),
        ({"fire": WEIGHED | {"pressure": "1 bar"}}, "fire.pressure"),
        ({"fire": WEIGHED | {"rate": "50 kg/min"}}, "fire.rate"),
        (within("shell", lie="aslant"), "shell.lie"),
        (within("shell", diameter="5 m"), "shell.diameter"),
        (within("shell", displaced=0.95), "shell.displaced"),
        (within("glass", low="80 mm"), "glass.low"),
        (within("glass", high="120 mm"), "glass.high"),
        (within("glass", high=None), "glass.high"),
    ],
)
def test_fault_in_a_boiler_names_its_field(
    calculator: Caller, changes: dict[str, Any], field: str
) -> None:
    assert refused(ask(calculator, "boiler-supply", **changes)) == [field]


def test_fire_that_cannot_hold_the_pressure_is_told_so(calculator: Caller) -> None:
    answer = ask(calculator, "boiler-supply", fire={"power": "40 W"})
    assert refused(answer) == ["pressure"]
    assert "cannot hold" in answer.json["detail"]


def test_bare_copper_pipe_loses_what_the_handbook_says(calculator: Caller) -> None:
    # Tables of heat loss: 15 mm nominal copper (15.9 mm outside), 55 K over air, 45 W a metre.
    answer = ask(
        calculator, "pipe-loss", pressure="0.3856 bar abs", outside_diameter="15.9 mm",
        bore="14 mm", length="1 m", fittings=0, emissivity=0.9, lagging=None, flow=None,
    ).json  # fmt: skip
    assert answer["loss_per_metre"]["value"] == pytest.approx(45, rel=0.03)
    assert answer["heat"]["value"] == pytest.approx(answer["loss_per_metre"]["value"])
    assert answer["share"] is None


def test_condensate_is_heat_over_latent_heat(calculator: Caller) -> None:
    answer = ask(calculator, "pipe-loss").json
    pressure = (4e5 + ATMOSPHERE) / 1e6
    latent = (IAPWS97(P=pressure, x=1).h - IAPWS97(P=pressure, x=0).h) * 1e3
    condensate = answer["heat"]["value"] / latent * 60e3
    assert answer["condensate"]["value"] == pytest.approx(condensate, rel=1e-4)
    assert answer["share"] == pytest.approx(condensate / 20, rel=1e-4)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"bore": "1/4 in"}, "bore"),
        ({"bore": "3/16"}, "bore"),
        ({"outside_diameter": "-1/4 in"}, "outside_diameter"),
        ({"outside_diameter": "300 mm"}, "outside_diameter"),
        ({"length": "0 mm"}, "length"),
        ({"fittings": -1}, "fittings"),
        ({"fittings": 1.5}, "fittings"),
        ({"flow": "0 g/min"}, "flow"),
        ({"lagging": "300 mm"}, "lagging"),
        ({"emissivity": -0.1}, "emissivity"),
        ({"pressure": "500 bar"}, "pressure"),
    ],
)
def test_fault_in_a_pipe_names_its_field(
    calculator: Caller, changes: dict[str, Any], field: str
) -> None:
    assert refused(ask(calculator, "pipe-loss", **changes)) == [field]


def test_hoop_stress_is_that_of_a_thin_cylinder(calculator: Caller) -> None:
    # P = 2 S t E/(D - 0.8 t); annealed copper 4700 psi at 300 degF, 4000 psi at 350 degF (handbook
    # of copper tube). Steam of 60 psi is at 307 degF.
    answer = ask(calculator, "shell").json
    stress = 60 * (4 - 0.8 * 3 / 32) / (2 * 3 / 32 * 0.8)
    assert answer["hoop_stress"]["value"] * 1e5 / PSI == pytest.approx(stress, rel=1e-6)
    assert answer["temperature"]["value"] * 1.8 + 32 == pytest.approx(307.3, abs=0.3)
    assert 4500 < answer["allowable_stress"]["value"] * 1e5 / PSI < 4700


def test_shell_answer_is_no_permission(calculator: Caller) -> None:
    codes = {finding["code"] for finding in ask(calculator, "shell").json["findings"]}
    assert "ends-not-judged" in codes
    thin = ask(calculator, "shell", thickness="0.5 mm").json
    assert thin["findings"][0]["level"] == "fail"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"joint": "soft_solder"}, "joint"),
        ({"joint": "glue"}, "joint"),
        ({"joint": None}, "joint"),
        ({"thickness": "1/2 in"}, "thickness"),
        ({"thickness": "3/32"}, "thickness"),
        ({"outside_diameter": "2 m"}, "outside_diameter"),
        ({"pressure": "0 psi"}, "pressure"),
        ({"pressure": "20 bar"}, "pressure"),
    ],
)
def test_fault_in_a_shell_names_its_field(
    calculator: Caller, changes: dict[str, Any], field: str
) -> None:
    assert refused(ask(calculator, "shell", **changes)) == [field]


def test_regimes_are_listed_with_source_and_edition(calculator: Caller) -> None:
    answer = calculator.get("/hydraulic-tests")
    assert answer.status_code == 200
    assert answer.json["next"] is None
    assert all(regime["source"] and regime["edition"] for regime in answer.json["items"])
    assert {"uk_small", "ped"} <= {regime["key"] for regime in answer.json["items"]}


def test_every_regime_that_is_listed_can_be_asked(calculator: Caller) -> None:
    for regime in calculator.get("/hydraulic-tests").json["items"]:
        ratio = 1.2 if regime["asks_stress_ratio"] else None
        answer = ask(calculator, "hydraulic-test", regime=regime["key"], stress_ratio=ratio)
        assert answer.status_code == 200, regime["key"]
        assert answer.json["first_pressure"]["value"] > answer.json["working_pressure"]["value"]


def test_cold_water_test_is_twice_the_working_pressure(calculator: Caller) -> None:
    # British model-engineering test code: twice, then one and a half times.
    answer = ask(calculator, "hydraulic-test").json
    assert answer["first_pressure"]["value"] == pytest.approx(120 * PSI / 1e5)
    assert answer["repeat_pressure"]["value"] == pytest.approx(90 * PSI / 1e5)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"regime": "asme_i_miniature"}, "regime"),
        ({"regime": "none"}, "regime"),
        ({"regime": None}, "regime"),
        ({"working_pressure": "0 psi"}, "working_pressure"),
        ({"working_pressure": "60"}, "working_pressure"),
        ({"stress_ratio": 1.2}, "stress_ratio"),
        ({"regime": "ped"}, "stress_ratio"),
        ({"regime": "ped", "stress_ratio": 9}, "stress_ratio"),
    ],
)
def test_fault_in_a_cold_water_test_names_its_field(
    calculator: Caller, changes: dict[str, Any], field: str
) -> None:
    assert refused(ask(calculator, "hydraulic-test", **changes)) == [field]


def test_unflashed_water_is_the_upper_bound_of_a_blowdown(calculator: Caller) -> None:
    # Bernoulli with boiling water by iapws: m = A root(2 rho dp/K).
    elements = [{"kind": "loss", "diameter": "3 mm", "k": 2}]
    answer = ask(calculator, "blowdown", elements=elements).json
    density = 1 / IAPWS97(P=(4e5 + ATMOSPHERE) / 1e6, x=0).v
    most = pi / 4 * 0.003**2 * sqrt(2 * density * 4e5 / 2)
    assert answer["flow"]["high"]["value"] == pytest.approx(most * 60e3, rel=1e-4)
    assert answer["flow"]["low"]["value"] < 0.5 * answer["flow"]["high"]["value"]
    assert answer["emptying_time"]["low"]["value"] == pytest.approx(0.3 / most / 60, rel=1e-3)
    assert {"lead-away", "fix-drain"} <= {finding["code"] for finding in answer["findings"]}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"pressure": "0.1 bar"}, "pressure"),
        ({"water": "0 g"}, "water"),
        ({"water": "300 ml"}, "water"),
        ({"elements": []}, "elements"),
        ({"elements": [{"kind": "pipe", "diameter": "3 mm"}]}, "elements.0.length"),
    ],
)
def test_fault_in_a_blowdown_names_its_field(
    calculator: Caller, changes: dict[str, Any], field: str
) -> None:
    assert refused(ask(calculator, "blowdown", **changes)) == [field]
