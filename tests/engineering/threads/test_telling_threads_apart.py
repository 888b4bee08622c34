"""Which advice is given to tell two threads apart, and which wrong guess is foretold.

The advice is words alone, so its kind is known by comparing it, figures and names left out, with
that of a pair which lies far from every edge.
"""

import re
from math import degrees, radians, tan

import pytest

from service.engineering.saying import Said
from service.engineering.threads.catalogue import Thread, custom_thread, limits_of
from service.engineering.threads.identify import Measurement
from service.engineering.threads.identify.identify import (
    explain_fit,
    foretell_wrong_guess,
    suggest_measurement,
)
from service.quantities.wording import Measure, word

MM = 1e-3
INCH = 0.0254
MALE, FEMALE = Measurement("male", 10 * MM), Measurement("female", 9 * MM)


def thread(
    name: str,
    *,
    diameter: float = 10.0,
    pitch: float = 1.0,
    angle: float = 55.0,
    taper: float = 0.0,
) -> Thread:
    return custom_thread(
        name, diameter=diameter * MM, pitch=pitch * MM, included_angle=radians(angle), taper=taper
    )


def kind_of(said: Said) -> str:
    """Words without figures and without the names Alpha and Beta."""
    return re.sub(r"(under )?[\d.,/]+|Alpha|Beta", "#", word(said))


def figures_of(said: Said, measure: Measure = Measure.METRIC) -> list[float]:
    return [float(figure) for figure in re.findall(r"\d+(?:\.\d+)?", word(said, measure))]


def advise(measurement: Measurement = MALE, alpha: Thread | None = None, **rival: float) -> Said:
    return suggest_measurement(measurement, alpha or thread("Alpha"), rival=thread("Beta", **rival))


def foretell(measurement: Measurement = MALE, **rival: float) -> Said:
    return foretell_wrong_guess(measurement, thread("Alpha"), rival=thread("Beta", **rival))


SAME = kind_of(advise())
TAPER = kind_of(advise(taper=0.1))
COUNT = kind_of(advise(pitch=2.0))
ANGLE = kind_of(advise(angle=75))
SIZE = kind_of(advise(diameter=9.0))


def test_kinds_of_advice_differ() -> None:
    assert len({SAME, TAPER, COUNT, ANGLE, SIZE}) == 5


@pytest.mark.parametrize(
    ("rival", "kind"),
    [
        # one size: nearer than 0.02 mm
        ({"diameter": 10.0199}, SAME),
        ({"diameter": 10.0201}, SIZE),
        ({"diameter": 9.9801}, SAME),
        ({"diameter": 9.9799}, SIZE),
        # one angle: nearer than 0.01 rad
        ({"angle": 55 + degrees(0.0099)}, SAME),
        ({"angle": 55 + degrees(0.0101)}, ANGLE),
        ({"angle": 55 - degrees(0.0101)}, ANGLE),
        # one pitch: nearer than 2 parts in 1000; no count tells so little, so the size is measured
        ({"pitch": 1.0019}, SAME),
        ({"pitch": 1.0021}, SIZE),
        ({"pitch": 0.9979}, SIZE),
        ({"taper": 1e-6}, TAPER),
        # taper before count before angle before size
        ({"taper": 0.05, "pitch": 2.0, "angle": 75}, TAPER),
        ({"pitch": 2.0, "angle": 75, "diameter": 9.0}, COUNT),
        ({"angle": 75, "diameter": 9.0}, ANGLE),
    ],
)
def test_advice_names_the_first_measure_that_differs(rival: dict[str, float], kind: str) -> None:
    assert kind_of(advise(**rival)) == kind


def per_inch(name: str, threads_per_inch: float) -> Thread:
    return thread(name, pitch=25.4 / threads_per_inch)


@pytest.mark.parametrize(
    ("rival_per_inch", "length", "counts"),
    [
        # 40 against it: the shortest of 1/4, 1/2, 3/4, 1, 1 1/2, 2 in with 0.9 between the counts
        (36.39, [1, 4], [10, 9]),
        (36.41, [1, 2], [20, 18]),
        (38.19, [1, 2], [20, 19]),
        (38.21, [3, 4], [30, 29]),
        (38.79, [3, 4], [30, 29]),
        (38.81, [1], [40, 39]),
        (39.09, [1], [40, 39]),
        (39.11, [1, 1, 2], [60, 59]),
        (39.39, [1, 1, 2], [60, 59]),
        (39.41, [2], [80, 79]),
        (39.54, [2], [80, 79]),
        (43.61, [1, 4], [10, 11]),
    ],
)
def test_count_is_taken_over_the_shortest_length_that_tells(
    rival_per_inch: float, length: list[int], counts: list[int]
) -> None:
    words = suggest_measurement(MALE, per_inch("Alpha", 40), rival=per_inch("Beta", rival_per_inch))

    assert figures_of(words, Measure.IMPERIAL) == [*length, *counts]


def test_threads_that_no_count_tells_are_measured() -> None:
    words = suggest_measurement(MALE, per_inch("Alpha", 40), rival=per_inch("Beta", 39.56))

    assert kind_of(words) == SIZE


def test_two_readings_ten_millimetres_apart_are_foretold_by_the_taper() -> None:
    assert figures_of(advise(taper=0.05))[-2:] == [0.50, 0.0]
    turned = suggest_measurement(MALE, thread("Alpha", taper=0.05), rival=thread("Beta", taper=0.1))
    assert figures_of(turned)[-2:] == [1.00, 0.50]


