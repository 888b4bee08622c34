"""Commissions over HTTP."""

from typing import Any

from flask import Response, jsonify
from flask.views import MethodView

from service.api.access import reading, session, signed, version_named, writing
from service.api.answers import created, shown
from service.api.blueprint import Blueprint
from service.api.paging import PageQuery, envelope
from service.api.schemas.commissions import (
    CommissionIn,
    CommissionOut,
    CommissionPage,
    CommissionPatch,
    CommissionQuery,
    SummaryOut,
)
from service.api.schemas.plants import PlantIn, PlantOut, PlantPage
from service.records.models import Commission, Scope
from service.records.operations.commissions import (
    create_commission,
    get_commission,
    list_commissions,
    update_commission,
)
from service.records.operations.plants import create_plant, list_plants
from service.records.operations.summaries import Summary, summarise

blp = Blueprint("commissions", __name__, description="The work that was asked for.")


@blp.route("/commissions")
class Commissions(MethodView):
    """All commissions."""

    @reading(Scope.BENCH)
    @blp.operation("list_commissions", Scope.BENCH, "lists")
    @blp.arguments(CommissionQuery, location="query")
    @blp.response(200, CommissionPage)
    def get(self, query: dict[str, Any]) -> Response:
        """List commissions with their totals, newest first."""
        return jsonify(envelope(*list_commissions(session(), **query)))

    @writing(Scope.OWNER)
    @blp.operation("create_commission", Scope.OWNER, "creates")
    @blp.arguments(CommissionIn)
    @blp.response(201, CommissionOut)
    def post(self, data: dict[str, Any]) -> Any:
        """Open a commission."""
        return created(create_commission(session(), signed=signed(), **data))


@blp.route("/commissions/<number:commission_id>")
class OneCommission(MethodView):
    """One commission."""

    @reading(Scope.BENCH)
    @blp.operation("get_commission", Scope.BENCH, "reads")
    @blp.response(200, CommissionOut)
    def get(self, commission_id: int) -> Commission:
        """Read a commission."""
        return shown(get_commission(session(), commission_id))

    @writing(Scope.OWNER)
    @blp.operation("update_commission", Scope.OWNER, "updates")
    @blp.arguments(CommissionPatch)
    @blp.response(200, CommissionOut)
    def patch(self, data: dict[str, Any], commission_id: int) -> Commission:
        """Amend a commission."""
        return shown(
            update_commission(
                session(), commission_id, version=version_named(), signed=signed(), **data
            )
        )


@blp.route("/commissions/<number:commission_id>/summary")
class CommissionSummary(MethodView):
    """Where a commission stands."""

    @reading(Scope.BENCH)
    @blp.operation("get_commission_summary", Scope.BENCH, "reads")
    @blp.response(200, SummaryOut)
    def get(self, commission_id: int) -> Summary:
        """Add a commission up: hours, money, parts, open decisions."""
        return summarise(session(), commission_id)


@blp.route("/commissions/<number:commission_id>/plants")
class CommissionPlants(MethodView):
    """The plants of one commission."""

    @reading(Scope.BENCH)
    @blp.operation("list_plants", Scope.BENCH, "lists")
    @blp.arguments(PageQuery, location="query")
    @blp.response(200, PlantPage)
    def get(self, query: dict[str, Any], commission_id: int) -> dict[str, Any]:
        """List a commission's plants, newest first."""
        return envelope(*list_plants(session(), commission_id, **query))

    @writing(Scope.OWNER)
    @blp.operation("create_plant", Scope.OWNER, "creates")
    @blp.arguments(PlantIn)
    @blp.response(201, PlantOut)
    def post(self, data: dict[str, Any], commission_id: int) -> Any:
        """Enter a plant for a commission."""
        return created(create_plant(session(), commission_id, signed=signed(), **data))
