"""Which advice is given to tell two threads apart, and which wrong guess is foretold.

What is foretold is words alone, so its kind is known by comparing it, figures and names left out,
with that of a pair which lies far from every edge.
"""

import re
from dataclasses import replace
from math import degrees, radians, tan
from typing import get_args

import pytest

from service.engineering.kit import ThreadTools
from service.engineering.saying import Said
from service.engineering.threads.catalogue import Thread, custom_thread, limits_of
from service.engineering.threads.identify import Advice, Measurement, identify_thread
from service.engineering.threads.identify.advice import AdviceKind, advise, advise_on_none
from service.engineering.threads.identify.marks import mark_readings
from service.engineering.threads.identify.mating import foretell_wrong_guess
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


def tell(
    measurement: Measurement = MALE, *, tools: tuple[ThreadTools, ...] = (), **rival: float
) -> Advice:
    return advise(measurement, thread("Alpha"), rival=thread("Beta", **rival), tools=tools)


def foretell(measurement: Measurement = MALE, **rival: float) -> Said:
    is_male = measurement.gender == "male"
    return foretell_wrong_guess(thread("Alpha"), rival=thread("Beta", **rival), is_male=is_male)


@pytest.mark.parametrize(
    ("rival", "kind"),
    [
        # one size: nearer than 0.02 mm; then nothing is to be told
        ({"diameter": 10.0199}, "nothing"),
        ({"diameter": 9.9801}, "nothing"),
        # one angle: nearer than 0.01 rad
        ({"angle": 55 + degrees(0.0099)}, "nothing"),
        ({"angle": 55 + degrees(0.0101)}, "angle"),
        ({"angle": 55 - degrees(0.0101)}, "angle"),
        # a count differs by a whole thread over the 9.53 mm of 3/8 in that a 10 mm thread has room
        # for: 10 threads of 0.953 mm against 9.5 do not, of 0.9 mm 10.6 do
        ({"pitch": 0.9}, "count"),
        # a leaf shows more than 0.15 mm over 10 mm on a pitch 1.5 parts in 100 off
        ({"pitch": 0.9851}, "leaf"),
        ({"pitch": 0.9853}, "try"),
        ({"taper": 0.05}, "taper"),
        # angle before count before taper before size
        ({"taper": 0.05, "pitch": 2.0, "angle": 75}, "angle"),
        ({"taper": 0.05, "pitch": 2.0, "diameter": 9.0}, "count"),
        ({"taper": 0.05, "diameter": 9.0}, "taper"),
        ({"diameter": 9.0}, "diameter"),
    ],
)
def test_advice_is_the_first_that_tells(rival: dict[str, float], kind: str) -> None:
    assert tell(**rival).kind == kind


def test_where_nothing_tells_it_is_said_what_a_wrong_guess_means() -> None:
    words = word(tell(diameter=10.05).text)

    assert words.startswith("Nothing at the bench tells it from Beta. If it is that, a hole for")
    assert word(foretell(diameter=10.05)).partition("Alpha")[2] in words


def tell_alone(measurement: Measurement, group: str = "Alpha", **sizes: float) -> Advice:
    """Where the nearest rival is a thread of no table."""
    own = thread(group, **sizes)
    return advise(measurement, own, rival=None, marks=mark_readings(measurement, (own,)))


FULL = replace(MALE, diameter=9.9 * MM, gauge="metric", pitch=MM, included_angle=radians(55))


@pytest.mark.parametrize(
    ("measurement", "kind", "said"),
    [
        (replace(MALE, diameter=9.9 * MM), "measure", "Measure its pitch too."),
        (replace(FULL, included_angle=None), "measure", "Measure its flank angle too."),
        (FULL, "try", "a known Alpha nut on it before it is relied on"),
        (replace(FULL, gender="female", diameter=8.75 * MM), "try", "a known Alpha screw in it"),
        (replace(FULL, diameter=9.6 * MM), "measure", "where it is least worn: Alpha shows"),
        (replace(FULL, included_angle=radians(60)), "measure", "Take its angle again: Alpha shows"),
        # the worst of the readings comes first
        (replace(FULL, diameter=9.7 * MM, included_angle=radians(60)), "measure", "its angle"),
        # of a leaf that does not fit, a count over what there is room for: 1/2 in of 1 mm
        (replace(FULL, pitch=0.9 * MM, length=13 * MM), "count", "over 12.7 mm: 12.7 for Alpha."),
        (replace(FULL, pitch=0.9 * MM, length=3 * MM), "measure", "Take its leaf again"),
    ],
)
def test_of_a_thread_without_a_rival_what_lacks_or_is_in_doubt_is_taken(
    measurement: Measurement, kind: str, said: str
) -> None:
    advice = tell_alone(measurement)

    assert advice.kind == kind
    assert said in word(advice.text)


