"""Two threads laid together, and the engagement that carries them, on the wire."""

from typing import Any

from marshmallow import fields, validate

from service.api.fields import DrillIn, QuantityIn, QuantityOut, Text, ThreadIn, Words
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import CalculationOut
from service.api.schemas.fittings import EngagementOut, SectionOut
from service.quantities import Kind, parse

FITS = ["basic", "tightest", "middle", "loosest"]


class PairIn(In):
    """A male and a female thread."""

    male = ThreadIn(required=True)
    female = ThreadIn(required=True)
    drilled = DrillIn(load_default=None, allow_none=True)


class SectionIn(PairIn):
    """Two threads to be laid together over a length."""

    engaged_length = QuantityIn(Kind.LENGTH, example="1/4 in", required=True)
    fit = fields.String(
        load_default="basic",
        validate=validate.OneOf(FITS),
        metadata={
            "description": "basic sizes, the largest male in the smallest female, the middle of "
            "the limits, or the smallest male in the largest female",
            "example": "basic",
        },
    )


SECTION_EXAMPLE: dict[str, Any] = {
    "male": "1/4-40 UNS",
    "female": "1/4 x 40 ME",
    "engaged_length": "1/4 in",
    "fit": "basic",
}


class SectionCalculationOut(CalculationOut, SectionOut):
    """Where two threads foul, and by how much."""

    picture = Words(required=True, metadata={"description": "SVG, to scale."})


class EngagementIn(PairIn):
    """A screwed joint to be reckoned; the pressure is gauge, the torque a spanner's."""

    length = QuantityIn(Kind.LENGTH, example="1/4 in", required=True)
    bore = QuantityIn(Kind.LENGTH, example="1/8 in", load_default=parse("0 mm", Kind.LENGTH))
    male_material = Text(longest=60, load_default="brass", metadata={"example": "bronze"})
    female_material = Text(longest=60, load_default="brass", metadata={"example": "brass"})
    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    torque = QuantityIn(Kind.TORQUE, example="2 N m", load_default=None, allow_none=True)


ENGAGEMENT_EXAMPLE: dict[str, Any] = {
    "male": "1/4 x 40 ME",
    "female": "1/4 x 40 ME",
    "drilled": "7/32 in",
    "length": "1/4 in",
    "bore": "1/8 in",
    "male_material": "bronze",
    "female_material": "brass",
    "pressure": "60 psi",
}


class NeededOut(Out):
    """The engagement wanted with the female of one metal."""

    material = Words(required=True)
    needed_length = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    turns = fields.Float(required=True, allow_none=True)


class EngagementCalculationOut(CalculationOut, EngagementOut):
    """What carries the joint, and the engagement wanted in each metal of the female."""

    needed_in = fields.List(fields.Nested(NeededOut), required=True)
