"""How likely every thread of a catalogue makes what was measured; all threads at once.

A fit is 1 for a measurement in the middle of what a thread may give, and falls towards 0 outside.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import erf, radians, sqrt

import numpy as np
import numpy.typing as npt

from service.engineering.threads.catalogue import (
    Thread,
    catalogue,
    diameter_of_percent,
    families,
    limits_of,
)
from service.engineering.threads.identify.measurement import GAUGE_ERROR, Measurement

Figures = npt.NDArray[np.float64]
Sizes = float | Figures  # one for all threads, or one a thread

COUNT_ERROR = 0.15
LENGTH_ERROR = 0.0001
"""Standard errors of lining a count up [threads] and of the length it is taken over [m]."""

ANGLE_ERROR = radians(1.5)  # standard error of a flank angle tried with a gauge [rad]
TAPER_ERROR = 0.004  # standard error of a taper from the unevenness of crests
WORN_SHARE = 0.15  # share of males worn under their limits; from memory
COARSELY_DRILLED_SHARE = 0.4
COARSELY_DRILLED_PERCENT = 55.0
"""Share of females drilled larger than their limits allow, and down to what depth [%]."""

LEAST_FIT = 4e-6  # A thread that fits worse than this is out by five standard errors


@dataclass(frozen=True, slots=True)
class Spread:
    """What males and females of every thread of a catalogue may measure; one figure a thread."""

    threads: tuple[Thread, ...]
    male_least: Figures
    male_most: Figures
    female_least: Figures
    female_most: Figures  # bore at the top of its limits [m]
    female_widest: Figures  # bore as coarsely drilled as it may still hold [m]
    pitch: Figures
    included_angle: Figures
    taper: Figures
    commonness: Figures


@cache
def catalogue_spread() -> Spread:
    """The spread of the project's own catalogue, reckoned once."""
    return spread_of(catalogue())


def spread_of(threads: Sequence[Thread]) -> Spread:
    """What the males and females of some threads may measure."""
    male_ranges = np.array([male_range(thread) for thread in threads])
    female_ranges = np.array([female_range(thread) for thread in threads])
    commonness = {family.key: family.commonness for family in families()}
    return Spread(
        threads=tuple(threads),
        male_least=male_ranges[:, 0],
        male_most=male_ranges[:, 1],
        female_least=female_ranges[:, 0],
        female_most=female_ranges[:, 1],
        female_widest=female_ranges[:, 2],
        pitch=np.array([thread.pitch for thread in threads]),
        included_angle=np.array([thread.form.included_angle for thread in threads]),
        taper=np.array([thread.taper for thread in threads]),
        commonness=np.array([commonness.get(thread.family, 1.0) for thread in threads]),
    )


def weigh_threads(measurement: Measurement, spread: Spread) -> Figures:
    """The probability of every thread, given what was measured.

    Source: Bayes' rule; errors of caliper, count and gauge from memory.
    """
    size_fit, size_density = _weigh_diameter(measurement, spread)
    other_fit = _fit_others(measurement, spread)
    is_near = size_fit * other_fit >= LEAST_FIT
    weights = np.where(is_near, spread.commonness * size_density * other_fit, 0.0)
    total = float(weights.sum())
    return weights / total if total > 0 else weights


def male_range(thread: Thread) -> tuple[float, float]:
    """Least and largest diameter over the crests of a sound male."""
    least, most = limits_of(thread).male_major
    return least - thread.small_end_offset, most + 3 * thread.taper * thread.pitch


def female_range(thread: Thread) -> tuple[float, float, float]:
    """Least, largest and widest bore of a female."""
    least, most = limits_of(thread).female_core
    widest = diameter_of_percent(thread, COARSELY_DRILLED_PERCENT)
    return least - thread.small_end_offset, most, max(widest, most)


def _weigh_diameter(measurement: Measurement, spread: Spread) -> tuple[Figures, Figures]:
    """Fit of the diameter and its probability density [1/m]."""
    if measurement.gender == "male":
        least, most, share = spread.male_least, spread.male_most, WORN_SHARE
        other_least, other_most = least - measurement.wear, most
    else:
        least, most, share = spread.female_least, spread.female_most, COARSELY_DRILLED_SHARE
        other_least, other_most = least, spread.female_widest
    size, error = measurement.diameter, measurement.caliper_error
    sound = _fit_range(size, least, most, error=error)
    other = _fit_range(size, other_least, other_most, error=error)
    fit = (1 - share) * sound + share * other
    density = (1 - share) * sound / (most - least) + share * other / (other_most - other_least)
    return fit, density


def _fit_others(measurement: Measurement, spread: Spread) -> Figures:
    """Fit of whatever was measured beside the diameter."""
    fit = np.ones_like(spread.pitch)
    if measurement.pitch is not None:
        error = measurement.pitch_error or GAUGE_ERROR * measurement.pitch
        fit *= _fit_value(measurement.pitch - spread.pitch, error)
    if measurement.count is not None and measurement.over is not None:
        # right to half a thread either way, the edges softened by its own errors
        excess = measurement.over / spread.pitch - measurement.count
        lined_up = np.hypot(COUNT_ERROR, LENGTH_ERROR / spread.pitch)
        fit *= _fit_range(excess, -0.5, 0.5, error=lined_up)
    if measurement.included_angle is not None:
        fit *= _fit_value(measurement.included_angle - spread.included_angle, ANGLE_ERROR)
    if measurement.second_diameter is not None and measurement.apart is not None:
        taper = abs(measurement.diameter - measurement.second_diameter) / measurement.apart
        uneven = sqrt(2) * measurement.caliper_error / measurement.apart
        error = float(np.hypot(TAPER_ERROR, uneven))
        fit *= _fit_value(taper - spread.taper, error)
    return fit


def _fit_range(value: Sizes, least: Sizes, most: Sizes, *, error: Sizes) -> Figures:
    """Chance that a size anywhere in a range measures so, against one that must."""
    reached, passed = (np.asarray((value - end) / error) for end in (least, most))
    return _normal_distribution(reached) - _normal_distribution(passed)


def _fit_value(excess: Figures, error: float) -> Figures:
    return np.asarray(np.exp(-0.5 * np.square(excess / error)), dtype=float)


def _normal_distribution(deviations: Figures) -> Figures:
    return np.array([0.5 * (1 + erf(deviation / sqrt(2))) for deviation in deviations])
