"""What to do next to tell a thread from its nearest rival, as a value; what it says is put at once.

The first that applies: a tool of the workshop's own that goes with one and not with the other; the
angle gauge; a count or a leaf within the thread's length; two diameters; the diameter again, where
the ranges lie apart. What was not yet tried comes before what would be tried again.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from service.engineering.constants import INCH
from service.engineering.kit import ThreadTools
from service.engineering.saying import Figure, Said, angle, count, fine, length, say, turns
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.identify.leaves import Leaf, lay_leaf, nearest_leaf
from service.engineering.threads.identify.likelihood import TAPER_ERROR
from service.engineering.threads.identify.marks import MOST_AGREEING, Mark, find_worst, name_leaf
from service.engineering.threads.identify.mating import Mating, mate_threads
from service.engineering.threads.identify.measurement import Measurement
from service.engineering.threads.identify.spread import (
    differs_in_angle,
    differs_in_pitch,
    female_range,
    is_same_thread,
    male_range,
)

AdviceKind = Literal["try", "angle", "count", "leaf", "taper", "diameter", "measure", "nothing"]

COUNTING_LENGTHS = tuple(eighths / 8 * INCH for eighths in (1, 1.5, 2, 3, 4, 6, 8, 12, 16))
"""Lengths that threads are counted over [m]; common practice."""
WHOLE = 0.15  # how near to a whole number a count is one [threads]
WHOLE_THREAD, TWO_THREADS = 0.9, 1.8
"""Differences of two counts: that which tells, and that which leaves no doubt [threads]."""

GOES = say("goes on all the way by hand")  # what a hand feels of threads that are one

MOST_APART, LEAST_APART = 0.010, 0.003  # how far apart a taper is measured [m]; common practice
NEARLY_ONE = 0.05  # part of a pitch by which one that is merely loose may differ
TURNS_TO_SPARE = 2.0  # turns by which a tool that binds must stop short of one that goes
BOTH_ENDS = 4.0  # standard errors that two ranges must lie apart: two of each


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do, and what it would show of a thread and of its rival; lengths in metres."""

    kind: AdviceKind
    text: Said
    thread: Thread | None = None
    rival: Thread | None = None
    over: Annotated[float, "m"] | None = None  # what to count over
    apart: Annotated[float, "m"] | None = None  # how far apart to take two diameters
    leaf: Said | None = None  # the leaf to try
    tool: Said | None = None  # the tool to try, or what it makes
    shows: Said | None = None  # the reading to expect of the thread
    rival_shows: Said | None = None
    again: bool = False  # whether it was measured before


def advise(
    measurement: Measurement,
    thread: Thread,
    *,
    rival: Thread | None,
    marks: Sequence[Mark] = (),
    tools: Sequence[ThreadTools] = (),
) -> Advice:
    """What to do next to tell a thread from its rival; None is a thread of no table.

    `marks` are those of the thread.
    """
    if rival is None:
        return _advise_alone(measurement, thread, marks, tools)
    found = [each for each in _every_way(measurement, thread, rival, tools) if each]
    fresh = [each for each in found if not each.again]
    return next(
        iter([*fresh, *found]),
        _try_known_mate(measurement, thread, rival) or _give_up(measurement, thread, rival),
    )


def _give_up(measurement: Measurement, thread: Thread, rival: Thread) -> Advice:
    """Nothing tells; but what it means to be wrong is known."""
    male, female = (rival, thread) if measurement.gender == "male" else (thread, rival)
    mate = "hole" if measurement.gender == "male" else "screw"
    words = say(
        "Nothing at the bench tells it from ", rival.named, ". If it is that, ",
        f"a {mate} for ", thread.named, " ", mate_threads(male, female).text,
    )  # fmt: skip
    return Advice("nothing", words, thread, rival)


def advise_on_none(
    measurement: Measurement, thread: Thread | None, *, marks: Sequence[Mark] = ()
) -> Advice:
    """What to do where the part seems to be in no table; `thread` is the nearest that is in one."""
    missing = find_missing(measurement, thread)
    if missing:
        described = "; if nothing comes of it, describe it by its diameter, pitch and angle."
        return Advice("measure", say(f"Measure its {missing} too{described}"), thread)
    doubted = find_worst(marks)
    if thread is None or doubted is None:
        words = "Measure it all again, or describe it by its diameter, pitch and angle."
        return Advice("measure", say(words), again=True)
    return _doubt(measurement, thread, doubted)


def _every_way(
    measurement: Measurement, thread: Thread, rival: Thread, tools: Sequence[ThreadTools]
) -> Iterator[Advice | None]:
    yield _try_tool(measurement, thread, rival, tools)
    for way in (_try_angle, _take_count, _try_leaf, _take_taper, _take_diameter):
        yield way(measurement, thread, rival)


