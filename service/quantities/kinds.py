"""The kinds of quantity: what each is called, its limits, and the unit it has over the wire.

Values are exact fractions in SI. The radian is not a rational part of a turn, so angles carry a
pi of fifty places: degrees to radians and back is exact.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from math import inf, isfinite

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
    zero: Fraction = Fraction(0)  # the SI value at which the wire unit reads nought
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


TRAITS: dict[Kind, Traits] = {
    Kind.LENGTH: Traits(
        "a length", "5 mm or 3/16 in", "mm", Fraction(1, 1000),
        Fraction(0), Fraction(1000), "between 0 and 1000 m",
    ),
    Kind.AREA: Traits(
        "an area", "12 mm2 or 1/2 sq in", "mm2", Fraction(1, 10**6),
        Fraction(0), Fraction(100), "between 0 and 100 m2",
    ),
    Kind.VOLUME: Traits(
        "a volume", "250 ml, 1/2 pint (imperial) or 8 US fl oz", "ml", Fraction(1, 10**6),
        Fraction(0), Fraction(100), "between 0 and 100 m3",
    ),
    Kind.ANGLE: Traits(
        "an angle", "90 deg or 47 1/2 deg", "deg", DEGREE,
        -3600 * DEGREE, 3600 * DEGREE, "within ten turns either way",
    ),
    Kind.MASS: Traits(
        "a mass", "450 g or 1 lb 4 oz", "g", Fraction(1, 1000),
        Fraction(0), Fraction(10**5), "between 0 and 100,000 kg",
    ),
    Kind.FORCE: Traits(
        "a force", "20 N or 5 lbf", "N", Fraction(1),
        Fraction(0), Fraction(10**7), "between 0 and 10,000,000 N",
    ),
    Kind.TORQUE: Traits(
        "a torque", "2 N m or 18 lbf in", "N m", Fraction(1),
        Fraction(0), Fraction(10**6), "between 0 and 1,000,000 N m",
    ),
    Kind.PRESSURE: Traits(
        "a pressure", "60 psi, 4 bar or 5 bar abs", "bar", Fraction(10**5),
        -STANDARD_ATMOSPHERE, Fraction(10**8), "between a full vacuum and 1000 bar",
    ),
    Kind.PRESSURE_ABSOLUTE: Traits(
        "an absolute pressure", "5 bar abs or 75 psia", "bar abs", Fraction(10**5),
        Fraction(0), Fraction(10**8), "between 0 and 1000 bar abs",
    ),
    Kind.PRESSURE_DIFFERENCE: Traits(
        "a pressure difference", "2 psi or 0.1 bar", "bar", Fraction(10**5),
        Fraction(0), Fraction(10**8), "between 0 and 1000 bar",
    ),
    Kind.TEMPERATURE: Traits(
        "a temperature", "15 degC or 59 degF", "degC", Fraction(1),
        Fraction(0), Fraction(3000), "between absolute zero and 3000 K", zero=ICE_POINT,
    ),
    Kind.TEMPERATURE_DIFFERENCE: Traits(
        "a temperature difference", "10 K or 18 degF", "K", Fraction(1),
        Fraction(-3000), Fraction(3000), "within 3000 K either way",
    ),
    Kind.SPEED: Traits(
        "a speed", "600 rpm or 10 rev/s", "rpm", Fraction(1, 60),
        Fraction(0), Fraction(10**6, 60), "between 0 and 1,000,000 rpm",
    ),
    Kind.VELOCITY: Traits(
        "a velocity", "25 m/s or 80 ft/s", "m/s", Fraction(1),
        Fraction(0), Fraction(10**4), "between 0 and 10,000 m/s",
    ),
    Kind.MASS_FLOW: Traits(
        "a mass flow", "57 g/min or 2 oz/min", "g/min", Fraction(1, 60000),
        Fraction(0), Fraction(1000), "between 0 and 1000 kg/s",
    ),
    Kind.POWER: Traits(
        "a power", "500 W or 1/2 hp", "W", Fraction(1),
        Fraction(0), Fraction(10**7), "between 0 and 10,000,000 W",
    ),
    Kind.DURATION: Traits(
        "a duration", "1 h 30 min, 1h30 or 90 min", "min", Fraction(60),
        Fraction(0), Fraction(36 * 10**6), "between 0 and 10,000 h",
    ),
}  # fmt: skip
