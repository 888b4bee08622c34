"""Steam passages over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import calculating
from service.api.blueprint import Blueprint
from service.api.schemas.passages import PASSAGE_EXAMPLE, PassageIn, PassageOut
from service.engineering.steam.passages import PassageFlow, flow_through, pressure_after
from service.records.models import Scope

blp = Blueprint("passages", __name__, description="Passages: what bores, valves and bends pass.")


@blp.route("/calculations/passage")
class PassageCalculation(MethodView):
    """One line of bores, valves and bends."""

    @calculating
    @blp.operation("calculate_passage", Scope.CALCULATE, "calculates")
    @blp.arguments(PassageIn, example=PASSAGE_EXAMPLE)
    @blp.response(200, PassageOut)
    def post(self, data: dict[str, Any]) -> PassageFlow:
        """Find the flow of steam through a line, or the pressure that is left after it."""
        elements, pressure = data["elements"], data["pressure"].absolute
        if data["flow"] is not None:
            return pressure_after(
                elements, pressure=pressure, flow=data["flow"].si, pulsation=data["pulsation"]
            )
        return flow_through(
            elements,
            pressure=pressure,
            outlet_pressure=data["outlet_pressure"].absolute,
            pulsation=data["pulsation"],
        )
