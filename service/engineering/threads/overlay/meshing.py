"""Two outlines laid together: how far the male's surface stands inside the female's metal.

A ridge of the male sits in a groove of the female at some axial offset. With unlike pitches the
offset drifts along the helix, with a taper the ridge also rises; both are followed here turn by
turn, continuously, since the helix passes through every plane of section. The two flanks of a ridge
are followed apart: a flank counts where it lies itself within the engagement, a quarter of a pitch
from the middle of its ridge.
"""

from dataclasses import dataclass
from functools import cached_property
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray

from service.engineering.threads.overlay.profile import Points, Profile, fold

OFFSETS = 128  # offsets in one pitch at which the fouling of a ridge is tabulated
ACROSS = np.linspace(-1.0, 1.0, OFFSETS + 1)  # the same, in halves of a pitch
UP = np.linspace(0.0, 1.0, 33)  # steps from one end of a stretch to the other
NODES = 16  # even divisions of a pitch, beside the corners, at which the outlines are compared

RIDGE, FLANK, VALLEY = 0, 1, 2
"""Parts of an outline: the male's crest or female's root, a flank, the male's root or female's
crest."""

Zones = NDArray[np.int_]

NANOMETRE = 1e-9  # what is less than this is arithmetic, not metal [m]


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
        return self.length / self.male.pitch

    @property
    def drift(self) -> float:
        """Offset gained in each turn, male pitch less female pitch [m]."""
        return self.male.pitch - self.female.pitch

    def rises(self, turns: Points, length: float) -> Points:
        """How far the taper lifts the male into the female [m] at turns counted from the mouth,
        for the far sides and then for the near sides."""
        along = np.concatenate([turns, turns]) * self.male.pitch
        lifted = self.male_taper * (length - self.male_gauge)
        return (lifted - (self.male_taper - self.female_taper) * along) / 2

    @cached_property
    def fouling_table(self) -> tuple[Points, Points]:
        """Offsets over a pitch and the radial fouling of a ridge's far side at each [m]."""
        offsets = self.female.pitch / 2 * ACROSS
        return offsets, self.foul(self.places(offsets), offsets).max(axis=1)

    def foul(self, places: Points, offsets: Points) -> Points:
        """Male radius less female radius [m] at the places, for wrapped offsets [m]."""
        return self.male.radius_at(places - offsets[:, None]) - self.female.radius_at(places)

    def places(self, offsets: Points) -> Points:
        """Places compared [m from the groove's middle] on the far side of a ridge, from its middle
        inwards: a row for an offset [m], even steps and the corners of both in the columns. The
        near side at an offset is the far side at the opposite one, the outlines being even."""
        own, theirs = self._touching
        low, pitch, half = offsets[:, None], self.female.pitch, self.male.pitch / 2
        first = theirs + pitch * np.ceil((low - theirs) / pitch)  # the first of each in reach
        repeats = range(1 + int(half // pitch))
        reached = [np.minimum(first + groove * pitch, low + half) for groove in repeats]
        return np.concatenate([low + own, *reached], axis=1)

    @cached_property
    def _touching(self) -> tuple[Points, Points]:
        """Where the male's one side is compared, and where the female's both sides are [m]."""
        male = self.male.touching_places(self.female.half_angle)
        even = [step * self.male.pitch / 2 / NODES for step in range(NODES + 1)]
        female = set(self.female.touching_places(self.male.half_angle))
        both = female | {-place for place in female}
        return np.array(sorted({*even, *male})), np.array(sorted(both))

    def offsets(self, shift: float | Points, turns: Points) -> Points:
        """Offsets [m] of the far side, then of the near side turned over, at `turns`.

        `shift` [m] is the offset of a ridge whose middle is at the mouth.
        """
        far = shift + self.drift * (turns - 0.25)
        near = shift + self.drift * (turns + 0.25)
        return self._wrap(np.concatenate([far, -near], axis=-1))

    def best_shift(self) -> float:
        return self._least_foul(self.length, OFFSETS // 2)[1]

    def least_foul(self, length: float) -> float:
        """Radial fouling [m] over an engaged length [m], at the best shift; from the table."""
        return self._least_foul(length, OFFSETS // 4)[0]

    def _least_foul(self, length: float, shifts: int) -> tuple[float, float]:
        turns = self.stations(length)
        steps = self.female.pitch / shifts * np.arange(shifts // 2 + 1)
        trials = np.concatenate([steps, -steps[1:]]) - self.drift * turns[-1] / 2
        foul = np.interp(self.offsets(trials[:, None], turns), *self.fouling_table)
        worst = (foul + self.rises(turns, length)).max(axis=1)
        rounded = np.round(worst / NANOMETRE)
        best = int(rounded.argmin())
        return float(rounded[best]) * NANOMETRE, float(trials[best])

    def stations(self, length: float) -> Points:
        """Turns, from the mouth, at which the helix is looked at."""
        turns = length / self.male.pitch
        drifted = min(abs(self.drift) * turns, self.female.pitch)
        count = 2 + ceil(drifted / self.female.pitch * OFFSETS / 2)
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
        fine = clear + (touching - clear) * UP
        level = self.foul(self.places(fine), fine).max(axis=1)
        first = max(1, int(np.argmax(level > NANOMETRE)))
        share = min(1.0, max(0.0, -level[first - 1] / (level[first] - level[first - 1])))
        return float(fine[first - 1] + share * (fine[first] - fine[first - 1]))

    def _wrap(self, offsets: Points) -> Points:
        wrapped: Points = offsets - self.female.pitch * np.rint(offsets / self.female.pitch)
        return wrapped

    def zones(self, places: Points, offsets: Points) -> tuple[Zones, Zones]:
        """Which part of the male's and of the female's outline lies at each place."""
        male = _zone(fold(places - offsets[:, None], self.male.pitch), self.male)
        female = _zone(fold(places, self.female.pitch), self.female)
        return male, female


def _zone(folded: Points, profile: Profile) -> Zones:
    ridge_end = profile.outer_edges[-1] + NANOMETRE
    valley_end = profile.inner_edges[-1] + NANOMETRE
    elsewhere = np.where(folded >= profile.pitch / 2 - valley_end, VALLEY, FLANK)
    return np.where(folded <= ridge_end, RIDGE, elsewhere)
