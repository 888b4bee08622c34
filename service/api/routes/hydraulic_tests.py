"""The regimes of cold-water tests over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import reading
from service.api.blueprint import Blueprint
from service.api.calculations.shells import RegimeOut
from service.api.paging import envelope
from service.api.schemas.base import page_of
from service.engineering.steam.shell import list_regimes
from service.records.models import Scope

blp = Blueprint("hydraulic tests", __name__, description="Regimes of cold-water tests.")


@blp.route("/hydraulic-tests")
class Regimes(MethodView):
    """The regimes that are offered."""

    @reading(Scope.CALCULATE)
    @blp.operation("list_hydraulic_tests", Scope.CALCULATE, "lists")
    @blp.response(200, page_of(RegimeOut, "RegimePage"))
    def get(self) -> dict[str, Any]:
        """List the cold-water test regimes offered, each with its source and edition."""
        return envelope(list(list_regimes()), None)
