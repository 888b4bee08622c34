"""What a person measures of an unknown thread at the bench."""

from dataclasses import dataclass
from math import radians
from typing import Literal

from service.engineering.errors import OutOfRange, require
from service.engineering.saying import angle, count, fine, say

Gender = Literal["male", "female"]

CALIPER_ERROR = 0.00003
"""Standard error of a workshop caliper on a thread [m]; from memory."""

GAUGE_ERROR = 0.012
"""Standard error of a pitch gauge, or of a pitch measured over a few threads, per pitch."""

WEAR = 0.00005
"""How far a worn male may measure under its least [m]; from memory."""

MOST_ERROR = 0.001
MOST_THREADS = 500
LEAST_ANGLE, MOST_ANGLE = radians(20), radians(108)
"""What a person may say of a measurement [m, rad]; common practice."""

CALLED = {
    "diameter": "diameter",
    "caliper_error": "caliper's error",
    "wear": "wear",
    "pitch": "pitch",
    "pitch_error": "error of the pitch",
    "over": "length counted over",
    "second_diameter": "second diameter",
    "apart": "distance between the two diameters",
}
"""What each field is called in a sentence."""


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
    _hold_length("diameter", measurement.diameter, least=0.0002, most=0.2)
    _hold_error("caliper_error", measurement.caliper_error)
    _hold_length("wear", measurement.wear, least=0.0, most=0.001)
    _hold_length("pitch", measurement.pitch, least=0.00005, most=0.01)
    _hold_error("pitch_error", measurement.pitch_error)
    _require_both(measurement.count, measurement.over, names=("count", "over"))
    _check_count(measurement.count)
    _hold_length("over", measurement.over, least=0.0005, most=0.5)
    _check_angle(measurement.included_angle)
    second, apart = measurement.second_diameter, measurement.apart
    _require_both(second, apart, names=("second_diameter", "apart"))
    _hold_length("second_diameter", second, least=0.0002, most=0.2)
    _hold_length("apart", apart, least=0.0005, most=0.2)


def _hold_length(field: str, length: float | None, *, least: float, most: float) -> None:
    said = say(f"The {CALLED[field]} must lie between ", fine(least), " and ", fine(most), ".")
    require(length is None or least <= length <= most, field, said)


def _hold_error(field: str, error: float | None) -> None:
    said = say(f"The {CALLED[field]} must be above 0 and at most ", fine(MOST_ERROR), ".")
    require(error is None or 0 < error <= MOST_ERROR, field, said)


def _check_count(threads: float | None) -> None:
    said = say("The count of threads must lie between 1 and ", count(MOST_THREADS), ".")
    require(threads is None or 1 <= threads <= MOST_THREADS, "count", said)


def _check_angle(included: float | None) -> None:
    least, most = LEAST_ANGLE, MOST_ANGLE
    said = say("The included angle must lie between ", angle(least), " and ", angle(most), ".")
    require(included is None or least <= included <= most, "included_angle", said)


def _require_both(first: float | None, second: float | None, *, names: tuple[str, str]) -> None:
    if (first is None) != (second is None):
        missing = names[0] if first is None else names[1]
        raise OutOfRange(f"{names[0]} and {names[1]} go together: give both.", field=missing)
