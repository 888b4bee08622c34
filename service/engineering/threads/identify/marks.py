"""How each thing that was measured agrees with a thread, whatever else there is to choose from.

A reading agrees up to two standard errors outside what a sound part may measure, is doubtful up to
three, and disagrees beyond. A male worn under its limits and a female drilled over them may be
sound all the same, but it is not known: they are doubtful.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from service.engineering.saying import Said, angle, fine, number, say, share, turns
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.identify.leaves import Leaf, Lie, lay_leaf, misfit, nearest_leaf
from service.engineering.threads.identify.likelihood import ANGLE_ERROR, count_error, taper_of
from service.engineering.threads.identify.measurement import Measurement
from service.engineering.threads.identify.spread import female_range, male_range

Sureness = Literal["agrees", "doubtful", "disagrees"]
Reading = Literal["diameter", "leaf", "pitch", "count", "angle", "taper"]

MOST_AGREEING, MOST_DOUBTFUL = 2.0, 3.0  # standard errors

LIES: dict[Lie, Sureness] = {
    "fits": "agrees", "nearly fits": "doubtful", "does not fit": "disagrees"
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mark:
    """What one reading says of a thread."""

    kind: Reading
    mark: Sureness
    text: Said
    found: Said
    expected: Said


def mark_readings(measurement: Measurement, group: Sequence[Thread]) -> tuple[Mark, ...]:
    """Every reading that was taken, against a thread under all its names."""
    thread = group[0]
    marks = [_mark_diameter(measurement, group)]
    if measurement.leaf is not None:
        marks.append(_mark_leaf(measurement.leaf, thread, measurement.run))
    if measurement.measured_pitch is not None:
        marks.append(_mark_pitch(measurement.measured_pitch, measurement.error_of_pitch, thread))
    if measurement.count is not None and measurement.over is not None:
        marks.append(_mark_count(measurement.count, measurement.over, thread))
    if measurement.included_angle is not None:
        marks.append(_mark_angle(measurement.included_angle, thread))
    taper = taper_of(measurement)
    if taper is not None and measurement.apart is not None:
        marks.append(_mark_taper(*taper, measurement.apart, thread))
    return tuple(marks)


def find_worst(marks: Sequence[Mark]) -> Mark | None:
    """The first of those that agree least; None where all agree."""
    wrong = [each for each in marks if each.mark == "disagrees"]
    doubted = [each for each in marks if each.mark == "doubtful"]
    return next(iter([*wrong, *doubted]), None)


def _mark_errors(errors: float) -> Sureness:
    if errors <= MOST_AGREEING:
        return "agrees"
    return "doubtful" if errors <= MOST_DOUBTFUL else "disagrees"


def _mark_diameter(measurement: Measurement, group: Sequence[Thread]) -> Mark:
    """A size in its range, worn under it, drilled over it, or out of it."""
    if measurement.gender == "male":
        least, most = male_range(group)
        least_of_any, most_of_any = least - measurement.wear, most
    else:
        least, most, most_of_any = female_range(group)
        least_of_any = least
    size, error = measurement.diameter, measurement.caliper_error
    out = max(least - size, size - most, 0.0)
    mark = _mark_errors(out / error)
    slack = MOST_AGREEING * error
    is_altered = mark != "agrees" and least_of_any - slack <= size <= most_of_any + slack
    expected = say(fine(least, "least"), " to ", fine(most, "most"))
    found = fine(size, "diameter")
    text = say("A sound ", measurement.gender, " measures ", expected, "; this one ", found)
    if is_altered and size < least:
        text = say(text, ": worn by ", fine(out, "out"), " or more.")
    elif is_altered and measurement.gender == "female":
        text = say(text, ": drilled coarsely, ", share(_depth_left(group[0], size)), " of depth.")
    elif mark != "agrees":
        beyond = "too small" if size < least else "too large"
        text = say(text, ": ", fine(out, "out"), f" {beyond}.")
    else:
        text = say(text, ", within the error of the caliper." if out > 0 else ".")
    return Mark("diameter", "doubtful" if is_altered else mark, text, say(found), expected)


def _depth_left(thread: Thread, bore: float) -> float:
    return (thread.tapping_size - bore) / (2 * thread.internal_depth)


def _mark_leaf(leaf: Leaf, thread: Thread, run: float) -> Mark:
    """A leaf that fits, nearly fits or does not; and whether its set has one for the thread."""
    lie = lay_leaf(leaf, thread.pitch, run)
    found, pitch = name_leaf(leaf), fine(thread.pitch, "pitch")
    text = say("The ", found, f" {lie} its pitch of ", pitch)
    if lie == "nearly fits":
        light = fine(misfit(leaf, thread.pitch, run), "light")
        text = say(text, ": ", light, " of light at its end")
    return Mark("leaf", LIES[lie], say(text, ".", _say_lack(leaf, thread, run)), found, say(pitch))


def _say_lack(called: Leaf, thread: Thread, run: float) -> Said:
    """That no leaf of the gauge fits a thread, and which nearly does."""
    best = nearest_leaf(called.gauge, thread.pitch)
    lie = lay_leaf(best, thread.pitch, run)
    if lie == "fits":
        return ()
    article = "An inch" if called.gauge == "inch" else "A metric"
    lack = say(f" {article} gauge has no leaf for it")
    if lie == "nearly fits" and best != called:
        lack = say(lack, "; ", best.named, " nearly fits")
    return say(lack, ".")


def name_leaf(leaf: Leaf) -> Said:
    """`26 leaf of an inch gauge`."""
    article = "an inch" if leaf.gauge == "inch" else "a metric"
    return say(leaf.named, f" leaf of {article} gauge")


def _mark_pitch(found: float, error: float, thread: Thread) -> Mark:
    own, measured = fine(thread.pitch, "pitch"), fine(found, "found")
    text = say("Its pitch is ", own, "; ", measured, " was found.")
    mark = _mark_errors(abs(found - thread.pitch) / error)
    return Mark("pitch", mark, text, say(measured), say(own))


def _mark_count(count: float, over: float, thread: Thread) -> Mark:
    """A count is right to half a thread; beyond that by its own errors."""
    own = over / thread.pitch
    beyond = max(abs(own - count) - 0.5, 0.0) / float(count_error(thread.pitch))
    expected, counted = turns(own, "expected"), number(count, "counted")
    text = say("It has ", expected, " threads in that length; ", counted, " were counted.")
    return Mark("count", _mark_errors(beyond), text, say(counted), say(expected))


def _mark_angle(found: float, thread: Thread) -> Mark:
    own, read = angle(thread.form.included_angle, "angle"), angle(found, "found")
    text = say("Its flanks stand at ", own, "; ", read, " was found.")
    mark = _mark_errors(abs(found - thread.form.included_angle) / ANGLE_ERROR)
    return Mark("angle", mark, text, say(read), say(own))


def _mark_taper(found: float, error: float, apart: float, thread: Thread) -> Mark:
    own, fall = fine(thread.taper * apart, "fall"), fine(found * apart, "found")
    text = say("It falls by ", own, " between the two diameters; ", fall, " was found.")
    return Mark("taper", _mark_errors(abs(found - thread.taper) / error), text, say(fall), say(own))
