"""Adapters and their drawings over HTTP."""

from typing import TYPE_CHECKING, Any

from flask import Response
from flask.views import MethodView

from service.api.access import calculating
from service.api.blueprint import Blueprint
from service.api.schemas.adapters import ADAPTER_EXAMPLE, AdapterIn, AdapterOut, read_end
from service.engineering.threads.remedies import AdapterPlan, plan_adapter
from service.records.models import Scope

if TYPE_CHECKING:
    from service.documents.adapter_drawing import AdapterDrawing

blp = Blueprint("adapters", __name__, description="Adapters and nipples, worked out and drawn.")


def plan(data: dict[str, Any]) -> AdapterPlan:
    """The adapter that a request asks for."""
    material = data["material"]
    return plan_adapter(
        read_end(data["a"], material),
        read_end(data["b"], material),
        bore=data["bore"].si,
        material=material,
    )


def draw(data: dict[str, Any]) -> "AdapterDrawing":
    """The adapter that a request asks for, drawn."""
    # The drawing library costs a third of a second and 20 MB: loaded for a drawing only.
    from service.documents.adapter_drawing import draw_adapter

    return draw_adapter(plan(data), title=data["title"])


@blp.route("/calculations/adapter")
class AdapterCalculation(MethodView):
    """An adapter worked out."""

    @calculating
    @blp.operation("plan_adapter", Scope.CALCULATE, "calculates")
    @blp.arguments(AdapterIn, example=ADAPTER_EXAMPLE)
    @blp.response(200, AdapterOut)
    def post(self, data: dict[str, Any]) -> AdapterPlan:
        """Work out an adapter: bar, lengths, undercuts, drilling, threading order, minutes."""
        return plan(data)


@blp.route("/calculations/adapter/drawing.svg")
class AdapterPicture(MethodView):
    """An adapter drawn for the eye."""

    @calculating
    @blp.operation("draw_adapter_svg", Scope.CALCULATE, "calculates")
    @blp.arguments(AdapterIn, example=ADAPTER_EXAMPLE)
    @blp.response(200, {"type": "string"}, content_type="image/svg+xml")
    def post(self, data: dict[str, Any]) -> Response:
        """Draw an adapter as SVG, dimensioned, with its table of operations."""
        drawing = draw(data)
        return Response(drawing.svg, mimetype="image/svg+xml")


@blp.route("/calculations/adapter/drawing.dxf")
class AdapterDxf(MethodView):
    """An adapter drawn for a drawing program."""

    @calculating
    @blp.operation("draw_adapter_dxf", Scope.CALCULATE, "calculates")
    @blp.arguments(AdapterIn, example=ADAPTER_EXAMPLE)
    @blp.response(200, {"type": "string", "format": "binary"}, content_type="image/vnd.dxf")
    def post(self, data: dict[str, Any]) -> Response:
        """Draw an adapter as DXF."""
        drawing = draw(data)
        return Response(drawing.dxf, mimetype="image/vnd.dxf")
