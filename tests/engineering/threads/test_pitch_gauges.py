"""A pitch gauge is a set of leaves: what fits, what nearly does, and what no set has."""

from math import radians

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue import catalogue
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.identify import Measurement, identify_thread, judge_candidates
from service.engineering.threads.identify.leaves import (
    Leaf,
    find_leaf,
    lay_leaf,
    leaves_of,
    nearest_leaf,
)
from service.engineering.threads.identify.marks import mark_readings
from service.engineering.threads.identify.measurement import check_measurement
from service.quantities.wording import word

MM = 1e-3
INCH = 0.0254


def leaf(mark: float) -> Leaf:
    return find_leaf("inch", mark, field="threads_per_inch")


@pytest.mark.parametrize(
    ("mark", "pitch", "run", "lie"),
    [
        (40, INCH / 40, 12.0, "fits"),
        # 26 leaf, 0.97692 mm, on 1 mm: 0.0231 mm a turn
        (26, 1 * MM, 2.16, "fits"),  # 0.0498 mm
        (26, 1 * MM, 2.18, "nearly fits"),  # 0.0503 mm
        (26, 1 * MM, 6.49, "nearly fits"),  # 0.1498 mm
        (26, 1 * MM, 6.51, "does not fit"),  # 0.1502 mm
        # 32 leaf on 0.8 mm: 0.0078 mm a mm, and no more than 12 mm of leaf: 0.094 mm
        (32, 0.8 * MM, 6.3, "fits"),
        (32, 0.8 * MM, 12.0, "nearly fits"),
        (32, 0.8 * MM, 100.0, "nearly fits"),
        # 27 of a taper pipe thread against 28 of the parallel: 3.7 % of 12 mm
        (28, INCH / 27, 12.0, "does not fit"),
    ],
)
def test_light_gathers_along_leaf_or_thread(
    mark: float, pitch: float, run: float, lie: str
) -> None:
    assert lay_leaf(leaf(mark), pitch, run * MM) == lie


def test_every_inch_thread_has_its_leaf_and_no_association_thread_a_coarse_one() -> None:
    inch = {each.mark for each in leaves_of("inch")}
    lacking = {
        thread.designation
        for thread in catalogue()
        if thread.threads_per_inch is not None
        and thread.threads_per_inch not in inch
        and thread.threads_per_inch <= 80  # finer ones no gauge has
    }
    assert not lacking
    for size in range(6):
        pitch = find_thread(f"{size} BA").pitch
        assert lay_leaf(nearest_leaf("inch", pitch), pitch, 12 * MM) != "fits"


def test_association_thread_is_said_to_have_no_leaf() -> None:
    """0 BA is 1 mm, 25.4 to the inch: over 6 mm the 26 leaf shows 0.139 mm, the 25 leaf 0.096."""
    measurement = Measurement("male", 5.9 * MM, gauge="inch", threads_per_inch=26, length=6 * MM)
    found = mark_readings(measurement, (find_thread("0 BA"),))[-1]

    assert (found.kind, found.mark) == ("leaf", "doubtful")
    assert "0.138 mm of light" in word(found.text)
    assert "has no leaf for it; 25 nearly fits" in word(found.text)
    findings = judge_candidates(identify_thread(measurement), measurement)
    lacking = next(each for each in findings if each.code == "no-leaf")
    assert "0 BA, 1 mm (25 nearly fits)" in word(lacking.text)
    assert "M6, 1 mm (25 nearly fits)" in word(lacking.text)


def test_association_thread_has_no_leaf_of_a_metric_gauge_either() -> None:
    """2 BA is 0.81 mm: over 4 mm the 0.8 leaf shows 0.049 mm, over 8 mm twice that."""
    short, long = (
        Measurement("male", 4.65 * MM, gauge="metric", pitch=0.8 * MM, length=length * MM)
        for length in (4, 8)
    )
    second = find_thread("2 BA")

    assert mark_readings(short, (second,))[-1].mark == "agrees"
    found = mark_readings(long, (second,))[-1]
    assert found.mark == "doubtful"
    assert word(found.text).endswith("A metric gauge has no leaf for it.")


