"""Identification: the right thread from honest measurements, and none where none agrees."""

from collections.abc import Sequence
from math import nan, radians

import numpy as np
import pytest

from service.engineering.constants import INCH
from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue import (
    Thread,
    catalogue,
    custom_thread,
    extended_catalogue,
    limits_of,
    load_series,
)
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.identify import (
    Candidate,
    Measurement,
    identify_thread,
    judge_candidates,
)
from service.engineering.threads.identify.spread import merge_names
from service.quantities.wording import word

MM = 1e-3


def designations(candidates: tuple[Candidate, ...]) -> list[str]:
    """Every name in order; those of one thread beside one another."""
    return [name for candidate in candidates for name in candidate.names]


def first_finding(measurement: Measurement, threads: Sequence[Thread] | None = None) -> str:
    named = identify_thread(measurement, catalogue=threads)
    return word(judge_candidates(named, measurement, catalogue=threads)[0].text)


def code_of(measurement: Measurement, threads: Sequence[Thread] | None = None) -> str:
    named = identify_thread(measurement, catalogue=threads)
    return judge_candidates(named, measurement, catalogue=threads)[0].code


CYCLE = radians(60)  # 26 threads to the inch and 60 degrees, of bicycles
WITHOUT_CYCLE = tuple(
    thread
    for thread in catalogue()
    if not (thread.threads_per_inch == 26 and abs(thread.form.included_angle - CYCLE) < 0.01)
)


def test_angle_that_no_thread_of_the_size_and_pitch_has_is_not_called_clear() -> None:
    """9.45 mm by 26 is 3/8 brass but for its angle, which is not 60 degrees."""
    measurement = Measurement("male", 9.45 * MM, threads_per_inch=26, included_angle=CYCLE)
    first = identify_thread(measurement, catalogue=WITHOUT_CYCLE)[0]
    words = first_finding(measurement, WITHOUT_CYCLE)

    assert code_of(measurement, WITHOUT_CYCLE) == "none-agrees"
    assert words.startswith("None of the catalogue agrees with all that was measured.")
    assert "55 deg; 60 deg was found" in words
    assert first.names == ("3/8 x 26 brass",)
    assert {each.kind: each.mark for each in first.why} == {
        "diameter": "agrees", "leaf": "agrees", "angle": "disagrees"
    }  # fmt: skip
    assert first.likelihood < 0.99


def test_a_thread_of_that_angle_takes_its_place_once_it_is_in_the_catalogue() -> None:
    cycle = custom_thread("3/8 cycle", diameter=9.525 * MM, pitch=INCH / 26, included_angle=CYCLE)
    measurement = Measurement(
        "male", 9.45 * MM, threads_per_inch=26, included_angle=CYCLE, angle_readings=2
    )

    assert identify_thread(measurement, catalogue=(*WITHOUT_CYCLE, cycle))[0].thread == cycle
    assert code_of(measurement, (*WITHOUT_CYCLE, cycle)) == "clear"


def test_pitch_that_no_thread_of_the_bore_has_is_not_called_clear() -> None:
    """14.36 mm and 1.75 mm: 5/8 BSF has 1.81 mm, three errors off, and would be drilled wide."""
    measured = Measurement("female", 14.36 * MM, pitch=1.75 * MM)
    gauged = Measurement("female", 14.36 * MM, gauge="metric", pitch=1.75 * MM)

    for measurement in (measured, gauged):
        assert code_of(measurement) == "none-agrees"
        named = identify_thread(measurement)
        assert all(each.sureness == "disagrees" for each in named if each.threads)
        assert () in [each.threads for each in named[:2]]


def test_nothing_near_names_none_of_these() -> None:
    for measurement in (
        Measurement("male", 45 * MM, included_angle=radians(90)),
        Measurement("male", 6.28 * MM, pitch=2 * MM),
        Measurement("female", 190 * MM),
    ):
        first = identify_thread(measurement)[0]
        assert (first.threads, first.thread, first.wrong_guess) == ((), None, None)
        assert word(first.named) == "none of these"
        assert first.likelihood > (0.9 if measurement.pitch is None else 0.3)  # 1/4 in, misread
        assert first_finding(measurement).startswith("None of the catalogue agrees")


