"""Plants, items and joints on the wire."""

from typing import Any, ClassVar

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.api.fields import LongText, Number, Text, Whole, Words
from service.api.quantity_fields import QuantityOut, QuantityText
from service.api.schemas.base import In, Out, RecordOut, page_of, record_id
from service.api.schemas.ports import PortIn, PortOut
from service.quantities import Kind
from service.records.models import ItemKind

MOST_PORTS = 24


class PlantPatch(In):
    """Changes to a plant."""

    name = Text(metadata={"example": "Harbour launch plant"})
    working_pressure = QuantityText(Kind.PRESSURE, example="50 psi")
    back_pressure = QuantityText(Kind.PRESSURE, example="0.1 bar", allow_none=True)
    feed_temperature = QuantityText(Kind.TEMPERATURE, example="15 degC", allow_none=True)
    notes = LongText(allow_none=True)


class PlantIn(PlantPatch):
    """A new plant; pressures are gauge."""

    name = Text(required=True, metadata={"example": "Harbour launch plant"})
    working_pressure = QuantityText(Kind.PRESSURE, example="50 psi", required=True)


class PlantOut(RecordOut):
    """A plant."""

    commission_id = fields.Integer(required=True)
    name = Words(required=True)
    working_pressure = QuantityOut(Kind.PRESSURE, required=True)
    back_pressure = QuantityOut(Kind.PRESSURE, required=True, allow_none=True)
    feed_temperature = QuantityOut(Kind.TEMPERATURE, required=True, allow_none=True)
    notes = Words(required=True, allow_none=True)


PlantPage = page_of(PlantOut, "PlantPage")


class EngineDataIn(In):
    """What makes an engine's demand; `condensation` null takes the band for its size."""

    bore = QuantityText(Kind.LENGTH, example="3/4 in", required=True)
    stroke = QuantityText(Kind.LENGTH, example="3/4 in", required=True)
    cylinders = Whole(load_default=1, metadata={"example": 2})
    acting = fields.String(
        load_default="double",
        validate=validate.OneOf(["single", "double"]),
        metadata={"example": "double"},
    )
    speed = QuantityText(Kind.SPEED, example="600 rpm", required=True)
    cut_off = Number(load_default=0.75, metadata={"example": 0.75})
    clearance = Number(load_default=0.10, metadata={"example": 0.1})
    condensation = Number(load_default=None, allow_none=True, metadata={"example": None})
    piston_rod = QuantityText(Kind.LENGTH, example="1/8 in", allow_none=True, load_default=None)
    diagram_factor = Number(load_default=None, allow_none=True)
    exhaust_closure = Number(load_default=0.0, metadata={"example": 0.0})


class BoilerDataIn(In):
    """What is stated of a boiler. The inspector's pressure is the limit everywhere."""

    inspector_pressure = QuantityText(Kind.PRESSURE, example="60 psi", required=True)
    evaporation = QuantityText(
        Kind.MASS_FLOW, example="57 g/min", allow_none=True, load_default=None
    )


class SafetyValveDataIn(In):
    """What is stated of a safety valve."""

    set_pressure = QuantityText(Kind.PRESSURE, example="55 psi", required=True)
    accumulation = fields.Float(
        load_default=None,
        allow_none=True,
        validate=validate.Range(0, 1),
        metadata={"description": "Rise the rules allow, as 0.1 for 10 %.", "example": 0.1},
    )
    seat = QuantityText(Kind.LENGTH, example="4 mm", load_default=None, allow_none=True)
    lift = QuantityText(Kind.LENGTH, example="0.3 mm", load_default=None, allow_none=True)
    seat_angle = QuantityText(Kind.ANGLE, example="90 deg", load_default=None, allow_none=True)
    discharge_coefficient = fields.Float(load_default=0.6, metadata={"example": 0.6})


class SteamWayIn(In):
    """The way steam takes inside an item, so that its drop can be reckoned."""

    bore = QuantityText(Kind.LENGTH, example="1/8 in", required=True)
    length = QuantityText(Kind.LENGTH, example="1 1/2 in", required=True)
    loss = fields.Float(
        load_default=0.0,
        validate=validate.Range(0, 1000),
        metadata={
            "description": "Velocity heads lost beside friction: about 13 for a stop valve, 1.2 "
            "for a drilled corner.",
            "example": 13,
        },
    )


SECTIONS = tuple(kind.section for kind in ItemKind if kind.section)
_DATA = ("material", "steam_way", *SECTIONS)


