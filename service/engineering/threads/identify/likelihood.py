"""How likely every thread of a catalogue, and a thread of none, makes what was measured.

Each reading has a chance under each thread: how a part of it measures, blurred by the error of the
tool, and mixed with the chance that the tool was misread. A reading off a thread of no table is
spread broadly; a misreading says as little. So no reading speaks louder than it can.
"""

from math import erf, hypot, log, pi, radians, sqrt

import numpy as np

from service.engineering.threads.identify.leaves import MOST_LIGHT, Leaf, leaves_of, misfit
from service.engineering.threads.identify.measurement import (
    LEAST_ANGLE,
    LEAST_PITCH,
    LEAST_SIZE,
    MOST_ANGLE,
    MOST_PITCH,
    MOST_SIZE,
    Measurement,
)
from service.engineering.threads.identify.spread import Figures, Spread

Sizes = float | Figures  # one for all threads, or one a thread
Chances = tuple[Figures, float]
"""Chance, or its density, of a reading under each thread of the catalogue and under none of it."""

UNKNOWN_SHARE = 0.1  # share of the threads brought to a bench that are in no table; from memory

CALIPER_MISREAD, PITCH_MISREAD, ANGLE_MISREAD = 0.001, 0.02, 0.03
"""Shares of readings that are wrong: of a caliper; of a leaf, a pitch or a count; of a flank angle.
From memory."""

COUNT_ERROR = 0.15
LENGTH_ERROR = 0.0001
"""Standard errors of lining a count up [threads] and of the length it is taken over [m]."""

ANGLE_ERROR = radians(1.5)  # standard error of a flank angle tried with a gauge [rad]
TAPER_ERROR = 0.004  # standard error of a taper from the unevenness of crests
LIGHT_ERROR = 0.00005  # standard error of the light seen under a leaf [m]; from memory
CALLED_ANYHOW = (
    0.3  # share of hands that call the nearest leaf whatever light it shows; from memory
)
WORN_SHARE = 0.3  # share of males worn under their limits; from memory
COARSELY_DRILLED_SHARE = 0.4  # share of females drilled larger than their limits allow

USUAL_ANGLES = {radians(47.5): 0.1, radians(55): 0.4, radians(60): 0.4}
"""Shares of the angles that a thread of no table has; the rest lie anywhere. From memory."""
PARALLEL_SHARE = 0.8  # share of the threads of no table that are parallel; from memory
USUAL_TAPER = 1 / 16  # a taper of no table lies as often under it as over it


def weigh_threads(measurement: Measurement, spread: Spread) -> Figures:
    """The probability of every thread, given what was measured; the last is that of none of them.

    Source: Bayes' rule; shares and errors from memory.
    """
    known = (1 - UNKNOWN_SHARE) * spread.commonness / spread.commonness.sum()
    unknown = UNKNOWN_SHARE
    for chances, of_none in _weigh_readings(measurement, spread):
        known = known * chances
        unknown *= of_none
    weights = np.append(known, unknown)
    total: Figures = weights / weights.sum()
    return total


def taper_of(measurement: Measurement) -> tuple[float, float] | None:
    """The taper that two diameters give and its standard error; None where only one was taken."""
    if measurement.second_diameter is None or measurement.apart is None:
        return None
    taper = abs(measurement.diameter - measurement.second_diameter) / measurement.apart
    uneven = sqrt(2) * measurement.caliper_error / measurement.apart
    return taper, hypot(TAPER_ERROR, uneven)


def count_error(pitch: Sizes) -> Sizes:
    """Standard error of a count [threads]."""
    error: Sizes = np.hypot(COUNT_ERROR, LENGTH_ERROR / pitch)
    return error


def _weigh_readings(measurement: Measurement, spread: Spread) -> list[Chances]:
    """Chances of each reading that was taken."""
    readings = [_weigh_diameter(measurement, spread)]
    if measurement.leaf is not None:
        readings.append(_weigh_leaf(measurement.leaf, spread.pitch, measurement.run))
    if measurement.measured_pitch is not None:
        found, error = measurement.measured_pitch, measurement.error_of_pitch
        fit = _bell(found - spread.pitch, error)
        readings.append(_mix(fit, 1 / (found * log(MOST_PITCH / LEAST_PITCH)), PITCH_MISREAD))
    if measurement.count is not None and measurement.over is not None:
        readings.append(_weigh_count(measurement.count, measurement.over, spread.pitch))
    if measurement.included_angle is not None:
        misread = ANGLE_MISREAD**measurement.angle_readings
        readings.append(_weigh_angle(measurement.included_angle, spread.included_angle, misread))
    if (taper := taper_of(measurement)) is not None:
        readings.append(_weigh_taper(*taper, spread.taper))
    return readings


