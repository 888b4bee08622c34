"""What is told of a joint: overlay, engagement, remedies, the way it points."""

from typing import Any

from service.api.calculation import with_more
from service.api.derive import part_of, schema_out
from service.api.fields import Words
from service.api.preferences import measure, wants_pictures
from service.api.schemas.calculations import (
    FINDING_OR_NONE,
    FINDINGS,
    CalculationOut,
    FindingField,
    FindingsField,
)
from service.documents.drawing import write_svg
from service.documents.overlay_picture import draw_profiles
from service.engineering.threads.joint import Indexing
from service.engineering.threads.overlay import Overlay
from service.engineering.threads.remedies import Remedy, Step
from service.engineering.threads.strength import Engagement


class OverlayOut(
    schema_out(
        Overlay,
        "diametral_interference radial_overlap axial_overlap_per_flank touches touches_member play"
        " contact_ratio flank_angle_difference pitch_difference growth_per_turn turns"
        " turns_before_binding wedge_depth",
        fine="diametral_interference radial_overlap axial_overlap_per_flank play pitch_difference"
        " growth_per_turn wedge_depth",
    )
):
    """The two profiles laid over each other at basic size; pictured where that is preferred."""


class PicturedOverlayOut(OverlayOut):
    """The same with its picture."""

    picture = Words(metadata={"description": "SVG, to scale; with `Prefer: pictures`."})


class EngagementOut(
    schema_out(
        Engagement,
        "turns shear_area_male shear_area_female tensile_area end_load spanner_load factor"
        " spanner_factor governing governing_load needed_length",
    )
):
    """What carries the joint."""


class StepOut(schema_out(Step, "number text tool size speed_class minutes")):
    """One step in bench order."""


class SealingOut(
    schema_out(
        part_of(Remedy, "sealing"), "method temperature_limit steam_temperature reversible source"
    )
):
    """How the joint is sealed, and how hot the seal may get."""


class RemedyOut(
    schema_out(
        Remedy,
        "kind title summary steps minutes wall_left metal_checks alters_customers_property"
        " decision_wanted reversible sealing refused refusal",
        fine="wall_left",
        steps=StepOut,
        metal_checks=FindingsField(required=True, metadata=FINDINGS),
        sealing=SealingOut,
        refusal=FindingField(required=True, allow_none=True, metadata=FINDING_OR_NONE),
    )
):
    """One way to make a joint good; a refused one carries the figure that refuses it."""


class IndexingOut(
    schema_out(
        Indexing,
        "thickness stack points_at error facing_cut shim_with_cut turns_lost flats_back",
        fine="thickness stack facing_cut shim_with_cut",
    ),
    CalculationOut,
):
    """The shims or the cut that make it point right."""


def show_overlay(laid: Overlay) -> dict[str, Any]:
    """The overlay, with its picture where pictures are preferred."""
    if not wants_pictures():
        return with_more(laid)
    return with_more(laid, picture=write_svg(draw_profiles(laid, measure=measure())))