class ItemPatch(In):
    """Changes to an item; `ports` replaces the whole list, and a port keeps its id by its name."""

    EXAMPLE: ClassVar[dict[str, Any]] = {"name": "boiler, vertical", "material": "bronze"}

    name = Text(metadata={"example": "port engine"})
    part_id = record_id(allow_none=True)
    material = Text(longest=60, metadata={"example": "brass"})
    engine = fields.Nested(EngineDataIn)
    boiler = fields.Nested(BoilerDataIn)
    safety_valve = fields.Nested(SafetyValveDataIn)
    steam_way = fields.Nested(SteamWayIn)
    ports = fields.List(fields.Nested(PortIn), validate=validate.Length(max=MOST_PORTS))

    @post_load
    def gather(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        """The particular sections become the item's data."""
        sections = {name: data.pop(name) for name in _DATA if name in data}
        return {**data, "data": sections}


class ItemIn(ItemPatch):
    """A new item."""

    EXAMPLE: ClassVar[dict[str, Any]] = {
        "kind": "engine",
        "name": "centre engine",
        "material": "gunmetal",
        "engine": {
            "bore": "3/4 in", "stroke": "3/4 in", "cylinders": 2, "acting": "double",
            "speed": "600 rpm", "cut_off": 0.75, "clearance": 0.1, "piston_rod": "1/8 in",
        },
        "ports": [
            {"name": "steam inlet", "gender": "female", "thread": "1/4 x 40 ME", "boss": "7/16 in"}
        ],
    }  # fmt: skip

    kind = fields.Enum(ItemKind, by_value=True, required=True, metadata={"example": "engine"})
    name = Text(required=True, metadata={"example": "port engine"})
    ports = fields.List(
        fields.Nested(PortIn), load_default=list, validate=validate.Length(max=MOST_PORTS)
    )

    @validates_schema
    def check_sections(self, data: dict[str, Any], **_: Any) -> None:
        """An engine wants its engine data, and nothing else may carry them."""
        wanted = data["kind"].section
        if wanted and wanted not in data:
            raise ValidationError(f"A {data['kind'].value} needs its data here.", wanted)
        for section in SECTIONS:
            if section in data and section != wanted:
                raise ValidationError(f"A {data['kind'].value} has none of these.", section)


class EngineDataOut(Out):
    """An engine's data."""

    bore = QuantityOut(Kind.LENGTH, required=True)
    stroke = QuantityOut(Kind.LENGTH, required=True)
    cylinders = fields.Integer(required=True)
    acting = Words(required=True)
    speed = QuantityOut(Kind.SPEED, required=True)
    cut_off = fields.Float(required=True)
    clearance = fields.Float(required=True)
    condensation = fields.Float(required=True, allow_none=True)
    piston_rod = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    diagram_factor = fields.Float(required=True, allow_none=True)
    exhaust_closure = fields.Float(required=True)


class BoilerDataOut(Out):
    """A boiler's data."""

    inspector_pressure = QuantityOut(Kind.PRESSURE, required=True)
    evaporation = QuantityOut(Kind.MASS_FLOW, required=True, allow_none=True)


class SafetyValveDataOut(Out):
    """A safety valve's data."""

    set_pressure = QuantityOut(Kind.PRESSURE, required=True)
    accumulation = fields.Float(allow_none=True)
    seat = QuantityOut(Kind.LENGTH, allow_none=True)
    lift = QuantityOut(Kind.LENGTH, allow_none=True)
    seat_angle = QuantityOut(Kind.ANGLE, allow_none=True)
    discharge_coefficient = fields.Float()


class SteamWayOut(Out):
    """The way steam takes inside an item."""

    bore = QuantityOut(Kind.LENGTH, required=True)
    length = QuantityOut(Kind.LENGTH, required=True)
    loss = fields.Float(required=True)


class ItemOut(RecordOut):
    """An item with its ports."""

    plant_id = fields.Integer(required=True)
    part_id = fields.Integer(required=True, allow_none=True)
    kind = fields.Enum(ItemKind, by_value=True, required=True)
    name = Words(required=True)
    material = Words(attribute="data.material")
    engine = fields.Nested(EngineDataOut, attribute="data.engine")
    boiler = fields.Nested(BoilerDataOut, attribute="data.boiler")
    safety_valve = fields.Nested(SafetyValveDataOut, attribute="data.safety_valve")
    steam_way = fields.Nested(SteamWayOut, attribute="data.steam_way")
    ports = fields.List(fields.Nested(PortOut), required=True)


ItemPage = page_of(ItemOut, "ItemPage")


class JointPatch(In):
    """How a joint points; angles clockwise seen from the fitting's end."""

    points_wanted = QuantityText(Kind.ANGLE, example="90 deg", allow_none=True)
    points_found = QuantityText(Kind.ANGLE, example="20 deg", allow_none=True)
    notes = LongText(allow_none=True)


class JointIn(JointPatch):
    """A male port joined to a female port of the same plant."""

    male_port_id = record_id(required=True, metadata={"example": 7})
    female_port_id = record_id(required=True, metadata={"example": 1})


class JointOut(RecordOut):
    """A joint."""

    plant_id = fields.Integer(required=True)
    male_port_id = fields.Integer(required=True)
    female_port_id = fields.Integer(required=True)
    points_wanted = QuantityOut(Kind.ANGLE, required=True, allow_none=True)
    points_found = QuantityOut(Kind.ANGLE, required=True, allow_none=True)
    notes = Words(required=True, allow_none=True)


JointPage = page_of(JointOut, "JointPage")
