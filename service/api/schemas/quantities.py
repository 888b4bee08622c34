"""A quantity read and shown back, on the wire."""

from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from service.api.fields import Text, Words
from service.api.preferences import measure
from service.api.schemas.base import In
from service.api.schemas.calculations import CalculationOut
from service.quantities import Kind, Quantity, QuantityError, parse, parse_drill
from service.quantities.wording import word


class QuantityReadIn(In):
    """A text in workshop notation; a length may also name a drill, as `No. 30` or `letter Q`."""

    text = Text(longest=40, required=True, metadata={"example": "5.6 mm"})
    kind = fields.Enum(
        Kind, by_value=True, load_default=Kind.LENGTH, metadata={"example": "length"}
    )

    @validates_schema
    def check_text(self, data: dict[str, Any], **_: Any) -> None:
        """What cannot be read is refused by its field."""
        try:
            read(data["text"], data["kind"])
        except QuantityError as error:
            raise ValidationError(word(error.message, measure()), "text") from None


def read(text: str, kind: Kind) -> Quantity:
    """The quantity that a text means; of a length that is no length, the drill of that name."""
    try:
        return parse(text, kind)
    except QuantityError:
        if kind is not Kind.LENGTH:
            raise
    return parse_drill(text)


class QuantityReadOut(CalculationOut):
    """The quantity in its unit, and of a length the nearest sixty-fourth and drill."""

    value = fields.Float(required=True)
    unit = Words(required=True)
    text = Words(required=True)
    nearest_64th = Words(required=True, allow_none=True)
    nearest_drill = Words(required=True, allow_none=True)
