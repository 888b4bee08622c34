"""Pitch gauges: the leaves of a set, and how a leaf lies on a thread."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import isclose
from typing import Literal, TypeVar

import numpy as np
import numpy.typing as npt

from service.engineering.constants import INCH
from service.engineering.data_files import need_number, read_table
from service.engineering.errors import OutOfRange
from service.engineering.saying import Figure, Said, fine, listed, number, say

Gauge = Literal["inch", "metric"]
Pitch = TypeVar("Pitch", float, npt.NDArray[np.float64])  # of one thread, or one a thread
Lie = Literal["fits", "nearly fits", "does not fit"]

MILLIMETRE = 0.001
LEAF_LENGTH = 0.012  # what of a leaf lies on a long thread [m]; from memory
LEAST_LIGHT, MOST_LIGHT = 0.00005, 0.00015
"""Misfit from which light is seen under a leaf, and up to which it may still be called [m]; from
memory."""

A_HAIR = 1e-9  # what rounding may add to a misfit [m]


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf: what is marked on it, threads per inch or millimetres, and its pitch [m]."""

    gauge: Gauge
    mark: float
    pitch: float

    @property
    def named(self) -> Figure:
        """As it is called: by its mark in threads per inch, or by its pitch."""
        return number(self.mark, "leaf") if self.gauge == "inch" else fine(self.pitch, "leaf")


@cache
def leaves_of(gauge: Gauge) -> tuple[Leaf, ...]:
    """The leaves of a usual set, as the table has them."""
    rows = [row for row in read_table("pitch_gauge_leaves.csv") if row["gauge"] == gauge]
    marks = [need_number(row, "leaf") for row in rows]
    return tuple(
        Leaf(gauge, mark, INCH / mark if gauge == "inch" else mark * MILLIMETRE) for mark in marks
    )


def find_leaf(gauge: Gauge, mark: float, *, field: str) -> Leaf:
    """The leaf with a mark; refuses one that no set has, naming the nearest."""
    leaves = leaves_of(gauge)
    for leaf in leaves:
        if isclose(leaf.mark, mark, rel_tol=1e-6):
            return leaf
    raise OutOfRange(_refuse_leaf(gauge, mark, leaves), field=field)


def nearest_leaf(gauge: Gauge, pitch: float) -> Leaf:
    """The leaf that lies best on a thread."""
    return min(leaves_of(gauge), key=lambda leaf: abs(leaf.pitch - pitch))


def misfit(leaf: Leaf, pitch: Pitch, run: float) -> Pitch:
    """How far a leaf has run off a thread, or each of several, at the end of what lies on it [m].

    Source: the difference of pitch, gathered over the turns that lie under the leaf: geometry.
    """
    return abs(leaf.pitch - pitch) / pitch * min(run, LEAF_LENGTH)


def lay_leaf(leaf: Leaf, pitch: float, run: float) -> Lie:
    """How a leaf lies on a thread of a pitch, `run` of which can be laid under it."""
    light = misfit(leaf, pitch, run) - A_HAIR
    if light <= LEAST_LIGHT:
        return "fits"
    return "nearly fits" if light <= MOST_LIGHT else "does not fit"


def _refuse_leaf(gauge: Gauge, mark: float, leaves: Sequence[Leaf]) -> Said:
    under = max((leaf for leaf in leaves if leaf.mark < mark), key=_by_mark, default=None)
    over = min((leaf for leaf in leaves if leaf.mark > mark), key=_by_mark, default=None)
    near = [leaf.named for leaf in (under, over) if leaf]
    wanted = number(mark) if gauge == "inch" else fine(mark * MILLIMETRE)
    article = "An inch" if gauge == "inch" else "A metric"
    return say(
        f"{article} gauge has no leaf of ", wanted, ": the nearest ",
        "is " if len(near) == 1 else "are ", listed(near, last=" and "),
        ". What was counted is given as count and over.",
    )  # fmt: skip


def _by_mark(leaf: Leaf) -> float:
    return leaf.mark
