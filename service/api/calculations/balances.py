"""The balance of a running plant: boiler, engines with loads, passages, cases; what to change."""

from typing import Any

from service.api.calculation import Calculation, Picture, with_more
from service.api.calculations.balance_answer import ChangesOut, SteamBalanceOut
from service.api.calculations.balance_question import ChangesIn, PictureQuery, SteamBalanceIn
from service.api.preferences import measure
from service.api.problems import WrongRequest
from service.api.quantity_fields import (
    si,
)
from service.documents.drawing import Sheet
from service.documents.steam_pictures import draw_pressure_line, draw_supply_and_demand
from service.engineering.kit import Kit
from service.engineering.steam.network import (
    Balance,
    RunningCase,
    RunningPlant,
    advise,
    balance,
    prepare_plant,
    trace_pressure_lines,
    trace_supply_and_demand,
)


def find_balance(asked: dict[str, Any], _: Kit) -> Balance:
    """The balance of the plant that a request describes."""
    return balance(_plant(asked), cases=asked["cases"])


def find_changes(asked: dict[str, Any], _: Kit) -> dict[str, Any]:
    """What to open out in the plant that a request describes."""
    advice = advise(_plant(asked), cases=asked["cases"], budget=si(asked["budget"]))
    return with_more(advice, workings=())


def draw_balance(asked: dict[str, Any], _: Kit, query: dict[str, Any]) -> Sheet:
    """Supply against demand, or the pressure from boiler to engine, in one case."""
    case = _find_case(asked["cases"], query["case"])
    if query["kind"] == "pressure-line":
        lines = trace_pressure_lines(_plant(asked), case=case)
        title = f"Pressure from boiler to engine: {case.name}"
        return draw_pressure_line(lines, title=title, measure=measure())
    curves = trace_supply_and_demand(_plant(asked), case=case)
    return draw_supply_and_demand(curves, measure=measure())


def _plant(asked: dict[str, Any]) -> RunningPlant:
    trunk, outlets = asked["trunk"], asked["outlets"]
    return prepare_plant(asked["boiler"], asked["engines"], trunk=trunk, open_outlets=outlets)


def _find_case(cases: list[RunningCase], wanted: str | None) -> RunningCase:
    for case in cases:
        if wanted in (None, case.name):
            return case
    known = ", ".join(case.name for case in cases)
    raise WrongRequest(f"There is no case of this name; there are: {known}.", field="case")


EXAMPLE: dict[str, Any] = {
    "boiler": {"net_heat": "500 W", "pressure_limit": "4 bar", "feed_temperature": "15 degC"},
    "engines": [
        {
            "name": f"{side} engine",
            "bore": "1/2 in",
            "stroke": "1/2 in",
            "acting": "double",
            "cut_off": 0.75,
            "clearance": 0.10,
            "condensation": 0.8,
            "load": {"kind": "propeller", "speed": "500 rpm", "at_pressure": "4 bar"},
            "passages": [
                {"kind": "tee", "diameter": "3 mm", "run_diameter": "4 mm", "share": 0.5},
                {"kind": "pipe", "diameter": "3 mm", "length": "200 mm"},
            ],
        }
        for side in ("port", "starboard")
    ],
    "trunk": [
        {"kind": "stop_valve", "diameter": "4 mm", "lift": "1 mm"},
        {"kind": "bore", "diameter": "4 mm", "length": "80 mm"},
    ],
    "outlets": [{"name": "whistle", "area": "1 mm2"}],
    "cases": [
        {"name": "both", "running": ["port engine", "starboard engine"]},
        {"name": "whistle blown", "running": ["port engine", "starboard engine", "whistle"]},
    ],
}


CHANGES = Calculation(
    name="steam-balance/changes",
    about="Say which passage costs each engine most at its wanted speed, and what bore would do.",
    takes=ChangesIn,
    gives=ChangesOut,
    reckon=find_changes,
    example=EXAMPLE | {"budget": "0.4 bar"},
)


BALANCE = Calculation(
    name="steam-balance",
    about="Find the pressure and speed at which each engine settles, in every running case.",
    takes=SteamBalanceIn,
    gives=SteamBalanceOut,
    reckon=find_balance,
    example=EXAMPLE,
    pictures={
        "picture": Picture(
            draw_balance,
            takes=PictureQuery,
            about="Draw supply against demand, or the pressure from boiler to engine, in one case.",
        )
    },
    also=(CHANGES,),
    leave_out_of_sheet=("cases.soft_inputs",),
)
