"""What thread is this? Candidates ranked by how likely they make what was measured.

Each thread of the catalogue says how its males and females measure: a male anywhere within its
limits and under them when worn, a female as the hole was drilled. The caliper, the count and the
gauge have errors. Bayes' rule turns what was measured into likelihoods.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import tan

import numpy as np

from service.engineering.constants import INCH
from service.engineering.errors import require
from service.engineering.findings import Finding, Working
from service.engineering.saying import (
    Said,
    angle,
    count,
    fine,
    length,
    listed,
    number,
    say,
    share,
    turns,
)
from service.engineering.threads.catalogue import Thread, limits_of
from service.engineering.threads.identify.likelihood import (
    Spread,
    catalogue_spread,
    female_range,
    male_range,
    spread_of,
    weigh_threads,
)
from service.engineering.threads.identify.measurement import Measurement, check_measurement

MOST_CANDIDATES = 8
LEAST_LIKELIHOOD = 0.002
CLEAR = 0.9  # likelihood from which the first candidate is called clear

COUNTING_LENGTHS = tuple(quarters / 4 * INCH for quarters in (1, 2, 3, 4, 6, 8))
"""Lengths that threads are counted over [m]."""

TAPER_LENGTH = 0.010  # how far apart a taper is measured [m]

LEAST_BINDING, MANY_TURNS = 0.5, 8.0
"""The fewest turns that binding is foretold to, and those from which it does not matter."""

ONE_PITCH = 0.002  # pitches nearer than this part of one another are the same pitch
ONE_SIZE = 0.00002  # diameters nearer than this are the same size [m]
ONE_ANGLE = 0.01  # angles nearer than this are the same angle [rad]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thread that would measure so, and what to know before trusting it."""

    thread: Thread
    likelihood: float  # probability among all threads of the catalogue
    why: Said
    tell_apart: Said  # what else to measure to know it from its nearest rival
    wrong_guess: Said  # what happens if it is taken for this and is the rival


def identify_thread(
    measurement: Measurement, *, catalogue: Sequence[Thread] | None = None
) -> tuple[Candidate, ...]:
    """Rank the threads that would measure as this one did.

    measurement: diameter and whatever else is known: lengths [m], angles [rad].
    catalogue: the threads to choose from; None for the project's own tables.
    Returns: at most eight, likeliest first, each with its likelihood; none where nothing in the
        catalogue comes near.
    Raises OutOfRange: a measurement outside its range, half of a count or of a taper, or no
        threads.
    Source: Bayes' rule; limits of size as `limits_of`; errors of caliper, count and gauge from
        memory.
    """
    check_measurement(measurement)
    require(catalogue is None or len(catalogue) > 0, "catalogue", "There are no threads to try.")
    spread = catalogue_spread() if catalogue is None else spread_of(catalogue)
    ranked = _rank_threads(measurement, spread)
    return tuple(
        Candidate(
            thread=thread,
            likelihood=likelihood,
            why=explain_fit(measurement, thread),
            tell_apart=suggest_measurement(measurement, thread, rival=rival),
            wrong_guess=foretell_wrong_guess(measurement, thread, rival=rival),
        )
        for thread, likelihood in ranked
        for rival in (next((other for other, _ in ranked if other is not thread), None),)
    )  # the rival is the best of the others: it is most easily taken for this one


def _rank_threads(measurement: Measurement, spread: Spread) -> list[tuple[Thread, float]]:
    """The threads worth naming with their likelihood, likeliest first."""
    likelihoods = weigh_threads(measurement, spread)
    order = np.argsort(-likelihoods, kind="stable")[:MOST_CANDIDATES]
    ranked = [(spread.threads[index], float(likelihoods[index])) for index in order]
    return [(thread, likelihood) for thread, likelihood in ranked if likelihood >= LEAST_LIKELIHOOD]


