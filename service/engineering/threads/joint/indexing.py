"""Indexing: the shims or the facing cut that make a fitting point the right way.

Angles run clockwise as seen from the fitting's end, the way a right-hand thread tightens; a
left-hand one tightens anticlockwise. A shim stops the fitting earlier, a cut off its shoulder
later.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement
from math import floor, isfinite, pi, radians
from typing import Annotated

import numpy as np

from service.engineering.errors import Unsuitable, require
from service.engineering.findings import Finding, Working, worst_first
from service.engineering.saying import angle, count, fine, listed, say
from service.engineering.threads.catalogue import Thread

TURN = 2 * pi
MOST_SHIMS = 6
FEW_SHIMS = 3  # the most shims that one joint is given, and the most that nobody minds
MOST_KINDS = 24
THICKEST_SHIM = 0.005
LEAST_CUT = 1e-6  # A cut or shim under a thousandth of a millimetre is none [m]
POINTING_TOLERANCE = radians(5)  # what the eye lets pass on a fitting [rad]: common practice
AS_WANTED = radians(0.5)  # an error that nobody sees [rad]
ROUNDING = 1e-9  # angle below which a difference is arithmetic [rad]
SOURCE = "geometry of the helix: t = P angle / 360"
FULL_TURN = "mod 360 degree"


@dataclass(frozen=True, slots=True)
class Indexing:
    """How to make a fitting point as wanted; lengths in metres, angles in radians."""

    thickness: Annotated[float, "m"]
    """Shim wanted before it is crushed; 0 if it points right already."""
    stack: Annotated[tuple[float, ...], "m"]  # the shims to use, thickest first
    points_at: Annotated[float, "rad"]  # where the fitting points on that stack, 0 to one turn
    error: Annotated[float, "rad"]
    """Where it points less where it should, at most half a turn either way."""
    facing_cut: Annotated[float, "m"]  # what to turn off the shoulder instead of any shim
    shim_with_cut: Annotated[tuple[float, float], "m"] | None
    """One shim, and the lesser cut that makes it exact; None where no single shim serves."""
    turns_lost: float  # engagement that the stack takes away [turns]
    flats_back: float | None  # how far the fitting must come back, in flats of its hexagon
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]


def index_fitting(
    thread: Thread,
    *,
    found: float,
    wanted: float,
    shims: Sequence[float],
    tolerance: float,
    crush: float = 0.0,
    flats: int | None = None,
) -> Indexing:
    """Choose the fewest shims that stop a fitting within tolerance of where it should point.

    thread: the thread of the fitting; parallel.
    found: where it points when tight [rad], clockwise.
    wanted: where it should point [rad], clockwise.
    shims: thicknesses on hand [m], each up to 5 mm; any may be used several times.
    tolerance: error that is let pass either way [rad], 0 to half a turn.
    crush: what a stack gives when it is tightened [m], 0 or more and under one pitch.
    flats: flats of its hexagon or square; None: not counted.
    Returns: thickness [m], stack [m], where it points and the error [rad], the facing cut [m]. The
        nearest stack of at most six is given even where none is within tolerance.
    Raises OutOfRange: a thickness, tolerance, crush or number of flats outside its range.
    Raises Unsuitable: a taper thread.
    Source: t = P angle / 360 degrees: geometry of the helix. The crush allowance is common
        practice.
    """
    _refuse_taper(thread)
    require(isfinite(found) and isfinite(wanted), "found", "The angles must be finite.")
    _check_request(thread, shims=shims, tolerance=tolerance, crush=crush, flats=flats)
    ends = (wanted, found) if not thread.is_left else (found, wanted)  # as it tightens
    back, onward = _angle_between(*ends), _angle_between(*reversed(ends))
    thickness = thread.pitch * back / TURN + crush if back > ROUNDING else 0.0
    stack = _choose_stack(thread, back, shims=shims, tolerance=tolerance, crush=crush)
    lost = max(sum(stack) - crush, 0.0) / thread.pitch
    points_at = (found + TURN * lost * (1 if thread.is_left else -1)) % TURN
    error = _signed_angle(points_at - wanted)
    facing_cut = thread.pitch * onward / TURN
    return Indexing(
        thickness=thickness,
        stack=stack,
        points_at=points_at,
        error=error,
        facing_cut=facing_cut,
        shim_with_cut=_pair_with_cut(thickness, shims=shims),
        turns_lost=lost,
        flats_back=None if flats is None else back / TURN * flats,
        findings=_judge_stack(thread, stack, error=error, tolerance=tolerance, crush=crush)
        + _judge_facing(facing_cut),
        workings=_show_workings(thread, back, thickness=thickness, facing_cut=facing_cut),
    )


def _refuse_taper(thread: Thread) -> None:
    if thread.is_taper:
        said = say(
            thread.named, " is a taper thread: it seals on its flanks, so a shim under "
            "it does nothing. Point it by tapping deeper (one turn deeper opens the thread by ",
            fine(thread.taper * thread.pitch), "), or use a union or a parallel thread with a "
            "washer.",
        )  # fmt: skip
        raise Unsuitable(said, field="thread")


def _check_request(
    thread: Thread, *, shims: Sequence[float], tolerance: float, crush: float, flats: int | None
) -> None:
    kinds = say("At most ", count(MOST_KINDS), " thicknesses, please.")
    require(len(set(shims)) <= MOST_KINDS, "shims", kinds)
    thickest = say("A shim is above 0 and at most ", fine(THICKEST_SHIM), " thick.")
    require(all(0 < shim <= THICKEST_SHIM for shim in shims), "shims", thickest)
    require(0 <= tolerance <= pi, "tolerance", "The tolerance must lie within half a turn.")
    require(0 <= crush < thread.pitch, "crush", "The crush must be 0 or more and under one pitch.")
    require(flats is None or 2 <= flats <= 12, "flats", "A fitting has from 2 to 12 flats.")


def _choose_stack(
    thread: Thread, back: float, *, shims: Sequence[float], tolerance: float, crush: float
) -> tuple[float, ...]:
    """The fewest shims within tolerance, else the nearest of any number; none counts as well."""
    if abs(_signed_angle(back)) <= tolerance + ROUNDING or not shims:
        return ()
    kinds = tuple(sorted(set(shims), reverse=True))
    target = thread.pitch * back / TURN + crush
    allowed = thread.pitch * (tolerance + ROUNDING) / TURN
    nearest: tuple[float, ...] = ()
    nearest_miss = thread.pitch * abs(_signed_angle(back)) / TURN
    for number in range(1, MOST_SHIMS + 1):
        stack = _nearest_stack(kinds, number, target=target)
        miss = abs(sum(stack) - target)
        if miss <= allowed:
            return stack
        if miss < nearest_miss - LEAST_CUT:  # more shims must be worth having
            nearest, nearest_miss = stack, miss
    return nearest


def _nearest_stack(kinds: tuple[float, ...], count: int, *, target: float) -> tuple[float, ...]:
    """Of all stacks of so many shims the one nearest a thickness: exact, by two half stacks."""
    first = list(combinations_with_replacement(kinds, count // 2))
    second = sorted(combinations_with_replacement(kinds, count - count // 2), key=sum)
    first_sums = np.array([sum(half) for half in first], dtype=float)
    second_sums = np.array([sum(half) for half in second], dtype=float)
    wanted = target - first_sums
    above = np.clip(np.searchsorted(second_sums, wanted), 0, len(second) - 1)
    below = np.maximum(above - 1, 0)
    is_below = np.abs(second_sums[below] - wanted) <= np.abs(second_sums[above] - wanted)
    partners = np.where(is_below, below, above)
    chosen = int(np.argmin(np.abs(first_sums + second_sums[partners] - target)))
    return tuple(sorted(first[chosen] + second[int(partners[chosen])], reverse=True))


def _pair_with_cut(thickness: float, *, shims: Sequence[float]) -> tuple[float, float] | None:
    """The thinnest single shim that is thick enough, and what to face off to make it exact."""
    thick_enough = [shim for shim in shims if shim >= thickness - LEAST_CUT]
    if not thick_enough or thickness == 0:
        return None
    shim = min(thick_enough)
    return (shim, max(shim - thickness, 0.0))


def _judge_stack(
    thread: Thread, stack: tuple[float, ...], *, error: float, tolerance: float, crush: float
) -> tuple[Finding, ...]:
    findings = [_judge_error(stack, error=error, tolerance=tolerance)]
    used, source = len(stack), "common practice"
    if used > FEW_SHIMS:
        text = say(
            count(used, "shims"), " shims make ", count(used + 1, "faces"), " faces that may leak: "
            "face the shoulder instead, or turn one ring to thickness.",
        )  # fmt: skip
        code, most = "indexing-many-shims", FEW_SHIMS
        findings.append(Finding("caution", code, text, float(used), most, "1", source))
    if stack and crush > 0:
        turned = angle(TURN * crush / thread.pitch, "turned")
        allowed = say(fine(crush, "crush"), " of crush is allowed for, which is ", turned)
        text = say(allowed, ": try it tight before trusting it.")
        findings.append(Finding("ok", "indexing-crush", text, crush, None, "m", source))
    return worst_first(findings)


def _judge_error(stack: tuple[float, ...], *, error: float, tolerance: float) -> Finding:
    is_within = abs(error) <= tolerance + ROUNDING
    shims = listed((fine(shim, "shim") for shim in stack), between=" + ")
    how = say("With ", shims) if stack else "Without a shim"
    ending = "" if is_within else "; no stack of these shims comes nearer"
    side = "clockwise" if error > 0 else "anticlockwise"
    off = say(angle(abs(error), "error"), f" {side} of ") if abs(error) >= AS_WANTED else ()
    text = say(how, " it points ", off, f"where it should{ending}.")
    if is_within:
        return Finding("ok", "indexing-within-tolerance", text, error, tolerance, "rad", SOURCE)
    return Finding("caution", "indexing-out-of-tolerance", text, error, tolerance, "rad", SOURCE)


def _judge_facing(facing_cut: float) -> tuple[Finding, ...]:
    if facing_cut < LEAST_CUT:
        return ()
    text = say("Facing ", fine(facing_cut, "cut"), " off the shoulder does it without a shim.")
    return (Finding("ok", "indexing-facing-cut", text, facing_cut, None, "m", SOURCE),)


def _show_workings(
    thread: Thread, back: float, *, thickness: float, facing_cut: float
) -> tuple[Working, ...]:
    back_by, on_by = '"found" - "wanted"', '"wanted" - "found"'
    if thread.is_left:
        back_by, on_by = on_by, back_by
    return (
        Working("theta", f"({back_by}) {FULL_TURN}", back, "rad", SOURCE),
        Working("t", '(P theta)/(360 degree) + "crush"', thickness, "m", SOURCE),
        Working("c", f"P (({on_by}) {FULL_TURN})/(360 degree)", facing_cut, "m", SOURCE),
        Working("P", '"pitch of the thread"', thread.pitch, "m", thread.source),
    )


def _angle_between(start: float, end: float) -> float:
    """Clockwise from start to end, 0 to under one turn; a hair short of a turn is none."""
    angle = (end - start) % TURN
    return 0.0 if TURN - angle <= ROUNDING else angle


def _signed_angle(angle: float) -> float:
    """The same direction within half a turn either way."""
    return angle - TURN * floor(angle / TURN + 0.5)