def test_none_of_these_is_always_one_of_the_candidates() -> None:
    for size in (0.8, 3.1, 6.28, 9.7, 20.0):
        for gender in ("male", "female"):
            named = identify_thread(Measurement(gender, size * MM))
            assert [each.threads for each in named].count(()) == 1
            assert sum(each.likelihood for each in named) <= 1 + 1e-9


def test_likelier_thread_that_a_reading_speaks_against_does_not_hide_one_that_agrees() -> None:
    """A common thread at 55 where 60 was read, and one that agrees but is worn to its end."""
    common = custom_thread("common", diameter=10 * MM, pitch=1 * MM, included_angle=radians(55))
    worn = custom_thread("worn", diameter=10.3 * MM, pitch=1 * MM, included_angle=radians(60))
    least, most = limits_of(worn).male_major[0] - 0.19 * MM, limits_of(common).male_major[1]
    assert least < most
    measurement = Measurement("male", least, pitch=1 * MM, included_angle=radians(60))
    named = identify_thread(measurement, catalogue=(common, worn))
    words = first_finding(measurement, (common, worn))

    assert {each.sureness for each in named[:2]} == {"disagrees", "doubtful"}
    assert "worn" in words
    assert code_of(measurement, (common, worn)) in ("tell-apart", "doubtful")


def test_worn_male_is_still_known_but_doubtful() -> None:
    worn = limits_of(find_thread("1/4 x 40 ME")).male_major[0] - 0.08 * MM
    measurement = Measurement(
        "male", worn, gauge="inch", threads_per_inch=40, included_angle=radians(55),
        angle_readings=2,
    )  # fmt: skip
    first = identify_thread(measurement)[0]

    assert first.names == ("1/4 x 40 ME",)
    assert first.likelihood > 0.99
    assert code_of(measurement) == "doubtful"
    assert "worn by 0.08 mm or more" in first_finding(measurement)


def test_bench_example_names_the_two_forties_and_the_gauge_to_tell_them() -> None:
    named = identify_thread(Measurement("male", 6.28 * MM, threads_per_inch=40))

    assert sorted(round(each.thread.form.included_angle, 3) for each in named[:2]) == [
        round(radians(55), 3), round(radians(60), 3),
    ]  # fmt: skip
    assert {"1/4 x 40 ME", "1/4-40 UNS"} <= {name for each in named[:2] for name in each.names}
    assert named[0].tell_apart.kind == "angle"
    assert "55 deg" in word(named[0].tell_apart.text)
    assert "60 deg" in word(named[0].tell_apart.text)
    assert "leaks" in word(named[0].wrong_guess)


def test_count_tells_26_from_metric() -> None:
    """M6 and 1/4 x 26 are alike in pitch; 13 threads in 1/2 in fit both, the size does not."""
    named = identify_thread(Measurement("male", 5.88 * MM, count=13, over=INCH / 2))

    assert named[0].thread.designation in ("M6", "0 BA")
    assert not {"1/4 BSF", "1/4 x 26 brass"} & set(designations(named))


def test_pitch_or_count_is_advised_where_only_the_size_is_known() -> None:
    named = identify_thread(Measurement("male", 9.70 * MM))

    assert {"count", "taper"} & {each.tell_apart.kind for each in named}
    for each in named:
        assert each.tell_apart.over is None or each.tell_apart.over <= 9.70 * MM


def test_taper_is_known_by_two_diameters() -> None:
    eighth_pipe = {"count": 14, "over": INCH / 2, "included_angle": radians(55)}
    taper = Measurement("male", 9.70 * MM, second_diameter=9.32 * MM, apart=6 * MM, **eighth_pipe)
    parallel = Measurement(
        "male", 9.70 * MM, second_diameter=9.69 * MM, apart=6 * MM, **eighth_pipe
    )

    assert "1/8 BSPT" in identify_thread(taper)[0].names
    assert "1/8 BSP" in identify_thread(parallel)[0].names


def test_a_taper_is_not_clear_until_it_was_measured() -> None:
    pipe = {"count": 14, "over": INCH / 2, "included_angle": radians(55), "angle_readings": 2}
    alone = tuple(thread for thread in catalogue() if thread.family != "BSP")
    seen = Measurement("male", 9.70 * MM, second_diameter=9.32 * MM, apart=6 * MM, **pipe)
    unseen = Measurement("male", 9.70 * MM, **pipe)

    assert code_of(seen, alone) == "clear"
    assert identify_thread(unseen, catalogue=alone)[0].likelihood > 0.99
    assert code_of(unseen, alone) == "tell-apart"
    assert "its taper, by two diameters" in first_finding(unseen, alone)


