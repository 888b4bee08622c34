"""Two threads laid together, and the engagement that carries them, over HTTP."""

from dataclasses import fields
from typing import Any

from flask import Response
from flask.views import MethodView

from service.api.access import calculating
from service.api.blueprint import Blueprint
from service.api.schemas.sections import (
    ENGAGEMENT_EXAMPLE,
    SECTION_EXAMPLE,
    EngagementCalculationOut,
    EngagementIn,
    SectionCalculationOut,
    SectionIn,
)
from service.api.schemas.steam_fields import si
from service.documents.section_picture import draw_section
from service.engineering.errors import UnknownMaterial
from service.engineering.materials import find_material, materials
from service.engineering.threads.fit import match_threads
from service.engineering.threads.overlay import Overlay, overlay
from service.engineering.threads.strength import Engagement, engagement
from service.records.models import Scope

blp = Blueprint("sections", __name__, description="Threads laid together, and what carries them.")


def lay(data: dict[str, Any]) -> Overlay:
    """The overlay that a request asks for."""
    return overlay(
        data["male"],
        data["female"],
        engaged_length=data["engaged_length"].si,
        drilled=si(data["drilled"]),
        fit=data["fit"],
    )


@blp.route("/calculations/thread-section")
class SectionCalculation(MethodView):
    """Two threads laid together."""

    @calculating
    @blp.operation("lay_threads_together", Scope.CALCULATE, "calculates")
    @blp.arguments(SectionIn, example=SECTION_EXAMPLE)
    @blp.response(200, SectionCalculationOut)
    def post(self, data: dict[str, Any]) -> dict[str, Any]:
        """Lay a male into a female: where they foul, by how much, and what play is left."""
        laid = lay(data)
        match = match_threads(
            data["male"],
            data["female"],
            engaged_length=data["engaged_length"].si,
            drilled=si(data["drilled"]),
        )
        members = {member.name: getattr(laid, member.name) for member in fields(Overlay)}
        return {**members, "picture": draw_section(laid), "findings": match.findings}


@blp.route("/calculations/thread-section/picture.svg")
class SectionPicture(MethodView):
    """Two threads drawn together."""

    @calculating
    @blp.operation("draw_thread_section", Scope.CALCULATE, "calculates")
    @blp.arguments(SectionIn, example=SECTION_EXAMPLE)
    @blp.response(200, {"type": "string"}, content_type="image/svg+xml")
    def post(self, data: dict[str, Any]) -> Response:
        """Draw a male in a female, to scale."""
        return Response(draw_section(lay(data)), mimetype="image/svg+xml")


@blp.route("/calculations/engagement")
class EngagementCalculation(MethodView):
    """What carries a screwed joint."""

    @calculating
    @blp.operation("calculate_engagement", Scope.CALCULATE, "calculates")
    @blp.arguments(EngagementIn, example=ENGAGEMENT_EXAMPLE)
    @blp.response(200, EngagementCalculationOut)
    def post(self, data: dict[str, Any]) -> dict[str, Any]:
        """Reckon a joint's shear areas and loads, and the engagement wanted in each metal."""
        asked = reckon(data, data["female_material"])
        members = {member.name: getattr(asked, member.name) for member in fields(Engagement)}
        return {**members, "needed_in": [need(data, metal.name) for metal in materials()]}


def reckon(data: dict[str, Any], female_material: str) -> Engagement:
    """The joint of a request with its female of a metal; a metal that is not known is named."""
    for field in ("male_material", "female_material"):
        require_material(data[field], field)
    return engagement(
        data["male"],
        data["female"],
        length=data["length"].si,
        bore=data["bore"].si,
        drilled=si(data["drilled"]),
        male_material=data["male_material"],
        female_material=female_material,
        pressure=data["pressure"].si,
        torque=si(data["torque"]),
    )


def require_material(name: str, field: str) -> None:
    """Refuse a metal that the table has not, by the field that names it."""
    try:
        find_material(name)
    except UnknownMaterial as error:
        error.field = field
        raise


def need(data: dict[str, Any], female_material: str) -> dict[str, Any]:
    """The engagement wanted with the female of one metal."""
    length = reckon(data, female_material).needed_length
    return {
        "material": female_material,
        "needed_length": length,
        "turns": None if length is None else length / data["male"].pitch,
    }