def test_a_clear_thread_is_not_clouded_by_those_without_a_leaf() -> None:
    measurement = Measurement(
        "male", 9.65 * MM, gauge="inch", threads_per_inch=28, length=8 * MM,
        included_angle=radians(55), angle_readings=2, second_diameter=9.65 * MM, apart=8 * MM,
    )  # fmt: skip
    findings = judge_candidates(identify_thread(measurement), measurement)

    assert [each.code for each in findings] == ["clear"]


@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"threads_per_inch": 31}, "threads_per_inch", "no leaf of 31: the nearest are 30 and 32"),
        ({"threads_per_inch": 25.4}, "threads_per_inch", "the nearest are 25 and 26"),
        ({"threads_per_inch": 3}, "threads_per_inch", "the nearest is 4"),
        ({"threads_per_inch": 90}, "threads_per_inch", "the nearest is 80"),
        ({"threads_per_inch": 1}, "threads_per_inch", "the nearest is 4"),
        (
            {"gauge": "metric", "pitch": 0.73 * MM},
            "pitch",
            "no leaf of 0.73 mm: the nearest are 0.7 mm and 0.75 mm",
        ),
        ({"gauge": "metric"}, "pitch", "which leaf of the metric gauge"),
        ({"gauge": "inch"}, "threads_per_inch", "which leaf of the inch gauge"),
        ({"gauge": "inch", "pitch": MM}, "threads_per_inch", "which leaf of the inch gauge"),
        ({"gauge": "metric", "threads_per_inch": 40}, "pitch", "which leaf of the metric gauge"),
        ({"pitch": MM, "threads_per_inch": 40}, "pitch", "one way only"),
        ({"pitch": MM, "count": 9, "over": 9 * MM}, "count", "one way only"),
        ({"count": 9, "over": 9 * MM, "length": 8.99 * MM}, "over", "only 8.99 mm long"),
        ({"second_diameter": MM, "apart": 9 * MM, "length": 8 * MM}, "apart", "only 8 mm long"),
    ],
)
def test_what_no_gauge_or_thread_can_show_is_refused(
    given: dict[str, object], field: str, said: str
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        check_measurement(Measurement("male", 6 * MM, **given))

    assert refusal.value.field == field
    assert said in word(refusal.value.message)


def test_odd_threads_to_the_inch_may_be_counted() -> None:
    """25.4 to the inch is no leaf, but 12.7 in half an inch is a count."""
    named = identify_thread(Measurement("male", 5.9 * MM, count=12.7, over=INCH / 2))

    assert {"0 BA", "M6"} == {name for each in named[:2] for name in each.names}


def taken(**given: object) -> set[str]:
    measurement = Measurement("male", 6.28 * MM, **given)
    findings = judge_candidates(identify_thread(measurement), measurement)
    return {each.code for each in findings if each.code.endswith("-taken")}


def test_what_is_taken_for_granted_is_said() -> None:
    assert taken(threads_per_inch=40) == {"gauge-taken", "length-taken"}
    assert taken(gauge="inch", threads_per_inch=40, length=8 * MM) == set()
    assert taken(pitch=0.635 * MM, length=8 * MM) == set()  # measured: no leaf is named


@pytest.mark.parametrize(
    ("given", "run"),
    [
        ({}, 6.28),
        ({"length": 4 * MM}, 4.0),
        ({"count": 20, "over": 12.7 * MM}, 12.7),
        ({"second_diameter": 6 * MM, "apart": 9 * MM}, 9.0),
        ({"count": 3, "over": 3 * MM}, 6.28),
    ],
)
def test_thread_is_taken_to_be_as_long_as_it_is_thick(given: dict[str, float], run: float) -> None:
    assert Measurement("male", 6.28 * MM, **given).run == pytest.approx(run * MM)