@pytest.mark.parametrize("drilled_percent", [98, 85, 75, 65])
def test_female_is_known_by_its_bore_as_drilled(drilled_percent: float) -> None:
    bore = (0.25 * INCH) - drilled_percent / 100 * 1.280655 * INCH / 40
    named = identify_thread(Measurement("female", bore, threads_per_inch=40))

    assert any("1/4 x 40 ME" in each.names for each in named[:2])


def test_names_of_one_geometry_are_one_candidate_with_all_its_names() -> None:
    measurement = Measurement("male", 6.30 * MM, threads_per_inch=26, included_angle=radians(55))
    first = identify_thread(measurement)[0]

    assert {"1/4 x 26 brass", "1/4 BSF"} <= set(first.names)
    assert all(name in word(first.named) for name in first.names)
    assert "same thread" not in word(first.tell_apart.text)


def is_one_geometry(thread: Thread, other: Thread) -> bool:
    """By figures of its own: size to 0.02 mm, pitch to 0.2 %, angle, taper."""
    return (
        abs(thread.major_diameter - other.major_diameter) < 0.02 * MM
        and abs(thread.pitch - other.pitch) <= 0.002 * thread.pitch
        and abs(thread.form.included_angle - other.form.included_angle) < 0.01
        and thread.taper == other.taper
    )


def test_every_thread_of_the_catalogue_is_in_one_group_of_its_own_geometry() -> None:
    groups = merge_names(catalogue())

    assert sorted(thread.designation for group in groups for thread in group) == sorted(
        thread.designation for thread in catalogue()
    )
    for number, group in enumerate(groups):
        assert all(is_one_geometry(group[0], thread) for thread in group)
        assert not any(is_one_geometry(group[0], other[0]) for other in groups[:number])


def test_likelihoods_are_ranked_and_at_most_one_together() -> None:
    named = identify_thread(Measurement("female", 5.6 * MM))
    likelihoods = [candidate.likelihood for candidate in named]

    assert likelihoods == sorted(likelihoods, reverse=True)
    assert 0.5 < sum(likelihoods) <= 1 + 1e-9


def test_nothing_is_clear_that_does_not_agree_in_all_or_is_under_ninety_nine() -> None:
    """Whatever is measured: sizes, pitches and angles at random, most of them of no thread."""
    rng = np.random.default_rng(3)
    codes = set()
    for _ in range(600):
        size = float(np.exp(rng.uniform(np.log(1 * MM), np.log(25 * MM))))
        measurement = Measurement(
            str(rng.choice(["male", "female"])), size, count=float(rng.integers(4, 60)),
            over=INCH / 2, included_angle=radians(float(rng.choice([47.5, 55, 60, 57, 90]))),
            angle_readings=2,
        )  # fmt: skip
        named = identify_thread(measurement)
        finding = judge_candidates(named, measurement)[0]
        codes.add(finding.code)
        is_clear = named[0].likelihood >= 0.99 and named[0].sureness == "agrees"
        is_parallel = bool(named[0].threads) and not named[0].threads[0].is_taper
        assert (finding.level == "ok") is (is_clear and is_parallel)  # no taper was measured
        agreeing = [each for each in named if each.threads and each.sureness != "disagrees"]
        says_none = word(finding.text).startswith("None of the catalogue agrees")
        disagrees = not named[0].threads or named[0].sureness == "disagrees"
        assert says_none is (disagrees and not agreeing)
    assert {"none-agrees", "clear"} <= codes


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
        ("angle_readings", {"included_angle": 1.0, "angle_readings": 0}),
        ("apart", {"second_diameter": 6 * MM}),
        ("apart", {"second_diameter": 6 * MM, "apart": 0.0}),
        ("length", {"length": 0.0}),
    ],
)
def test_impossible_measurement_is_refused_by_field(field: str, changes: dict[str, float]) -> None:
    with pytest.raises(OutOfRange) as refusal:
        identify_thread(Measurement(**({"gender": "male", "diameter": 6 * MM} | changes)))

    assert refusal.value.field == field


def test_an_empty_catalogue_is_refused() -> None:
    with pytest.raises(OutOfRange):
        identify_thread(Measurement("male", 6 * MM), catalogue=())
