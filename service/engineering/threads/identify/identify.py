"""What thread is this? Candidates ranked by how likely they make what was measured.

Each thread of the catalogue says how its males and females measure: a male anywhere within its
limits and under them when worn, a female as the hole was drilled. The caliper, the count and the
gauge have errors. Bayes' rule turns what was measured into likelihoods.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.engineering.errors import require
from service.engineering.findings import Finding, Working
from service.engineering.saying import Said, say, share
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.identify.advice import (
    explain_fit,
    foretell_wrong_guess,
    suggest_measurement,
)
from service.engineering.threads.identify.likelihood import (
    Spread,
    catalogue_spread,
    spread_of,
    weigh_threads,
)
from service.engineering.threads.identify.measurement import Measurement, check_measurement

MOST_CANDIDATES = 8
LEAST_LIKELIHOOD = 0.002
CLEAR = 0.9  # likelihood from which the first candidate is called clear


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
