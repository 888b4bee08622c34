"""Taper threads along their length: diameters at any distance, hand tight and wrenched lengths."""

from dataclasses import dataclass
from typing import Annotated, Literal

from service.engineering.constants import INCH
from service.engineering.errors import Unsuitable, require
from service.engineering.findings import Working
from service.engineering.saying import fine, say
from service.engineering.threads.catalogue.families import find_family
from service.engineering.threads.catalogue.forms import WHITWORTH, Thread

Datum = Literal["small end", "gauge plane"]

FURTHEST = 0.2  # how far from a datum a diameter is asked [m]
WRENCH_TURNS = {"ISO 7-1": 2.75, "ASME B1.20.1": 3.0}
"""Turns that a spanner takes past hand tight: the fitting allowance of ISO 7-1 (from memory), and
L3 of ASME B1.20.1 up to 2 in."""


@dataclass(frozen=True, slots=True)
class TaperPlace:
    """A taper thread's diameters in one plane along it; lengths in metres."""

    major_diameter: Annotated[float, "m"]
    effective_diameter: Annotated[float, "m"]
    core_diameter: Annotated[float, "m"]
    from_small_end: Annotated[float, "m"]  # towards the large end; negative beyond the small end


@dataclass(frozen=True, slots=True)
class TaperLengths:
    """How far a standard taper thread goes in, by hand and by spanner; lengths in metres."""

    hand_tight_length: Annotated[float, "m"]  # L1: from the small end to the gauge plane
    hand_tight_turns: float
    effective_length: Annotated[float, "m"]  # L2: useful thread of the male
    wrench_length: Annotated[float, "m"]  # further in by spanner
    wrench_turns: float
    source: str


def taper_at(thread: Thread, distance: float, datum: Datum = "small end") -> TaperPlace:
    """The diameters of a taper thread at a distance along it.

    thread: a taper thread.
    distance: from the small end towards the large end, or from the gauge plane (the mouth of a
        female) towards the small end [m]: 0 to 0.2 m.
    datum: from where it is measured.
    Returns: basic diameters there [m].
    Raises Unsuitable: a parallel thread, or no thread left there.
    Raises OutOfRange: a distance outside its range.
    Source: Geometry: the diameter changes by the taper times the distance (ISO 7-1, ASME B1.20.1).
    """
    if not thread.is_taper:
        said = say(thread.named, " is parallel: its diameters are the same all along.")
        raise Unsuitable(said, field="distance")
    furthest = say("The distance must lie between 0 and ", fine(FURTHEST), ".")
    require(0 <= distance <= FURTHEST, "distance", furthest)
    gauge = thread.gauge_length or 0.0
    along = distance if datum == "small end" else gauge - distance
    change = thread.taper * (along - gauge)
    if thread.root_diameter + change <= 0:
        said = say("So far in, ", thread.named, " would have come to a point.")
        raise Unsuitable(said, field="distance")
    return TaperPlace(
        major_diameter=thread.major_diameter + change,
        effective_diameter=thread.effective_diameter + change,
        core_diameter=thread.core_diameter + change,
        from_small_end=along,
    )


def taper_lengths(thread: Thread) -> TaperLengths | None:
    """How far a taper thread goes in by hand and by spanner, and how long it must be cut.

    thread: the thread.
    Returns: lengths [m] and turns; None for a parallel thread, and for one that was only measured.
    Source: ISO 7-1: useful thread = gauge length + 2 3/4 turns (from memory). ASME B1.20.1:
        L2 = (0.80 D + 6.8) P with D the outside of the pipe, got back from E0 = D - (0.05 D + 1.1)
        P; L3 = 3 turns.
    """
    if not thread.gauge_length or find_family(thread.family) is None:
        return None
    standard = _standard_of(thread)
    gauge, turns = thread.gauge_length, WRENCH_TURNS[standard]
    effective = gauge + turns * thread.pitch
    if standard == "ASME B1.20.1":
        effective = (0.80 * _pipe_outside(thread) + 6.8) * thread.pitch
    return TaperLengths(
        hand_tight_length=gauge,
        hand_tight_turns=gauge / thread.pitch,
        effective_length=effective,
        wrench_length=turns * thread.pitch,
        wrench_turns=turns,
        source=standard,
    )


def write_lengths(thread: Thread, lengths: TaperLengths) -> tuple[Working, ...]:
    """The arithmetic of a taper's lengths.

    Source: As `taper_lengths`.
    """
    useful = "L_1 + n_w P" if lengths.source == "ISO 7-1" else "(0.80 D_p + 6.8) P"
    return (
        Working("L_1", '"small end to gauge plane"', lengths.hand_tight_length, "m", thread.source),
        Working("n_1", "L_1 / P", lengths.hand_tight_turns, "1", "arithmetic"),
        Working("L_2", useful, lengths.effective_length, "m", lengths.source),
        Working("n_w", '"turns by spanner"', lengths.wrench_turns, "1", lengths.source),
    )


def _standard_of(thread: Thread) -> str:
    return "ISO 7-1" if thread.form is WHITWORTH else "ASME B1.20.1"


def _pipe_outside(thread: Thread) -> float:
    """Outside diameter of the pipe, in inches."""
    small_end = (thread.effective_diameter - thread.small_end_offset) / INCH
    pitch = thread.pitch / INCH
    return (small_end + 1.1 * pitch) / (1 - 0.05 * pitch)
