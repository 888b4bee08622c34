"""The distribution block over HTTP: planned, and drawn."""

from dataclasses import fields as members_of
from typing import Any

from flask import Response
from flask.views import MethodView

from service.api.access import calculating, settings, today
from service.api.blueprint import Blueprint
from service.api.schemas.blocks import (
    BLOCK_EXAMPLE,
    BlockIn,
    BlockOut,
    read_block_request,
    standing_at_port,
)
from service.documents.block_drawing import (
    DrawingTitle,
    draw_block_dxf,
    draw_block_pdf,
    draw_block_svg,
)
from service.engineering.block import BlockPlan, plan_block
from service.records.models import Scope

blp = Blueprint("blocks", __name__, description="The distribution block: planned and drawn.")


@blp.route("/calculations/distribution-block")
class DistributionBlock(MethodView):
    """A distribution block planned."""

    @calculating
    @blp.operation("plan_distribution_block", Scope.CALCULATE, "calculates")
    @blp.arguments(BlockIn, example=BLOCK_EXAMPLE)
    @blp.response(200, BlockOut)
    def post(self, data: dict[str, Any]) -> dict[str, Any]:
        """Find the smallest bar with thread and bore enough, and say how the block is made."""
        return show_block(plan(data))


@blp.route("/calculations/distribution-block/drawing.svg")
class DistributionBlockPicture(MethodView):
    """A distribution block drawn for the eye."""

    @calculating
    @blp.operation("draw_distribution_block_svg", Scope.CALCULATE, "calculates")
    @blp.arguments(BlockIn, example=BLOCK_EXAMPLE)
    @blp.response(200, {"type": "string"}, content_type="image/svg+xml")
    def post(self, data: dict[str, Any]) -> Response:
        """Draw a distribution block as SVG: views, sections, hole table, title block."""
        drawn = draw_block_svg(plan(data), title=_title(data))
        return Response(drawn, mimetype="image/svg+xml")


@blp.route("/calculations/distribution-block/drawing.dxf")
class DistributionBlockDxf(MethodView):
    """A distribution block drawn for a drawing program."""

    @calculating
    @blp.operation("draw_distribution_block_dxf", Scope.CALCULATE, "calculates")
    @blp.arguments(BlockIn, example=BLOCK_EXAMPLE)
    @blp.response(200, {"type": "string", "format": "binary"}, content_type="image/vnd.dxf")
    def post(self, data: dict[str, Any]) -> Response:
        """Draw a distribution block as DXF, true to size."""
        drawn = draw_block_dxf(plan(data), title=_title(data))
        return Response(drawn, mimetype="image/vnd.dxf")


@blp.route("/calculations/distribution-block/drawing.pdf")
class DistributionBlockPaper(MethodView):
    """A distribution block drawn on paper."""

    @calculating
    @blp.operation("draw_distribution_block_pdf", Scope.CALCULATE, "calculates")
    @blp.arguments(BlockIn, example=BLOCK_EXAMPLE)
    @blp.response(200, {"type": "string", "format": "binary"}, content_type="application/pdf")
    def post(self, data: dict[str, Any]) -> Response:
        """Draw a distribution block as a PDF sheet."""
        drawn = draw_block_pdf(plan(data), title=_title(data))
        return Response(drawn, mimetype="application/pdf")


def plan(data: dict[str, Any]) -> BlockPlan:
    """The block that a request asks for."""
    request = read_block_request(data)
    with standing_at_port(request):
        return plan_block(request, sections=data["sections"])


def show_block(found: BlockPlan) -> dict[str, Any]:
    """A plan with each drop under the letter of its hole."""
    letters = [hole.letter for hole in found.setting_out]
    drops = [
        {
            "hole": letters[drop.port],
            "case": drop.case,
            "flow": drop.flow,
            "drop": drop.drop,
            "velocity": drop.velocity,
        }
        for drop in found.drops
    ]
    return {member.name: getattr(found, member.name) for member in members_of(found)} | {
        "drops": drops
    }


def _title(data: dict[str, Any]) -> DrawingTitle:
    return DrawingTitle(
        title=data["title"],
        workshop=settings().workshop,
        number=data["number"],
        reference=data["reference"],
        drawn_on=today(),
    )
