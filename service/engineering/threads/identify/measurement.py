"""What a person measures of an unknown thread at the bench."""

from dataclasses import dataclass
from math import pi, radians
from typing import Literal

from service.engineering.errors import OutOfRange, require

Gender = Literal["male", "female"]

CALIPER_ERROR = 0.00003
"""Standard error of a workshop caliper on a thread [m]; from memory."""

GAUGE_ERROR = 0.012
"""Standard error of a pitch gauge, or of a pitch measured over a few threads, per pitch."""

WEAR = 0.00005
"""How far a worn male may measure under its least [m]; from memory."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """What was measured at the bench; lengths in metres, angles in radians.

    The pitch is known by a gauge (`pitch`) or by a count (`count` threads `over` a length); the
    taper by a second diameter measured `apart` from the first along the thread.
    """

    gender: Gender
    diameter: float
    """Outside of a male, bore of a female [m]."""
    caliper_error: float = CALIPER_ERROR
    """Standard error of the diameters [m]."""
    pitch: float | None = None
    pitch_error: float | None = None
    """Standard error of the pitch [m]; None: that of a gauge."""
    count: float | None = None
    over: float | None = None
    included_angle: float | None = None
    second_diameter: float | None = None
    apart: float | None = None
    wear: float = WEAR
    """How far a worn male may measure under its least [m]."""


def check_measurement(measurement: Measurement) -> None:
    """Refuse a measurement that nobody can have made.

    Source: Ranges of bench measurement: common practice.
    """
    require(
        0.0002 <= measurement.diameter <= 0.2,
        "diameter",
        "The diameter must lie between 0.2 and 200 mm.",
    )
    require(
        0 < measurement.caliper_error <= 0.001,
        "caliper_error",
        "The caliper's error must lie between 0 and 1 mm.",
    )
    require(0 <= measurement.wear <= 0.001, "wear", "The wear must lie between 0 and 1 mm.")
    _check_pitch(measurement)
    _check_angle(measurement)
    _check_second_diameter(measurement)


def _check_pitch(measurement: Measurement) -> None:
    pitch, pitch_error = measurement.pitch, measurement.pitch_error
    require(
        pitch is None or 0.00005 <= pitch <= 0.01, "pitch", "The pitch lies between 0.05 and 10 mm."
    )
    require(
        pitch_error is None or 0 < pitch_error <= 0.001,
        "pitch_error",
        "The error of the pitch must lie between 0 and 1 mm.",
    )
    _require_both(measurement.count, measurement.over, names=("count", "over"))
    require(
        measurement.count is None or 1 <= measurement.count <= 500,
        "count",
        "The count of threads must lie between 1 and 500.",
    )
    require(
        measurement.over is None or 0.0005 <= measurement.over <= 0.5,
        "over",
        "The length counted over must lie between 0.5 and 500 mm.",
    )


def _check_angle(measurement: Measurement) -> None:
    angle = measurement.included_angle
    require(
        angle is None or radians(20) <= angle <= pi / 2 * 1.2,
        "included_angle",
        "The included angle must lie between 20 and 108 degrees.",
    )


def _check_second_diameter(measurement: Measurement) -> None:
    second, apart = measurement.second_diameter, measurement.apart
    _require_both(second, apart, names=("second_diameter", "apart"))
    require(
        second is None or 0.0002 <= second <= 0.2,
        "second_diameter",
        "The second diameter must lie between 0.2 and 200 mm.",
    )
    require(
        apart is None or 0.0005 <= apart <= 0.2,
        "apart",
        "The two diameters must be 0.5 to 200 mm apart along the thread.",
    )


def _require_both(first: float | None, second: float | None, *, names: tuple[str, str]) -> None:
    if (first is None) != (second is None):
        missing = names[0] if first is None else names[1]
        raise OutOfRange(f"{names[0]} and {names[1]} go together: give both.", field=missing)
