"""Plants, items and joints on the wire."""

from typing import Any, ClassVar

from marshmallow import ValidationError, fields, post_load, validates_schema

from service.api.derive import field_in, fields_out, schema_out, schema_stored
from service.api.fields import Listed, LongText, Text, Words
from service.api.schemas.base import Asked, In, RecordOut, page_of, record_id
from service.api.schemas.ports import PortIn, PortOut
from service.engineering.steam.engine import Engine
from service.engineering.steam.safety_valve import SafetyValve as MeasuredValve
from service.plant import graph
from service.records.models import ItemKind

MOST_PORTS = 24


class PlantPatch(In):
    """Changes to a plant."""

    name = Text(metadata={"example": "Harbour launch plant"})
    working_pressure = field_in(graph.Plant, "working_pressure", stored=True, required=False)
    back_pressure = field_in(graph.Plant, "back_pressure", stored=True, allow_none=True)
    feed_temperature = field_in(graph.Plant, "feed_temperature", stored=True, allow_none=True)
    notes = LongText(allow_none=True)


class PlantIn(Asked, PlantPatch):
    """A new plant; pressures are gauge."""

    NEEDED = ("name", "working_pressure")


CONDITIONS = "name working_pressure back_pressure feed_temperature"


class PlantOut(RecordOut, schema_out(graph.Plant, CONDITIONS, stored=True)):
    """A plant."""

    commission_id = fields.Integer(required=True)
    notes = Words(required=True, allow_none=True)


PlantPage = page_of(PlantOut, "PlantPage")


SEAT = ("seat", "lift", "seat_angle", "discharge_coefficient")

EngineDataIn = schema_stored(Engine, without=("name",))
BoilerDataIn = schema_stored(graph.Boiler)
SafetyValveDataIn = schema_stored(
    graph.SafetyValve,
    without=("measured",),
    instead={
        **{
            name: field_in(MeasuredValve, name, stored=True, load_default=None) for name in SEAT[:3]
        },
        "discharge_coefficient": field_in(MeasuredValve, "discharge_coefficient", stored=True),
    },
)
SteamWayIn = schema_stored(graph.SteamWay)


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
    ports = Listed(fields.Nested(PortIn), most=MOST_PORTS)

    @post_load
    def gather(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        """The particular sections become the item's data."""
        sections = {name: data.pop(name) for name in _DATA if name in data}
        return {**data, "data": sections}


class ItemIn(Asked, ItemPatch):
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

    NEEDED = ("name",)
    TAKEN = {"ports": list}

    kind = fields.Enum(ItemKind, by_value=True, required=True, metadata={"example": "engine"})

    @validates_schema
    def check_sections(self, data: dict[str, Any], **_: Any) -> None:
        """An engine wants its engine data, and nothing else may carry them."""
        wanted = data["kind"].section
        if wanted and wanted not in data:
            raise ValidationError(f"A {data['kind'].value} needs its data here.", wanted)
        for section in SECTIONS:
            if section in data and section != wanted:
                raise ValidationError(f"A {data['kind'].value} has none of these.", section)


EngineDataOut = schema_out(
    Engine,
    "bore stroke cylinders acting speed cut_off clearance condensation piston_rod diagram_factor"
    " exhaust_closure",
    stored=True,
)
BoilerDataOut = schema_out(graph.Boiler, "inspector_pressure evaporation", stored=True)
SafetyValveDataOut = schema_out(
    graph.SafetyValve,
    "set_pressure accumulation seat lift seat_angle discharge_coefficient",
    stored=True,
    **fields_out(MeasuredValve, SEAT, stored=True),  # type: ignore[arg-type]
)
SteamWayOut = schema_out(graph.SteamWay, "bore length loss", stored=True)


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

    points_wanted = field_in(graph.Joint, "points_wanted", stored=True, allow_none=True)
    points_found = field_in(graph.Joint, "points_found", stored=True, allow_none=True)
    notes = LongText(allow_none=True)


class JointIn(Asked, JointPatch):
    """A male port joined to a female port of the same plant."""

    male_port_id = record_id(required=True, metadata={"example": 7})
    female_port_id = record_id(required=True, metadata={"example": 1})


class JointOut(RecordOut, schema_out(graph.Joint, "points_wanted points_found", stored=True)):
    """A joint."""

    plant_id = fields.Integer(required=True)
    male_port_id = fields.Integer(required=True)
    female_port_id = fields.Integer(required=True)
    notes = Words(required=True, allow_none=True)


JointPage = page_of(JointOut, "JointPage")
