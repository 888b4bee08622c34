"""Calculation sheets over HTTP: a calculation asked as usual, its answer a paper to be checked."""

from typing import Any

from flask import Response, request
from flask.views import MethodView
from marshmallow import Schema

from service.api.access import calculating, settings, today
from service.api.blueprint import Blueprint
from service.api.routes.balances import find_balance
from service.api.routes.blocks import plan
from service.api.routes.relief import check_relief
from service.api.routes.steam import reckon_demand
from service.api.routes.threads import check_joint
from service.api.schemas.balances import STEAM_BALANCE_EXAMPLE, SteamBalanceIn, SteamBalanceOut
from service.api.schemas.blocks import BLOCK_EXAMPLE, BlockIn, BlockOut
from service.api.schemas.fittings import FittingCheckIn, FittingCheckOut
from service.api.schemas.relief import RELIEF_EXAMPLE, ReliefIn, ReliefOut
from service.api.schemas.sheets import SheetQuery, list_entries
from service.api.schemas.steam import SteamDemandIn, SteamDemandOut
from service.documents.calculation_sheet import CalculationSheet, typeset_sheet
from service.records.models import Scope

blp = Blueprint("sheets", __name__, description="Sheets: a calculation on paper, to be checked.")

PAPER: dict[str, Any] = {
    "schema": {"type": "string", "format": "binary"},
    "content_type": "application/pdf",
}


@blp.route("/calculations/steam-demand/sheet.pdf")
class SteamDemandSheet(MethodView):
    """What engines take, on paper."""

    @calculating
    @blp.operation("print_steam_demand", Scope.CALCULATE, "calculates")
    @blp.arguments(SheetQuery, location="query")
    @blp.arguments(SteamDemandIn)
    @blp.response(200, **PAPER)
    def post(self, query: dict[str, Any], data: dict[str, Any]) -> Response:
        """Print the steam, mean pressure, power and heat of engines on one pressure."""
        found = reckon_demand(data)
        return _print("Steam demand", found, shown=SteamDemandOut().dump(found), **query)


@blp.route("/calculations/fitting-check/sheet.pdf")
class FittingCheckSheet(MethodView):
    """The check of one joint, on paper."""

    @calculating
    @blp.operation("print_fitting_check", Scope.CALCULATE, "calculates")
    @blp.arguments(SheetQuery, location="query")
    @blp.arguments(FittingCheckIn)
    @blp.response(200, **PAPER)
    def post(self, query: dict[str, Any], data: dict[str, Any]) -> Response:
        """Print whether a male goes into a female, and what carries the joint."""
        found = check_joint(data)
        return _print("Fitting check", found, shown=FITTING_RESULTS.dump(found), **query)


@blp.route("/calculations/steam-balance/sheet.pdf")
class SteamBalanceSheet(MethodView):
    """Where a plant settles, on paper."""

    @calculating
    @blp.operation("print_steam_balance", Scope.CALCULATE, "calculates")
    @blp.arguments(SheetQuery, location="query")
    @blp.arguments(SteamBalanceIn, example=STEAM_BALANCE_EXAMPLE)
    @blp.response(200, **PAPER)
    def post(self, query: dict[str, Any], data: dict[str, Any]) -> Response:
        """Print the pressure and speed at which each engine settles, in every running case."""
        found = find_balance(data)
        return _print("Steam balance", found, shown=BALANCE_RESULTS.dump(found), **query)


@blp.route("/calculations/safety-valve/sheet.pdf")
class SafetyValveSheet(MethodView):
    """A safety valve, on paper."""

    @calculating
    @blp.operation("print_safety_valve", Scope.CALCULATE, "calculates")
    @blp.arguments(SheetQuery, location="query")
    @blp.arguments(ReliefIn, example=RELIEF_EXAMPLE)
    @blp.response(200, **PAPER)
    def post(self, query: dict[str, Any], data: dict[str, Any]) -> Response:
        """Print what a safety valve passes, by three rules, against the steam it must pass."""
        found = check_relief(data)
        return _print("Safety valve", found, shown=ReliefOut().dump(found), **query)


@blp.route("/calculations/distribution-block/sheet.pdf")
class DistributionBlockSheet(MethodView):
    """A distribution block, on paper."""

    @calculating
    @blp.operation("print_distribution_block", Scope.CALCULATE, "calculates")
    @blp.arguments(SheetQuery, location="query")
    @blp.arguments(BlockIn, example=BLOCK_EXAMPLE)
    @blp.response(200, **PAPER)
    def post(self, query: dict[str, Any], data: dict[str, Any]) -> Response:
        """Print the arithmetic of a distribution block."""
        found = plan(data)
        return _print("Distribution block", found, shown=BLOCK_RESULTS.dump(found), **query)


FITTING_RESULTS: Schema = FittingCheckOut(exclude=("remedies", "indexing", "section.picture"))
BALANCE_RESULTS: Schema = SteamBalanceOut(exclude=("cases.soft_inputs",))
BLOCK_RESULTS: Schema = BlockOut(
    exclude=(
        "setting_out",
        "operations",
        "alternatives",
        "refused",
        "walls",
        "drops",
        "section.source",
    )
)


def _print(title: str, found: Any, *, shown: dict[str, Any], reference: str) -> Response:
    """The paper of a calculation: `shown` is its answer as it goes over the wire."""
    reasons = {name: shown.pop(name) for name in ("findings", "workings", "cautions")}
    sheet = CalculationSheet(
        title=title,
        workshop=settings().workshop,
        reference=reference,
        made_on=today(),
        inputs=list_entries(request.get_json()),
        results=list_entries(shown),
        findings=found.findings,
        workings=found.workings,
        cautions=tuple(reasons["cautions"]),
    )
    return Response(typeset_sheet(sheet), mimetype="application/pdf")
