"""Screwed joints: does it go, what fouls, what carries it, and which way does it point."""

from typing import Any

from marshmallow import fields

from service.api.calculation import Calculation, Picture, with_more
from service.api.calculations.joint_answer import (
    EngagementOut,
    IndexingOut,
    PicturedOverlayOut,
    RemedyOut,
    show_overlay,
)
from service.api.derive import schema_in, schema_out
from service.api.preferences import measure
from service.api.quantity_fields import DrillIn, QuantityIn, quantity
from service.api.schemas.base import Asked
from service.api.schemas.calculations import (
    CalculationOut,
    standing_at,
)
from service.documents.drawing import Sheet
from service.documents.overlay_picture import draw_profiles
from service.engineering.kit import Kit
from service.engineering.materials import find_material
from service.engineering.saturation import saturation_temperature
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import (
    FemaleEnd,
    MaleEnd,
    check_female,
    check_male,
)
from service.engineering.threads.joint import (
    POINTING_TOLERANCE,
    FittingCheck,
    Indexing,
    check_fitting,
    index_fitting,
)
from service.engineering.threads.overlay import overlay
from service.quantities import Kind, read_given


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
        read_male(asked["male"]),
        read_female(asked["female"]),
        pressure=pressure,
        steam_temperature=None if pressure is None else saturation_temperature(pressure),
        kit=kit,
    )
    return with_more(
        check,
        overlay=show_overlay(check.overlay),
        indexing=_index(asked["male"]["thread"], asked["points"], kit),
    )


def read_male(end: dict[str, Any]) -> MaleEnd:
    """The male end of a request; a refusal names the field within it."""
    with standing_at("male"):
        male = read_given(MaleEnd, end)
        check_male(male)
        find_material(male.material)
    return male


def read_female(end: dict[str, Any]) -> FemaleEnd:
    """The female end of a request; a refusal names the field within it."""
    with standing_at("female"):
        female = read_given(FemaleEnd, end)
        check_female(female)
        find_material(female.material)
    return female


def _index(thread: Thread, points: dict[str, Any] | None, kit: Kit) -> Indexing | None:
    if points is None:
        return None
    return index_fitting(
        thread,
        found=points["found"].si,
        wanted=points["wanted"].si,
        shims=kit.shims,
        tolerance=POINTING_TOLERANCE,
    )


def draw_joint(asked: dict[str, Any], _: Kit, __: dict[str, Any]) -> Sheet:
    """The two profiles of the joint of a request, laid over each other."""
    male, female = read_male(asked["male"]), read_female(asked["female"])
    length = min([end for end in (male.length, female.depth) if end] or [male.thread.pitch * 5])
    laid = overlay(male.thread, female.thread, engaged_length=length, drilled=female.drilled)
    return draw_profiles(laid, measure=measure())


FITTING_CHECK = Calculation(
    name="fitting-check",
    about="Tell whether a male goes into a female, and what makes it good.",
    takes=FittingCheckIn,
    gives=FittingCheckOut,
    reckon=check_joint,
    example={
        "male": {
            "thread": "1/4-40 UNS",
            "length": "1/4 in",
            "bore": "1/8 in",
            "material": "bronze",
            "owner": "customer",
        },
        "female": {
            "thread": "1/4 x 40 ME",
            "depth": "5/16 in",
            "boss": "7/16 in",
            "drilled": "7/32 in",
            "material": "brass",
            "owner": "workshop",
        },
        "pressure": "60 psi",
        "points": {"wanted": "90 deg", "found": "20 deg"},
    },
    pictures={"picture": Picture(draw_joint, about="Draw a male in a female, to scale.")},
    leave_out_of_sheet=("remedies", "indexing"),
)
