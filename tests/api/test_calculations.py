"""Calculations over HTTP: what goes in, what comes out, what is refused and where it stands."""

import copy
from typing import Any

import pytest

from tests.conftest import Caller

DEMAND: dict[str, Any] = {
    "pressure": "50 psi",
    "feed_temperature": "15 degC",
    "back_pressure": "0.1 bar",
    "engines": [
        {"name": "port engine", "bore": "3/4 in", "stroke": "3/4 in", "cylinders": 2,
         "acting": "double", "speed": "600 rpm", "cut_off": 0.75, "clearance": 0.10,
         "condensation": None, "piston_rod": "1/8 in"}
    ],
}  # fmt: skip
FITTING: dict[str, Any] = {
    "male": {"thread": "1/4-40 UNS", "length": "1/4 in", "bore": "1/8 in", "material": "bronze",
             "owner": "customer"},
    "female": {"thread": "1/4 x 40 ME", "depth": "5/16 in", "boss": "7/16 in",
               "drilled": "7/32 in", "material": "brass", "owner": "workshop"},
    "pressure": "60 psi",
    "points": {"wanted": "90 deg", "found": "20 deg"},
}  # fmt: skip
INDEXING: dict[str, Any] = {
    "thread": "1/4 x 40 ME", "found": "20 deg", "wanted": "110 deg",
    "shims": ["0.05 mm", "0.1 mm", "0.2 mm"], "tolerance": "5 deg", "crush": "0.02 mm",
}  # fmt: skip
QUESTIONS = {
    "steam-demand": DEMAND,
    "fitting-check": FITTING,
    "thread": {"thread": "1/4 x 40 ME", "drill": "7/32 in"},
    "indexing": INDEXING,
}


def ask(caller: Caller, calculation: str, body: object) -> Any:
    return caller.post(f"/calculations/{calculation}", body)


def replaced(body: dict, path: str, value: object) -> dict:
    """A copy of `body` with the member at `path` set."""
    copied = copy.deepcopy(body)
    *way, last = path.split(".")
    place: Any = copied
    for step in way:
        place = place[int(step)] if isinstance(place, list) else place[step]
    place[int(last) if isinstance(place, list) else last] = value
    return copied


@pytest.mark.parametrize("calculation", QUESTIONS)
def test_every_calculation_answers_with_its_reasons(calculator: Caller, calculation: str) -> None:
    answer = ask(calculator, calculation, QUESTIONS[calculation])

    assert answer.status_code == 200
    assert list(answer.json)[-3:] == ["findings", "workings", "cautions"]
    assert answer.json["cautions"]
    for working in answer.json["workings"]:
        assert {"symbol", "formula", "value", "unit", "source"} == working.keys()
        assert working["source"]
    for finding in answer.json["findings"]:
        assert finding["level"] in {"ok", "caution", "fail"}
        assert finding["code"]
        assert finding["text"]


def test_steam_demand_is_a_band_for_each_engine_and_together(calculator: Caller) -> None:
    answer = ask(calculator, "steam-demand", DEMAND).json

    steam = answer["steam"]
    assert 0 < steam["low"]["value"] < steam["likely"]["value"] < steam["high"]["value"]
    assert {steam[name]["unit"] for name in steam} == {"g/min"}
    (engine,) = answer["engines"]
    assert engine["name"] == "port engine"
    assert engine["mean_effective_pressure"]["unit"] == "bar"
    assert engine["indicated_power"]["unit"] == "W"


def test_two_engines_take_twice_what_one_takes(calculator: Caller) -> None:
    one = ask(calculator, "steam-demand", DEMAND).json
    two = ask(calculator, "steam-demand", DEMAND | {"engines": DEMAND["engines"] * 2}).json

    assert two["steam"]["likely"]["value"] == pytest.approx(2 * one["steam"]["likely"]["value"])


def test_gauge_and_absolute_say_the_same_thing_differently(calculator: Caller) -> None:
    gauge = ask(calculator, "steam-demand", replaced(DEMAND, "pressure", "3 bar")).json
    absolute = ask(
        calculator, "steam-demand", replaced(DEMAND, "pressure", "4.01325 bar absolute")
    ).json

    assert absolute["steam"]["likely"]["value"] == pytest.approx(gauge["steam"]["likely"]["value"])


def test_no_condensation_is_the_ideal_engine(calculator: Caller) -> None:
    ideal = ask(calculator, "steam-demand", replaced(DEMAND, "engines.0.condensation", 0)).json

    assert ideal["steam"]["low"] == ideal["steam"]["high"] == ideal["dry_steam"]


def test_the_common_drill_leaves_nearly_the_full_depth(calculator: Caller) -> None:
    answer = ask(calculator, "thread", {"thread": "1/4 x 40 ME", "drill": "7/32 in"}).json

    assert 97 <= answer["drilled"]["depth_percent"] <= 98  # common practice
    assert answer["threads_per_inch"] == 40
    assert answer["major_diameter"]["value"] == pytest.approx(6.35)
    assert answer["included_angle"]["value"] == pytest.approx(55)


@pytest.mark.parametrize(
    "thread", ["2 BA", "1/8 BSP", "1/4-28 UNF", "M6 x 0.75", "1/8-27 NPT", "3/8 x 26 brass",
               "1/4 BSW", "1/4 BSF", {"diameter": "6.3 mm", "pitch": "0.6 mm", "angle": "60 deg"}],
)  # fmt: skip
def test_threads_of_every_family_are_described(calculator: Caller, thread: object) -> None:
    answer = ask(calculator, "thread", {"thread": thread})

    assert answer.status_code == 200
    assert answer.json["root_diameter"]["value"] < answer.json["effective_diameter"]["value"]
    assert answer.json["effective_diameter"]["value"] < answer.json["major_diameter"]["value"]