def judge_candidates(candidates: Sequence[Candidate]) -> tuple[Finding, ...]:
    """Say how far the first of the candidates may be trusted.

    candidates: as `identify_thread` ranks them.
    Returns: one finding: nothing near, to be told apart, or clear.
    Source: Nine chances in ten are called clear: common practice.
    """
    if not candidates:
        nothing = "Nothing in the catalogue measures so: measure again, or describe the thread."
        return (Finding("caution", "no-thread-near", say(nothing), source="the catalogue"),)
    best, source = candidates[0], "Bayes' rule"
    likely = share(best.likelihood, "likelihood")
    text = say(best.thread.named, ": ", likely, " likely among the catalogue's threads.")
    if best.likelihood >= CLEAR:
        return (Finding("ok", "clear", text, best.likelihood, CLEAR, "1", source),)
    text = say(text, " ", best.tell_apart)
    return (Finding("caution", "tell-apart", text, best.likelihood, CLEAR, "1", source),)


def write_workings(candidates: Sequence[Candidate]) -> tuple[Working, ...]:
    """The arithmetic behind each candidate's likelihood.

    candidates: as `identify_thread` ranks them.
    Returns: one line a candidate.
    Source: Bayes' rule.
    """
    weight = 'p("measured" | "thread") times "commonness"'
    formula = f"({weight})/(sum {weight})"
    return tuple(
        Working(f"p({_quote(each.thread)})", formula, each.likelihood, "1", "Bayes' rule")
        for each in candidates
    )


def _quote(thread: Thread) -> str:
    """A designation as a word of a formula; a person may have typed quotes in it."""
    plain = thread.designation.replace("\\", "/").replace('"', "''")
    return f'"{plain}"'


def explain_fit(measurement: Measurement, thread: Thread) -> Said:
    """Say why a thread fits what was measured, in figures."""
    least, most = _measured_range(measurement, thread)
    size = say(
        f"A {measurement.gender} measures ", fine(least, "least"), " to ", fine(most, "most"),
        "; this one ", fine(measurement.diameter, "diameter"), ".",
    )  # fmt: skip
    if measurement.count is not None and measurement.over is not None:
        expected = turns(measurement.over / thread.pitch, "expected")
        counted = number(measurement.count, "counted")
        return say(
            size, " It has ", expected, " threads in that length; ", counted, " were counted."
        )
    if measurement.pitch is not None:
        own, found = fine(thread.pitch, "pitch"), fine(measurement.pitch, "found")
        return say(size, " Its pitch is ", own, "; ", found, " was found.")
    return size


def suggest_measurement(measurement: Measurement, thread: Thread, *, rival: Thread | None) -> Said:
    """Say what to measure next to tell a thread from its rival."""
    if rival is None:
        return say("Nothing else in the catalogue comes near.")
    if _is_same_thread(thread, rival):
        other = rival.named
        return say("Nothing to tell: ", other, " is the same thread under another name.")
    if thread.taper != rival.taper:
        return _suggest_taper(thread, rival)
    counted = _suggest_count(thread, rival)
    if counted is not None:
        return counted
    if _differs_in_angle(thread, rival):
        return _suggest_gauge(thread, rival)
    return _suggest_diameter(measurement, thread, rival=rival)


def foretell_wrong_guess(measurement: Measurement, thread: Thread, *, rival: Thread | None) -> Said:
    """Say what happens if a mate is made for a thread and the part is its rival.

    Source: Turns before binding: cumulative pitch error over clearance, from thread metrology
    (N = C tan a / dP); the rest is geometry and common practice.
    """
    if rival is None or _is_same_thread(thread, rival):
        return say("None to fear.")
    male, female = (rival, thread) if measurement.gender == "male" else (thread, rival)
    mate = "a hole" if female is thread else "a screw"
    start = say("If it is ", rival.named, f", {mate} made for ")
    return say(start, thread.named, " ", _foretell_mating(male, female))


def _foretell_mating(male: Thread, female: Thread) -> Said:
    if male.taper != female.taper:
        return say("meets it on one thread only: it wedges early or leaks.")
    size = _foretell_size(male, female)
    if size is not None:
        return size
    if _differs_in_pitch(male, female):
        return _foretell_binding(male, female)
    if _differs_in_angle(male, female):
        return say("goes on but touches along a line: it leaks and holds less. Seal it.")
    return say("goes on, a little tight or a little loose.")


