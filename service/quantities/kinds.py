"""The kinds of quantity: what each is called, its limits, and the unit it has over the wire.

Values are exact fractions in SI. The radian is not a rational part of a turn, so angles carry a
pi of fifty places: degrees to radians and back is exact.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from importlib import resources
from math import inf, isfinite
from typing import cast

from service.engineering.data_files import Row, read_rows
from service.engineering.findings import Unit
from service.engineering.saying import FigureKind
from service.quantities.errors import QuantityError

STANDARD_ATMOSPHERE = Fraction(101325)
"""What a gauge reading leaves out [Pa], by convention (ISO 2533)."""

PI = Fraction("3.14159265358979323846264338327950288419716939937511")
DEGREE = PI / 180  # one degree [rad]
ICE_POINT = Fraction("273.15")  # 0 degC [K]


class Kind(StrEnum):
    """The kind of quantity a field holds; it decides which units may be written there."""

    LENGTH = "length"
    AREA = "area"
    VOLUME = "volume"
    ANGLE = "angle"
    MASS = "mass"
    FORCE = "force"
    TORQUE = "torque"
    PRESSURE = "pressure"  # gauge: what a steam gauge shows
    PRESSURE_ABSOLUTE = "pressure_absolute"
    PRESSURE_DIFFERENCE = "pressure_difference"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature_difference"
    SPEED = "speed"  # revolutions in a time
    VELOCITY = "velocity"
    MASS_FLOW = "mass_flow"
    POWER = "power"
    DURATION = "duration"


@dataclass(frozen=True, slots=True)
class Traits:
    """What is fixed about a kind: words, limits in SI, and its unit over the wire."""

    noun: str
    example: str  # what to write, as a refusal names it
    unit: str  # the unit over the wire, which never changes
    scale: Fraction  # one such unit in SI
    lowest: Fraction
    highest: Fraction
    limits: str  # the limits in words
    zero: Fraction  # the SI value at which the wire unit reads nought
    field_unit: Unit | None  # the unit of a field of a calculation that is written so
    figure: FigureKind  # how a value is said; pressures have their own way
    float_scale: float = field(init=False)
    float_zero: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "float_scale", float(self.scale))
        object.__setattr__(self, "float_zero", float(self.zero))

    def to_wire(self, value: Fraction | float) -> float:
        """A value in SI as the number that goes over the wire, to twelve figures."""
        if isinstance(value, float):  # fractions would cost ten times as much and show no more
            number = (value - self.float_zero) / self.float_scale
        else:
            number = nearest_float((value - self.zero) / self.scale)
        if not isfinite(number):
            raise QuantityError(f"{value} is not {self.noun} that can be shown.")
        return float(f"{number:.12g}")


def nearest_float(value: Fraction) -> float:
    """A fraction as a float; one that no float can hold is infinite."""
    try:
        return float(value)
    except OverflowError:
        return inf


def read_own_table(name: str) -> list[Row]:
    """The rows of a table of this floor."""
    return read_rows((resources.files("service.quantities") / name).read_text(encoding="utf-8"))


def _read_traits(row: Row) -> Traits:
    scale = DEGREE if row["scale"] == "pi/180" else Fraction(row["scale"])
    zero = Fraction(row["zero"])
    lowest, highest = (Fraction(row[end]) * scale + zero for end in ("lowest", "highest"))
    field_unit, figure = cast(Unit, row["field"]) or None, cast(FigureKind, row["figure"])
    return Traits(
        row["noun"], row["example"], row["unit"], scale, lowest, highest, row["limits"],
        zero, field_unit, figure,
    )  # fmt: skip


TRAITS = {Kind(row["kind"]): _read_traits(row) for row in read_own_table("kinds.csv")}
