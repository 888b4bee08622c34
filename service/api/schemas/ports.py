"""Ports on the wire: kept as the person wrote them, once it is seen that they can be read."""

from typing import Any, ClassVar

from marshmallow import ValidationError, fields, pre_dump, validates_schema

from service.api.derive import schema_stored
from service.api.fields import Text, ThreadText, Words
from service.api.quantity_fields import DrillText
from service.api.schemas.base import Out
from service.api.vocabularies import Term
from service.plant import graph
from service.records.models import Gender, Port


class PortIn(
    schema_stored(
        graph.Port,
        instead={
            "name": Text(longest=60, required=True, metadata={"example": "inlet"}),
            "gender": fields.Enum(
                Gender, by_value=True, required=True, metadata={"example": "male"}
            ),
            "drilled": DrillText(),
            "material": Text(longest=60, metadata={"example": "bronze"}),
        },
    )
):
    """One screwed end or tapped hole; left out, its material is the item's."""

    EXAMPLE: ClassVar[dict[str, Any]] = {
        "name": "inlet", "gender": "male", "thread": "1/4 x 40 ME", "length": "1/4 in",
        "bore": "1/8 in", "material": "bronze",
    }  # fmt: skip

    @validates_schema
    def check_gender(self, data: dict[str, Any], **_: Any) -> None:
        """A male has a bore, a female a boss and a tapping hole; not the other way round."""
        strange = {Gender.MALE: ("boss", "drilled"), Gender.FEMALE: ("bore",)}
        for name in strange.get(data.get("gender"), ()):  # type: ignore[arg-type]
            if name in data:
                raise ValidationError(f"A {data['gender']} port has no {name}.", name)


class PortWrittenOut(Out):
    """A port of a part; `thread` and the sizes are as they were written."""

    name = Words(required=True)
    gender = Term("Gender", required=True)
    thread = ThreadText(required=True)
    length = Words()
    bore = Words()
    boss = Words()
    drilled = Words()
    material = Words()


class PortOut(PortWrittenOut):
    """A port of an item; `thread` and the sizes are as they were written."""

    id = fields.Integer(required=True)

    @pre_dump
    def spread(self, port: Port, **_: Any) -> dict[str, Any]:
        """The sizes stand in one column."""
        return {"id": port.id, "name": port.name, "gender": port.gender, **port.data}
