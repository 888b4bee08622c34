"""Steam calculations on the wire."""

from typing import Any

from marshmallow import fields, validate

from service.api.fields import BandOut, Number, QuantityIn, QuantityOut, Text, Whole, Words
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import CalculationOut, standing_at
from service.engineering.steam.engine import Engine
from service.quantities import Kind, parse

MOST_ENGINES = 20


class EngineDemandIn(In):
    """One engine of a demand; `condensation` null takes the band for its size, 0 is ideal."""

    name = Text(load_default="engine", metadata={"example": "port engine"})
    bore = QuantityIn(Kind.LENGTH, example="3/4 in", required=True)
    stroke = QuantityIn(Kind.LENGTH, example="3/4 in", required=True)
    cylinders = Whole(load_default=1, validate=validate.Range(1, 12), metadata={"example": 2})
    acting = fields.String(
        load_default="double",
        validate=validate.OneOf(["single", "double"]),
        metadata={"example": "double"},
    )
    speed = QuantityIn(Kind.SPEED, example="600 rpm", required=True)
    cut_off = Number(load_default=0.75, metadata={"example": 0.75})
    clearance = Number(load_default=0.10, metadata={"example": 0.1})
    condensation = Number(load_default=None, allow_none=True, metadata={"example": None})
    piston_rod = QuantityIn(Kind.LENGTH, example="1/8 in", allow_none=True, load_default=None)
    diagram_factor = Number(load_default=None, allow_none=True)
    exhaust_closure = Number(load_default=0.0)


class SteamDemandIn(In):
    """Engines on one pressure; pressures are gauge."""

    pressure = QuantityIn(Kind.PRESSURE, example="50 psi", required=True)
    feed_temperature = QuantityIn(
        Kind.TEMPERATURE, example="15 degC", load_default=parse("15 degC", Kind.TEMPERATURE)
    )
    back_pressure = QuantityIn(
        Kind.PRESSURE, example="0.1 bar", load_default=parse("0 bar", Kind.PRESSURE)
    )
    engines = fields.List(
        fields.Nested(EngineDemandIn), required=True, validate=validate.Length(1, MOST_ENGINES)
    )


def read_engines(engines: list[dict[str, Any]]) -> list[Engine]:
    """The engines of a request; a refusal names the engine and its field."""
    return [read_engine(engine, f"engines.{number}") for number, engine in enumerate(engines)]


def read_engine(engine: dict[str, Any], path: str) -> Engine:
    """One engine of a request."""
    with standing_at(path):
        return Engine(
            name=engine["name"],
            bore=engine["bore"].si,
            stroke=engine["stroke"].si,
            cylinders=engine["cylinders"],
            acting=engine["acting"],
            speed=engine["speed"].si,
            cut_off=engine["cut_off"],
            clearance=engine["clearance"],
            condensation=engine["condensation"],
            piston_rod=engine["piston_rod"].si if engine["piston_rod"] else 0.0,
            diagram_factor=engine["diagram_factor"],
            exhaust_closure=engine["exhaust_closure"],
        )


class EngineDemandOut(Out):
    """What one engine takes and gives."""

    name = Words(required=True)
    steam = BandOut(Kind.MASS_FLOW, required=True)
    dry_steam = QuantityOut(Kind.MASS_FLOW, required=True)
    mean_effective_pressure = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    indicated_power = QuantityOut(Kind.POWER, required=True)
    heat = BandOut(Kind.POWER, required=True)


class SteamDemandOut(CalculationOut):
    """What the engines take together, and each of them."""

    steam = BandOut(Kind.MASS_FLOW, required=True)
    dry_steam = QuantityOut(Kind.MASS_FLOW, required=True)
    indicated_power = QuantityOut(Kind.POWER, required=True)
    heat = BandOut(Kind.POWER, required=True)
    engines = fields.List(fields.Nested(EngineDemandOut), required=True)
