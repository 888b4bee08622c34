"""Thread calculations on the wire."""

from typing import Any, ClassVar

from marshmallow import ValidationError, fields, validate, validates_schema

from service.api.fields import (
    DrillIn,
    Number,
    QuantityIn,
    QuantityOut,
    Text,
    ThreadIn,
    Whole,
    Words,
)
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import CalculationOut
from service.engineering.constants import INCH
from service.engineering.threads.catalogue import families
from service.engineering.threads.identify import Measurement
from service.quantities import Kind, parse
from service.records.models import Gender

MOST_SHIMS = 24


def length(example: str, **kwargs: Any) -> QuantityIn:
    """A length coming in."""
    return QuantityIn(Kind.LENGTH, example=example, **kwargs)


class ThreadCalculationIn(In):
    """A thread, and a drill to judge for it if wanted."""

    thread = ThreadIn(required=True)
    drill = DrillIn(load_default=None, allow_none=True)
    material = Text(longest=60, load_default="brass", metadata={"example": "brass"})


class TappingDrillOut(Out):
    """A tapping drill and the depth of thread it leaves."""

    drill = Words(required=True, attribute="drill.name")
    diameter = QuantityOut(Kind.LENGTH, required=True, attribute="drill.diameter")
    depth_percent = fields.Float(required=True)
    basis = Words(required=True)
    below_core = fields.Boolean(required=True)
    reason = Words()


class DrilledOut(Out):
    """What the drill that was asked about leaves."""

    diameter = QuantityOut(Kind.LENGTH, required=True)
    depth_percent = fields.Float(required=True)
    basis = Words(required=True)
    other_bases = fields.Dict(keys=Words(), values=fields.Float())


class SmallEndOut(Out):
    """A taper thread at its small end."""

    major_diameter = QuantityOut(Kind.LENGTH, required=True)
    effective_diameter = QuantityOut(Kind.LENGTH, required=True)
    core_diameter = QuantityOut(Kind.LENGTH, required=True)


class ThreadCalculationOut(CalculationOut):
    """A thread's geometry; a taper thread's diameters are those of the gauge plane."""

    designation = Words(required=True, attribute="thread.designation")
    family = Words(required=True, attribute="thread.family")
    included_angle = QuantityOut(Kind.ANGLE, required=True, attribute="thread.form.included_angle")
    pitch = QuantityOut(Kind.LENGTH, required=True, attribute="thread.pitch")
    threads_per_inch = fields.Float(
        required=True, allow_none=True, attribute="thread.threads_per_inch"
    )
    taper = fields.Float(required=True, attribute="thread.taper")
    major_diameter = QuantityOut(Kind.LENGTH, required=True, attribute="thread.major_diameter")
    effective_diameter = QuantityOut(
        Kind.LENGTH, required=True, attribute="thread.effective_diameter"
    )
    core_diameter = QuantityOut(Kind.LENGTH, required=True, attribute="thread.core_diameter")
    root_diameter = QuantityOut(Kind.LENGTH, required=True, attribute="thread.root_diameter")
    depth = QuantityOut(Kind.LENGTH, required=True, attribute="thread.internal_depth")
    at_small_end = fields.Nested(SmallEndOut, allow_none=True)
    tapping_drills = fields.List(fields.Nested(TappingDrillOut), required=True)
    drilled = fields.Nested(DrilledOut, allow_none=True)


class IdentifyIn(In):
    """What was measured at the bench.

    The pitch is known by `threads_per_inch` or `pitch` from a gauge, or by a `count` of threads
    `over` a length; a taper by a second diameter measured `apart` from the first.
    """

    EXAMPLE: ClassVar[dict[str, Any]] = {
        "gender": "male", "diameter": "6.28 mm", "caliper_error": "0.03 mm", "threads_per_inch": 40,
    }  # fmt: skip

    gender = fields.Enum(
        Gender, by_value=True, load_default=Gender.MALE, metadata={"example": "male"}
    )
    diameter = length("6.28 mm", required=True)
    caliper_error = length("0.03 mm", load_default=None, allow_none=True)
    threads_per_inch = Number(
        load_default=None,
        allow_none=True,
        validate=validate.Range(3, 100),
        metadata={"example": 40},
    )
    pitch = length("0.64 mm", load_default=None, allow_none=True)
    count = Number(load_default=None, allow_none=True, validate=validate.Range(1, 500))
    over = length("1/2 in", load_default=None, allow_none=True)
    included_angle = QuantityIn(Kind.ANGLE, example="55 deg", load_default=None, allow_none=True)
    second_diameter = length("6.1 mm", load_default=None, allow_none=True)
    apart = length("5 mm", load_default=None, allow_none=True)
    wear = length("0.05 mm", load_default=None, allow_none=True)

    @validates_schema
    def check_pairs(self, data: dict[str, Any], **_: Any) -> None:
        """One way to know the pitch, and both halves of whatever comes in two halves."""
        ways = [name for name in ("threads_per_inch", "pitch", "count") if data.get(name)]
        if len(ways) > 1:
            raise ValidationError("Give the pitch in one way only.", ways[1])
        for one, other in (("count", "over"), ("second_diameter", "apart")):
            if bool(data.get(one)) != bool(data.get(other)):
                missing = other if data.get(one) else one
                raise ValidationError(f"{one} and {other} go together.", missing)


