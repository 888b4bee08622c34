"""How each reading agrees with a thread: marks that do not hang on what else there is to choose."""

from dataclasses import replace
from math import hypot, radians, sqrt

import pytest

from service.engineering.threads.catalogue import Thread, custom_thread, limits_of
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.identify import Mark, Measurement
from service.engineering.threads.identify.marks import find_worst, mark_readings
from service.engineering.threads.identify.spread import female_range
from service.quantities.wording import word

MM = 1e-3
INCH = 0.0254
ERROR = 0.03 * MM
FORTY = find_thread("1/4 x 40 ME")


def mark(measurement: Measurement, thread: Thread = FORTY) -> Mark:
    """The mark of the reading that was taken last."""
    return mark_readings(measurement, (thread,))[-1]


def test_every_reading_that_was_taken_is_marked() -> None:
    measurement = Measurement(
        "male", 6.28 * MM, count=20, over=INCH / 2, included_angle=radians(55),
        second_diameter=6.28 * MM, apart=5 * MM,
    )  # fmt: skip

    marks = mark_readings(measurement, (FORTY,))
    assert [each.kind for each in marks] == ["diameter", "count", "angle", "taper"]
    assert {each.mark for each in marks} == {"agrees"}
    gauged = mark_readings(Measurement("male", 6.28 * MM, threads_per_inch=40), (FORTY,))
    assert [each.kind for each in gauged] == ["diameter", "leaf"]
    pitched = mark_readings(Measurement("male", 6.28 * MM, pitch=0.64 * MM), (FORTY,))
    assert [each.kind for each in pitched] == ["diameter", "pitch"]


MALE = limits_of(FORTY).male_major


@pytest.mark.parametrize(
    ("size", "expected", "said"),
    [
        # over its largest: two errors agree, three are doubtful
        (MALE[1] - 0.01 * ERROR, "agrees", "mm."),
        (MALE[1] + 0.01 * ERROR, "agrees", "within the error of the caliper"),
        (MALE[1] + 1.99 * ERROR, "agrees", "within the error of the caliper"),
        (MALE[1] + 2.01 * ERROR, "doubtful", "too large"),
        (MALE[1] + 2.99 * ERROR, "doubtful", "too large"),
        (MALE[1] + 3.01 * ERROR, "disagrees", "too large"),
        # under its least: worn by up to 0.15 mm and two errors
        (MALE[0] - 1.99 * ERROR, "agrees", "within the error of the caliper"),
        (MALE[0] - 2.01 * ERROR, "doubtful", "worn by 0.06 mm or more"),
        (MALE[0] - 0.15 * MM - 1.99 * ERROR, "doubtful", "worn by 0.21 mm or more"),
        (MALE[0] - 0.15 * MM - 2.01 * ERROR, "disagrees", "too small"),
    ],
)
def test_male_agrees_two_errors_out_and_is_doubtful_when_worn(
    size: float, expected: str, said: str
) -> None:
    found = mark(Measurement("male", size))

    assert found.mark == expected
    assert said in word(found.text)


def test_male_that_cannot_be_worn_is_doubtful_to_three_errors_only() -> None:
    for errors, expected in ((2.99, "doubtful"), (3.01, "disagrees")):
        sharp = Measurement("male", MALE[0] - errors * ERROR, wear=0.0)
        assert mark(sharp).mark == expected


CORE = (6.35 - 1.280655 * 0.635) * MM
MOST = CORE + (0.2 / 40 + 0.004) * INCH  # BS 84, 26 threads and finer
WIDEST = (6.35 - 0.55 * 1.280655 * 0.635) * MM


