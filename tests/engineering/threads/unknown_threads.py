"""Parts with a thread that nobody has named, and a hand that measures them.

Made and measured by rules of their own, which the likelihoods do not know: a male anywhere within
its limits and three in ten worn under that; a female drilled to some depth that people drill to;
a caliper that errs by 0.03 mm; leaves and angles that are sometimes read wrong.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from service.engineering.constants import INCH
from service.engineering.threads.catalogue import Thread, catalogue, limits_of
from service.engineering.threads.identify import (
    Advice,
    Candidate,
    Measurement,
    identify_thread,
    judge_candidates,
)
from service.engineering.threads.identify.leaves import leaves_of
from service.quantities.wording import word

MM = 1e-3
CALIPER, MICROMETER = 0.03 * MM, 0.005 * MM
WORN, WEAR = 0.3, (0.02 * MM, 0.15 * MM)
DRILLED = (0.60, 0.97)  # depth of thread that people drill for
LEAF_MISREAD, ANGLE_MISREAD = 0.02, 0.03
ANGLES = tuple(float(np.radians(degrees)) for degrees in (47.5, 55, 60))
LEAF = 12 * MM
COUNTED = INCH / 2


@dataclass(frozen=True)
class Part:
    """A part on the bench; its size is what a perfect tool would read."""

    thread: Thread
    gender: str
    size: float
    length: float


@dataclass(frozen=True)
class Score:
    """Shares of all parts, but for the last two, which are of those said over nine in ten."""

    first: float
    in_three: float
    followed: float
    clear: float
    clear_wrong: float
    over_nine_in_ten_wrong: float
    right_over_nine_in_ten: float
    said_over_nine_in_ten: float  # mean of the likelihoods


def score_parts(
    seeds: Iterable[int], *, pitch: str, parts: int = 200, taper: bool = True, angle: bool = True
) -> Score:
    """Every part measured, named, and the advice on the first candidate followed once."""
    rows = [
        row
        for seed in seeds
        for rng in (np.random.default_rng(seed),)
        for number in range(parts)
        for row in (_score_part(rng, pitch, "male" if number % 2 else "female", taper, angle),)
    ]
    table = np.array(rows)
    first, in_three, followed, clear, likelihood = table.T
    over = likelihood > 0.9
    return Score(
        first=float(first.mean()),
        in_three=float(in_three.mean()),
        followed=float(followed.mean()),
        clear=float(clear.mean()),
        clear_wrong=float((clear * (1 - first)).mean()),
        over_nine_in_ten_wrong=float((over * (1 - first)).mean()),
        right_over_nine_in_ten=float(first[over].mean()),
        said_over_nine_in_ten=float(likelihood[over].mean()),
    )


def _score_part(
    rng: np.random.Generator, pitch: str, gender: str, taper: bool, angle: bool
) -> tuple[float, ...]:
    threads = catalogue()
    part = make_part(threads[rng.integers(len(threads))], gender, rng, length=COUNTED)
    readings = count_threads(part, COUNTED, rng) if pitch == "count" else read_leaf(part, rng)
    readings |= read_angle(part, rng) if angle else {}
    readings |= read_taper(part, 10 * MM, rng) if taper else {}
    measurement = measure(part, rng, **readings)
    named = identify_thread(measurement)
    right = [is_right(part, candidate) for candidate in named]
    clear = judge_candidates(named, measurement)[0].level == "ok"
    followed = is_right(part, follow_advice(part, measurement, named, rng))
    return right[0], any(right[:3]), followed, clear, named[0].likelihood


def make_part(thread: Thread, gender: str, rng: np.random.Generator, *, length: float) -> Part:
    limits = limits_of(thread)
    if gender == "male":
        size = rng.uniform(*limits.male_major) - rng.uniform(0, thread.small_end_offset)
        if rng.random() < WORN:
            size -= rng.uniform(*WEAR)
    elif thread.is_taper:  # reamed, and gauged
        size = rng.uniform(*limits.female_core)
    else:
        size = thread.major_diameter - 2 * thread.internal_depth * rng.uniform(*DRILLED)
    return Part(thread, gender, size, length)


def measure(part: Part, rng: np.random.Generator, **readings: float) -> Measurement:
    """Its diameter, and whatever else was read of it."""
    size = part.size + rng.normal(0, CALIPER)
    return Measurement(part.gender, size, caliper_error=CALIPER, length=part.length, **readings)


def count_threads(part: Part, over: float, rng: np.random.Generator) -> dict[str, float]:
    """The whole number nearest, lined up to a tenth of a thread."""
    return {
        "count": float(max(round(over / part.thread.pitch + rng.normal(0, 0.1)), 1)),
        "over": over,
    }


def read_angle(part: Part, rng: np.random.Generator) -> dict[str, float]:
    """Right 97 times of 100; else one of the others."""
    right = part.thread.form.included_angle
    others = [angle for angle in ANGLES if abs(angle - right) > 0.01]
    wrong = rng.random() < ANGLE_MISREAD
    return {"included_angle": float(rng.choice(others)) if wrong else right}


def read_leaf(part: Part, rng: np.random.Generator) -> dict[str, object]:
    """The nearest leaf of the gauge of its country; two times of 100 the one beside it."""
    gauge = "metric" if part.thread.threads_per_inch is None else "inch"
    leaves = leaves_of(gauge)
    best = min(range(len(leaves)), key=lambda at: abs(leaves[at].pitch - part.thread.pitch))
    if rng.random() < LEAF_MISREAD:
        best += -1 if best == len(leaves) - 1 or (best > 0 and rng.random() < 0.5) else 1
    mark = leaves[best].mark
    return {"gauge": gauge} | (
        {"threads_per_inch": mark} if gauge == "inch" else {"pitch": mark * MM}
    )


def read_taper(part: Part, apart: float, rng: np.random.Generator) -> dict[str, float]:
    """A second diameter, towards the small end of a male and the deep end of a female."""
    size = part.size - part.thread.taper * apart + rng.normal(0, CALIPER)
    return {"second_diameter": size, "apart": apart}


def is_right(part: Part, candidate: Candidate) -> bool:
    """Alike in every measure there is, whatever it is called; none of these never is."""
    return any(is_alike(part.thread, thread) for thread in candidate.threads)


def is_alike(thread: Thread, other: Thread) -> bool:
    return (
        abs(thread.major_diameter - other.major_diameter) < 0.02 * MM
        and abs(thread.pitch - other.pitch) <= 0.002 * thread.pitch
        and abs(thread.form.included_angle - other.form.included_angle) < 0.01
        and thread.taper == other.taper
    )


def follow_advice(
    part: Part, measurement: Measurement, named: tuple[Candidate, ...], rng: np.random.Generator
) -> Candidate:
    """The candidate that is first once the advice on the first was followed, once."""
    advice = named[0].tell_apart
    if advice.kind in ("leaf", "try"):
        return judge_trial(part, named)
    further: dict[str, object] = {}
    if asks_for(advice, "count", "pitch"):
        further = {"threads_per_inch": None, "pitch": None, "gauge": None}
        further |= count_threads(part, advice.over or part.length, rng)
    elif asks_for(advice, "angle", "angle"):
        further = read_angle_again(part, measurement.included_angle, rng)
    elif asks_for(advice, "taper", "taper"):
        further = read_taper(part, advice.apart or 10 * MM, rng)
    elif asks_for(advice, "diameter", "diameter"):
        further = {"diameter": part.size + rng.normal(0, MICROMETER), "caliper_error": MICROMETER}
    elif advice.kind == "measure":
        further = count_threads(part, COUNTED, rng)
    return identify_thread(replace(measurement, **further))[0]


def asks_for(advice: Advice, kind: str, reading: str) -> bool:
    """Advice of the kind, or to take such a reading for the first time or again."""
    said = word(advice.text)
    taken = f"its {reading} " in said or f"its {reading}," in said or f"flank {reading}" in said
    return advice.kind == kind or (advice.kind == "measure" and taken)


def read_angle_again(
    part: Part, before: float | None, rng: np.random.Generator
) -> dict[str, object]:
    """The same once more counts twice; where two readings differ, a third says which was right."""
    reading = read_angle(part, rng)
    if before is None:
        return reading
    if reading["included_angle"] == before:
        return reading | {"angle_readings": 2}
    return read_angle(part, rng)


def judge_trial(part: Part, named: tuple[Candidate, ...]) -> Candidate:
    """Which of the two the leaf or the tool speaks for: it goes with the one it is made for."""
    first, advised = named[0], named[0].tell_apart.rival
    rival = next(each for each in named[1:] if each.thread == advised)  # None: none of these
    shows = first.tell_apart.shows
    own = first if shows in (("fits",), ("goes on all the way by hand",)) else rival
    other = rival if own is first else first
    goes = is_right(part, own) or (
        not is_right(part, other)
        and abs(own.thread.pitch - part.thread.pitch) / part.thread.pitch * min(part.length, LEAF)
        <= 0.1 * MM
    )
    return own if goes else other
