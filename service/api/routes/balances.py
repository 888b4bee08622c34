"""The balance of a running plant over HTTP: where it settles, what to change, its pictures."""

from typing import Any

from flask import Response
from flask.views import MethodView

from service.api.access import calculating
from service.api.blueprint import Blueprint
from service.api.problems import WrongRequest
from service.api.schemas.balances import (
    STEAM_BALANCE_EXAMPLE,
    ChangesIn,
    ChangesOut,
    PictureQuery,
    SteamBalanceIn,
    SteamBalanceOut,
)
from service.api.schemas.steam_fields import si
from service.documents.steam_pictures import draw_pressure_line, draw_supply_and_demand
from service.engineering.steam.network import (
    Advice,
    Balance,
    RunningCase,
    advise,
    balance,
    trace_pressure_lines,
    trace_supply_and_demand,
)
from service.records.models import Scope

blp = Blueprint("balances", __name__, description="Balance: the pressures at which a plant runs.")


@blp.route("/calculations/steam-balance")
class SteamBalance(MethodView):
    """Where a plant settles."""

    @calculating
    @blp.operation("calculate_steam_balance", Scope.CALCULATE, "calculates")
    @blp.arguments(SteamBalanceIn, example=STEAM_BALANCE_EXAMPLE)
    @blp.response(200, SteamBalanceOut)
    def post(self, data: dict[str, Any]) -> Balance:
        """Find the pressure and speed at which each engine settles, in every running case."""
        return find_balance(data)


@blp.route("/calculations/steam-balance/changes")
class SteamBalanceChanges(MethodView):
    """What to change."""

    @calculating
    @blp.operation("advise_changes", Scope.CALCULATE, "calculates")
    @blp.arguments(ChangesIn, example=STEAM_BALANCE_EXAMPLE | {"budget": "0.4 bar"})
    @blp.response(200, ChangesOut)
    def post(self, data: dict[str, Any]) -> dict[str, Any]:
        """Say which passage costs each engine most at its wanted speed, and what bore would do."""
        advice = _advise(data)
        return {
            "paths": advice.paths,
            "findings": advice.findings,
            "workings": (),
            "cautions": advice.cautions,
        }


@blp.route("/calculations/steam-balance/picture.svg")
class SteamBalancePicture(MethodView):
    """The pictures of a running plant."""

    @calculating
    @blp.operation("draw_steam_balance", Scope.CALCULATE, "calculates")
    @blp.arguments(PictureQuery, location="query")
    @blp.arguments(SteamBalanceIn, example=STEAM_BALANCE_EXAMPLE)
    @blp.response(200, {"type": "string"}, content_type="image/svg+xml")
    def post(self, query: dict[str, Any], data: dict[str, Any]) -> Response:
        """Draw supply against demand, or the pressure from boiler to engine, in one case."""
        case = _find_case(data["cases"], query["case"])
        picture = _PICTURES[query["kind"]](data, case)
        return Response(picture, mimetype="image/svg+xml")


def find_balance(data: dict[str, Any]) -> Balance:
    """The balance of the plant that a request describes."""
    return balance(
        data["boiler"],
        data["engines"],
        cases=data["cases"],
        trunk=data["trunk"],
        leaves=data["holes"],
    )


def _advise(data: dict[str, Any]) -> Advice:
    return advise(
        data["boiler"],
        data["engines"],
        cases=data["cases"],
        trunk=data["trunk"],
        leaves=data["holes"],
        budget=si(data["budget"]),
    )


def _find_case(cases: list[RunningCase], name: str | None) -> RunningCase:
    for case in cases:
        if name in (None, case.name):
            return case
    known = ", ".join(case.name for case in cases)
    raise WrongRequest(f"There is no case of this name; there are: {known}.", field="case")


def _draw_meeting(data: dict[str, Any], case: RunningCase) -> str:
    curves = trace_supply_and_demand(
        data["boiler"], data["engines"], case=case, trunk=data["trunk"], leaves=data["holes"]
    )
    return draw_supply_and_demand(curves)


def _draw_way(data: dict[str, Any], case: RunningCase) -> str:
    lines = trace_pressure_lines(
        data["boiler"], data["engines"], case=case, trunk=data["trunk"], leaves=data["holes"]
    )
    return draw_pressure_line(lines, title=f"Pressure from boiler to engine: {case.name}")


_PICTURES = {"supply-and-demand": _draw_meeting, "pressure-line": _draw_way}
