"""Identification: the right thread from honest measurements of every thread there is."""

from collections.abc import Callable
from math import nan, radians

import numpy as np
import pytest

from service.engineering.constants import INCH
from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue import (
    Thread,
    catalogue,
    extended_catalogue,
    limits_of,
    load_series,
)
from service.engineering.threads.identify import Measurement, identify_thread
from service.engineering.threads.identify.identify import Candidate
from service.engineering.threads.identify.likelihood import female_range
from service.quantities.wording import word

MM = 1e-3
CALIPER = 0.03 * MM
DRAWS = 20


def designations(candidates: tuple[Candidate, ...]) -> list[str]:
    return [candidate.thread.designation for candidate in candidates]


def draw_measurement(thread: Thread, rng: np.random.Generator, *, over: float) -> Measurement:
    """A male made anywhere within its limits, measured and counted by an honest hand.

    The count is the whole number of threads nearest the length, lined up to a tenth of a thread.
    """
    size = rng.uniform(*limits_of(thread).male_major)
    taper_reading: dict[str, float] = {}
    if thread.is_taper:
        smaller = size - thread.taper * 6 * MM + rng.normal(0, CALIPER)
        taper_reading = {"second_diameter": smaller, "apart": 6 * MM}
    return Measurement(
        "male",
        size + rng.normal(0, CALIPER),
        caliper_error=CALIPER,
        count=max(round(over / thread.pitch + rng.normal(0, 0.1)), 1),
        over=over,
        **taper_reading,
    )


def try_angle(measurement: Measurement, thread: Thread, rng: np.random.Generator) -> Measurement:
    """The same with the flanks tried by a gauge, one degree of error."""
    fields = {name: getattr(measurement, name) for name in measurement.__dataclass_fields__}
    angle = thread.form.included_angle + rng.normal(0, radians(1))
    return Measurement(**(fields | {"included_angle": angle}))


def is_same_size_and_pitch(thread: Thread, other: Thread) -> bool:
    return (
        abs(thread.major_diameter - other.major_diameter) < 0.02 * MM
        and abs(thread.pitch - other.pitch) < 0.002 * thread.pitch
        and thread.taper == other.taper
    )


def is_same_thread(thread: Thread, other: Thread) -> bool:
    """Alike in every measure there is: two names for one thread (1/4 BSF and 1/4 x 26 brass)."""
    same_angle = abs(thread.form.included_angle - other.form.included_angle) < radians(0.5)
    return is_same_size_and_pitch(thread, other) and same_angle


def score_draws(
    measure: Callable[[Thread, np.random.Generator], Measurement],
    is_right: Callable[[Thread, Thread], bool],
) -> tuple[float, float]:
    """Share of draws with the right thread first, and among the first three."""
    rng = np.random.default_rng(20260114)
    ranks = []
    for thread in catalogue():
        for _ in range(DRAWS):
            named = identify_thread(measure(thread, rng))
            right = [is_right(thread, candidate.thread) for candidate in named]
            ranks.append(right.index(True) if True in right else 99)
    return float(np.mean(np.array(ranks) == 0)), float(np.mean(np.array(ranks) < 3))


def test_every_thread_is_known_by_size_count_and_angle() -> None:
    """Caliper error 0.03 mm, count over 1/2 in, flank angle tried."""
    first, first_three = score_draws(
        lambda thread, rng: try_angle(draw_measurement(thread, rng, over=INCH / 2), thread, rng),
        is_same_thread,
    )

    assert first >= 0.95
    assert first_three >= 0.995


def test_every_thread_is_known_to_its_size_and_pitch_without_the_angle() -> None:
    """Caliper error 0.03 mm, count over 1 in, angle unknown: one of the same size and pitch."""
    first, first_three = score_draws(
        lambda thread, rng: draw_measurement(thread, rng, over=INCH), is_same_size_and_pitch
    )

    assert first >= 0.95
    assert first_three >= 0.995


def test_worn_male_is_still_known() -> None:
    worn = limits_of_male("1/4 x 40 ME")[0] - 0.04 * MM
    named = identify_thread(Measurement("male", worn, pitch=INCH / 40, included_angle=radians(55)))

    assert designations(named)[0] == "1/4 x 40 ME"


def limits_of_male(designation: str) -> tuple[float, float]:
    return next(
        limits_of(thread).male_major for thread in catalogue() if thread.designation == designation
    )


def test_bench_example_names_the_two_forties_and_the_gauge_to_tell_them() -> None:
    named = identify_thread(Measurement("male", 6.28 * MM, pitch=INCH / 40))

    assert designations(named)[:2] == ["1/4 x 40 ME", "1/4-40 UNS"]
    assert "55 deg" in word(named[0].tell_apart)
    assert "60 deg" in word(named[0].tell_apart)
    assert "leaks" in word(named[0].wrong_guess)


