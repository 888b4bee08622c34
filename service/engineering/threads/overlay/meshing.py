"""Two outlines laid together: how far the male's surface stands inside the female's metal.

A ridge of the male sits in a groove of the female at some axial offset. With unlike pitches the
offset drifts along the helix, with a taper the ridge also rises; both are followed here turn by
turn, continuously, since the helix passes through every plane of section. The two flanks of a ridge
are followed apart: a flank counts where it lies itself within the engagement, a quarter of a pitch
from the middle of its ridge.
"""

from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np
from numpy.typing import NDArray

from service.engineering.threads.overlay.profile import Points, Profile, fold

OFFSETS = 128
"""Offsets in one pitch at which the fouling of a ridge is tabulated."""

NODES = 16
"""Even divisions of a pitch, beside the corners, at which the outlines are compared."""

RIDGE, FLANK, VALLEY = 0, 1, 2
"""Parts of an outline: the male's crest or female's root, a flank, the male's root or female's
crest."""

Zones = NDArray[np.int_]

NANOMETRE = 1e-9
"""What is less than this is arithmetic, not metal [m]."""


@dataclass(frozen=True)
class Pair:
    """A male outline in a female one over an engaged length; lengths in metres, tapers.

    The female's mouth is at 0 and distances run into it. The female's gauge plane is its mouth, the
    male's lies `male_gauge` from its small end, which stands at `length`.
    """

    male: Profile
    female: Profile
    length: float
    male_taper: float = 0.0
    female_taper: float = 0.0
    male_gauge: float = 0.0

    @property
    def turns(self) -> float:
        """Turns of the male that are engaged."""
        return self.length / self.male.pitch

    @property
    def drift(self) -> float:
        """Offset gained in each turn, male pitch less female pitch [m]."""
        return self.male.pitch - self.female.pitch

    def rise(self, turns: Points, length: float | None = None) -> Points:
        """How far the taper lifts the male into the female [m] at turns counted from the mouth."""
        reach = self.length if length is None else length
        return (
            self.male_taper * (reach - self.male_gauge)
            - (self.male_taper - self.female_taper) * turns * self.male.pitch
        ) / 2

    @cached_property
    def fouling_table(self) -> tuple[Points, Points]:
        """Offsets over a pitch and the radial fouling of a ridge's far side at each [m]."""
        half = self.female.pitch / 2
        offsets = np.linspace(-half, half, OFFSETS + 1)
        return offsets, self.foul(offsets).max(axis=1)

    def foul(self, offsets: Points) -> Points:
        """Male radius less female radius [m] at the `places`, for wrapped offsets [m]."""
        along = self.places(offsets)
        return self.male.radius_at(along - offsets[:, None]) - self.female.radius_at(along)

    def places(self, offsets: Points) -> Points:
        """Places compared [m from the groove's middle] on the far side of a ridge, from its middle
        inwards: a row for an offset [m], even steps and the corners of both in the columns. The
        near side at an offset is the far side at the opposite one, the outlines being even."""
        half = self.male.pitch / 2
        even = np.linspace(0.0, half, NODES + 1)
        own = np.union1d(even, self.male.touching_places(self.female.half_angle).clip(0.0))
        theirs = self.female.touching_places(self.male.half_angle)
        repeats = range(2 + int(half // self.female.pitch))
        grooves = np.unique([theirs + groove * self.female.pitch for groove in repeats])
        low = offsets[:, None]
        return np.concatenate([low + own, np.clip(grooves[None, :], low, low + half)], axis=1)

    def offsets(self, shift: float | Points, turns: Points) -> Points:
        """Offsets [m] of the far side, then of the near side turned over, at `turns`.

        `shift` [m] is the offset of a ridge whose middle is at the mouth.
        """
        far = shift + self.drift * (turns - 0.25)
        near = shift + self.drift * (turns + 0.25)
        return self._wrap(np.concatenate([far, -near], axis=-1))

    def best_shift(self) -> float:
        """The shift [m] at which the pair fouls least, nearest the middle."""
        return self._least_foul(self.length, OFFSETS // 2)[1]

    def least_foul(self, length: float) -> float:
        """Radial fouling [m] over an engaged length [m], at the best shift; from the table."""
        return self._least_foul(length, OFFSETS // 4)[0]

    def _least_foul(self, length: float, shifts: int) -> tuple[float, float]:
        turns = self.stations(length)
        steps = np.linspace(0, self.female.pitch / 2, shifts // 2 + 1)
        trials = np.concatenate([steps, -steps[1:]]) - self.drift * turns[-1] / 2
        foul = np.interp(self.offsets(trials[:, None], turns), *self.fouling_table)
        worst = (foul + np.tile(self.rise(turns, length), 2)).max(axis=1)
        rounded = np.round(worst / NANOMETRE)
        best = int(rounded.argmin())
        return float(rounded[best]) * NANOMETRE, float(trials[best])

    def stations(self, length: float) -> Points:
        """Turns, from the mouth, at which the helix is looked at."""
        turns = length / self.male.pitch
        drifted = min(abs(self.drift) * turns, self.female.pitch)
        count = 2 + int(np.ceil(drifted / self.female.pitch * OFFSETS / 2))
        return np.linspace(0.0, turns, count)

    @cached_property
    def room(self) -> float:
        """How far one ridge can move along before both its sides touch [m], tapers apart.

        Below 0 when it is too wide by so much; minus infinity when it fouls wherever it is.
        """
        offsets, foul = self.fouling_table
        clear = foul <= NANOMETRE
        if clear.all():
            return self.female.pitch
        if not clear.any():
            return -inf
        least = int(np.argmin(foul))
        first = least + int(np.argmax(~clear[least:]))
        return 2 * self._crossing(float(offsets[first - 1]), float(offsets[first]))

    def _crossing(self, clear: float, touching: float) -> float:
        """The offset of first contact [m], between one that is clear and one that touches."""
        fine = np.linspace(clear, touching, 33)
        level = self.foul(fine).max(axis=1)
        first = max(1, int(np.argmax(level > NANOMETRE)))
        share = min(1.0, max(0.0, -level[first - 1] / (level[first] - level[first - 1])))
        return float(fine[first - 1] + share * (fine[first] - fine[first - 1]))

    def _wrap(self, offsets: Points) -> Points:
        half = self.female.pitch / 2
        wrapped: Points = (offsets + half) % self.female.pitch - half
        return wrapped

    def zones(self, places: Points, offsets: Points) -> tuple[Zones, Zones]:
        """Which part of the male's and of the female's outline lies at each place."""
        male = _zone(fold(places - offsets[:, None], self.male.pitch), self.male)
        female = _zone(fold(places, self.female.pitch), self.female)
        return male, female


def _zone(folded: Points, profile: Profile) -> Zones:
    ridge_end = profile.outer_edges[-1] + NANOMETRE
    valley_end = profile.inner_edges[-1] + NANOMETRE
    return np.select(
        [folded <= ridge_end, profile.pitch / 2 - folded <= valley_end],
        [RIDGE, VALLEY],
        default=FLANK,
    )