def test_angles_and_sizes_are_given_in_figures() -> None:
    assert {55.0, 60.0} <= set(figures_of(advise(angle=60)))
    words = advise(diameter=9.0)
    for each in (thread("Alpha"), thread("Beta", diameter=9.0)):
        for end in limits_of(each).male_major:
            assert round(end / MM, 2) in figures_of(words)
    words = advise(FEMALE, diameter=9.0)
    for end in limits_of(thread("Alpha")).female_core:
        assert round(end / MM, 2) in figures_of(words)


SAFE = kind_of(foretell_wrong_guess(MALE, thread("Alpha"), rival=None))
WEDGES = kind_of(foretell(taper=0.1))
NO_START = kind_of(foretell(diameter=12.0))
LOOSE = kind_of(foretell(diameter=8.0))
BINDS = kind_of(foretell(pitch=1.1, diameter=10.064))
NEARLY = kind_of(foretell(pitch=1.003))
LINE = kind_of(foretell(angle=60))
GOES = kind_of(foretell(diameter=10.03))


def test_kinds_of_wrong_guess_differ() -> None:
    assert len({SAFE, WEDGES, NO_START, LOOSE, BINDS, NEARLY, LINE, GOES}) == 8
    assert kind_of(foretell()) == SAFE
    assert kind_of(foretell(diameter=10.0199)) == SAFE


DEPTH = 0.640327
"""Depth of a 55 degree thread of 1 mm pitch [mm]."""


@pytest.mark.parametrize(
    ("excess", "kind"),
    [
        # the male may be larger by a quarter of the female's depth, smaller by half of it
        (0.25 * DEPTH - 1e-4, GOES),
        (0.25 * DEPTH + 1e-4, NO_START),
        (-0.50 * DEPTH + 1e-4, GOES),
        (-0.50 * DEPTH - 1e-4, LOOSE),
    ],
)
def test_male_rival_is_too_large_or_loose_in_a_hole_made_for_the_other(
    excess: float, kind: str
) -> None:
    assert kind_of(foretell(diameter=10 + excess)) == kind


def test_female_rival_turns_the_sizes_about() -> None:
    """Measured on a female, the rival is the hole: a smaller one will not take the screw."""
    assert kind_of(foretell(FEMALE, diameter=10.4)) != kind_of(foretell(MALE, diameter=10.4))
    too_small = kind_of(foretell(FEMALE, diameter=10 - 0.25 * DEPTH - 1e-3))
    assert too_small == kind_of(foretell(FEMALE, diameter=8.0))
    assert too_small != kind_of(foretell(FEMALE, diameter=10 - 0.25 * DEPTH + 1e-3))
    loose = kind_of(foretell(FEMALE, diameter=10 + 0.5 * DEPTH + 1e-3))
    assert loose == kind_of(foretell(FEMALE, diameter=12.0))
    assert loose != kind_of(foretell(FEMALE, diameter=10 + 0.5 * DEPTH - 1e-3))


@pytest.mark.parametrize(("pitch", "angle"), [(1.05, 55.0), (0.9, 55.0), (1.05, 60.0)])
def test_turns_before_binding(pitch: float, angle: float) -> None:
    """N = C tan a / dP, C from middle to middle of the limits, a the smaller half angle; never
    under half a turn."""
    hole, screw = thread("Alpha"), thread("Beta", pitch=pitch, angle=angle)
    middle = sum(limits_of(hole).female_effective) / 2 - sum(limits_of(screw).male_effective) / 2
    turns = middle / MM * tan(radians(27.5)) / abs(pitch - 1)

    words = foretell(pitch=pitch, angle=angle)
    assert kind_of(words) == BINDS
    assert figures_of(words)[-1] == pytest.approx(max(turns, 0.5), abs=0.051)


def test_no_clearance_binds_at_half_a_turn() -> None:
    assert figures_of(foretell(pitch=1.1, diameter=10.2))[-1] == 0.5


@pytest.mark.parametrize(("turns", "kind"), [(8.02, NEARLY), (7.98, BINDS)])
def test_eight_turns_are_nearly_one_pitch(turns: float, kind: str) -> None:
    """The difference of pitch that takes the clearance up in so many turns, by halving."""
    hole, low, high = thread("Alpha"), 1.0, 1.1
    for _ in range(60):
        pitch = (low + high) / 2
        screw = thread("Beta", pitch=pitch)
        room = sum(limits_of(hole).female_effective) - sum(limits_of(screw).male_effective)
        if room / 2 / MM * tan(radians(27.5)) / (pitch - 1) > turns:
            low = pitch
        else:
            high = pitch

    assert kind_of(foretell(pitch=low)) == kind


@pytest.mark.parametrize(("pitch", "kind"), [(1.0019, LINE), (1.0021, NEARLY)])
def test_pitch_is_looked_at_before_the_angle(pitch: float, kind: str) -> None:
    assert kind_of(foretell(pitch=pitch, angle=60)) == kind


@pytest.mark.parametrize(
    ("excess", "kind"), [(0.0099, GOES), (0.0101, LINE), (-0.0099, GOES), (-0.0101, LINE)]
)
def test_angle_touches_along_a_line_from_a_hundredth(excess: float, kind: str) -> None:
    assert kind_of(foretell(angle=55 + degrees(excess), diameter=10.03)) == kind


def test_fit_is_explained_in_the_figures_of_the_thread() -> None:
    alpha = thread("Alpha", pitch=1.25)
    counted = explain_fit(Measurement("male", 9.9 * MM, count=8, over=10 * MM), alpha)
    gauged = explain_fit(Measurement("male", 9.9 * MM, pitch=1.3 * MM), alpha)

    for end in limits_of(alpha).male_major:
        assert round(end / MM, 2) in figures_of(counted)
    assert {9.9, 8.0} <= set(figures_of(counted))
    assert {1.25, 1.3} <= set(figures_of(gauged))
    assert figures_of(explain_fit(Measurement("male", 9.9 * MM), alpha))[-1] == 9.9
