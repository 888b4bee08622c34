"""The plan of a distribution block as it goes over the wire."""

from marshmallow import fields

from service.api.calculations.joint_answer import StepOut
from service.api.fields import Words
from service.api.quantity_fields import BandOut, QuantityOut
from service.api.schemas.base import Out
from service.api.schemas.calculations import CalculationOut
from service.api.vocabularies import Term
from service.quantities import Kind


class BarOut(Out):
    """A bar as it lies in the block."""

    name = Words(required=True)
    shape = Term("BarShape", required=True)
    width = QuantityOut(Kind.LENGTH, required=True)
    height = QuantityOut(Kind.LENGTH, required=True)
    area = QuantityOut(Kind.AREA, required=True)
    source = Words(required=True)


class WallOut(Out):
    """Metal left between two things."""

    between = Words(required=True)
    thickness = QuantityOut(Kind.LENGTH, required=True)


class BlockDropOut(Out):
    """What one port, by the letter of its hole, loses in one case."""

    hole = Words(required=True)
    case = Words(required=True)
    flow = QuantityOut(Kind.MASS_FLOW, required=True)
    drop = BandOut(Kind.PRESSURE_DIFFERENCE, required=True)
    velocity = QuantityOut(Kind.VELOCITY, required=True)


class BlockHoleOut(Out):
    """One row of the setting-out table; x, y, z from the left end, front face and bottom."""

    letter = Words(required=True)
    purpose = Words(required=True)
    name = Words(required=True)
    place = Term("BlockPlace", required=True)
    x = QuantityOut(Kind.LENGTH, required=True)
    y = QuantityOut(Kind.LENGTH, required=True)
    z = QuantityOut(Kind.LENGTH, required=True)
    thread = Words(
        required=True, allow_none=True, dump_default=None, attribute="thread.designation"
    )
    drill = Words(required=True, attribute="drill.name")
    drilled_depth = QuantityOut(Kind.LENGTH, required=True)
    full_thread = QuantityOut(Kind.LENGTH, required=True)
    turns = fields.Float(required=True)
    feed_drill = Words(required=True, allow_none=True, dump_default=None, attribute="feed.name")
    feed_depth = QuantityOut(Kind.LENGTH, required=True)
    breakthrough = QuantityOut(Kind.ANGLE, required=True, allow_none=True)
    flat = QuantityOut(Kind.LENGTH, required=True)
    pointing = QuantityOut(Kind.ANGLE, required=True, allow_none=True)


class AlternativeOut(Out):
    """Another bar that would do, and why it came second."""

    section = fields.Nested(BarOut, required=True)
    bore = QuantityOut(Kind.LENGTH, required=True)
    length = QuantityOut(Kind.LENGTH, required=True)
    engagement = QuantityOut(Kind.LENGTH, required=True)
    wall_least = QuantityOut(Kind.LENGTH, required=True)
    drop = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    mass = QuantityOut(Kind.MASS, required=True)
    why = Words(required=True)


class RefusedBarOut(Out):
    """A bar that does not do, with the figure that refuses it."""

    section = fields.Nested(BarOut, required=True)
    code = Words(required=True)
    text = Words(required=True)


class BlockOut(CalculationOut):
    """The smallest block that has thread and bore enough, and how it is made."""

    section = fields.Nested(BarOut, required=True)
    bore = QuantityOut(Kind.LENGTH, required=True)
    length = QuantityOut(Kind.LENGTH, required=True)
    bore_start = QuantityOut(Kind.LENGTH, required=True)
    bore_end = QuantityOut(Kind.LENGTH, required=True)
    engagement = QuantityOut(Kind.LENGTH, required=True)
    turns = fields.Float(required=True)
    wall_least = QuantityOut(Kind.LENGTH, required=True)
    walls = fields.List(fields.Nested(WallOut), required=True)
    breakthrough = QuantityOut(Kind.ANGLE, required=True)
    drop = BandOut(Kind.PRESSURE_DIFFERENCE, required=True)
    drops = fields.List(fields.Nested(BlockDropOut), required=True)
    mass = QuantityOut(Kind.MASS, required=True)
    minutes = fields.Float(required=True)
    setting_out = fields.List(fields.Nested(BlockHoleOut), required=True)
    operations = fields.List(fields.Nested(StepOut), required=True)
    alternatives = fields.List(fields.Nested(AlternativeOut), required=True)
    refused = fields.List(fields.Nested(RefusedBarOut), required=True)