def read_measurement(data: dict[str, Any]) -> Measurement:
    """The measurement of a request; what was not given keeps the bench's usual error."""
    given = {name: data[name] for name in _MEASURED if data[name] is not None}
    lengths = {name: value if name == "count" else value.si for name, value in given.items()}
    if data["threads_per_inch"] is not None:
        lengths["pitch"] = INCH / data["threads_per_inch"]
    return Measurement(gender=data["gender"].value, **lengths)


_MEASURED = (
    "diameter", "caliper_error", "pitch", "count", "over", "included_angle", "second_diameter",
    "apart", "wear",
)  # fmt: skip


class CandidateOut(Out):
    """A thread that would measure so."""

    designation = Words(required=True, attribute="thread.designation")
    family = Words(required=True, attribute="thread.family")
    likelihood = fields.Float(required=True)
    why = Words(required=True)
    tell_apart = Words(required=True)
    wrong_guess = Words(required=True)


class IdentifyOut(CalculationOut):
    """Candidates, likeliest first; none when nothing in the catalogue comes near."""

    candidates = fields.List(fields.Nested(CandidateOut), required=True)


class IndexingIn(In):
    """Where a fitting stops and where it should point; angles clockwise from the fitting's end."""

    thread = ThreadIn(required=True)
    found = QuantityIn(Kind.ANGLE, example="20 deg", required=True)
    wanted = QuantityIn(Kind.ANGLE, example="110 deg", required=True)
    shims = fields.List(
        length("0.05 mm"),
        load_default=None,
        validate=validate.Length(1, MOST_SHIMS),
        metadata={
            "description": "Thicknesses on hand; without any the workshop's own table.",
            "example": ["0.05 mm", "0.1 mm", "0.2 mm", "0.5 mm"],
        },
    )
    tolerance = QuantityIn(Kind.ANGLE, example="5 deg", load_default=parse("5 deg", Kind.ANGLE))
    crush = length("0.02 mm", load_default=parse("0 mm", Kind.LENGTH))
    flats = Whole(load_default=None, allow_none=True, metadata={"example": 6})


class IndexingOut(CalculationOut):
    """The shims or the cut that make it point right."""

    thickness = QuantityOut(Kind.LENGTH, required=True)
    stack = fields.List(QuantityOut(Kind.LENGTH), required=True)
    points_at = QuantityOut(Kind.ANGLE, required=True)
    error = QuantityOut(Kind.ANGLE, required=True)
    facing_cut = QuantityOut(Kind.LENGTH, required=True)
    shim_with_cut = fields.List(QuantityOut(Kind.LENGTH), required=True, allow_none=True)
    turns_lost = fields.Float(required=True)
    flats_back = fields.Float(required=True, allow_none=True)


class CatalogueQuery(In):
    """Which family of threads."""

    family = fields.String(
        load_default=None,
        validate=validate.OneOf([family.key for family in families()]),
        metadata={"example": "ME"},
    )


class FamilyOut(Out):
    """A family of threads."""

    key = Words(required=True)
    name = Words(required=True)
    description = Words(required=True)
    included_angle = QuantityOut(Kind.ANGLE, required=True)
    source = Words(required=True)


class CatalogueThreadOut(Out):
    """A thread of the catalogue at basic size."""

    designation = Words(required=True)
    family = Words(required=True)
    major_diameter = QuantityOut(Kind.LENGTH, required=True)
    effective_diameter = QuantityOut(Kind.LENGTH, required=True)
    core_diameter = QuantityOut(Kind.LENGTH, required=True)
    pitch = QuantityOut(Kind.LENGTH, required=True)
    threads_per_inch = fields.Float(required=True, allow_none=True)
    taper = fields.Float(required=True)
    source = Words(required=True)


class DisagreementOut(Out):
    """A row whose printed figures differ from its form's formula, or were misprinted."""

    designation = Words(required=True, attribute="thread.designation")
    effective_excess = QuantityOut(Kind.LENGTH, required=True)
    core_excess = QuantityOut(Kind.LENGTH, required=True)
    reason = Words(required=True)


class CatalogueOut(Out):
    """The catalogue of threads."""

    families = fields.List(fields.Nested(FamilyOut), required=True)
    items = fields.List(fields.Nested(CatalogueThreadOut), required=True)
    disagreements = fields.List(fields.Nested(DisagreementOut), required=True)
