"""Adapters and nipples, worked out and drawn."""

from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from service.api.calculation import Calculation, title_drawing
from service.api.calculations.joints import StepOut
from service.api.derive import schema_out
from service.api.fields import Text, ThreadIn
from service.api.preferences import measure
from service.api.quantity_fields import QuantityIn, quantity, si
from service.api.schemas.base import Asked
from service.api.schemas.calculations import CalculationOut
from service.documents.adapter_drawing import draw_adapter
from service.documents.drawing.sheet import Sheet
from service.engineering.kit import Kit
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import AdapterEnd, AdapterPlan, plan_adapter
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
    title = Text(longest=80, load_default="Adapter", metadata={"example": "Whistle adapter"})
    number = Text(longest=40, least=0, load_default="", metadata={"example": "CB-18"})
    reference = Text(longest=60, least=0, load_default="", metadata={"example": "2026-014"})

    @validates_schema
    def check_bore(self, data: dict[str, Any], **_: Any) -> None:
        """An adapter passes steam."""
        if data["bore"].si <= 0:
            raise ValidationError("The bore must be above 0.", "bore")


class AdapterEndOut(
    schema_out(
        AdapterEnd,
        "gender thread=thread.designation thread_length length diameter drill undercut_diameter"
        " undercut_width wall",
        fine="diameter undercut_diameter wall",
    )
):
    """One end as it is made."""


class AdapterOut(
    schema_out(
        AdapterPlan,
        "a=end_a b=end_b bore material stock stock_diameter body_length total_length drilling_depth"
        " parting_length bar_length threading_order operations minutes mass wall_least",
        fine="wall_least",
        a=AdapterEndOut,
        b=AdapterEndOut,
        operations=StepOut,
    ),
    CalculationOut,
):
    """A dimensioned adapter and how it is made."""


def plan(asked: dict[str, Any], kit: Kit) -> AdapterPlan:
    """The adapter that a request asks for."""
    material = asked["material"]
    return plan_adapter(
        _read_end(asked["a"], material),
        _read_end(asked["b"], material),
        bore=asked["bore"].si,
        material=material,
        kit=kit,
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
    drawings=_draw,
    leave_out_of_sheet=("operations",),
)