def test_count_tells_26_from_metric() -> None:
    """M6 and 1/4 x 26 are alike in pitch; 13 threads in 1/2 in fit both, the size does not."""
    named = identify_thread(Measurement("male", 5.88 * MM, count=13, over=INCH / 2))

    assert named[0].thread.designation in ("M6", "0 BA")
    assert not {"1/4 BSF", "1/4 x 26 brass"} & set(designations(named))


def test_two_counts_are_named_where_the_pitch_is_open() -> None:
    named = identify_thread(Measurement("male", 9.70 * MM))
    advice = [word(candidate.tell_apart) for candidate in named]

    assert any("Count over" in words or "two places" in words for words in advice)


def test_taper_is_known_by_two_diameters() -> None:
    eighth_pipe = {"count": 14, "over": INCH / 2, "included_angle": radians(55)}
    taper = Measurement("male", 9.70 * MM, second_diameter=9.32 * MM, apart=6 * MM, **eighth_pipe)
    parallel = Measurement(
        "male", 9.70 * MM, second_diameter=9.69 * MM, apart=6 * MM, **eighth_pipe
    )

    assert designations(identify_thread(taper))[0] == "1/8 BSPT"
    assert designations(identify_thread(parallel))[0] == "1/8 BSP"


@pytest.mark.parametrize("drilled_percent", [98, 85, 75, 65])
def test_female_is_known_by_its_bore_as_drilled(drilled_percent: float) -> None:
    bore = (0.25 * INCH) - drilled_percent / 100 * 1.280655 * INCH / 40
    named = identify_thread(Measurement("female", bore, pitch=INCH / 40))

    assert "1/4 x 40 ME" in designations(named)[:2]


def test_every_female_is_among_the_first_three_by_bore_pitch_and_angle() -> None:
    rng = np.random.default_rng(7)
    missed = []
    for thread in catalogue():
        least, most, _ = female_range(thread)
        bore = rng.uniform(least, most) + rng.normal(0, CALIPER)
        named = identify_thread(
            Measurement(
                "female",
                bore,
                pitch=thread.pitch,
                included_angle=thread.form.included_angle,
                second_diameter=bore - thread.taper * 6 * MM,
                apart=6 * MM,
            )
        )
        if not any(is_same_thread(thread, candidate.thread) for candidate in named[:3]):
            missed.append(thread.designation)

    assert len(missed) <= 0.01 * len(catalogue()), missed


def test_two_names_for_one_thread_are_said_to_be_one() -> None:
    named = identify_thread(
        Measurement("male", 6.30 * MM, pitch=INCH / 26, included_angle=radians(55))
    )

    assert set(designations(named)[:2]) == {"1/4 x 26 brass", "1/4 BSF"}
    assert "same thread" in word(named[0].tell_apart)
    assert word(named[0].wrong_guess) == "None to fear."


def test_likelihoods_are_ranked_and_at_most_one_together() -> None:
    named = identify_thread(Measurement("female", 5.6 * MM))
    likelihoods = [candidate.likelihood for candidate in named]

    assert likelihoods == sorted(likelihoods, reverse=True)
    assert 0.9 < sum(likelihoods) <= 1 + 1e-9


def test_nothing_near_names_nothing() -> None:
    assert identify_thread(Measurement("male", 45 * MM)) == ()
    assert identify_thread(Measurement("male", 6.28 * MM, pitch=2 * MM)) == ()


def test_workshops_own_series_is_searched_too() -> None:
    own = load_series(
        "designation,family,form,diameter,unit,threads_per_inch,source\n"
        "9/32 x 30 gauge,gauge,55,9/32,in,30,measured here\n"
    )
    named = identify_thread(
        Measurement("male", 7.08 * MM, count=30, over=INCH), catalogue=extended_catalogue(own)
    )

    assert designations(named)[0] == "9/32 x 30 gauge"


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("diameter", {"diameter": 0.0}),
        ("diameter", {"diameter": nan}),
        ("caliper_error", {"caliper_error": 0.0}),
        ("caliper_error", {"caliper_error": 0.01}),
        ("wear", {"wear": -0.1 * MM}),
        ("pitch", {"pitch": 0.0}),
        ("pitch_error", {"pitch": MM, "pitch_error": 0.0}),
        ("over", {"count": 20.0}),
        ("count", {"over": 0.01}),
        ("count", {"count": 0.0, "over": 0.01}),
        ("over", {"count": 20.0, "over": 0.0}),
        ("included_angle", {"included_angle": 0.1}),
        ("apart", {"second_diameter": 6 * MM}),
        ("apart", {"second_diameter": 6 * MM, "apart": 0.0}),
    ],
)
def test_impossible_measurement_is_refused_by_field(field: str, changes: dict[str, float]) -> None:
    with pytest.raises(OutOfRange) as refusal:
        identify_thread(Measurement(**({"gender": "male", "diameter": 6 * MM} | changes)))

    assert refusal.value.field == field


def test_an_empty_catalogue_is_refused() -> None:
    with pytest.raises(OutOfRange):
        identify_thread(Measurement("male", 6 * MM), catalogue=())