def test_of_a_taper_its_taper_is_asked_for_and_no_trial_by_hand() -> None:
    assert "its taper, by two diameters, too" in word(tell_alone(FULL, taper=0.05).text)
    seen = replace(FULL, diameter=10 * MM, second_diameter=9.75 * MM, apart=5 * MM)
    assert tell_alone(seen, taper=0.05).kind == "nothing"


def test_of_no_table_what_lacks_is_taken_then_what_speaks_against_the_nearest() -> None:
    alpha, odd = thread("Alpha"), replace(FULL, included_angle=radians(60))

    assert word(advise_on_none(MALE, None).text).startswith("Measure its pitch too")
    assert "its angle again" in word(
        advise_on_none(odd, alpha, marks=mark_readings(odd, (alpha,))).text
    )
    assert "Measure it all again" in word(advise_on_none(FULL, None).text)


def test_every_kind_of_advice_is_given_somewhere() -> None:
    tools = (ThreadTools(thread("Alpha"), tap=True, die=False),)
    given = {
        tell(**rival, tools=own).kind
        for rival, own in [
            ({"pitch": 2.0}, tools), ({"angle": 60}, ()), ({"pitch": 0.9}, ()),
            ({"pitch": 1.02}, ()), ({"taper": 0.05}, ()), ({"diameter": 9.0}, ()), ({}, ()),
        ]
    }  # fmt: skip

    assert given | {advise(MALE, thread("Alpha"), rival=None).kind} == set(get_args(AdviceKind))


@pytest.mark.parametrize(
    ("rival", "readings", "kind"),
    [
        # what was tried already comes after what was not
        ({"angle": 60, "pitch": 2.0}, {"included_angle": radians(55)}, "count"),
        ({"angle": 60}, {"included_angle": radians(55)}, "angle"),
        ({"taper": 0.05, "pitch": 2.0}, {"count": 10.0, "over": 10 * MM}, "leaf"),
        ({"pitch": 0.9}, {"count": 10.0, "over": 9.6 * MM}, "leaf"),
    ],
)
def test_fresh_readings_come_before_repeated_ones(
    rival: dict[str, float], readings: dict[str, float], kind: str
) -> None:
    advice = tell(replace(MALE, **readings), **rival)

    assert advice.kind == kind
    assert advice.again is (kind == "angle")


def per_inch(name: str, threads_per_inch: float) -> Thread:
    return thread(name, pitch=25.4 / threads_per_inch)


@pytest.mark.parametrize(
    ("length", "rival_per_inch", "over", "counts"),
    [
        # 40 against it: the shortest of 1/8, 3/16, 1/4, 3/8, 1/2, 3/4, 1, 1 1/2 and 2 in with 1.8
        # between the counts, else the longest that there is room for, if 0.9 lie between them
        (60.0, 32.1, 1 / 4, ["10", "8"]),
        (60.0, 35.19, 3 / 8, ["15", "13.2"]),
        (60.0, 35.21, 1 / 2, ["20", "17.6"]),
        (60.0, 39.09, 2.0, ["80", "78.2"]),
        (60.0, 39.54, 2.0, ["80", "79"]),
        (30.0, 38.5, 1.0, ["40", "38.5"]),
        (12.7, 36.41, 1 / 2, ["20", "18.2"]),
        (12.7, 38.19, 1 / 2, ["20", "19"]),
        (12.6, 36.41, 3 / 8, ["15", "13.7"]),
        (6.4, 32.1, 1 / 4, ["10", "8"]),
        (6.3, 30.0, 3 / 16, ["7.5", "5.6"]),
    ],
)
def test_count_is_over_a_length_that_the_thread_has(
    length: float, rival_per_inch: float, over: float, counts: list[str]
) -> None:
    measurement = replace(MALE, length=length * MM)
    advice = advise(measurement, per_inch("Alpha", 40), rival=per_inch("Beta", rival_per_inch))

    assert advice.kind == "count"
    assert advice.over == pytest.approx(over * INCH)
    assert [word(advice.shows), word(advice.rival_shows)] == counts
    assert advice.over <= length * MM + 1e-9


