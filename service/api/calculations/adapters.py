"""Adapters and nipples, worked out and drawn."""

from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from service.api.calculation import Calculation, title_drawing
from service.api.calculations.joint_answer import StepOut
from service.api.fields import Text, ThreadIn, Words
from service.api.preferences import measure
from service.api.quantity_fields import QuantityIn, QuantityOut, quantity, si
from service.api.schemas.base import Asked, Out
from service.api.schemas.calculations import CalculationOut
from service.api.vocabularies import Term
from service.documents.adapter_drawing import draw_adapter
from service.documents.drawing import Sheet
from service.engineering.kit import Kit
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import AdapterPlan, plan_adapter
from service.quantities import Kind
from service.records.models import Gender


class AdapterEndIn(Asked):
    """One end wanted on the adapter itself; what is left out the plan chooses."""

    gender = fields.Enum(Gender, by_value=True, required=True, metadata={"example": "male"})
    thread = ThreadIn(required=True)
    length = quantity(Kind.LENGTH, "1/4 in")


class AdapterIn(Asked):
    """Two ends over a bore. Title, number and reference are for the drawing."""

    a = fields.Nested(AdapterEndIn, required=True)
    b = fields.Nested(AdapterEndIn, required=True)
    bore = QuantityIn(Kind.LENGTH, example="1/8 in", required=True)
    material = Text(longest=60, load_default="brass", metadata={"example": "brass"})
    title = Text(
        longest=80,
        load_default="Adapter",
        metadata={"example": "Whistle adapter"},
    )
    number = Text(longest=40, least=0, load_default="", metadata={"example": "CB-18"})
    reference = Text(longest=60, least=0, load_default="", metadata={"example": "2026-014"})

    @validates_schema
    def check_bore(self, data: dict[str, Any], **_: Any) -> None:
        """An adapter passes steam."""
        if data["bore"].si <= 0:
            raise ValidationError("The bore must be above 0.", "bore")


class AdapterEndOut(Out):
    """One end as it is made."""

    gender = Term("Gender", required=True)
    thread = Words(required=True, attribute="thread.designation")
    thread_length = QuantityOut(Kind.LENGTH, required=True)
    length = QuantityOut(Kind.LENGTH, required=True)
    diameter = QuantityOut(Kind.LENGTH, fine=True, required=True)
    drill = Words(required=True)
    undercut_diameter = QuantityOut(Kind.LENGTH, fine=True, required=True, allow_none=True)
    undercut_width = QuantityOut(Kind.LENGTH, required=True)
    wall = QuantityOut(Kind.LENGTH, fine=True, required=True)


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
    wall_least = QuantityOut(Kind.LENGTH, fine=True, required=True)


def plan(asked: dict[str, Any], _: Kit) -> AdapterPlan:
    """The adapter that a request asks for."""
    material = asked["material"]
    return plan_adapter(
        _read_end(asked["a"], material),
        _read_end(asked["b"], material),
        bore=asked["bore"].si,
        material=material,
    )


def _read_end(end: dict[str, Any], material: str) -> MaleEnd | FemaleEnd:
    length = si(end["length"])
    if end["gender"] is Gender.MALE:
        return MaleEnd(thread=end["thread"], length=length, material=material)
    return FemaleEnd(thread=end["thread"], depth=length, material=material)


def _draw(asked: dict[str, Any], kit: Kit) -> Sheet:
    return draw_adapter(plan(asked, kit), title=title_drawing(asked), measure=measure())


ADAPTER = Calculation(
    name="adapter",
    about="Work out an adapter: bar, lengths, undercuts, drilling, threading order, minutes.",
    takes=AdapterIn,
    gives=AdapterOut,
    reckon=plan,
    example={
        "a": {"gender": "male", "thread": "1/4 x 40 ME", "length": "1/4 in"},
        "b": {"gender": "female", "thread": "M6 x 0.75"},
        "bore": "1/8 in",
        "material": "brass",
        "title": "Whistle adapter",
    },
    drawings=_draw,
    leave_out_of_sheet=("operations",),
)
