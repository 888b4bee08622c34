"""What males and females of every thread of a catalogue may measure; names of one thread merged."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from service.engineering.threads.catalogue import Thread, diameter_of_percent, families, limits_of

Figures = npt.NDArray[np.float64]

COARSELY_DRILLED_PERCENT = 55.0  # depth down to which a female may be drilled [%]; from memory

ONE_PITCH = 0.002  # pitches nearer than this part of one another are the same pitch
ONE_SIZE = 0.00002  # diameters nearer than this are the same size [m]
ONE_ANGLE = 0.01  # angles nearer than this are the same angle [rad]


@dataclass(frozen=True, slots=True)
class Spread:
    """One figure a geometry; `groups` are the threads that have it, each under its own name."""

    groups: tuple[tuple[Thread, ...], ...]
    male_least: Figures
    male_most: Figures
    female_least: Figures
    female_most: Figures  # bore at the top of its limits [m]
    female_widest: Figures  # bore as coarsely drilled as it may still hold [m]
    pitch: Figures
    included_angle: Figures
    taper: Figures
    commonness: Figures


@lru_cache(maxsize=4)  # a workshop's own catalogue is as long as the project's, and changes rarely
def spread_of(threads: tuple[Thread, ...]) -> Spread:
    """What the males and females of some threads may measure."""
    groups = merge_names(threads)
    first = [group[0] for group in groups]
    males = np.array([male_range(group) for group in groups])
    females = np.array([female_range(group) for group in groups])
    return Spread(
        groups=groups,
        male_least=males[:, 0],
        male_most=males[:, 1],
        female_least=females[:, 0],
        female_most=females[:, 1],
        female_widest=females[:, 2],
        pitch=np.array([thread.pitch for thread in first]),
        included_angle=np.array([thread.form.included_angle for thread in first]),
        taper=np.array([thread.taper for thread in first]),
        commonness=np.array([_commonness(group) for group in groups]),
    )


def merge_names(threads: Sequence[Thread]) -> tuple[tuple[Thread, ...], ...]:
    """The threads by geometry: those of one group are one thread under several names."""
    groups: list[list[Thread]] = []
    for thread in threads:
        own = next((group for group in groups if is_same_thread(group[0], thread)), None)
        if own is None:
            groups.append([thread])
        else:
            own.append(thread)
    return tuple(tuple(group) for group in groups)


def is_same_thread(thread: Thread, other: Thread) -> bool:
    """Alike in every measure there is."""
    return (
        abs(thread.major_diameter - other.major_diameter) < ONE_SIZE
        and not differs_in_pitch(thread, other)
        and not differs_in_angle(thread, other)
        and thread.taper == other.taper
        and thread.hand == other.hand
    )


def differs_in_pitch(thread: Thread, other: Thread) -> bool:
    """Whether no gauge and no count would take one pitch for the other."""
    return abs(thread.pitch - other.pitch) > ONE_PITCH * thread.pitch


def differs_in_angle(thread: Thread, other: Thread) -> bool:
    """Whether the flanks lie at another angle."""
    return abs(thread.form.included_angle - other.form.included_angle) > ONE_ANGLE


def male_range(group: Sequence[Thread]) -> tuple[float, float]:
    """Least and largest diameter over the crests of a sound male, whichever name it was made by."""
    ranges = [(limits_of(thread).male_major, thread) for thread in group]
    return (
        min(least - thread.small_end_offset for (least, _), thread in ranges),
        max(most + 3 * thread.taper * thread.pitch for (_, most), thread in ranges),
    )


def female_range(group: Sequence[Thread]) -> tuple[float, float, float]:
    """Least, largest and widest bore of a female."""
    ranges = [(limits_of(thread).female_core, thread) for thread in group]
    most = max(most for (_, most), _ in ranges)
    widest = max(diameter_of_percent(thread, COARSELY_DRILLED_PERCENT) for thread in group)
    return (
        min(least - thread.small_end_offset for (least, _), thread in ranges),
        most,
        max(widest, most),
    )


def _commonness(group: Sequence[Thread]) -> float:
    """That of its commonest name: a second name makes a thread no commoner."""
    known = {family.key: family.commonness for family in families()}
    return max(known.get(thread.family, 1.0) for thread in group)