@pytest.mark.parametrize(
    ("size", "expected", "said"),
    [
        (CORE - 1.99 * ERROR, "agrees", "within the error"),
        (CORE - 2.01 * ERROR, "doubtful", "too small"),
        (CORE - 3.01 * ERROR, "disagrees", "too small"),
        (MOST + 1.99 * ERROR, "agrees", "within the error"),
        # 5.85 mm leaves (6.35 - 5.85) / 0.8132 = 61 % of depth
        (5.85 * MM, "doubtful", "drilled coarsely, 61 % of depth"),
        (WIDEST + 1.99 * ERROR, "doubtful", "drilled coarsely"),
        (WIDEST + 2.01 * ERROR, "disagrees", "too large"),
    ],
)
def test_female_is_doubtful_when_drilled_coarsely(size: float, expected: str, said: str) -> None:
    found = mark(Measurement("female", size))

    assert found.mark == expected
    assert said in word(found.text)


@pytest.mark.parametrize(
    ("errors", "expected"),
    [(1.99, "agrees"), (2.01, "doubtful"), (2.99, "doubtful"), (3.01, "disagrees")],
)
def test_pitch_angle_taper_and_count_are_marked_by_their_errors(
    errors: float, expected: str
) -> None:
    own = custom_thread("own", diameter=10 * MM, pitch=1 * MM, included_angle=radians(55))
    bare = Measurement("male", 9.9 * MM)
    uneven = hypot(0.004, sqrt(2) * 0.03 / 5)
    lined_up = hypot(0.15, 0.1)
    readings = {
        "pitch": replace(bare, pitch=(1 + errors * 0.01) * MM, pitch_error=0.01 * MM),
        "angle": replace(bare, included_angle=radians(55 - errors * 1.5)),
        "taper": replace(bare, second_diameter=(9.9 - errors * uneven * 5) * MM, apart=5 * MM),
        "count": replace(bare, count=10.5 + errors * lined_up, over=10 * MM),
    }

    for kind, measurement in readings.items():
        found = mark(measurement, own)
        assert (found.kind, found.mark) == (kind, expected)


def test_pitch_that_was_measured_errs_by_twelve_parts_in_a_thousand() -> None:
    own = custom_thread("own", diameter=10 * MM, pitch=1 * MM, included_angle=radians(55))
    bare = Measurement("male", 9.9 * MM)

    # off by x of what was found: x / (1 + x) in parts of 1.2 %
    assert mark(replace(bare, pitch=1.0245 * MM), own).mark == "agrees"  # 1.993 errors
    assert mark(replace(bare, pitch=1.0247 * MM), own).mark == "doubtful"  # 2.009


def test_found_and_expected_stand_beside_the_words() -> None:
    counted = mark(Measurement("male", 6.28 * MM, count=19, over=INCH / 2))

    assert (word(counted.found), word(counted.expected)) == ("19", "20.0")
    size = mark(Measurement("male", 6.28 * MM))
    assert word(size.found) == "6.28 mm"
    assert word(size.expected) == "6.22 mm to 6.35 mm"


def test_the_worst_of_the_marks_counts() -> None:
    measurement = Measurement("male", 6.10 * MM, threads_per_inch=40, included_angle=radians(60))
    marks = mark_readings(measurement, (FORTY,))

    assert [each.mark for each in marks] == ["doubtful", "agrees", "disagrees"]
    assert find_worst(marks) is marks[2]
    assert find_worst(marks[:2]) is marks[0]
    assert find_worst(marks[1:2]) is None


def test_names_of_one_thread_are_marked_by_the_widest_of_their_limits() -> None:
    """1/4-26 of two makers: the one has an allowance, the other none."""
    loose = replace(find_thread("1/4-28 UNF"), designation="loose", pitch=INCH / 26)
    tight = replace(find_thread("1/4 BSF"), designation="tight")
    least = min(limits_of(each).male_major[0] for each in (loose, tight))
    most = max(limits_of(each).male_major[1] for each in (loose, tight))

    found = mark_readings(Measurement("male", 6.3 * MM), (tight, loose))[0]
    assert word(found.expected) == f"{least / MM:.2f} mm to {most / MM:.2f} mm"
    least, most, widest = female_range((tight, loose))
    cores = [limits_of(each).female_core for each in (tight, loose)]
    assert (least, most) == (min(low for low, _ in cores), max(high for _, high in cores))
    assert cores[0][0] != cores[1][0]
    assert widest == max(female_range((each,))[2] for each in (tight, loose))
