"""What a person measures of an unknown thread at the bench."""

from dataclasses import dataclass
from math import radians
from typing import Annotated, Literal

from service.engineering.errors import OutOfRange
from service.engineering.given import given, require_given

Gender = Literal["male", "female"]

CALIPER_ERROR = 0.00003  # standard error of a workshop caliper on a thread [m]; from memory
GAUGE_ERROR = 0.012  # standard error of a pitch by gauge or over a few threads, per pitch
WEAR = 0.00005  # how far a worn male may measure under its least [m]; from memory
MOST_ERROR = 0.001
LEAST_ANGLE, MOST_ANGLE = radians(20), radians(108)
"""What a person may say of a measurement [m, rad]; common practice."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """What was measured at the bench; lengths in metres, angles in radians.

    The pitch is known by a gauge (`pitch`) or by a count (`count` threads `over` a length); the
    taper by a second diameter measured `apart` from the first along the thread.
    """

    gender: Gender = given("male")
    diameter: Annotated[float, "m"] = given("6.28 mm", least=0.0002, most=0.2)
    """Outside of a male, bore of a female."""
    caliper_error: Annotated[float, "m"] = given(
        "0.03 mm", default=CALIPER_ERROR, least=1e-9, most=MOST_ERROR
    )
    """Standard error of the diameters."""
    pitch: Annotated[float, "m"] | None = given("0.64 mm", default=None, least=5e-5, most=0.01)
    pitch_error: Annotated[float, "m"] | None = given(
        "0.01 mm", default=None, least=1e-9, most=MOST_ERROR
    )
    """Standard error of the pitch; None: that of a gauge."""
    count: float | None = given(20, default=None, least=1.0, most=500.0)
    over: Annotated[float, "m"] | None = given("1/2 in", default=None, least=0.0005, most=0.5)
    included_angle: Annotated[float, "rad"] | None = given(
        "55 deg", default=None, least=LEAST_ANGLE, most=MOST_ANGLE
    )
    second_diameter: Annotated[float, "m"] | None = given(
        "6.1 mm", default=None, least=0.0002, most=0.2
    )
    apart: Annotated[float, "m"] | None = given("5 mm", default=None, least=0.0005, most=0.2)
    wear: Annotated[float, "m"] = given("0.05 mm", default=WEAR, least=0.0, most=MOST_ERROR)
    """How far a worn male may measure under its least."""


def check_measurement(measurement: Measurement) -> None:
    """Refuse a measurement that nobody can have made.

    Source: Ranges of bench measurement: common practice.
    """
    require_given(measurement)
    _require_both(measurement.count, measurement.over, names=("count", "over"))
    second, apart = measurement.second_diameter, measurement.apart
    _require_both(second, apart, names=("second_diameter", "apart"))


def _require_both(first: float | None, second: float | None, *, names: tuple[str, str]) -> None:
    if (first is None) != (second is None):
        missing = names[0] if first is None else names[1]
        raise OutOfRange(f"{names[0]} and {names[1]} go together: give both.", field=missing)
