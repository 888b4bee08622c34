"""What thread is this? Candidates ranked by how likely they make what was measured.

Each thread of the catalogue says how its males and females measure: a male anywhere within its
limits and under them when worn, a female as the hole was drilled. The caliper, the count and the
gauges have errors and are misread. Bayes' rule turns what was measured into likelihoods, that of
"none of these" among them; apart from them each reading is marked as it agrees with the thread.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.engineering.errors import require
from service.engineering.findings import Working
from service.engineering.kit import ThreadTools
from service.engineering.saying import Said, listed, say
from service.engineering.threads.catalogue import Hand, Thread, turn_left
from service.engineering.threads.catalogue import catalogue as whole_catalogue
from service.engineering.threads.identify.advice import Advice, advise, advise_on_none
from service.engineering.threads.identify.likelihood import (
    ANGLE_MISREAD,
    CALIPER_MISREAD,
    PITCH_MISREAD,
    UNKNOWN_SHARE,
    WORN_SHARE,
    weigh_threads,
)
from service.engineering.threads.identify.marks import Mark, Sureness, find_worst, mark_readings
from service.engineering.threads.identify.mating import foretell_wrong_guess
from service.engineering.threads.identify.measurement import Measurement, check_measurement
from service.engineering.threads.identify.spread import spread_of

MOST_CANDIDATES = 8
LEAST_LIKELIHOOD = 0.005


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thread that would measure so under all its names, or none; what to know of it."""

    threads: tuple[Thread, ...]
    """It under each of its names; none stands for a thread of no table."""
    likelihood: float  # probability among all threads of the catalogue and none of them
    why: tuple[Mark, ...]  # how each reading agrees with it
    tell_apart: Advice  # what to do next to know it from its nearest rival
    wrong_guess: Said | None  # what happens if it is taken for this and is the rival

    @property
    def thread(self) -> Thread | None:
        """It under the first of its names."""
        return self.threads[0] if self.threads else None

    @property
    def names(self) -> tuple[str, ...]:
        """All its designations."""
        return tuple(thread.designation for thread in self.threads)

    @property
    def named(self) -> Said:
        """All its names, or none of these."""
        if not self.threads:
            return say("none of these")
        return listed((thread.named for thread in self.threads), last=" or ")

    @property
    def sureness(self) -> Sureness:
        """That of its worst reading."""
        worst = find_worst(self.why)
        return worst.mark if worst else "agrees"


def identify_thread(
    measurement: Measurement,
    *,
    catalogue: Sequence[Thread] | None = None,
    tools: Sequence[ThreadTools] = (),
) -> tuple[Candidate, ...]:
    """Rank the threads that would measure as this one did.

    measurement: diameter and whatever else is known: lengths [m], angles [rad].
    catalogue: the threads to choose from; None for the project's own tables.
    tools: taps and dies on hand, which may be tried.
    Returns: likeliest first, "none of these" always among them, and at most eight beside it.
    Raises OutOfRange: a measurement outside its range, a leaf that no gauge has, half of a count or
        of a taper, one longer than the thread, or no threads.
    Source: Bayes' rule; limits of size as `limits_of`; errors of caliper, count and gauge, and the
        shares of worn parts, misreadings and threads of no table, from memory.
    """
    check_measurement(measurement)
    require(catalogue is None or len(catalogue) > 0, "catalogue", "There are no threads to try.")
    threads = whole_catalogue() if catalogue is None else catalogue
    ranked = _rank_threads(measurement, _of_hand(threads, measurement.hand))
    return tuple(
        _describe_candidate(measurement, names, likelihood, rival=rival, tools=tools)
        for names, likelihood in ranked
        for rival in (next((other for other, _ in ranked if other is not names), ()),)
    )  # the rival is the best of the others: it is most easily taken for this one


def write_workings(candidates: Sequence[Candidate]) -> tuple[Working, ...]:
    """What was taken for granted, and the arithmetic behind each candidate's likelihood.

    candidates: as `identify_thread` ranks them.
    Returns: a line for each share taken from memory, and one a candidate.
    Source: Bayes' rule.
    """
    weight = 'p("measured" | "thread") times "commonness"'
    formula = f"({weight})/(sum {weight})"
    taken = {
        "threads of no table": UNKNOWN_SHARE,
        "males worn": WORN_SHARE,
        "calipers misread": CALIPER_MISREAD,
        "leaves and counts misread": PITCH_MISREAD,
        "angles misread": ANGLE_MISREAD,
    }
    return (
        *(
            Working(f'p("{what}")', '"share taken"', part, "1", "from memory")
            for what, part in taken.items()
        ),
        *(
            Working(f"p({_quote(each)})", formula, each.likelihood, "1", "Bayes' rule")
            for each in candidates
        ),
    )


def _of_hand(threads: Sequence[Thread], hand: Hand) -> tuple[Thread, ...]:
    """The threads as they are cut in one hand; tables hold the right-hand ones."""
    if hand == "left":
        return tuple(dict.fromkeys(turn_left(thread) for thread in threads))
    return tuple(thread for thread in threads if not thread.is_left)


def _rank_threads(
    measurement: Measurement, threads: tuple[Thread, ...]
) -> list[tuple[tuple[Thread, ...], float]]:
    """The threads worth naming, and none of them, with their likelihood, likeliest first."""
    spread = spread_of(threads)
    likelihoods = weigh_threads(measurement, spread)
    order = np.argsort(-likelihoods, kind="stable")
    known = [index for index in order if index < len(spread.groups)][:MOST_CANDIDATES]
    kept = {index for index in known if likelihoods[index] >= LEAST_LIKELIHOOD}
    groups = (*spread.groups, ())
    return [
        (groups[index], float(likelihoods[index]))
        for index in order
        if index in kept or not groups[index]
    ]


def _describe_candidate(
    measurement: Measurement,
    names: tuple[Thread, ...],
    likelihood: float,
    *,
    rival: tuple[Thread, ...],
    tools: Sequence[ThreadTools],
) -> Candidate:
    other = rival[0] if rival else None
    if not names:
        marks = mark_readings(measurement, rival) if rival else ()
        advice = advise_on_none(measurement, other, marks=marks)
        return Candidate(names, likelihood, (), advice, None)
    thread, marks = names[0], mark_readings(measurement, names)
    return Candidate(
        threads=names,
        likelihood=likelihood,
        why=marks,
        tell_apart=advise(measurement, thread, rival=other, marks=marks, tools=tools),
        wrong_guess=foretell_wrong_guess(thread, rival=other, is_male=measurement.gender == "male"),
    )


def _quote(candidate: Candidate) -> str:
    """A designation as a word of a formula; a person may have typed quotes in it."""
    thread = candidate.thread
    plain = thread.designation if thread else "none of these"
    return '"' + plain.replace("\\", "/").replace('"', "''") + '"'
