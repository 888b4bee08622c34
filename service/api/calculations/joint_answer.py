"""What is told of a joint: overlay, engagement, remedies, the way it points."""

from typing import Any

from marshmallow import fields

from service.api.calculation import with_more
from service.api.fields import Words
from service.api.preferences import measure, wants_pictures
from service.api.quantity_fields import QuantityOut
from service.api.schemas.base import Out
from service.api.schemas.calculations import (
    FINDING_OR_NONE,
    FINDINGS,
    CalculationOut,
    FindingField,
    FindingsField,
)
from service.api.vocabularies import Term
from service.documents.drawing import write_svg
from service.documents.overlay_picture import draw_profiles
from service.engineering.threads.overlay import Overlay
from service.quantities import Kind


class OverlayOut(Out):
    """The two profiles laid over each other at basic size; pictured where that is preferred."""

    diametral_interference = QuantityOut(Kind.LENGTH, fine=True, required=True)
    radial_overlap = QuantityOut(Kind.LENGTH, fine=True, required=True)
    axial_overlap_per_flank = QuantityOut(Kind.LENGTH, fine=True, required=True)
    touches = Term("Touches", required=True)
    touches_member = Words(required=True)
    play = QuantityOut(Kind.LENGTH, fine=True, required=True)
    contact_ratio = fields.Float(required=True)
    flank_angle_difference = QuantityOut(Kind.ANGLE, required=True)
    pitch_difference = QuantityOut(Kind.LENGTH, fine=True, required=True)
    growth_per_turn = QuantityOut(Kind.LENGTH, fine=True, required=True)
    turns = fields.Float(required=True)
    turns_before_binding = fields.Float(required=True, allow_none=True)
    wedge_depth = QuantityOut(Kind.LENGTH, fine=True, required=True, allow_none=True)


class PicturedOverlayOut(OverlayOut):
    """The same with its picture."""

    picture = Words(metadata={"description": "SVG, to scale; with `Prefer: pictures`."})


class EngagementOut(Out):
    """What carries the joint."""

    turns = fields.Float(required=True)
    shear_area_male = QuantityOut(Kind.AREA, required=True)
    shear_area_female = QuantityOut(Kind.AREA, required=True)
    tensile_area = QuantityOut(Kind.AREA, required=True)
    end_load = QuantityOut(Kind.FORCE, required=True)
    spanner_load = QuantityOut(Kind.FORCE, required=True)
    factor = fields.Float(required=True, allow_none=True)
    spanner_factor = fields.Float(required=True, allow_none=True)
    governing = Term("GoverningPart", required=True)
    governing_load = Term("GoverningLoad", required=True)
    needed_length = QuantityOut(Kind.LENGTH, required=True, allow_none=True)


class StepOut(Out):
    """One step in bench order."""

    number = fields.Integer(required=True)
    text = Words(required=True)
    tool = Words(required=True)
    size = Words(required=True)
    speed_class = Term("SpeedClass", required=True)
    minutes = fields.Float(required=True)


class SealingOut(Out):
    """How the joint is sealed, and how hot the seal may get."""

    method = Words(required=True)
    temperature_limit = QuantityOut(Kind.TEMPERATURE, required=True)
    steam_temperature = QuantityOut(Kind.TEMPERATURE, required=True, allow_none=True)
    reversible = fields.Boolean(required=True)
    source = Words(required=True)


class RemedyOut(Out):
    """One way to make a joint good; a refused one carries the figure that refuses it."""

    kind = Term("RemedyKind", required=True)
    title = Words(required=True)
    summary = Words(required=True)
    steps = fields.List(fields.Nested(StepOut), required=True)
    minutes = fields.Float(required=True)
    wall_left = QuantityOut(Kind.LENGTH, fine=True, required=True, allow_none=True)
    metal_checks = FindingsField(required=True, metadata=FINDINGS)
    alters_customers_property = fields.Boolean(required=True)
    decision_wanted = fields.Boolean(required=True)
    reversible = fields.Boolean(required=True)
    sealing = fields.Nested(SealingOut, required=True)
    refused = fields.Boolean(required=True)
    refusal = FindingField(required=True, allow_none=True, metadata=FINDING_OR_NONE)


class IndexingOut(CalculationOut):
    """The shims or the cut that make it point right."""

    thickness = QuantityOut(Kind.LENGTH, fine=True, required=True)
    stack = fields.List(QuantityOut(Kind.LENGTH, fine=True), required=True)
    points_at = QuantityOut(Kind.ANGLE, required=True)
    error = QuantityOut(Kind.ANGLE, required=True)
    facing_cut = QuantityOut(Kind.LENGTH, fine=True, required=True)
    shim_with_cut = fields.List(QuantityOut(Kind.LENGTH, fine=True), required=True, allow_none=True)
    turns_lost = fields.Float(required=True)
    flats_back = fields.Float(required=True, allow_none=True)


def show_overlay(laid: Overlay) -> dict[str, Any]:
    """The overlay, with its picture where pictures are preferred."""
    if not wants_pictures():
        return with_more(laid)
    return with_more(laid, picture=write_svg(draw_profiles(laid, measure=measure())))
