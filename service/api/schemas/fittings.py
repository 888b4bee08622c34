"""The fitting check on the wire."""

from typing import Any

from marshmallow import fields, validate

from service.api.fields import DrillIn, QuantityIn, QuantityOut, Text, ThreadIn, Words
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import (
    CalculationOut,
    FindingsField,
    show_finding,
    standing_at,
)
from service.api.schemas.steam_fields import si
from service.api.schemas.threads import IndexingOut
from service.documents.section_picture import draw_section
from service.engineering.materials import find_material
from service.engineering.threads.fit import FemaleEnd, MaleEnd, check_female, check_male
from service.quantities import Kind

OWNERS = ["customer", "workshop", "bought"]
FINDINGS = {"type": "array", "items": {"$ref": "#/components/schemas/Finding"}}


class EndIn(In):
    """What both ends of a joint have."""

    thread = ThreadIn(required=True)
    material = Text(longest=60, load_default="brass", metadata={"example": "bronze"})
    owner = fields.String(
        load_default="workshop", validate=validate.OneOf(OWNERS), metadata={"example": "customer"}
    )


def size(example: str) -> QuantityIn:
    """A length that may not have been measured."""
    return QuantityIn(Kind.LENGTH, example=example, load_default=None, allow_none=True)


class MaleIn(EndIn):
    """The male end."""

    length = size("1/4 in")
    bore = size("1/8 in")


class FemaleIn(EndIn):
    """The female end."""

    depth = size("5/16 in")
    boss = size("7/16 in")
    drilled = DrillIn(load_default=None, allow_none=True)


class PointsIn(In):
    """Where the fitting should point and where it stops, clockwise seen from its end."""

    wanted = QuantityIn(Kind.ANGLE, example="90 deg", required=True)
    found = QuantityIn(Kind.ANGLE, example="20 deg", required=True)


class FittingCheckIn(In):
    """A male end and a female end; the pressure is gauge."""

    male = fields.Nested(MaleIn, required=True)
    female = fields.Nested(FemaleIn, required=True)
    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", load_default=None, allow_none=True)
    points = fields.Nested(PointsIn, load_default=None, allow_none=True)


def read_male(end: dict[str, Any]) -> MaleEnd:
    """The male end of a request; a refusal names the field within it."""
    male = MaleEnd(
        thread=end["thread"],
        length=si(end["length"]),
        bore=si(end["bore"]),
        material=end["material"],
        owner=end["owner"],
    )
    with standing_at("male"):
        check_male(male)
        find_material(male.material)
    return male


def read_female(end: dict[str, Any]) -> FemaleEnd:
    """The female end of a request; a refusal names the field within it."""
    female = FemaleEnd(
        thread=end["thread"],
        depth=si(end["depth"]),
        boss=si(end["boss"]),
        drilled=si(end["drilled"]),
        material=end["material"],
        owner=end["owner"],
    )
    with standing_at("female"):
        check_female(female)
        find_material(female.material)
    return female


class SectionOut(Out):
    """The two profiles laid together at basic size."""

    diametral_interference = QuantityOut(Kind.LENGTH, required=True)
    radial_overlap = QuantityOut(Kind.LENGTH, required=True, attribute="radial_interference")
    axial_overlap_per_flank = QuantityOut(Kind.LENGTH, required=True)
    touches = Words(required=True)
    touches_member = Words(required=True)
    play = QuantityOut(Kind.LENGTH, required=True)
    contact_ratio = fields.Float(required=True)
    flank_angle_difference = QuantityOut(Kind.ANGLE, required=True)
    pitch_difference = QuantityOut(Kind.LENGTH, required=True)
    growth_per_turn = QuantityOut(Kind.LENGTH, required=True)
    turns = fields.Float(required=True)
    turns_before_binding = fields.Float(required=True, allow_none=True)
    wedge_depth = QuantityOut(Kind.LENGTH, required=True, allow_none=True)


class PicturedSectionOut(SectionOut):
    """The same with its picture."""

    picture = fields.Function(
        draw_section,
        required=True,
        metadata={"type": "string", "description": "SVG of the two profiles, to scale."},
    )


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
    governing = Words(required=True)
    governing_load = Words(required=True)
    needed_length = QuantityOut(Kind.LENGTH, required=True, allow_none=True)


class StepOut(Out):
    """One step in bench order."""

    number = fields.Integer(required=True)
    text = Words(required=True)
    tool = Words(required=True)
    size = Words(required=True)
    speed_class = Words(required=True)
    minutes = fields.Float(required=True)


class SealingOut(Out):
    """How the joint is sealed, and how hot the seal may get."""

    method = Words(required=True)
    temperature_limit = QuantityOut(Kind.TEMPERATURE, required=True)
    steam_temperature = QuantityOut(Kind.TEMPERATURE, required=True, allow_none=True)
    reversible = fields.Boolean(required=True)
    source = Words(required=True)


class FindingField(fields.Field[Any]):
    """One finding, or null."""

    def _serialize(self, value: Any, *_: Any, **__: Any) -> Any:
        return None if value is None else show_finding(value)


class RemedyOut(Out):
    """One way to make a joint good; a refused one carries the figure that refuses it."""

    kind = Words(required=True)
    what = Words(required=True, attribute="title")
    summary = Words(required=True)
    steps = fields.List(fields.Nested(StepOut), required=True)
    minutes = fields.Float(required=True)
    wall_left = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    metal_checks = FindingsField(required=True, metadata=FINDINGS)
    alters_customers_property = fields.Boolean(required=True)
    decision_wanted = fields.Boolean(required=True)
    reversible = fields.Boolean(required=True)
    sealing = fields.Nested(SealingOut, required=True)
    refused = fields.Boolean(required=True)
    refusal = FindingField(
        required=True, metadata={"type": "object", "description": "a Finding, or null"}
    )


class FittingCheckOut(CalculationOut):
    """The verdict on a joint, and what makes it good, best first."""

    verdict = Words(
        required=True,
        metadata={"enum": ["goes", "goes_with_care", "make_good", "does_not_go"]},
    )
    section = fields.Nested(PicturedSectionOut, required=True, attribute="overlay")
    engagement = fields.Nested(EngagementOut, required=True)
    wall_over_bore = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    boss_wall = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    remedies = fields.List(fields.Nested(RemedyOut), required=True)
    indexing = fields.Nested(IndexingOut, allow_none=True)
