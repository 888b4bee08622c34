"""The two ends of a screwed joint, as they lie on the bench."""

from dataclasses import dataclass
from typing import Annotated, Literal

from service.engineering.errors import OutOfRange
from service.engineering.given import given
from service.engineering.saying import Said, fine, length, say
from service.engineering.threads.catalogue import Thread, taper_lengths

WRENCHING_TURNS = 2.5  # past hand tight, of a taper that no standard gives: from memory
LONGEST = 0.2  # the longest thread that a fitting may have [m]

Owner = Literal["customer", "workshop", "bought"]


@dataclass(frozen=True, slots=True)
class MaleEnd:
    """A male thread on a fitting; lengths in metres, None where not known."""

    thread: Thread
    length: Annotated[float, "m"] | None = given("1/4 in", default=None)  # without its lead
    bore: Annotated[float, "m"] | None = given("1/8 in", default=None)  # hole through the middle
    material: str = given("bronze", default="brass")
    owner: Owner = given("customer", default="workshop")

    @property
    def wall(self) -> float | None:
        return None if self.bore is None else (self.bottom - self.bore) / 2

    @property
    def bottom(self) -> float:
        """Diameter at the bottom of the thread [m]; of a taper, at its small end."""
        return self.thread.root_diameter - self.thread.small_end_offset


@dataclass(frozen=True, slots=True)
class FemaleEnd:
    """A female thread in a boss, bush or block; lengths in metres, None where not known."""

    thread: Thread
    depth: Annotated[float, "m"] | None = given("5/16 in", default=None)  # depth of full thread
    boss: Annotated[float, "m"] | None = given("7/16 in", default=None)
    """Outside diameter of the metal around the thread, across flats if it is a hexagon."""
    drilled: Annotated[float, "m"] | None = given("7/32 in", default=None)  # tapping hole
    material: str = given("brass", default="brass")
    owner: Owner = given("workshop", default="workshop")

    @property
    def wall(self) -> float | None:
        return None if self.boss is None else (self.boss - self.thread.major_diameter) / 2

    @property
    def bore(self) -> float:
        """Hole across the crests [m]: as drilled, else at full depth."""
        return self.thread.core_diameter if self.drilled is None else self.drilled


def engaged_length(male: MaleEnd, female: FemaleEnd) -> float:
    """Length over which the two threads overlap when screwed home.

    male: the male end.
    female: the female end.
    Returns: the shorter of the lengths that are known; for a taper not more than the gauge length,
        hand tight; where neither is known one diameter of the smaller thread [m].
    Source: Common practice: one diameter of engagement; ISO 7-1 and ASME B1.20.1 for the gauge
        length.
    """
    gauge = male.thread.gauge_length if male.thread.is_taper else None
    known = [length for length in (male.length, female.depth, gauge) if length]
    if known:
        return min(known)
    return min(male.thread.major_diameter, female.thread.major_diameter)


def screwed_length(male: MaleEnd, female: FemaleEnd) -> float:
    """Length over which the two threads overlap once a spanner has been on them.

    Source: Wrenching allowance of ISO 7-1 and ASME B1.20.1, as `taper_lengths`.
    """
    by_hand = engaged_length(male, female)
    if not male.thread.is_taper:
        return by_hand
    known = [length for length in (male.length, female.depth) if length]
    lengths = taper_lengths(male.thread)
    turns = lengths.wrench_turns if lengths else WRENCHING_TURNS
    return min([by_hand + turns * male.thread.pitch, *known])


def check_ends(male: MaleEnd, female: FemaleEnd) -> None:
    """Refuse dimensions that no fitting has.

    male: length above 0; bore from 0 to below the bottom of the thread [m].
    female: depth above 0; boss above the major diameter; hole above 0 and below it [m].
    Raises OutOfRange: a dimension outside its range; `field` names it.
    Source: Geometry.
    """
    check_male(male)
    check_female(female)


def check_male(male: MaleEnd) -> None:
    """Refuse a male end that cannot be.

    male: length above 0 and at most 0.2 m; bore from 0 to below the bottom of the thread [m].
    Raises OutOfRange: a dimension outside its range.
    Source: Geometry.
    """
    _check_length(male.length, "length", "male's threaded length")
    if male.bore is not None and not 0 <= male.bore < male.bottom:
        bottom = say("the bottom of ", male.thread.named, ", ", fine(male.bottom))
        raise OutOfRange(say("The bore must be smaller than ", bottom, "."), field="bore")


def check_female(female: FemaleEnd) -> None:
    """Refuse a female end that cannot be.

    female: depth above 0 and at most 0.2 m; boss above the major diameter; hole above 0 and below
        the major diameter [m].
    Raises OutOfRange: a dimension outside its range.
    Source: Geometry.
    """
    thread, major = female.thread, female.thread.major_diameter
    _check_length(female.depth, "depth", "female's threaded depth")
    if female.boss is not None and not female.boss > major:
        raise OutOfRange(say("The boss must be larger than ", _size(thread)), field="boss")
    if female.drilled is not None and not 0 < female.drilled < major:
        said = say("The tapping hole must be above 0 and smaller than ", _size(thread))
        raise OutOfRange(said, field="drilled")


def _check_length(thread_length: float | None, field: str, called: str) -> None:
    if thread_length is not None and not 0 < thread_length <= LONGEST:
        said = say(f"The {called} must be above 0 and at most ", length(LONGEST), ".")
        raise OutOfRange(said, field=field)


def _size(thread: Thread) -> Said:
    return say(thread.named, ", ", fine(thread.major_diameter), ".")