@pytest.mark.parametrize(
    ("length", "rival_per_inch"), [(60.0, 39.56), (12.6, 38.19), (6.3, 35.3), (3.1, 20.0)]
)
def test_no_count_is_advised_that_does_not_tell_or_has_no_room(
    length: float, rival_per_inch: float
) -> None:
    measurement = replace(MALE, length=length * MM)
    advice = advise(measurement, per_inch("Alpha", 40), rival=per_inch("Beta", rival_per_inch))

    assert advice.kind != "count"


def test_counts_that_round_to_one_number_do_not_tell() -> None:
    """10.45 and 9.55 threads in half an inch are both counted as 10; 10.55 is 11."""
    beta = thread("Beta", pitch=12.7 / 9.55)
    half_inch = replace(MALE, length=12.71 * MM)

    assert advise(half_inch, thread("Alpha", pitch=12.7 / 10.45), rival=beta).kind != "count"
    assert advise(half_inch, thread("Alpha", pitch=12.7 / 10.55), rival=beta).kind == "count"


def test_leaf_is_advised_that_fits_the_one_and_shows_light_on_the_other() -> None:
    """40 tpi against 0.65 mm over 6 mm: 2.4 % of it is 0.14 mm, over 12 mm 0.28; no count tells."""
    alpha, beta = per_inch("Alpha", 40), thread("Beta", pitch=0.65)
    short, long = (replace(MALE, length=length * MM) for length in (3.0, 12.0))
    advice = advise(long, alpha, rival=beta)
    turned = advise(long, beta, rival=alpha)

    assert (advice.kind, word(advice.leaf)) == ("leaf", "40 leaf of an inch gauge")
    assert [word(advice.shows), word(advice.rival_shows)] == ["fits", "shows light"]
    assert [word(turned.shows), word(turned.rival_shows)] == ["shows light", "fits"]
    assert advise(short, alpha, rival=beta).kind != "leaf"


@pytest.mark.parametrize(("length", "apart"), [(60.0, 10.0), (10.0, 10.0), (6.0, 6.0)])
def test_two_readings_are_foretold_by_the_taper(length: float, apart: float) -> None:
    advice = tell(replace(MALE, length=length * MM), taper=0.05)

    assert advice.apart == pytest.approx(apart * MM)
    assert figures_of(advice.shows) == [0]
    assert figures_of(advice.rival_shows) == pytest.approx([0.05 * apart])


def test_taper_that_the_caliper_cannot_see_is_not_advised() -> None:
    """Two standard errors: hypot(0.004 x 10, 0.03 sqrt 2) = 0.0583 mm on 10 mm."""
    assert tell(taper=2 * 0.00584).kind == "taper"
    assert tell(taper=2 * 0.00582).kind != "taper"
    assert tell(replace(MALE, length=2.9 * MM), taper=0.25).kind != "taper"


def test_diameter_is_advised_where_no_worn_part_of_one_measures_as_the_other() -> None:
    """Wear of 0.15 mm and two errors of 0.03 mm of either: the ranges 0.12 mm apart at least."""
    alpha = thread("Alpha")
    least, _ = limits_of(alpha).male_major
    for gap, kind in ((0.1205, "diameter"), (0.1195, "try")):
        beta = thread("Beta", diameter=(least - 0.15 * MM - gap * MM) / MM)
        measurement = replace(MALE, length=1 * MM)  # too short for anything else
        assert advise(measurement, alpha, rival=beta).kind == kind
    advice = tell(diameter=9.0)
    assert figures_of(advice.rival_shows)[-1] == 9.0
    assert "least worn crests" in word(advice.text)
    assert advice.again
    assert "the bore" in word(tell(FEMALE, diameter=12.0).text)


def test_diameter_of_a_female_runs_to_its_coarsest_drilling() -> None:
    """55 % of 1.280655 mm: a hole of 10 mm runs to 9.296 mm, and 10.65 mm starts at 9.37."""
    short = replace(FEMALE, length=1 * MM)

    assert tell(short, diameter=10.65).kind == "try"
    assert tell(short, diameter=10.72).kind == "diameter"


def test_angles_are_given_in_figures() -> None:
    advice = tell(angle=60)

    assert (figures_of(advice.shows), figures_of(advice.rival_shows)) == ([55.0], [60.0])
    assert {55.0, 60.0} <= set(figures_of(advice.text))


def owning(name: str, *, tap: bool = False, die: bool = False, **sizes: float) -> ThreadTools:
    return ThreadTools(thread(name, **sizes), tap=tap, die=die)