def _advise_alone(
    measurement: Measurement, thread: Thread, marks: Sequence[Mark], tools: Sequence[ThreadTools]
) -> Advice:
    """Its rival is in no table: take the reading that speaks against it, one not taken, or try."""
    doubted = find_worst(marks)
    if doubted is not None:
        return _doubt(measurement, thread, doubted)
    missing = find_missing(measurement, thread)
    if missing:
        return Advice("measure", say("Measure its ", missing, " too."), thread)
    if thread.is_taper:  # no trial by hand tells a taper
        return Advice("nothing", say("Only a thread of no table could be taken for it."), thread)
    mate = "nut" if measurement.gender == "male" else "screw"
    known = next(_tools_of(measurement, thread, tools), say("a known ", thread.named, f" {mate}"))
    words = say(_say_trial(measurement, known), " before it is relied on.")
    return Advice("try", words, thread, tool=known, shows=GOES)


def _doubt(measurement: Measurement, thread: Thread, doubted: Mark) -> Advice:
    """Take the reading again that speaks against a thread; for a leaf count, if there is room."""
    room = _lengths_within(measurement.run)
    if doubted.kind == "leaf" and room:
        over, own = room[-1], _expect_count(thread, room[-1])
        words = say("Count over ", length(over, "over"), ": ", own, " for ", thread.named, ".")
        return Advice("count", words, thread, over=over, shows=say(own))
    is_worn = doubted.kind == "diameter" and measurement.gender == "male"
    words = say(
        f"Take its {doubted.kind} again", ", where it is least worn: " if is_worn else ": ",
        thread.named, " shows ", doubted.expected,
        "; if it stays at ", doubted.found, ", it may be in no table.",
    )  # fmt: skip
    return Advice("measure", words, thread, shows=doubted.expected, again=True)


def find_missing(measurement: Measurement, thread: Thread | None) -> str:
    """The first thing of a thread that nobody measured; blank where all is known.

    A taper is asked for only where the thread has one.
    """
    if (measurement.threads_per_inch or measurement.pitch or measurement.count) is None:
        return "pitch"
    if thread is not None and thread.is_taper and measurement.second_diameter is None:
        return "taper, by two diameters,"
    return "flank angle" if measurement.included_angle is None else ""


def _try_tool(
    measurement: Measurement, thread: Thread, rival: Thread, tools: Sequence[ThreadTools]
) -> Advice | None:
    """A tap or die of the workshop's own for either, where the other thread would not go."""
    for own in (thread, rival):
        tool = next(_tools_of(measurement, own, tools), None)
        if tool and (advice := _advise_trial(measurement, thread, rival, own, tool)):
            return advice
    return None


def _try_known_mate(measurement: Measurement, thread: Thread, rival: Thread) -> Advice | None:
    """A nut or a screw of either, if there is one about: the last resort."""
    mate = "nut" if measurement.gender == "male" else "screw"
    for own in (thread, rival):
        known = say("a known ", own.named, f" {mate}")
        advice = None if own.is_taper else _advise_trial(measurement, thread, rival, own, known)
        if advice:
            return advice
    return None


def _advise_trial(
    measurement: Measurement, thread: Thread, rival: Thread, own: Thread, tool: Said
) -> Advice | None:
    """What a trial shows of both; None where a hand would not feel which it is."""
    other = rival if own is thread else thread
    male, female = (other, own) if measurement.gender == "male" else (own, other)
    mating = mate_threads(male, female)
    if not _stops(mating, measurement.run / own.pitch):
        return None
    is_loose = mating.kind == "loose" and abs(own.pitch - other.pitch) < NEARLY_ONE * own.pitch
    stops = mating.text if mating.kind != "loose" or is_loose else say("does not go on.")
    shows = (GOES, stops) if own is thread else (stops, GOES)
    words = say(
        _say_trial(measurement, tool), ". If it is ", own.named, ", it ", GOES, "; if ",
        other.named, ", it ", stops,
    )  # fmt: skip
    return Advice("try", words, thread, rival, tool=tool, shows=shows[0], rival_shows=shows[1])


def _say_trial(measurement: Measurement, tool: Said) -> Said:
    return say("Try ", tool, " on it" if measurement.gender == "male" else " in it")


def _tools_of(
    measurement: Measurement, thread: Thread, tools: Sequence[ThreadTools]
) -> Iterator[Said]:
    """What the workshop can try on a part: its tap or die, or what that cuts."""
    for each in tools:
        if thread.is_taper or not is_same_thread(each.thread, thread):
            continue  # a taper binds in its own mate too
        if measurement.gender == "male":
            if each.tap:
                yield say("a nut cut with your ", thread.named, " tap")
            if each.die:
                yield say("your ", thread.named, " die, opened out,")
        else:
            if each.tap:
                yield say("your ", thread.named, " tap")
            if each.die:
                yield say("a screw cut with your ", thread.named, " die")


def _stops(mating: Mating, turns_of_thread: float) -> bool:
    """Whether a hand feels that the wrong one does not go."""
    if mating.kind == "binds":
        return mating.turns + TURNS_TO_SPARE <= turns_of_thread
    return mating.kind in ("large", "loose", "taper")


