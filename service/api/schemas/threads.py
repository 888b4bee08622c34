"""Thread calculations on the wire."""

from typing import Any

from marshmallow import fields, validate

from service.api.fields import DrillIn, QuantityIn, QuantityOut, Text, ThreadIn
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import CalculationOut
from service.quantities import Kind, parse

MOST_SHIMS = 24
DEFAULT_SHIMS = ("0.05 mm", "0.1 mm", "0.2 mm", "0.5 mm")


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

    drill = fields.String(required=True, attribute="drill.name")
    diameter = QuantityOut(Kind.LENGTH, required=True, attribute="drill.diameter")
    depth_percent = fields.Float(required=True)
    basis = fields.String(required=True)
    below_core = fields.Boolean(required=True)
    reason = fields.String()


class DrilledOut(Out):
    """What the drill that was asked about leaves."""

    diameter = QuantityOut(Kind.LENGTH, required=True)
    depth_percent = fields.Float(required=True)
    basis = fields.String(required=True)
    other_bases = fields.Dict(keys=fields.String(), values=fields.Float())


class SmallEndOut(Out):
    """A taper thread at its small end."""

    major_diameter = QuantityOut(Kind.LENGTH, required=True)
    effective_diameter = QuantityOut(Kind.LENGTH, required=True)
    core_diameter = QuantityOut(Kind.LENGTH, required=True)


class ThreadCalculationOut(CalculationOut):
    """A thread's geometry; a taper thread's diameters are those of the gauge plane."""

    designation = fields.String(required=True, attribute="thread.designation")
    family = fields.String(required=True, attribute="thread.family")
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
    at_small_end = fields.Nested(SmallEndOut)
    tapping_drills = fields.List(fields.Nested(TappingDrillOut), required=True)
    drilled = fields.Nested(DrilledOut)


class IndexingIn(In):
    """Where a fitting stops and where it should point; angles clockwise from the fitting's end."""

    thread = ThreadIn(required=True)
    found = QuantityIn(Kind.ANGLE, example="20 deg", required=True)
    wanted = QuantityIn(Kind.ANGLE, example="110 deg", required=True)
    shims = fields.List(
        length("0.05 mm"),
        load_default=lambda: [parse(shim, Kind.LENGTH) for shim in DEFAULT_SHIMS],
        validate=validate.Length(1, MOST_SHIMS),
        metadata={"example": list(DEFAULT_SHIMS)},
    )
    tolerance = QuantityIn(Kind.ANGLE, example="5 deg", load_default=parse("5 deg", Kind.ANGLE))
    crush = length("0.02 mm", load_default=parse("0 mm", Kind.LENGTH))
    flats = fields.Integer(strict=True, load_default=None, allow_none=True, metadata={"example": 6})


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
