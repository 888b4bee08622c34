"""A safety valve against the steam it must pass."""

from collections.abc import Iterator
from typing import Any

from marshmallow import ValidationError, post_dump, validates_schema

from service.api.calculation import Calculation
from service.api.derive import field_in, part_of, schema_in, schema_out
from service.api.fields import Number, Text
from service.api.quantity_fields import QuantityIn, above_nothing, quantity
from service.api.schemas.calculations import CalculationOut
from service.engineering.kit import Kit
from service.engineering.saturation import require_pressure
from service.engineering.steam.safety_valve import (
    ReliefCheck,
    SafetyValve,
    check_relief_area,
    check_safety_valve,
    find_greatest_evaporation,
    find_relieving_pressure,
)
from service.quantities import Kind, read_given

PROOF = "Whatever the figures say, only the accumulation test proves it."

SEAT_MEMBERS = ("seat", "lift", "seat_angle")  # what a valve that can be measured is known by
MEASURED = {
    name: field_in(SafetyValve, name, required=False, allow_none=True, load_default=None)
    for name in SEAT_MEMBERS
}


class SafetyValveIn(schema_in(SafetyValve, instead=MEASURED, makes=False)):
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
    rule = Text(load_default=None, metadata={"example": "the club's test code"})
    evaporation = quantity(Kind.MASS_FLOW, "57 g/min")
    heat = quantity(Kind.POWER, "2 kW", validate=above_nothing)
    exit_area = field_in(SafetyValve, "exit_area", load_default=None)
    area = quantity(Kind.AREA, "1.24 mm2")
    discharge_coefficient = field_in(
        SafetyValve, "discharge_coefficient", required=True, allow_none=False
    )

    @validates_schema
    def check_ways(self, data: dict[str, Any], **_: Any) -> None:
        """One way to know the valve, and one to know the steam."""
        if faults := dict(_find_seat_faults(data)):
            raise ValidationError(faults)
        if (data["evaporation"] is None) == (data["heat"] is None):
            raise ValidationError(
                "Give the evaporation, or the largest heat into the water.", "evaporation"
            )


def _find_seat_faults(data: dict[str, Any]) -> Iterator[tuple[str, list[str]]]:
    for name in (*SEAT_MEMBERS, "exit_area"):
        if data["area"] is not None and data[name] is not None:
            yield name, [f"The area is the effective one: {name} is already in it."]
        elif data["area"] is None and data[name] is None and name in SEAT_MEMBERS:
            text = "A valve is known by seat, lift and seat_angle, or by its effective area."
            yield name, [text]


class CapacityOut(schema_out(part_of(ReliefCheck, "capacity"), "iso_4126 napier asme_51_5")):
    """Dry steam passed, by three rules side by side."""


class SafetyValveOut(
    schema_out(
        ReliefCheck,
        "set_pressure relieving_pressure evaporation capacity effective_area required_area"
        " required_lift adequate",
        capacity=CapacityOut,
    ),
    CalculationOut,
):
    """A safety valve against the steam it must pass; `adequate` is on paper only."""

    @post_dump
    def end_in_proof(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        """The last word of the cautions."""
        return data | {"cautions": [*data["cautions"], PROOF]}


def check_valve(asked: dict[str, Any], _: Kit) -> ReliefCheck:
    """The check of the valve that a request describes."""
    against: dict[str, Any] = {
        "set_pressure": asked["set_pressure"].absolute,
        "accumulation": asked["accumulation"],
        "evaporation": _find_evaporation(asked),
        "rule": asked["rule"],
    }
    if asked["area"] is None:
        return check_safety_valve(read_given(SafetyValve, asked), **against)
    return check_relief_area(
        asked["area"].si, discharge_coefficient=asked["discharge_coefficient"], **against
    )


def _find_evaporation(asked: dict[str, Any]) -> float:
    if asked["evaporation"] is not None:
        return float(asked["evaporation"].si)
    pressure = find_relieving_pressure(asked["set_pressure"].absolute, asked["accumulation"])
    require_pressure(pressure, field="set_pressure")
    return find_greatest_evaporation(asked["heat"].si, relieving_pressure=pressure)


SAFETY_VALVE = Calculation(
    name="safety-valve",
    about="Compare what a safety valve passes, by three rules, with the steam it must pass.",
    takes=SafetyValveIn,
    gives=SafetyValveOut,
    reckon=check_valve,
)
