"""Safety valves on the wire."""

from typing import Any

from marshmallow import ValidationError, fields, post_dump, validate, validates_schema

from service.api.fields import Number, QuantityIn, QuantityOut, Text
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import CalculationOut
from service.api.schemas.steam_fields import GaugeOut, above_nothing, quantity, si
from service.engineering.steam.safety_valve import SafetyValve
from service.quantities import Kind

PROOF = "Whatever the figures say, only the accumulation test proves it."

SEAT_MEMBERS = ("seat", "lift", "seat_angle")
"""What a valve that can be measured is known by."""


class ReliefIn(In):
    """A safety valve by seat and lift, or by its effective area, and the steam it must pass.

    The steam is the boiler's `evaporation`, or what the largest `heat` into the water raises while
    the valve blows. The accumulation is the rise that the `rule` in force allows, as a part of the
    set gauge pressure: 0.1 is 10 %. A flat seat has a `seat_angle` of 180 degrees.
    """

    set_pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    accumulation = Number(
        required=True,
        metadata={"example": 0.1},
        error_messages={
            "required": "Say what rise above the set pressure the rule allows, e.g. 0.1 for 10 %."
        },
    )
    rule = Text(load_default=None, allow_none=True, metadata={"example": "the club's test code"})
    evaporation = quantity(Kind.MASS_FLOW, "57 g/min")
    heat = quantity(Kind.POWER, "2 kW", validate=above_nothing)
    seat = quantity(Kind.LENGTH, "4 mm")
    lift = quantity(Kind.LENGTH, "0.16 mm")
    seat_angle = quantity(Kind.ANGLE, "90 deg")
    exit_area = quantity(Kind.AREA, "8 mm2")
    area = quantity(Kind.AREA, "1.24 mm2")
    discharge_coefficient = Number(
        required=True, validate=validate.Range(0.05, 1), metadata={"example": 0.6}
    )

    @validates_schema
    def check_ways(self, data: dict[str, Any], **_: Any) -> None:
        """One way to know the valve, and one to know the steam."""
        if data["area"] is None:
            _require_seat(data)
        else:
            _refuse_seat(data)
        if (data["evaporation"] is None) == (data["heat"] is None):
            raise ValidationError(
                "Give the evaporation, or the largest heat into the water.", "evaporation"
            )


def _require_seat(data: dict[str, Any]) -> None:
    faults = {
        name: ["A valve is known by seat, lift and seat_angle, or by its effective area."]
        for name in SEAT_MEMBERS
        if data[name] is None
    }
    if faults:
        raise ValidationError(faults)


def _refuse_seat(data: dict[str, Any]) -> None:
    faults = {
        name: [f"The area is the effective one: {name} is already in it."]
        for name in (*SEAT_MEMBERS, "exit_area")
        if data[name] is not None
    }
    if faults:
        raise ValidationError(faults)


RELIEF_EXAMPLE: dict[str, Any] = {
    "set_pressure": "4 bar",
    "accumulation": 0.1,
    "evaporation": "57 g/min",
    "seat": "4 mm",
    "lift": "0.16 mm",
    "seat_angle": "90 deg",
    "discharge_coefficient": 0.6,
}


def read_safety_valve(data: dict[str, Any]) -> SafetyValve:
    """The valve of a request that gives seat and lift."""
    return SafetyValve(
        seat=data["seat"].si,
        lift=data["lift"].si,
        seat_angle=data["seat_angle"].si,
        discharge_coefficient=data["discharge_coefficient"],
        exit_area=si(data["exit_area"]),
    )


class CapacityOut(Out):
    """Dry steam passed, by three rules side by side."""

    iso_4126 = QuantityOut(Kind.MASS_FLOW, required=True)
    napier = QuantityOut(Kind.MASS_FLOW, required=True)
    asme_51_5 = QuantityOut(Kind.MASS_FLOW, required=True)


class ReliefOut(CalculationOut):
    """A safety valve against the steam it must pass; `adequate` is on paper only."""

    set_pressure = GaugeOut(required=True)
    relieving_pressure = GaugeOut(required=True)
    evaporation = QuantityOut(Kind.MASS_FLOW, required=True)
    capacity = fields.Nested(CapacityOut, required=True)
    effective_area = QuantityOut(Kind.AREA, required=True)
    required_area = QuantityOut(Kind.AREA, required=True)
    required_lift = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    adequate = fields.Boolean(required=True)

    @post_dump
    def end_in_proof(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        """The last word of the cautions."""
        return data | {"cautions": [*data["cautions"], PROOF]}
