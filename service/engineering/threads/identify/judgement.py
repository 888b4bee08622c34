"""How far the first of the candidates may be trusted, and what was taken for granted."""

from collections.abc import Sequence

from service.engineering.findings import Finding
from service.engineering.saying import Said, fine, listed, say, share
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.catalogue import catalogue as whole_catalogue
from service.engineering.threads.identify.identify import Candidate
from service.engineering.threads.identify.leaves import lay_leaf, nearest_leaf
from service.engineering.threads.identify.marks import Sureness, mark_readings, name_leaf
from service.engineering.threads.identify.measurement import Measurement
from service.engineering.threads.identify.spread import spread_of

CLEAR = 0.99
"""Likelihood from which the first candidate is called clear. At nine in ten one angle misread would
make a thread of 60 degrees out of its twin of 55, and nobody would look again."""
MOST_NAMED = 4  # threads named that have no leaf

BAYES = "Bayes' rule"


def judge_candidates(
    candidates: Sequence[Candidate],
    measurement: Measurement,
    *,
    catalogue: Sequence[Thread] | None = None,
) -> tuple[Finding, ...]:
    """Say how far the first of the candidates may be trusted, and what was taken for granted.

    candidates: as `identify_thread` ranks them.
    measurement: as it was given to `identify_thread`.
    catalogue: the threads that were tried; None for the project's own tables.
    Returns: first whether none agrees, it is doubtful, to be told apart, or clear; then threads
        of the size that the gauge has no leaf for, unless it is clear; then what was taken.
    Source: Ninety-nine chances in a hundred with every reading in agreement are called clear, a
        taper only when it was measured; a thread as long as it is thick: common practice.
    """
    first = _judge_first(candidates, measurement)
    threads = whole_catalogue() if catalogue is None else catalogue
    lacking = () if first.level == "ok" else _judge_leaves(measurement, threads)
    return (first, *lacking, *_name_what_is_taken(measurement))


def _judge_first(candidates: Sequence[Candidate], measurement: Measurement) -> Finding:
    best = candidates[0]
    if not best.threads or best.sureness == "disagrees":
        return _judge_disagreement(candidates)
    likely, advice = share(best.likelihood, "likelihood"), best.tell_apart.text
    text = say(best.named, ": ", likely, " likely")
    if best.sureness == "doubtful":
        doubts = _list_marks(best, "doubtful")
        return _caution("doubtful", say(text, ", but not for sure. ", doubts, " ", advice), best)
    is_seen = not best.threads[0].is_taper or measurement.second_diameter is not None
    if best.likelihood >= CLEAR and is_seen:  # of a taper, that it is one
        return Finding("ok", "clear", say(text, "."), best.likelihood, CLEAR, "1", BAYES)
    return _caution("tell-apart", say(text, ". ", advice), best)


def _judge_disagreement(candidates: Sequence[Candidate]) -> Finding:
    """The likeliest is none of them, or one that some reading speaks against."""
    best = candidates[0]
    known = [each for each in candidates if each.threads]
    agreeing = next((each for each in known if each.sureness != "disagrees"), None)
    if agreeing is not None:
        start = say("It may well be in no table.")
        if best.threads:
            start = say("A reading speaks against ", best.named, ": ", _list_marks(best))
        likely = share(agreeing.likelihood, "likelihood")
        text = say(
            start,
            " Nothing measured speaks plainly against ",
            agreeing.named,
            ", ",
            likely,
            " likely.",
        )
        return _caution("tell-apart", say(text, " ", best.tell_apart.text), best)
    if known:
        text = say("None of the catalogue agrees with all that was measured. Nearest: ")
        text = say(text, known[0].named, ". ", _list_marks(known[0]))
    else:
        text = say("None of the catalogue agrees with what was measured.")
    return _caution("none-agrees", say(text, " ", best.tell_apart.text), best)


def _list_marks(candidate: Candidate, mark: Sureness = "disagrees") -> Said:
    return listed((each.text for each in candidate.why if each.mark == mark), between=" ")


def _caution(code: str, text: Said, best: Candidate) -> Finding:
    return Finding("caution", code, text, best.likelihood, CLEAR, "1", BAYES)


def _judge_leaves(measurement: Measurement, threads: Sequence[Thread]) -> tuple[Finding, ...]:
    """Threads of the size that no leaf of the gauge fits: it cannot have shown them."""
    leaf = measurement.leaf
    if leaf is None:
        return ()
    lacking = []
    for group in spread_of(tuple(threads)).groups:
        best = nearest_leaf(leaf.gauge, group[0].pitch)
        lie = lay_leaf(best, group[0].pitch, measurement.run)
        if lie != "fits" and mark_readings(measurement, group)[0].mark != "disagrees":
            nearly = say(" (", best.named, " nearly fits)") if lie == "nearly fits" else ()
            lacking.append(say(group[0].named, ", ", fine(group[0].pitch, "pitch"), nearly))
    if not lacking:
        return ()
    article = "An inch" if leaf.gauge == "inch" else "A metric"
    more = " and others" if len(lacking) > MOST_NAMED else ""
    text = say(
        f"{article} gauge has no leaf for these of the size: ",
        listed(lacking[:MOST_NAMED], between="; "), f"{more}. It cannot show them.",
    )  # fmt: skip
    return (Finding("caution", "no-leaf", text, source="the leaves of a usual set"),)


def _name_what_is_taken(measurement: Measurement) -> tuple[Finding, ...]:
    found = []
    leaf = measurement.leaf
    if leaf is not None and measurement.gauge is None:
        text = say("No gauge was named: the pitch is taken as the ", name_leaf(leaf), ".")
        found.append(Finding("ok", "gauge-taken", text, source="common practice"))
    if measurement.length is None:
        run = fine(measurement.run, "length")
        text = say("The length of the thread was not given; it is taken as ", run, ".")
        found.append(Finding("ok", "length-taken", text, source="common practice"))
    return tuple(found)
