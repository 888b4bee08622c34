"""Where a plant settles, what to change, and its pictures, asked over HTTP."""

from copy import deepcopy
from math import sqrt
from typing import Any
from xml.etree import ElementTree

import pytest
from iapws import IAPWS97

from service.engineering.findings import Band
from service.engineering.steam.engine import Engine
from service.engineering.steam.network import (
    BoilerSupply,
    EngineOnBranch,
    Load,
    OpenOutlet,
    RunningCase,
    balance,
    prepare_plant,
)
from service.engineering.steam.passages import Bore, Pipe, StopValve, Tee
from tests.api.conftest import EXAMPLES
from tests.conftest import Caller

ATMOSPHERE, INCH = 101_325.0, 0.0254
PATH = "/calculations/steam-balance"
EXAMPLE = EXAMPLES["steam-balance"]
ENGINE: dict[str, Any] = EXAMPLE["engines"][0]
BOTH = ("port engine", "starboard engine")


HELD = {"load": None, "speed": "480 rpm"}
CUSHIONED = HELD | {
    "exhaust_closure": 0.87, "cut_off": 0.08, "clearance": 0.15, "friction": "0 bar",
    "back_pressure": "2 bar",
}  # fmt: skip
"""An engine whose cushion would hold more steam than is let in."""
HINDERED = HELD | {
    "acting": "single", "exhaust_closure": 0.6, "cut_off": 0.14, "clearance": 0.02,
    "diagram_factor": 0.5, "back_pressure": "6.6 bar",
}  # fmt: skip
"""An engine that no steam would turn."""


def ask(calculator: Caller, address: str = PATH, **changes: Any) -> Any:
    """The example with some members changed; None takes one out."""
    body = deepcopy(EXAMPLE) | changes
    return calculator.post(
        address, {name: value for name, value in body.items() if value is not None}
    )


def refused(answer: Any) -> list[str]:
    """The fields at fault."""
    assert answer.status_code == 422, answer.get_data(as_text=True)
    return list(answer.json["errors"])


def boiler(**changes: Any) -> dict[str, Any]:
    """The example's boiler, changed."""
    return {"boiler": EXAMPLE["boiler"] | changes}


def engine(**changes: Any) -> dict[str, Any]:
    """The example with its second engine changed; None takes a member out."""
    changed = {name: value for name, value in (ENGINE | changes).items() if value is not None}
    return {"engines": [ENGINE, {"name": "starboard engine"} | changed]}


def second(**changes: Any) -> dict[str, Any]:
    return engine(name="starboard engine", **changes)


def load(**changes: Any) -> dict[str, Any]:
    return second(load={n: v for n, v in (ENGINE["load"] | changes).items() if v is not None})


def test_answer_is_that_of_the_engineering_floor(calculator: Caller) -> None:
    engines = [
        EngineOnBranch(
            Engine(
                name=name,
                bore=INCH / 2,
                stroke=INCH / 2,
                cylinders=1,
                acting="double",
                speed=500 / 60,
                cut_off=0.75,
                clearance=0.1,
                condensation=0.8,
            ),
            Load("propeller", 500 / 60, 4e5 + ATMOSPHERE),
            (Tee(0.003, 0.004, 0.5), Pipe(0.003, 0.2)),
        )
        for name in BOTH
    ]
    found = balance(
        prepare_plant(
            BoilerSupply(500.0, 4e5 + ATMOSPHERE, 288.15),
            engines,
            trunk=(StopValve(0.004, 0.001), Bore(0.004, 0.08)),
            open_outlets=(OpenOutlet("whistle", 1e-6),),
        ),
        cases=[RunningCase("both", BOTH), RunningCase("whistle blown", (*BOTH, "whistle"))],
    )
    answer = ask(calculator)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    for shown, case in zip(answer.json["cases"], found.cases, strict=True):
        assert shown["name"] == case.name
        assert_band(shown["boiler_pressure"], case.boiler_pressure, zero=ATMOSPHERE, unit=1e5)
        assert_band(shown["steam"], case.steam, unit=1 / 60e3)
        for told, settled in zip(shown["engines"], case.engines, strict=True):
            assert_band(told["pressure"], settled.pressure, zero=ATMOSPHERE, unit=1e5)
            assert_band(told["speed"], settled.speed, unit=1 / 60)
            assert told["stalls"] is settled.stalls
    blown = answer.json["cases"][1]
    assert [outlet["name"] for outlet in blown["outlets"]] == ["whistle"]
    assert blown["boiler_pressure"]["likely"]["value"] < 4


def assert_band(shown: dict[str, Any], band: Band, *, unit: float, zero: float = 0.0) -> None:
    values = [shown[end]["value"] for end in ("low", "likely", "high")]
    expected = [(value - zero) / unit for value in (band.low, band.likely, band.high)]
    assert values == pytest.approx(expected, rel=1e-6)