def test_a_fitting_check_gives_verdict_overlay_engagement_and_indexing(calculator: Caller) -> None:
    answer = ask(calculator, "fitting-check", FITTING).json

    assert answer["verdict"] in {"goes", "goes_with_care", "make_good", "does_not_go"}
    assert answer["overlay"]["flank_angle_difference"]["value"] == pytest.approx(2.5)
    assert answer["engagement"]["shear_area_male"]["unit"] == "mm2"
    assert answer["indexing"]["thickness"]["unit"] == "mm"


def test_a_check_without_what_nobody_measured_still_answers(calculator: Caller) -> None:
    body = {"male": {"thread": "1/4 x 40 ME"}, "female": {"thread": "1/4 x 40 ME"}}
    answer = ask(calculator, "fitting-check", body)

    assert answer.status_code == 200
    assert answer.json["verdict"] in {"goes", "goes_with_care"}
    assert answer.json["wall_over_bore"] is None
    assert answer.json["indexing"] is None


@pytest.mark.parametrize(
    ("calculation", "path", "value"),
    [
        ("steam-demand", "pressure", "50"),
        ("steam-demand", "pressure", 50),
        ("steam-demand", "pressure", "5"),
        ("steam-demand", "pressure", "50 mm"),
        ("steam-demand", "pressure", "3,5 bar"),
        ("steam-demand", "pressure", None),
        ("steam-demand", "pressure", "90 bar"),
        ("steam-demand", "pressure", "1e3 psi"),
        ("steam-demand", "feed_temperature", "15"),
        ("steam-demand", "engines", []),
        ("steam-demand", "engines.0.bore", "-3/4 in"),
        ("steam-demand", "engines.0.bore", "0,5 mm"),
        ("steam-demand", "engines.0.bore", "0 mm"),
        ("steam-demand", "engines.0.bore", "3/0 in"),
        ("steam-demand", "engines.0.bore", "9" * 300 + " mm"),
        ("steam-demand", "engines.0.bore", "5\u0000 mm"),
        ("steam-demand", "engines.0.bore", "\ud800 mm"),
        ("steam-demand", "engines.0.cut_off", 1.4),
        ("steam-demand", "engines.0.cut_off", "0.75"),
        ("steam-demand", "engines.0.cut_off", 10**400),
        ("steam-demand", "engines.0.clearance", 0),
        ("steam-demand", "engines.0.cylinders", 0),
        ("steam-demand", "engines.0.cylinders", 2.0),
        ("steam-demand", "engines.0.speed", "-600 rpm"),
        ("steam-demand", "engines.0.acting", "both"),
        ("steam-demand", "engines.0.piston_rod", "1 in"),
        ("steam-demand", "engines.0.colour", "green"),
        ("steam-demand", "engines.0.name", "a\u0000b"),
        ("thread", "thread", "1/4 x 41 ME"),
        ("thread", "thread", "nonsense"),
        ("thread", "thread", None),
        ("thread", "thread", []),
        ("thread", "thread", {"diameter": "6.3 mm", "pitch": "0.6 mm", "angle": "179.9 deg"}),
        ("thread", "thread", {"diameter": "6.3 mm", "pitch": 0.6, "angle": "60 deg"}),
        ("thread", "thread", {"diameter": "6.3 mm", "pitch": "60 mm", "angle": "60 deg"}),
        ("thread", "drill", "letter ZZ"),
        ("thread", "drill", "5"),
        ("thread", "material", "unobtainium"),
        ("thread", "material", ""),
        ("fitting-check", "male.thread", "1/4 x 41 ME"),
        ("fitting-check", "male.length", "1/4"),
        ("fitting-check", "male.bore", "1/2 in"),
        ("fitting-check", "male.material", "unobtainium"),
        ("fitting-check", "male.owner", "nobody"),
        ("fitting-check", "female.drilled", "1 in"),
        ("fitting-check", "female.boss", "1 mm"),
        ("fitting-check", "female.depth", "0 mm"),
        ("fitting-check", "pressure", "60"),
        ("fitting-check", "pressure", "900 bar"),
        ("fitting-check", "points.wanted", 90),
        ("indexing", "found", "20"),
        ("indexing", "thread", "1/8-27 NPT"),
        ("indexing", "shims", []),
        ("indexing", "shims.1", "0.1"),
        ("indexing", "shims", ["0.1 mm", "0 mm"]),
        ("indexing", "tolerance", "-5 deg"),
        ("indexing", "crush", "-1 mm"),
        ("indexing", "flats", 6.5),
    ],
)
def test_a_wrong_input_is_named_where_it_stands(
    calculator: Caller, calculation: str, path: str, value: object
) -> None:
    answer = ask(calculator, calculation, replaced(QUESTIONS[calculation], path, value))

    assert answer.status_code == 422, answer.json
    assert answer.mimetype == "application/problem+json"
    assert path in answer.json["errors"], answer.json["errors"]


def test_the_refusal_of_a_bare_number_says_what_to_write(calculator: Caller) -> None:
    answer = ask(calculator, "steam-demand", replaced(DEMAND, "engines.0.bore", 19))

    (sentence,) = answer.json["errors"]["engines.0.bore"]
    assert "7/32 in" in sentence or "mm" in sentence


def test_the_refusal_of_an_unknown_thread_names_the_nearest(calculator: Caller) -> None:
    answer = ask(calculator, "thread", {"thread": "1/4 x 41 ME"})

    (sentence,) = answer.json["errors"]["thread"]
    assert "1/4 x 40 ME" in sentence