@pytest.mark.parametrize(
    ("measurement", "tools", "tool"),
    [
        (MALE, (owning("Alpha", tap=True),), "a nut cut with your Alpha tap"),
        (MALE, (owning("Alpha", die=True),), "your Alpha die, opened out,"),
        (MALE, (owning("Beta", tap=True, pitch=2.0, angle=60),), "a nut cut with your Beta tap"),
        (FEMALE, (owning("Alpha", tap=True),), "your Alpha tap"),
        (
            FEMALE,
            (owning("Beta", die=True, pitch=2.0, angle=60),),
            "a screw cut with your Beta die",
        ),
    ],
)
def test_a_tool_of_the_workshops_own_comes_first(
    measurement: Measurement, tools: tuple[ThreadTools, ...], tool: str
) -> None:
    advice = tell(measurement, tools=tools, pitch=2.0, angle=60)

    assert (advice.kind, word(advice.tool)) == ("try", tool)
    own, other = (word(each) for each in (advice.shows, advice.rival_shows))
    assert ("goes on all the way" in own) is ("Alpha" in tool)
    assert ("goes on all the way" in other) is ("Beta" in tool)


@pytest.mark.parametrize(
    ("rival", "tools"),
    [
        # it would go on the other too, or a taper would bind in its own mate
        ({"angle": 60}, (owning("Alpha", tap=True, die=True),)),
        ({"pitch": 2.0}, (owning("Gamma", tap=True, diameter=12.0),)),
        ({"taper": 0.05, "pitch": 2.0}, (owning("Beta", tap=True, taper=0.05, pitch=2.0),)),
        ({"pitch": 2.0}, (owning("Alpha"),)),
    ],
)
def test_a_tool_that_would_not_tell_is_not_advised(
    rival: dict[str, float], tools: tuple[ThreadTools, ...]
) -> None:
    assert tell(tools=tools, **rival).kind != "try"


def test_a_trial_needs_two_turns_more_than_the_wrong_one_takes() -> None:
    """N = C tan a / dP, C from middle to middle of the limits of 10 x 1 mm and of the rival."""
    tools, rival = (owning("Alpha", tap=True),), {"pitch": 1.1, "diameter": 10.0}
    hole, screw = thread("Alpha"), thread("Beta", **rival)
    room = (sum(limits_of(hole).female_effective) - sum(limits_of(screw).male_effective)) / 2
    turns = room / MM * tan(radians(27.5)) / 0.1
    assert 0.5 < turns < 8

    for more, kind in ((2.01, True), (1.99, False)):
        short = replace(MALE, length=(turns + more) * MM)
        assert (tell(short, tools=tools, **rival).kind == "try") is kind


@pytest.mark.parametrize(
    ("pitch", "said"), [(1.0, "is loose by"), (1.0499, "is loose by"), (1.0501, "does not go on")]
)
def test_a_smaller_male_is_loose_where_the_pitches_are_nearly_one(pitch: float, said: str) -> None:
    """A twentieth of the pitch; a male of another pitch does not go on however small it is."""
    rival = {"diameter": 9.3, "pitch": pitch}

    assert said in word(tell(tools=(owning("Alpha", tap=True),), **rival).rival_shows)


def test_a_known_nut_is_the_last_resort() -> None:
    """M4 and No. 8-36 are alike in pitch; a sound No. 8 is 0.16 mm larger in its flanks."""
    measured = {"count": 18.0, "over": INCH / 2, "included_angle": radians(60)}
    first = identify_thread(Measurement("female", 3.50 * MM, **measured))[0]

    assert {"M4", "8-36 UNF"} == {first.tell_apart.thread.designation,
                                  first.tell_apart.rival.designation}  # fmt: skip
    assert first.tell_apart.kind == "try"
    assert "a known" in word(first.tell_apart.tool)


SAFE = kind_of(foretell())
WEDGES = kind_of(foretell(taper=0.1))
NO_START = kind_of(foretell(diameter=12.0))
LOOSE = kind_of(foretell(diameter=8.0))
BINDS = kind_of(foretell(pitch=1.1, diameter=10.064))
NEARLY = kind_of(foretell(pitch=1.003))
LINE = kind_of(foretell(angle=60))
GOES = kind_of(foretell(diameter=10.03))


def test_kinds_of_wrong_guess_differ() -> None:
    assert len({SAFE, WEDGES, NO_START, LOOSE, BINDS, NEARLY, LINE, GOES}) == 8
    nobody = kind_of(foretell_wrong_guess(thread("Alpha"), rival=None, is_male=True))
    assert nobody not in {SAFE, WEDGES, NO_START, LOOSE, BINDS, NEARLY, LINE, GOES}
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
