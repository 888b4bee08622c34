"""Screwed joints: does it go, what fouls, what carries it, and which way does it point."""

from collections.abc import Callable
from typing import Any

from marshmallow import fields

from service.api.calculation import Calculation, Picture, with_more
from service.api.derive import part_of, schema_in, schema_out
from service.api.fields import ThreadIn, Whole, Words
from service.api.preferences import measure, wants_pictures
from service.api.quantity_fields import DrillIn, QuantityIn, figures, quantity
from service.api.schemas.base import Asked, Many
from service.api.schemas.calculations import (
    FINDING_OR_NONE,
    FINDINGS,
    CalculationOut,
    FindingField,
    Reasons,
    show_finding,
    standing_at,
)
from service.documents.drawing.sheet import Sheet
from service.documents.drawing.writing import write_svg
from service.documents.overlay_picture import draw_profiles
from service.engineering.kit import Kit
from service.engineering.materials import find_material
from service.engineering.saturation import saturation_temperature
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd, check_female, check_male
from service.engineering.threads.joint import (
    POINTING_TOLERANCE,
    FittingCheck,
    Indexing,
    check_fitting,
    index_fitting,
)
from service.engineering.threads.overlay import Overlay, overlay
from service.engineering.threads.remedies import Remedy, Step
from service.engineering.threads.strength import Engagement
from service.quantities import Kind, read_given


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
        metal_checks=Reasons(show_finding, metadata=FINDINGS),
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


MOST_SHIMS = 24


class IndexingIn(Asked):
    """Where a fitting stops and where it should point; angles clockwise from the fitting's end."""

    thread = ThreadIn(required=True)
    found = QuantityIn(Kind.ANGLE, example="20 deg", required=True)
    wanted = QuantityIn(Kind.ANGLE, example="110 deg", required=True)
    shims = Many(
        QuantityIn(Kind.LENGTH, example="0.05 mm"),
        1,
        MOST_SHIMS,
        load_default=None,
        metadata={
            "description": "Thicknesses on hand; without any the workshop's own table.",
            "example": ["0.05 mm", "0.1 mm", "0.2 mm", "0.5 mm"],
        },
    )
    tolerance = quantity(Kind.ANGLE, "5 deg", default="5 deg")
    crush = quantity(Kind.LENGTH, "0.02 mm", default="0 mm")
    flats = Whole(load_default=None, metadata={"example": 6})


def reckon_indexing(asked: dict[str, Any], kit: Kit) -> Indexing:
    """The shims or the cut that make the fitting of a request point as wanted."""
    return index_fitting(
        asked["thread"],
        **figures(asked, "found wanted tolerance crush"),
        shims=[shim.si for shim in asked["shims"]] if asked["shims"] else kit.shims,
        flats=asked["flats"],
    )


INDEXING = Calculation(
    name="indexing",
    about="Find the shims or the facing cut that make a fitting point as wanted.",
    takes=IndexingIn,
    gives=IndexingOut,
    reckon=reckon_indexing,
)


class PointsIn(Asked):
    """Where the fitting should point and where it stops, clockwise seen from its end."""

    wanted = QuantityIn(Kind.ANGLE, example="90 deg", required=True)
    found = QuantityIn(Kind.ANGLE, example="20 deg", required=True)


MaleEndIn = schema_in(MaleEnd, makes=False)


FemaleEndIn = schema_in(FemaleEnd, instead={"drilled": DrillIn(allow_none=True)}, makes=False)


class FittingCheckIn(Asked):
    """A male end and a female end; the pressure is gauge."""

    male = fields.Nested(MaleEndIn, required=True)
    female = fields.Nested(FemaleEndIn, required=True)
    pressure = quantity(Kind.PRESSURE, "60 psi")
    points = fields.Nested(PointsIn, load_default=None)


class FittingCheckOut(
    schema_out(
        FittingCheck,
        "verdict overlay engagement wall_over_bore boss_wall remedies indexing",
        fine="wall_over_bore boss_wall",
        overlay=PicturedOverlayOut,
        engagement=EngagementOut,
        remedies=RemedyOut,
        indexing=fields.Nested(IndexingOut, allow_none=True),
    ),
    CalculationOut,
):
    """The verdict on a joint, and what makes it good, best first."""


def check_joint(asked: dict[str, Any], kit: Kit) -> dict[str, Any]:
    """The check of the joint of a request, and its indexing where that was asked."""
    pressure = asked["pressure"].absolute if asked["pressure"] else None
    check: FittingCheck = check_fitting(
        read_end(asked, "male"),
        read_end(asked, "female"),
        pressure=pressure,
        steam_temperature=None if pressure is None else saturation_temperature(pressure),
        kit=kit,
    )
    return with_more(
        check,
        overlay=show_overlay(check.overlay),
        indexing=_index(asked["male"]["thread"], asked["points"], kit),
    )


def read_end(asked: dict[str, Any], side: str) -> Any:
    """The male or the female end of a request; a refusal names the field within it."""
    kind, check = _ENDS[side]
    with standing_at(side):
        end: Any = read_given(kind, asked[side])
        check(end)
        find_material(end.material)
    return end


_ENDS: dict[str, tuple[type, Callable[[Any], object]]] = {
    "male": (MaleEnd, check_male),
    "female": (FemaleEnd, check_female),
}


def _index(thread: Thread, points: dict[str, Any] | None, kit: Kit) -> Indexing | None:
    if points is None:
        return None
    angles = figures(points, "found wanted")
    return index_fitting(thread, **angles, shims=kit.shims, tolerance=POINTING_TOLERANCE)


def draw_joint(asked: dict[str, Any], _: Kit, __: dict[str, Any]) -> Sheet:
    """The two profiles of the joint of a request, laid over each other."""
    male, female = read_end(asked, "male"), read_end(asked, "female")
    length = min([end for end in (male.length, female.depth) if end] or [male.thread.pitch * 5])
    laid = overlay(male.thread, female.thread, engaged_length=length, drilled=female.drilled)
    return draw_profiles(laid, measure=measure())


FITTING_CHECK = Calculation(
    name="fitting-check",
    about="Tell whether a male goes into a female, and what makes it good.",
    takes=FittingCheckIn,
    gives=FittingCheckOut,
    reckon=check_joint,
    pictures={"picture": Picture(draw_joint, about="Draw a male in a female, to scale.")},
    leave_out_of_sheet=("remedies", "indexing"),
)