def _mix(right: Figures, of_none: float, misread: float) -> Chances:
    """A reading that is right but for a share, which says as little as one off no known thread."""
    return (1 - misread) * right + misread * of_none, of_none


def _weigh_diameter(measurement: Measurement, spread: Spread) -> Chances:
    """Density [1/m]: anywhere in its limits, or under or over them when worn or coarsely drilled.

    Off a thread of no table every size is as likely as another of the same proportion.
    """
    if measurement.gender == "male":
        least, most, share = spread.male_least, spread.male_most, WORN_SHARE
        other_least, other_most = least - measurement.wear, most
    else:
        least, most, share = spread.female_least, spread.female_most, COARSELY_DRILLED_SHARE
        other_least, other_most = least, spread.female_widest
    size, error = measurement.diameter, measurement.caliper_error
    sound = _fit_range(size, least, most, error=error) / (most - least)
    other = _fit_range(size, other_least, other_most, error=error) / (other_most - other_least)
    of_none = 1 / (size * log(MOST_SIZE / LEAST_SIZE))
    return _mix((1 - share) * sound + share * other, of_none, CALIPER_MISREAD)


def _weigh_leaf(leaf: Leaf, pitch: Figures, run: float) -> Chances:
    """Chance that a leaf is the one called: the less light, the likelier.

    Where every leaf shows light, most people call none. Off a thread of no table any leaf is as
    likely.
    """
    leaves = leaves_of(leaf.gauge)
    light = np.array([misfit(each, pitch, run) for each in leaves]) / LIGHT_ERROR
    least = light.min(axis=0)
    rivals = np.exp((np.square(least) - np.square(light)) / 2)  # each against the best
    best, too_much = (np.exp(-np.square(each) / 2) for each in (least, MOST_LIGHT / LIGHT_ERROR))
    is_called = CALLED_ANYHOW + (1 - CALLED_ANYHOW) * best / (best + too_much)
    called = rivals[leaves.index(leaf)] / rivals.sum(axis=0) * is_called
    return _mix(called, 1 / len(leaves), PITCH_MISREAD)


def _weigh_count(count: float, over: float, pitch: Figures) -> Chances:
    """Chance of a count: right to half a thread either way, the edges softened by its own errors.

    Off a thread of no table every pitch is as likely as another of the same proportion.
    """
    fit = _fit_range(over / pitch - count, -0.5, 0.5, error=count_error(pitch))
    of_none = log((count + 0.5) / (count - 0.5)) / log(MOST_PITCH / LEAST_PITCH)
    return _mix(fit, of_none, PITCH_MISREAD)


def _weigh_angle(found: float, angle: Figures, misread: float) -> Chances:
    usual = np.array(list(USUAL_ANGLES))
    shares = np.array(list(USUAL_ANGLES.values()))
    anywhere = (1 - shares.sum()) / (MOST_ANGLE - LEAST_ANGLE)
    of_none = float((shares * _bell(found - usual, ANGLE_ERROR)).sum() + anywhere)
    return _mix(_bell(found - angle, ANGLE_ERROR), of_none, misread)


def _weigh_taper(found: float, error: float, taper: Figures) -> Chances:
    """Density of a taper, by two readings; off a thread of no table it is none or any."""
    parallel = float(_bell(np.asarray(found), error))
    anyhow = USUAL_TAPER / (USUAL_TAPER + found) ** 2  # half of it under the usual taper
    of_none = PARALLEL_SHARE * parallel + (1 - PARALLEL_SHARE) * anyhow
    return _mix(_bell(found - taper, error), of_none, 2 * CALIPER_MISREAD)


def _fit_range(value: Sizes, least: Sizes, most: Sizes, *, error: Sizes) -> Figures:
    """Chance that a size anywhere in a range measures so, against one that must."""
    reached, passed = (np.asarray((value - end) / error) for end in (least, most))
    return _normal_distribution(reached) - _normal_distribution(passed)


def _bell(excess: Figures, error: float) -> Figures:
    """The normal density."""
    density = np.exp(-0.5 * np.square(excess / error)) / (error * sqrt(2 * pi))
    return np.asarray(density, dtype=float)


def _normal_distribution(deviations: Figures) -> Figures:
    return np.array([0.5 * (1 + erf(deviation / sqrt(2))) for deviation in deviations])