def _try_angle(measurement: Measurement, thread: Thread, rival: Thread) -> Advice | None:
    if not differs_in_angle(thread, rival):
        return None
    own, other = (angle(each.form.included_angle) for each in (thread, rival))
    again = measurement.included_angle is not None
    words = say(
        "Try a ", own, " and a ", other, " gauge", " again" if again else "", ": ",
        thread.named, " is ", own, ", ", rival.named, " ", other, ".",
    )  # fmt: skip
    return Advice(
        "angle", words, thread, rival, shows=say(own), rival_shows=say(other), again=again
    )


def _take_count(measurement: Measurement, thread: Thread, rival: Thread) -> Advice | None:
    """Over the shortest length that leaves no doubt, else the longest that tells at all."""
    if not differs_in_pitch(thread, rival):
        return None
    telling = [
        over
        for over in _lengths_within(measurement.run)
        if abs(over / thread.pitch - over / rival.pitch) >= WHOLE_THREAD
        and round(over / thread.pitch) != round(over / rival.pitch)
    ]
    if not telling:
        return None
    sure = [
        over for over in telling if abs(over / thread.pitch - over / rival.pitch) >= TWO_THREADS
    ]
    over = sure[0] if sure else telling[-1]
    own, other = (_expect_count(each, over) for each in (thread, rival))
    again = measurement.over is not None and measurement.over >= over
    words = say(
        "Count over ", length(over, "over"), " again" if again else "", ": ", own, " for ",
        thread.named, ", ", other, " for ", rival.named, ".",
    )  # fmt: skip
    return Advice(
        "count",
        words,
        thread,
        rival,
        over=over,
        shows=say(own),
        rival_shows=say(other),
        again=again,
    )


def _expect_count(thread: Thread, over: float) -> Figure:
    """A whole number where it is nearly one."""
    threads = over / thread.pitch
    return count(round(threads)) if abs(threads - round(threads)) < WHOLE else turns(threads)


def _lengths_within(run: float) -> tuple[float, ...]:
    return tuple(over for over in COUNTING_LENGTHS if over <= run)


def _try_leaf(measurement: Measurement, thread: Thread, rival: Thread) -> Advice | None:
    """A leaf that fits one of the two and not the other."""
    for own, other in ((thread, rival), (rival, thread)):
        for leaf in (nearest_leaf("inch", own.pitch), nearest_leaf("metric", own.pitch)):
            fits = lay_leaf(leaf, own.pitch, measurement.run) == "fits"
            if fits and lay_leaf(leaf, other.pitch, measurement.run) == "does not fit":
                return _advise_leaf(measurement, thread, rival, leaf, is_own=own is thread)
    return None


def _advise_leaf(
    measurement: Measurement, thread: Thread, rival: Thread, leaf: Leaf, *, is_own: bool
) -> Advice:
    own, other = (thread, rival) if is_own else (rival, thread)
    again, name = measurement.leaf == leaf, name_leaf(leaf)
    words = say(
        "Try the ", name, " again" if again else "", ": it fits ", own.named,
        ", and shows light on ", other.named, ".",
    )  # fmt: skip
    fits, light = say("fits"), say("shows light")
    shows = (fits, light) if is_own else (light, fits)
    return Advice(
        "leaf", words, thread, rival, leaf=name, shows=shows[0], rival_shows=shows[1], again=again
    )


def _take_taper(measurement: Measurement, thread: Thread, rival: Thread) -> Advice | None:
    apart = min(measurement.run, MOST_APART)
    falls = tuple(each.taper * apart for each in (thread, rival))
    blur = ((TAPER_ERROR * apart) ** 2 + 2 * measurement.caliper_error**2) ** 0.5
    if apart < LEAST_APART or abs(falls[0] - falls[1]) < MOST_AGREEING * blur:
        return None
    own, other = (fine(fall, "fall") for fall in falls)
    again = measurement.second_diameter is not None
    words = say(
        "Measure", " again" if again else "", " at two places ", length(apart, "apart"),
        " apart: ", thread.named, " differs by ", own, ", ", rival.named, " by ", other, ".",
    )  # fmt: skip
    return Advice(
        "taper", words, thread, rival, apart=apart, shows=say(own), rival_shows=say(other),
        again=again,
    )  # fmt: skip


def _take_diameter(measurement: Measurement, thread: Thread, rival: Thread) -> Advice | None:
    """Only where no part of the one, worn or coarsely drilled, measures as the other may."""
    ranges = [_widest_range(measurement, each) for each in (thread, rival)]
    gap = max(least for least, _ in ranges) - min(most for _, most in ranges)
    if gap < BOTH_ENDS * measurement.caliper_error:
        return None
    where = "the least worn crests" if measurement.gender == "male" else "the bore"
    own, other = (say(fine(least), " to ", fine(most)) for least, most in ranges)
    words = say(
        f"Measure {where} again with a micrometer: ", thread.named, " measures ", own, ", ",
        rival.named, " ", other, ".",
    )  # fmt: skip
    return Advice("diameter", words, thread, rival, shows=own, rival_shows=other, again=True)


def _widest_range(measurement: Measurement, thread: Thread) -> tuple[float, float]:
    if measurement.gender == "male":
        least, most = male_range((thread,))
        return least - measurement.wear, most
    least, _, widest = female_range((thread,))
    return least, widest