def _measured_range(measurement: Measurement, thread: Thread) -> tuple[float, float]:
    if measurement.gender == "male":
        return male_range(thread)
    least, most, _ = female_range(thread)
    return least, most


def _is_same_thread(thread: Thread, rival: Thread) -> bool:
    return (
        abs(thread.major_diameter - rival.major_diameter) < ONE_SIZE
        and not _differs_in_pitch(thread, rival)
        and not _differs_in_angle(thread, rival)
        and thread.taper == rival.taper
    )


def _differs_in_pitch(thread: Thread, rival: Thread) -> bool:
    return abs(thread.pitch - rival.pitch) > ONE_PITCH * thread.pitch


def _differs_in_angle(thread: Thread, rival: Thread) -> bool:
    return abs(thread.form.included_angle - rival.form.included_angle) > ONE_ANGLE


def _suggest_taper(thread: Thread, rival: Thread) -> Said:
    taper, parallel = (thread, rival) if thread.taper > rival.taper else (rival, thread)
    return say(
        "Measure at two places ", length(TAPER_LENGTH, "apart"), " apart: ",
        taper.named, " differs by ", fine(TAPER_LENGTH * taper.taper, "fall"), ", ",
        parallel.named, " by ", fine(TAPER_LENGTH * parallel.taper, "other_fall"), ".",
    )  # fmt: skip


def _suggest_count(thread: Thread, rival: Thread) -> Said | None:
    """The shortest length in which the counts differ by a whole thread, if one is practicable."""
    if not _differs_in_pitch(thread, rival):
        return None
    for over in COUNTING_LENGTHS:
        own, other = (over / each.pitch for each in (thread, rival))
        if abs(own - other) >= 0.9:
            return say(
                "Count over ", length(over, "over"), ": ", count(round(own)), " for ",
                thread.named, ", ", count(round(other)), " for ",
                rival.named, ".",
            )  # fmt: skip
    return None


def _suggest_gauge(thread: Thread, rival: Thread) -> Said:
    own, other = (angle(each.form.included_angle) for each in (thread, rival))
    return say(
        "Try a ", own, " and a ", other, " gauge: ", thread.named, " is ", own, ", ",
        rival.named, " ", other, ".",
    )  # fmt: skip


def _suggest_diameter(measurement: Measurement, thread: Thread, *, rival: Thread) -> Said:
    where = "the least worn crests" if measurement.gender == "male" else "the bore"
    ranges = [
        say(each.named, " measures ", fine(least), " to ", fine(most))
        for each in (thread, rival)
        for least, most in (_measured_range(measurement, each),)
    ]
    return say(f"Measure {where} again with a micrometer: ", listed(ranges), ".")


def _foretell_size(male: Thread, female: Thread) -> Said | None:
    """Words for a male much too large or too small for the female; None where sizes are near."""
    excess = male.effective_diameter - female.effective_diameter
    if excess > 0.25 * female.internal_depth:
        return say("will not start: the male is ", fine(excess, "excess"), " too large.")
    if -excess > 0.5 * female.internal_depth:
        return say("is loose by ", fine(-excess, "loose"), " and may strip.")
    return None


def _foretell_binding(male: Thread, female: Thread) -> Said:
    """Turns before a difference of pitch takes up the clearance (thread metrology)."""
    male_range, female_range = limits_of(male).male_effective, limits_of(female).female_effective
    clearance = max(sum(female_range) / 2 - sum(male_range) / 2, 0.0)
    slope = tan(min(male.form.half_angle, female.form.half_angle))
    reach = clearance * slope / abs(male.pitch - female.pitch)
    if reach >= MANY_TURNS:
        return say("goes together over a short length: the pitches are nearly one.")
    return say("binds after about ", turns(max(reach, LEAST_BINDING)), " turns.")
