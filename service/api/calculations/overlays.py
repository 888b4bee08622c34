"""Two threads laid over each other, and what carries their joint."""

from typing import Any

from marshmallow import fields

from service.api.calculation import Calculation, Picture, with_more
from service.api.calculations.joints import EngagementOut, PicturedOverlayOut, show_overlay
from service.api.derive import field_in
from service.api.fields import ThreadIn, Words
from service.api.preferences import measure
from service.api.quantity_fields import DrillIn, QuantityIn, QuantityOut, figures, quantity
from service.api.schemas.base import Asked, Out
from service.api.schemas.calculations import CalculationOut
from service.api.vocabularies import Term
from service.documents.drawing.sheet import Sheet
from service.documents.overlay_picture import draw_profiles
from service.engineering.errors import UnknownMaterial, Unsuitable
from service.engineering.kit import Kit
from service.engineering.materials import find_material, materials
from service.engineering.saying import say
from service.engineering.threads.fit import FemaleEnd, MaleEnd, match_threads
from service.engineering.threads.overlay import Overlay, overlay
from service.engineering.threads.strength import Engagement, engagement
from service.quantities import Kind


class PairIn(Asked):
    """A male and a female thread."""

    male = ThreadIn(required=True)
    female = ThreadIn(required=True)
    drilled = DrillIn(load_default=None)


class OverlayIn(PairIn):
    """Two threads to be laid over each other along a length."""

    engaged_length = QuantityIn(Kind.LENGTH, example="1/4 in", required=True)
    fit = Term("Fit", load_default="basic", metadata={"example": "basic"})


class OverlayCalculationOut(CalculationOut, PicturedOverlayOut):
    """Where two threads foul, and by how much."""


def lay(asked: dict[str, Any], _: Kit) -> dict[str, Any]:
    """The overlay that a request asks for, and how its threads match."""
    lengths = figures(asked, "engaged_length drilled")
    match = match_threads(asked["male"], asked["female"], **lengths)
    return show_overlay(_lay(asked)) | {"findings": match.findings}


def _lay(asked: dict[str, Any]) -> Overlay:
    lengths = figures(asked, "engaged_length drilled")
    return overlay(asked["male"], asked["female"], **lengths, fit=asked["fit"])


def draw_overlay(asked: dict[str, Any], _: Kit, __: dict[str, Any]) -> Sheet:
    """The overlay that a request asks for, drawn."""
    return draw_profiles(_lay(asked), measure=measure())


THREAD_OVERLAY = Calculation(
    name="thread-overlay",
    about="Lay a male over a female: where they foul, by how much, and what play is left.",
    takes=OverlayIn,
    gives=OverlayCalculationOut,
    reckon=lay,
    pictures={"picture": Picture(draw_overlay, about="Draw a male in a female, to scale.")},
)


class EngagementIn(PairIn):
    """A screwed joint to be reckoned; the pressure is gauge, the torque a spanner's."""

    length = QuantityIn(Kind.LENGTH, example="1/4 in", required=True)
    bore = quantity(Kind.LENGTH, "1/8 in", default="0 mm")
    male_material = field_in(MaleEnd, "material", load_default="brass")
    female_material = field_in(FemaleEnd, "material", load_default="brass")
    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    torque = quantity(Kind.TORQUE, "2 N m")


class NeededOut(Out):
    """The engagement wanted with the female of one metal."""

    material = Words(required=True)
    needed_length = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    turns = fields.Float(required=True, allow_none=True)


class EngagementCalculationOut(CalculationOut, EngagementOut):
    """What carries the joint, and the engagement wanted in each metal of the female."""

    needed_in = fields.List(fields.Nested(NeededOut), required=True)


def reckon_engagement(asked: dict[str, Any], _: Kit) -> dict[str, Any]:
    """The engagement of the joint of a request, and that wanted in each metal."""
    for field in ("male_material", "female_material"):
        _require_material(asked[field], field)
    male, female = asked["male"], asked["female"]
    if male.hand != female.hand:
        said = say(male.named, " and ", female.named, " are of opposite hands: nothing engages.")
        raise Unsuitable(said, field="female")
    found = _engage(asked, asked["female_material"])
    needed = [_need(asked, metal.name) for metal in materials()]
    return with_more(found, workings=found.workings, needed_in=needed)


def _engage(asked: dict[str, Any], female_material: str) -> Engagement:
    return engagement(
        asked["male"],
        asked["female"],
        **figures(asked, "length bore drilled torque"),
        male_material=asked["male_material"],
        female_material=female_material,
        pressure=asked["pressure"].si,  # as a gauge shows it: the load on the end of the male
    )


def _require_material(name: str, field: str) -> None:
    """Refuse a metal that the table has not, by the field that names it."""
    try:
        find_material(name)
    except UnknownMaterial as error:
        error.field = field
        raise


def _need(asked: dict[str, Any], female_material: str) -> dict[str, Any]:
    """The engagement wanted with the female of one metal."""
    length = _engage(asked, female_material).needed_length
    return {
        "material": female_material,
        "needed_length": length,
        "turns": None if length is None else length / asked["male"].pitch,
    }


ENGAGEMENT = Calculation(
    name="engagement",
    about="Reckon a joint's shear areas and loads, and the engagement wanted in each metal.",
    takes=EngagementIn,
    gives=EngagementCalculationOut,
    reckon=reckon_engagement,
)
