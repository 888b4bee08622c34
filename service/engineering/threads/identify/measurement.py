"""What a person measures of an unknown thread at the bench."""

from dataclasses import dataclass
from math import radians
from typing import Annotated, Literal

from service.engineering.errors import OutOfRange, require
from service.engineering.given import given, require_given
from service.engineering.saying import length as length_figure
from service.engineering.saying import say
from service.engineering.threads.catalogue import Hand
from service.engineering.threads.identify.leaves import MILLIMETRE, Gauge, Leaf, find_leaf

Gender = Literal["male", "female"]

CALIPER_ERROR = 0.00003  # standard error of a workshop caliper on a thread [m]; from memory
PITCH_ERROR = 0.012  # standard error of a pitch measured over a few threads, per pitch
WEAR = 0.00015  # how far a worn male may measure under its least [m]; from memory
MOST_ERROR = 0.001
LEAST_SIZE, MOST_SIZE = 0.0002, 0.2
LEAST_PITCH, MOST_PITCH = 5e-5, 0.01
LEAST_ANGLE, MOST_ANGLE = radians(20), radians(108)
"""What a person may say of a measurement [m, rad]; common practice."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """What was measured at the bench; lengths in metres, angles in radians.

    The pitch is known by a leaf of a `gauge` (`threads_per_inch` or `pitch`), by a `pitch` that was
    measured without one, or by a `count` of threads `over` a length; the taper by a second diameter
    `apart` from the first along the thread. The `length` of the thread bounds what can be done.
    """

    gender: Gender = given("male")
    diameter: Annotated[float, "m"] = given("6.28 mm", least=LEAST_SIZE, most=MOST_SIZE)
    """Outside of a male, bore of a female."""
    hand: Hand = given("right", default="right")
    """Which way it tightens, as the eye sees it."""
    caliper_error: Annotated[float, "m"] = given(
        "0.03 mm", default=CALIPER_ERROR, least=1e-9, most=MOST_ERROR
    )
    """Standard error of the diameters."""
    gauge: Gauge | None = given("inch", default=None)
    threads_per_inch: float | None = given(40, default=None, least=1.0, most=500.0)
    """The mark on the leaf of an inch gauge."""
    pitch: Annotated[float, "m"] | None = given(
        "0.75 mm", default=None, least=LEAST_PITCH, most=MOST_PITCH
    )
    """The mark on the leaf of a metric gauge; with no gauge named, a pitch that was measured."""
    pitch_error: Annotated[float, "m"] | None = given(
        "0.01 mm", default=None, least=1e-9, most=MOST_ERROR
    )
    """Standard error of a pitch that was measured; None: that of a steel rule."""
    count: float | None = given(20, default=None, least=1.0, most=500.0)
    over: Annotated[float, "m"] | None = given("1/2 in", default=None, least=0.0005, most=0.5)
    included_angle: Annotated[float, "rad"] | None = given(
        "55 deg", default=None, least=LEAST_ANGLE, most=MOST_ANGLE
    )
    angle_readings: int = given(1, default=1, least=1, most=3)
    """How often the angle was tried, with this answer every time; more than thrice says no more."""
    second_diameter: Annotated[float, "m"] | None = given(
        "6.1 mm", default=None, least=LEAST_SIZE, most=MOST_SIZE
    )
    apart: Annotated[float, "m"] | None = given("5 mm", default=None, least=0.0005, most=0.2)
    length: Annotated[float, "m"] | None = given("10 mm", default=None, least=0.0005, most=0.5)
    """How long the thread is."""
    wear: Annotated[float, "m"] = given("0.15 mm", default=WEAR, least=0.0, most=MOST_ERROR)
    """How far a worn male may measure under its least."""

    @property
    def leaf(self) -> Leaf | None:
        """The leaf that was called; raises OutOfRange for one that no set has."""
        if self.threads_per_inch is not None:
            return find_leaf("inch", self.threads_per_inch, field="threads_per_inch")
        if self.gauge is not None and self.pitch is not None:
            return find_leaf("metric", self.pitch / MILLIMETRE, field="pitch")
        return None

    @property
    def run(self) -> float:
        """How much thread there is to measure on [m].

        Where it was not said, as long as it is thick, which is what a fitting has (common
        practice), or as long as what was measured along it.
        """
        if self.length is not None:
            return self.length
        return max(self.diameter, self.over or 0.0, self.apart or 0.0)

    @property
    def measured_pitch(self) -> float | None:
        """The pitch that was measured without a gauge [m]."""
        return self.pitch if self.leaf is None else None

    @property
    def error_of_pitch(self) -> float:
        """Standard error of the pitch that was measured [m]."""
        return self.pitch_error or PITCH_ERROR * (self.pitch or 0.0)


def check_measurement(measurement: Measurement) -> None:
    """Refuse a measurement that nobody can have made.

    Source: Ranges of bench measurement: common practice.
    """
    require_given(measurement)
    _require_one_pitch(measurement)
    _require_both(measurement.count, measurement.over, names=("count", "over"))
    second, apart = measurement.second_diameter, measurement.apart
    _require_both(second, apart, names=("second_diameter", "apart"))
    _require_gauge(measurement)
    for field in ("over", "apart"):
        along = getattr(measurement, field)
        if along is not None and measurement.length is not None:
            told = say("The thread is only ", length_figure(measurement.length), " long.")
            require(along <= measurement.length, field, told)


def _require_one_pitch(measurement: Measurement) -> None:
    ways = ("threads_per_inch", "pitch", "count")
    known = [way for way in ways if getattr(measurement, way) is not None]
    if len(known) > 1:
        raise OutOfRange("Give the pitch in one way only.", field=known[1])


def _require_both(first: float | None, second: float | None, *, names: tuple[str, str]) -> None:
    if (first is None) != (second is None):
        missing = names[0] if first is None else names[1]
        raise OutOfRange(f"{names[0]} and {names[1]} go together: give both.", field=missing)


def _require_gauge(measurement: Measurement) -> None:
    """A leaf is named as its gauge marks it, and every set has it."""
    wanted = {"inch": "threads_per_inch", "metric": "pitch"}
    if measurement.gauge is not None and getattr(measurement, wanted[measurement.gauge]) is None:
        field = wanted[measurement.gauge]
        words = field.replace("_", " ")
        raise OutOfRange(
            f"Say which leaf of the {measurement.gauge} gauge: its {words}.", field=field
        )
    _ = measurement.leaf  # refuses a leaf that no set has
