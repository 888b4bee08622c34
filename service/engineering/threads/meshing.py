"""Two outlines laid together: how far the male's surface stands inside the female's metal.

A ridge of the male sits in a groove of the female at some axial offset. With unlike pitches the
offset drifts along the helix, with a taper the ridge also rises; both are followed here turn by
turn, continuously, since the helix passes through every plane of section.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from service.engineering.threads.profile import Points, Profile, fold

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
    """A male outline in a female one over an engaged length; lengths in metres, tapers [-].

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
        """Turns of the male that are engaged [-]."""
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
        """Offsets from 0 to half a pitch and the radial fouling of a ridge at each [m]."""
        offsets = np.linspace(0.0, self.female.pitch / 2, OFFSETS // 2 + 1)
        return offsets, self.foul(offsets).max(axis=1)

    def foul(self, offsets: Points) -> Points:
        """Male radius less female radius [m] at the `places`, for folded offsets [m]."""
        along = self.places(offsets)
        return self.male.radius_at(along - offsets[:, None]) - self.female.radius_at(along)

    def places(self, offsets: Points) -> Points:
        """Places compared [m from the groove's middle]: a row for an offset [m] of 0 to half a
        pitch (the outlines are even, so the other half mirrors it); even steps and the corners of
        both members in the columns."""
        half = self.male.pitch / 2
        even = np.linspace(-half, half, NODES + 1)
        own = np.union1d(even, self.male.touching_places(self.female.half_angle))
        theirs = self.female.touching_places(self.male.half_angle)
        low, high = offsets[:, None] - half, offsets[:, None] + half
        repeats = range(-int(half // self.female.pitch), 2 + int(half // self.female.pitch))
        grooves = [theirs + groove * self.female.pitch for groove in repeats]
        return np.concatenate(
            [offsets[:, None] + own, np.clip(np.concatenate(grooves)[None, :], low, high)], axis=1
        )

    def tabulated_foul(self, offsets: Points) -> Points:
        """Radial fouling [m] at any offsets [m], read from the table."""
        found: Points = np.interp(fold(offsets, self.female.pitch), *self.fouling_table)
        return found

    def best_shift(self) -> float:
        """The offset of the mouth's turn [m] at which the pair fouls least, nearest the middle."""
        _, shift = self._least_foul(self.length, OFFSETS // 2)
        return shift

    def least_foul(self, length: float) -> float:
        """Radial fouling [m] over an engaged length [m], at the best shift; from the table."""
        return self._least_foul(length, OFFSETS // 4)[0]

    def _least_foul(self, length: float, shifts: int) -> tuple[float, float]:
        turns = self.stations(length)
        middle = -self.drift * turns[-1] / 2
        half = self.female.pitch / 2
        steps = np.linspace(0, half, shifts // 2 + 1)
        trials = middle + np.concatenate([steps, -steps[1:]])
        foul = self.tabulated_foul(trials[:, None] + self.drift * turns) + self.rise(turns, length)
        worst = np.round(foul.max(axis=1) / NANOMETRE)
        best = int(worst.argmin())
        return float(worst[best]) * NANOMETRE, float(trials[best])

    def stations(self, length: float) -> Points:
        """Turns, from the mouth, at which the helix is looked at [-]."""
        turns = length / self.male.pitch
        drifted = min(abs(self.drift) * turns, self.female.pitch)
        count = 2 + int(np.ceil(drifted / self.female.pitch * OFFSETS / 2))
        return np.linspace(0.0, turns, count)

    def axial_room(self) -> float:
        """How far one turn can move along between its flanks [m], tapers apart; 0 when tight."""
        offsets, foul = self.fouling_table
        if foul.max() <= NANOMETRE:
            return self.female.pitch
        return 2 * self._room_to(offsets, foul) if foul[0] <= NANOMETRE else 0.0

    def _room_to(self, distances: Points, foul: Points) -> float:
        """Distance to the first contact one way: bracketed by the table, then drawn closer."""
        touching = np.flatnonzero(foul > NANOMETRE)
        if not len(touching):
            return float(distances[-1])
        low, high = distances[touching[0] - 1], distances[touching[0]]
        fine = np.linspace(low, high, 33)
        level = self.foul(fine).max(axis=1)
        first = int(np.argmax(level > NANOMETRE))
        if first == 0:
            return float(fine[0])
        share = -level[first - 1] / (level[first] - level[first - 1])
        return float(fine[first - 1] + max(0.0, share) * (fine[first] - fine[first - 1]))

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
