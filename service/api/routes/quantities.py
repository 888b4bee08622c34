"""A quantity read and shown back over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import calculating
from service.api.blueprint import Blueprint
from service.api.schemas.quantities import QuantityReadIn, QuantityReadOut, read
from service.quantities import Kind, describe, nearest_64th, nearest_drill_text
from service.records.models import Scope

blp = Blueprint("quantities", __name__, description="Workshop notation, read and shown back.")


@blp.route("/calculations/quantity")
class QuantityReading(MethodView):
    """A quantity read."""

    @calculating
    @blp.operation("read_quantity", Scope.CALCULATE, "calculates")
    @blp.arguments(QuantityReadIn)
    @blp.response(200, QuantityReadOut)
    def post(self, data: dict[str, Any]) -> dict[str, Any]:
        """Read a text in workshop notation; of a length give the nearest 1/64 in and drill."""
        quantity = read(data["text"], data["kind"])
        is_hole = data["kind"] is Kind.LENGTH and quantity.value > 0
        return {
            **describe(quantity),
            "nearest_64th": nearest_64th(quantity.value) if is_hole else None,
            "nearest_drill": nearest_drill_text(quantity.value) if is_hole else None,
            "findings": (),
            "workings": (),
        }