def test_steam_drawn_takes_all_the_heat_of_a_fire_that_is_short(calculator: Caller) -> None:
    # Energy balance of the boiler with h_g and h_feed by iapws.
    case = ask(calculator).json["cases"][0]
    assert case["heat_bound"] is True
    pressure = (case["boiler_pressure"]["likely"]["value"] * 1e5 + ATMOSPHERE) / 1e6
    heat = (IAPWS97(P=pressure, x=1).h - IAPWS97(P=pressure, T=288.15).h) * 1e3
    assert case["steam"]["likely"]["value"] / 60e3 * heat == pytest.approx(500, rel=1e-3)


def test_propeller_turns_by_its_square_law(calculator: Caller) -> None:
    # n = n0 root((p - p_start)/(p_ref - p_start)): torque as the square of speed.
    for told in ask(calculator).json["cases"][0]["engines"]:
        start = told["load_pressure"]["value"]
        rise = (told["pressure"]["likely"]["value"] - start) / (4 - start)
        assert told["speed"]["likely"]["value"] == pytest.approx(500 * sqrt(rise), rel=1e-4)


def test_mass_balances_over_what_runs(calculator: Caller) -> None:
    for case in ask(calculator).json["cases"]:
        drawn = [one["steam"]["likely"]["value"] for one in (*case["engines"], *case["outlets"])]
        assert sum(drawn) == pytest.approx(case["steam"]["likely"]["value"], rel=1e-9)


def test_more_heat_never_slows_an_engine(calculator: Caller) -> None:
    speeds = [
        ask(calculator, **boiler(net_heat=heat)).json["cases"][0]["engines"][0]["speed"]["likely"]
        for heat in ("300 W", "500 W", "900 W")
    ]
    values = [speed["value"] for speed in speeds]
    assert values == sorted(values)
    assert values[0] < values[-1]


def test_heat_that_is_a_guess_widens_the_answer(calculator: Caller) -> None:
    guess = {"low": "400 W", "likely": "500 W", "high": "600 W"}
    case = ask(calculator, **boiler(net_heat=guess)).json["cases"][0]
    assert case["steam"]["low"]["value"] < case["steam"]["high"]["value"]
    assert case["soft_inputs"][0]["name"] == "heat into the water"
    sure = ask(calculator).json["cases"][0]
    assert case["steam"]["likely"]["value"] == pytest.approx(sure["steam"]["likely"]["value"])


def test_without_a_feed_pump_steam_costs_less(calculator: Caller) -> None:
    fed = ask(calculator).json["cases"][0]["steam"]["likely"]["value"]
    unfed = ask(calculator, **boiler(fed=False)).json["cases"][0]
    assert unfed["steam"]["likely"]["value"] > fed


def test_engine_without_a_load_is_held_at_its_own_speed(calculator: Caller) -> None:
    answer = ask(calculator, **boiler(net_heat="5 kW"), **second(load=None, speed="450 rpm"))
    told = answer.json["cases"][0]["engines"][1]
    assert told["wanted_speed"]["value"] == pytest.approx(450)
    assert told["speed"]["likely"]["value"] == pytest.approx(450)


def test_load_that_is_too_heavy_stalls_and_says_so(calculator: Caller) -> None:
    heavy = second(load={"kind": "fixed_torque", "speed": "500 rpm", "at_pressure": "8 bar"})
    answer = ask(calculator, **heavy).json
    told = answer["cases"][0]["engines"][1]
    assert told["stalls"] is True
    assert told["speed"]["likely"]["value"] == 0
    assert answer["findings"][0]["code"] == "stalls"


