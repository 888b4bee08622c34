"""What happens when a mate made for one thread meets another."""

from dataclasses import dataclass
from math import tan
from typing import Literal

from service.engineering.saying import Said, fine, say, turns
from service.engineering.threads.catalogue import Thread, limits_of
from service.engineering.threads.identify.spread import (
    differs_in_angle,
    differs_in_pitch,
    is_same_thread,
)

LEAST_BINDING, MANY_TURNS = 0.5, 8.0
"""The fewest turns that binding is foretold to, and those from which it does not matter."""

MatingKind = Literal["taper", "large", "loose", "binds", "near", "angle", "goes"]


@dataclass(frozen=True, slots=True)
class Mating:
    """How a male and a female of two threads go together; `turns` until a pitch binds."""

    kind: MatingKind
    text: Said
    turns: float = 0.0


def mate_threads(male: Thread, female: Thread) -> Mating:
    """Foretell how a male and a female of two threads go together.

    Source: Turns before binding: cumulative pitch error over clearance, from thread metrology
    (N = C tan a / dP); the rest is geometry and common practice.
    """
    if male.taper != female.taper:
        return Mating("taper", say("meets it on one thread only: it wedges early or leaks."))
    size = _mate_sizes(male, female)
    if size is not None:
        return size
    if differs_in_pitch(male, female):
        return _mate_pitches(male, female)
    if differs_in_angle(male, female):
        return Mating(
            "angle", say("goes on but touches along a line: it leaks and holds less. Seal it.")
        )
    return Mating("goes", say("goes on, a little tight or a little loose."))


def foretell_wrong_guess(thread: Thread, *, rival: Thread | None, is_male: bool) -> Said:
    """Say what happens if a mate is made for a thread and the part is its rival."""
    if rival is None:
        return say("If it is in no table, nothing made for ", thread.named, " need fit it.")
    if is_same_thread(thread, rival):
        return say("None to fear.")
    male, female = (rival, thread) if is_male else (thread, rival)
    mate = "a hole" if is_male else "a screw"
    start = say("If it is ", rival.named, f", {mate} made for ")
    return say(start, thread.named, " ", mate_threads(male, female).text)


def _mate_sizes(male: Thread, female: Thread) -> Mating | None:
    """A male much too large or too small for the female; None where sizes are near."""
    excess = male.effective_diameter - female.effective_diameter
    if excess > 0.25 * female.internal_depth:
        words = say("will not start: the male is ", fine(excess, "excess"), " too large.")
        return Mating("large", words)
    if -excess > 0.5 * female.internal_depth:
        return Mating("loose", say("is loose by ", fine(-excess, "loose"), " and may strip."))
    return None


def _mate_pitches(male: Thread, female: Thread) -> Mating:
    """Turns before a difference of pitch takes up the clearance (thread metrology)."""
    male_range, female_range = limits_of(male).male_effective, limits_of(female).female_effective
    clearance = max(sum(female_range) / 2 - sum(male_range) / 2, 0.0)
    slope = tan(min(male.form.half_angle, female.form.half_angle))
    reach = clearance * slope / abs(male.pitch - female.pitch)
    if reach >= MANY_TURNS:
        words = say("goes together over a short length: the pitches are nearly one.")
        return Mating("near", words, reach)
    bound = max(reach, LEAST_BINDING)
    return Mating("binds", say("binds after about ", turns(bound), " turns."), bound)
