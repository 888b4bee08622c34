"""Steam passages on the wire: their parts, and what a line of them passes."""

from dataclasses import MISSING, dataclass
from dataclasses import fields as members_of
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.api.fields import BandOut, Number, QuantityIn, QuantityOut, Words
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import CalculationOut
from service.api.schemas.steam_fields import GaugeBandOut, GaugeOut, quantity, refusing
from service.engineering.steam.passages import (
    Bend,
    Bore,
    Contraction,
    Corner,
    Element,
    Loss,
    Pipe,
    StopValve,
    Tee,
    Valve,
)
from service.quantities import Kind, Quantity

MOST_ELEMENTS = 40

ELEMENTS: dict[str, type[Element]] = {
    element.kind: element
    for element in (Bore, Pipe, Corner, Bend, Contraction, Tee, Loss, Valve, StopValve)
}


@dataclass(frozen=True, slots=True)
class _Members:
    """Which members a kind of element has beside its kind."""

    needed: tuple[str, ...]
    allowed: tuple[str, ...]

    @classmethod
    def of(cls, element: type[Element]) -> "_Members":
        """The members as the element itself declares them."""
        declared = members_of(element)
        return cls(
            needed=tuple(member.name for member in declared if member.default is MISSING),
            allowed=tuple(member.name for member in declared),
        )

    def describe(self) -> str:
        """The members in words, those that may be left out in brackets."""
        return ", ".join(name if name in self.needed else f"[{name}]" for name in self.allowed)


MEMBERS = {kind: _Members.of(element) for kind, element in ELEMENTS.items()}


class ElementIn(In):
    """One part of a passage; its kind says which members it has.

    A corner is two drilled holes that meet, a bend is smooth, a tee is a branch off a run, a loss
    is anything whose coefficient k is known. A stop_valve is known by seat and lift, a valve by Kv.
    """

    kind = fields.String(
        required=True,
        validate=validate.OneOf(list(ELEMENTS)),
        metadata={
            "example": "bore",
            "description": "; ".join(f"{name}: {MEMBERS[name].describe()}" for name in MEMBERS),
        },
    )
    diameter = quantity(Kind.LENGTH, "3 mm")
    length = quantity(Kind.LENGTH, "40 mm")
    roughness = quantity(Kind.LENGTH, "0.003 mm")
    angle = quantity(Kind.ANGLE, "90 deg")
    radius = quantity(Kind.LENGTH, "8 mm")
    upstream_diameter = quantity(Kind.LENGTH, "5 mm")
    run_diameter = quantity(Kind.LENGTH, "5 mm")
    share = Number(load_default=None, allow_none=True, metadata={"example": 0.5})
    k = Number(load_default=None, allow_none=True, metadata={"example": 14.5})
    kv = Number(load_default=None, allow_none=True, metadata={"example": 0.1764})
    xt = Number(load_default=None, allow_none=True, metadata={"example": 0.7})
    lift = quantity(Kind.LENGTH, "1 mm")

    @validates_schema
    def check_members(self, data: dict[str, Any], **_: Any) -> None:
        """A kind wants its own members, and bears no others."""
        kind, members = data["kind"], MEMBERS[data["kind"]]
        given = [name for name, value in data.items() if value is not None and name != "kind"]
        faults = {
            name: [f"A {_spoken(kind)} needs its {name}."]
            for name in members.needed
            if name not in given
        } | {
            name: [f"A {_spoken(kind)} has no {name}."]
            for name in given
            if name not in members.allowed
        }
        if faults:
            raise ValidationError(faults)

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> Element:
        """The element; what it refuses is a fault of the member named."""
        given = {
            name: value.si if isinstance(value, Quantity) else value
            for name, value in data.items()
            if value is not None and name != "kind"
        }
        with refusing():
            return ELEMENTS[data["kind"]](**given)


def _spoken(kind: str) -> str:
    return kind.replace("_", " ")


def passage_of(**kwargs: Any) -> fields.List[Any]:
    """Elements in the order steam meets them."""
    least = 1 if kwargs.get("required") else 0
    return fields.List(
        fields.Nested(ElementIn), validate=validate.Length(least, MOST_ELEMENTS), **kwargs
    )


class PassageIn(In):
    """A line of elements on dry steam; give `outlet_pressure` or `flow`. Pressures are gauge.

    `pulsation` is the mean square of the flow over the square of its mean: 1 is steady.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    outlet_pressure = quantity(Kind.PRESSURE, "3 bar")
    flow = quantity(Kind.MASS_FLOW, "20 g/min")
    elements = passage_of(required=True)
    pulsation = Number(load_default=1.0, metadata={"example": 1.2})

    @validates_schema
    def check_question(self, data: dict[str, Any], **_: Any) -> None:
        """Flow and outlet pressure: one is given, the other is the answer."""
        if data["flow"] is not None and data["outlet_pressure"] is not None:
            raise ValidationError(
                "Give outlet_pressure to get the flow, or flow to get the drop; not both.", "flow"
            )
        if data["flow"] is None and data["outlet_pressure"] is None:
            raise ValidationError(
                "Give outlet_pressure to get the flow, or flow to get the drop.", "outlet_pressure"
            )


PASSAGE_EXAMPLE: dict[str, Any] = {
    "pressure": "4 bar",
    "outlet_pressure": "3 bar",
    "elements": [
        {"kind": "bore", "diameter": "3 mm", "length": "40 mm"},
        {"kind": "loss", "diameter": "3 mm", "k": 14.5},
        {"kind": "valve", "diameter": "4 mm", "kv": 0.1764, "xt": 0.7},
    ],
}


class ElementFlowOut(Out):
    """The steam at one element."""

    kind = Words(required=True, attribute="element.kind")
    diameter = QuantityOut(Kind.LENGTH, required=True, attribute="element.diameter")
    pressure_in = GaugeOut(required=True)
    pressure_out = GaugeOut(required=True)
    velocity = QuantityOut(Kind.VELOCITY, required=True)
    mach = fields.Float(required=True)
    choked = fields.Boolean(required=True)


class PassageOut(CalculationOut):
    """What a line passes or costs; the bands are losses 40 % either way."""

    flow = QuantityOut(Kind.MASS_FLOW, required=True)
    flow_band = BandOut(Kind.MASS_FLOW, required=True)
    pressure = GaugeOut(required=True)
    outlet_pressure = GaugeOut(required=True)
    outlet_pressure_band = GaugeBandOut(required=True, attribute="outlet_band")
    velocity = QuantityOut(Kind.VELOCITY, required=True)
    choked = fields.Boolean(required=True)
    elements = fields.List(fields.Nested(ElementFlowOut), required=True)