@pytest.mark.parametrize("kind", ["governed", "propeller", "fixed_torque"])
def test_every_kind_of_load_settles(calculator: Caller, kind: str) -> None:
    answer = ask(calculator, **load(kind=kind))
    assert answer.status_code == 200, answer.get_data(as_text=True)
    assert answer.json["cases"][0]["engines"][1]["speed"]["likely"]["value"] > 0


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"boiler": None}, "boiler"),
        (boiler(net_heat=500), "boiler.net_heat"),
        (boiler(net_heat="500"), "boiler.net_heat"),
        (boiler(net_heat="-500 W"), "boiler.net_heat"),
        (boiler(net_heat="0 W"), "boiler.net_heat"),
        (boiler(net_heat={"low": "400 W"}), "boiler.net_heat"),
        (
            boiler(net_heat={"low": "400 W", "likely": "5", "high": "600 W"}),
            "boiler.net_heat.likely",
        ),
        (boiler(net_heat={"low": "700 W", "likely": "500 W", "high": "600 W"}), "boiler.net_heat"),
        (boiler(pressure_limit="4"), "boiler.pressure_limit"),
        (boiler(pressure_limit=4), "boiler.pressure_limit"),
        (boiler(pressure_limit="-0.5 bar"), "boiler.pressure_limit"),
        (boiler(pressure_limit="500 bar"), "boiler.pressure_limit"),
        (boiler(feed_temperature="15"), "boiler.feed_temperature"),
        (boiler(gross_heat="1 kW"), "boiler.gross_heat"),
        ({"engines": []}, "engines"),
        (engine(name="port engine"), "engines.0.name"),
        (second(bore="-1/2 in"), "engines.1.bore"),
        (second(bore="1/2"), "engines.1.bore"),
        (second(bore="0 mm"), "engines.1.bore"),
        (second(cut_off=1.5), "engines.1.cut_off"),
        (second(load=None), "engines.1.speed"),
        (second(**CUSHIONED), "engines.1.exhaust_closure"),
        (second(**HINDERED), "engines.1.friction"),
        (second(friction="9 bar"), "engines.1.friction"),
        (second(back_pressure="0.1"), "engines.1.back_pressure"),
        (second(pulsation=0.2), "engines.1.pulsation"),
        (load(kind="winch"), "engines.1.load.kind"),
        (load(at_pressure=None), "engines.1.load.at_pressure"),
        (load(at_pressure="0 bar"), "engines.1.load.at_pressure"),
        (load(speed="0 rpm"), "engines.1.load.speed"),
        (load(speed=500), "engines.1.load.speed"),
        (
            second(passages=[{"kind": "pipe", "diameter": "3 mm", "length": "1"}]),
            "engines.1.passages.0.length",
        ),
        ({"trunk": [{"kind": "bore", "length": "80 mm"}]}, "trunk.0.diameter"),
        ({"trunk": [{"kind": "hose", "diameter": "3 mm"}]}, "trunk.0.kind"),
        ({"outlets": [{"name": "whistle", "area": "0 mm2"}]}, "outlets.0.area"),
        (
            {"outlets": [{"name": "whistle", "area": "1 mm2", "coefficient": 2}]},
            "outlets.0.coefficient",
        ),
        ({"cases": []}, "cases"),
        ({"cases": [{"name": "none", "running": []}]}, "cases.0.running"),
        ({"cases": [{"name": "all", "running": ["donkey engine"]}]}, "cases.0.running"),
        ({"cases": [{"name": "all", "running": ["port engine"] * 2}]}, "cases.0.running"),
        ({"cases": [{"running": ["port engine"]}]}, "cases.0.name"),
    ],
)
def test_fault_names_its_field(calculator: Caller, changes: dict[str, Any], field: str) -> None:
    assert refused(ask(calculator, **changes))[0] == field


def test_unknown_name_in_a_case_is_answered_with_the_names_there_are(calculator: Caller) -> None:
    answer = ask(calculator, cases=[{"name": "all", "running": ["donkey engine"]}])
    assert "port engine, starboard engine, whistle" in answer.json["errors"]["cases.0.running"][0]


def test_changes_name_the_part_that_costs_most_and_a_bore_that_would_do(calculator: Caller) -> None:
    narrow = [{"kind": "pipe", "diameter": "1 mm", "length": "200 mm"}]
    changes = second(passages=narrow, load=ENGINE["load"] | {"at_pressure": "3 bar"})
    answer = ask(calculator, f"{PATH}/changes", budget="0.2 bar", **changes)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    path = answer.json["paths"][1]
    assert (path["case"], path["engine"], path["within"]) == ("both", "starboard engine", False)
    costliest = path["costliest"]
    assert (costliest["kind"], costliest["stretch"]) == ("pipe", "branch")
    assert costliest["smallest_diameter"]["value"] > 1
    wider = [{**narrow[0], "diameter": f"{costliest['smallest_diameter']['value']:.4f} mm"}]
    changes = second(passages=wider, load=ENGINE["load"] | {"at_pressure": "3 bar"})
    again = ask(calculator, f"{PATH}/changes", budget="0.2 bar", **changes).json["paths"][1]
    assert again["drop"]["value"] == pytest.approx(0.2, abs=0.001)


def test_budget_of_nothing_is_refused(calculator: Caller) -> None:
    assert refused(ask(calculator, f"{PATH}/changes", budget="0 bar")) == ["budget"]
    assert refused(ask(calculator, budget="0.2 bar")) == ["budget"]


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("", "Supply and demand of steam, both"),
        ("?kind=supply-and-demand&case=whistle blown", "Supply and demand of steam, whistle blown"),
        ("?kind=pressure-line", "Pressure from boiler"),
    ],
)
def test_picture_is_svg_that_says_what_it_shows(calculator: Caller, query: str, words: str) -> None:
    answer = ask(calculator, f"{PATH}/picture.svg{query}")
    assert answer.status_code == 200, answer.get_data(as_text=True)
    assert answer.mimetype == "image/svg+xml"
    root = ElementTree.fromstring(answer.get_data(as_text=True))
    title = root.find("{http://www.w3.org/2000/svg}title")
    assert title is not None
    assert str(title.text).startswith(words)


@pytest.mark.parametrize(
    ("query", "field"), [("?kind=pie", "kind"), ("?case=neither", "case"), ("?size=9", "size")]
)
def test_picture_that_there_is_not_is_refused(calculator: Caller, query: str, field: str) -> None:
    assert refused(ask(calculator, f"{PATH}/picture.svg{query}")) == [field]
