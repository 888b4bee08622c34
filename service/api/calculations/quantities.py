"""A quantity in workshop notation, read and shown back."""

from typing import Any

from marshmallow import fields, validates_schema

from service.api.calculation import Calculation
from service.api.fields import Text, Words
from service.api.quantity_fields import refusing
from service.api.schemas.base import Asked
from service.api.schemas.calculations import CalculationOut
from service.engineering.kit import Kit
from service.quantities import (
    Kind,
    Quantity,
    QuantityError,
    describe,
    nearest_64th,
    nearest_drill_text,
    parse,
    parse_drill,
)


class QuantityReadIn(Asked):
    """A text in workshop notation; a length may also name a drill, as `No. 30` or `letter Q`."""

    text = Text(longest=40, required=True, metadata={"example": "5.6 mm"})
    kind = fields.Enum(
        Kind, by_value=True, load_default=Kind.LENGTH, metadata={"example": "length"}
    )

    @validates_schema
    def check_text(self, data: dict[str, Any], **_: Any) -> None:
        """What cannot be read is refused by its field."""
        with refusing(_schema="text"):
            read_quantity(data["text"], data["kind"])


class QuantityReadOut(CalculationOut):
    """The quantity in its unit, and of a length the nearest sixty-fourth and drill."""

    value = fields.Float(required=True)
    unit = Words(required=True)
    text = Words(required=True)
    nearest_64th = Words(required=True, allow_none=True)
    nearest_drill = Words(required=True, allow_none=True)


def read_quantity(text: str, kind: Kind) -> Quantity:
    """The quantity that a text means; of a length that is no length, the drill of that name."""
    try:
        return parse(text, kind)
    except QuantityError:
        if kind is not Kind.LENGTH:
            raise
    return parse_drill(text)


def reckon_quantity(asked: dict[str, Any], _: Kit) -> dict[str, Any]:
    """The quantity of a request, and what lies nearest to a length."""
    quantity = read_quantity(asked["text"], asked["kind"])
    is_hole = asked["kind"] is Kind.LENGTH and quantity.value > 0
    return {
        **describe(quantity),
        "nearest_64th": nearest_64th(quantity.value) if is_hole else None,
        "nearest_drill": nearest_drill_text(quantity.value) if is_hole else None,
        "findings": (),
        "workings": (),
    }


QUANTITY = Calculation(
    name="quantity",
    about="Read a text in workshop notation; of a length give the nearest 1/64 in and drill.",
    takes=QuantityReadIn,
    gives=QuantityReadOut,
    reckon=reckon_quantity,
)
