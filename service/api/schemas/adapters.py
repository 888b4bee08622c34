"""Adapters and nipples on the wire."""

from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from service.api.fields import QuantityOut, Text, ThreadIn, Words
from service.api.schemas import threads
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import CalculationOut
from service.api.schemas.fittings import StepOut
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.quantities import Kind
from service.records.models import Gender


class AdapterEndIn(In):
    """One end wanted on the adapter itself; what is left out the plan chooses."""

    gender = fields.Enum(Gender, by_value=True, required=True, metadata={"example": "male"})
    thread = ThreadIn(required=True)
    length = threads.length("1/4 in", load_default=None, allow_none=True)


class AdapterIn(In):
    """Two ends over a bore."""

    a = fields.Nested(AdapterEndIn, required=True)
    b = fields.Nested(AdapterEndIn, required=True)
    bore = threads.length("1/8 in", required=True)
    material = Text(longest=60, load_default="brass", metadata={"example": "brass"})
    title = Text(longest=80, load_default="Adapter", metadata={"example": "Whistle adapter"})

    @validates_schema
    def check_bore(self, data: dict[str, Any], **_: Any) -> None:
        """An adapter passes steam."""
        if data["bore"].si <= 0:
            raise ValidationError("The bore must be above 0.", "bore")


ADAPTER_EXAMPLE = {
    "a": {"gender": "male", "thread": "1/4 x 40 ME", "length": "1/4 in"},
    "b": {"gender": "female", "thread": "M6 x 0.75"},
    "bore": "1/8 in",
    "material": "brass",
    "title": "Whistle adapter",
}


def read_end(end: dict[str, Any], material: str) -> MaleEnd | FemaleEnd:
    """One end of a request."""
    length = None if end["length"] is None else end["length"].si
    if end["gender"] is Gender.MALE:
        return MaleEnd(thread=end["thread"], length=length, material=material)
    return FemaleEnd(thread=end["thread"], depth=length, material=material)


class AdapterEndOut(Out):
    """One end as it is made."""

    gender = Words(required=True)
    thread = Words(required=True, attribute="thread.designation")
    thread_length = QuantityOut(Kind.LENGTH, required=True)
    length = QuantityOut(Kind.LENGTH, required=True)
    diameter = QuantityOut(Kind.LENGTH, required=True)
    drill = Words(required=True)
    undercut_diameter = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    undercut_width = QuantityOut(Kind.LENGTH, required=True)
    wall = QuantityOut(Kind.LENGTH, required=True)


class AdapterOut(CalculationOut):
    """A dimensioned adapter and how it is made."""

    a = fields.Nested(AdapterEndOut, required=True, attribute="end_a")
    b = fields.Nested(AdapterEndOut, required=True, attribute="end_b")
    bore = QuantityOut(Kind.LENGTH, required=True)
    material = Words(required=True)
    stock = Words(required=True)
    stock_diameter = QuantityOut(Kind.LENGTH, required=True)
    body_length = QuantityOut(Kind.LENGTH, required=True)
    total_length = QuantityOut(Kind.LENGTH, required=True)
    drilling_depth = QuantityOut(Kind.LENGTH, required=True)
    parting_length = QuantityOut(Kind.LENGTH, required=True)
    bar_length = QuantityOut(Kind.LENGTH, required=True)
    threading_order = fields.List(Words(), required=True)
    operations = fields.List(fields.Nested(StepOut), required=True)
    minutes = fields.Float(required=True)
    mass = QuantityOut(Kind.MASS, required=True)
    wall_least = QuantityOut(Kind.LENGTH, required=True)
