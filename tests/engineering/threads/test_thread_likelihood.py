"""How each measurement weighs: ratios between two threads, reckoned by the normal curve.

Every reading is right but for a share of misreadings, and a misreading says as little as one off a
thread of no table: `mixed` below, by whose rule every figure here is reckoned.
"""

from math import exp, hypot, log, pi, radians, sqrt
from statistics import NormalDist

import pytest

from service.engineering.threads.catalogue import Thread, limits_of, load_series
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.identify import (
    Candidate,
    Measurement,
    identify_thread,
    judge_candidates,
    write_workings,
)
from service.engineering.threads.identify.spread import female_range, male_range
from service.quantities.wording import word

MM = 1e-3
INCH = 0.0254
FINE = 1e-7
"""A caliper so good that it tells in and out of a range."""
bell = NormalDist()
ANYWHERE = 1 / log(200)
"""Share of the pitches of no table that lie within a small part of themselves, per that part: they
are spread evenly by proportion from 0.05 to 10 mm."""


def mixed(right: float, of_none: float, misread: float = 0.02) -> float:
    return (1 - misread) * right + misread * of_none


def density(excess: float, error: float) -> float:
    return exp(-((excess / error) ** 2) / 2) / (error * sqrt(2 * pi))


def own_thread(
    name: str,
    *,
    family: str = "own",
    form: str = "55",
    diameter: float = 10.0,
    pitch: float = 1.0,
    taper: float = 0.0,
) -> Thread:
    """A thread of the workshop's own table; millimetres, degrees."""
    (thread,) = load_series(
        "designation,family,form,diameter,unit,pitch,taper,source\n"
        f"{name},{family},{form},{diameter},mm,{pitch},{taper},ours\n"
    )
    return thread


def weigh(*threads: Thread, **measured: float) -> dict[str, float]:
    """The likelihoods by name; those of all threads and of none are one together."""
    readings = {"gender": "male", "diameter": 9.9 * MM, "caliper_error": 0.05 * MM} | measured
    named = identify_thread(Measurement(**readings), catalogue=threads)
    by_name = {name: each.likelihood for each in named for name in each.names or ("none",)}
    assert len(by_name) < len(threads) + 1 or sum(by_name.values()) == pytest.approx(1)
    return by_name


def odds(first: Thread, second: Thread, **measured: float) -> float:
    """How much likelier the first is than the second."""
    by_name = weigh(first, second, **measured)
    return by_name[first.designation] / by_name[second.designation]


def evidence(
    first: Thread, second: Thread, *, diameter: float = 9.9 * MM, **measured: float
) -> float:
    """How much one more measurement shifts the odds that the diameter alone gives."""
    before = odds(first, second, diameter=diameter)
    return odds(first, second, diameter=diameter, **measured) / before


@pytest.mark.parametrize("errors", [1.0, 2.0])
def test_measured_pitch_errs_by_twelve_parts_in_a_thousand(errors: float) -> None:
    near, far = own_thread("near"), own_thread("far", pitch=1 + errors * 0.012)
    right, beside = (density(out * 0.012, 0.012) for out in (0, errors))
    shift = evidence(near, far, pitch=1 * MM)

    assert shift == pytest.approx(mixed(right, ANYWHERE) / mixed(beside, ANYWHERE), rel=1e-6)
    far = own_thread("far", pitch=1.05)
    right, beside = (density(out, 0.025) for out in (0, 0.05))
    shift = evidence(near, far, pitch=1 * MM, pitch_error=0.025 * MM)
    assert shift == pytest.approx(mixed(right, ANYWHERE) / mixed(beside, ANYWHERE), rel=1e-6)


def angles_of_none(found: float) -> float:
    """Density [1/rad]: 0.1 of 47.5, 0.4 of 55 and of 60 degrees, the rest from 20 to 108."""
    usual = ((47.5, 0.1), (55, 0.4), (60, 0.4))
    error = radians(1.5)
    known = sum(share * density(radians(found - angle), error) for angle, share in usual)
    return known + 0.1 / radians(88)


@pytest.mark.parametrize(("readings", "misread"), [(1, 0.03), (2, 0.0009), (3, 0.000027)])
def test_flank_gauge_errs_by_a_degree_and_a_half_and_is_misread_three_times_in_a_hundred(
    readings: int, misread: float
) -> None:
    near, far = own_thread("near"), own_thread("far", form="58")
    right, beside = (density(radians(out), radians(1.5)) for out in (0, 3))
    none = angles_of_none(55)
    expected = mixed(right, none, misread) / mixed(beside, none, misread)

    shift = evidence(near, far, included_angle=radians(55), angle_readings=readings)
    assert shift == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("apart", [5.0, 10.0])
def test_taper_errs_by_crests_and_both_readings(apart: float) -> None:
    """0.004 of itself, and the caliper twice over the distance; added as squares. Of no table four
    in five are parallel, the others as often under one in sixteen as over it."""
    straight, taper = own_thread("straight"), own_thread("taper", taper=0.01)
    error = hypot(0.004, sqrt(2) * 0.05 / apart)

    def expected(found: float) -> float:
        none = 0.8 * density(found, error) + 0.2 * (1 / 16) / (1 / 16 + found) ** 2
        straight, taper = (density(found - own, error) for own in (0, 0.01))
        return mixed(straight, none, 0.002) / mixed(taper, none, 0.002)

    def shift(second: float) -> float:
        more = {"second_diameter": second * MM, "apart": apart * MM}
        return evidence(straight, taper, **more)

    assert shift(9.9) == pytest.approx(expected(0.0), rel=1e-6)
    assert shift(9.9 - 0.01 * apart) == pytest.approx(expected(0.01), rel=1e-6)
    assert shift(9.9 + 0.01 * apart) == pytest.approx(expected(0.01), rel=1e-6)


@pytest.mark.parametrize("excess", [0.4, 0.5, 0.7])
def test_count_is_right_to_half_a_thread(excess: float) -> None:
    """Edges softened by 0.15 of a thread of lining up and 0.1 mm of length."""
    near, far = own_thread("near"), own_thread("far", pitch=20 / (20 + excess))

    def chance(by: float, pitch: float) -> float:
        error = hypot(0.15, 0.1 / pitch)
        right = bell.cdf((by + 0.5) / error) - bell.cdf((by - 0.5) / error)
        return mixed(right, log(20.5 / 19.5) * ANYWHERE)

    shift = evidence(near, far, count=20, over=20 * MM)
    assert shift == pytest.approx(chance(0, 1.0) / chance(excess, 20 / (20 + excess)), rel=1e-6)


METRIC = (
    0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5,
    4, 4.5, 5, 5.5, 6,
)  # fmt: skip
"""The leaves of the table."""


@pytest.mark.parametrize("length", [4.0, 12.0, 30.0])
def test_leaf_with_the_least_light_is_called(length: float) -> None:
    """Light gathers over the thread, or the 12 mm of a leaf, at 0.05 mm an error; where the best
    shows 0.15 mm it is called by half of the seven tenths who look for a fit, and by the rest."""

    def chance(leaf: float, pitch: float) -> float:
        light = [abs(each - pitch) / pitch * min(length, 12.0) / 0.05 for each in METRIC]
        shown = [exp(-(each**2 - min(light) ** 2) / 2) for each in light]
        fits, too_much = exp(-(min(light) ** 2) / 2), exp(-(3**2) / 2)
        called = 0.3 + 0.7 * fits / (fits + too_much)
        return mixed(shown[METRIC.index(leaf)] / sum(shown) * called, 1 / len(METRIC))

    for pitch in (1.005, 1.02, 1.11):
        near, far = own_thread("near"), own_thread("far", pitch=pitch)
        measured = {"gauge": "metric", "length": length * MM}
        shift = evidence(near, far, pitch=1 * MM, **measured)
        assert shift == pytest.approx(chance(1, 1) / chance(1, pitch), rel=1e-6)


def test_of_no_table_is_one_in_ten_and_every_size_of_it_alike() -> None:
    """Against the one thread there is, whose sound males lie evenly in their limits and three in
    ten of whose reach 0.15 mm under them."""
    thread = own_thread("one")
    least, most = limits_of(thread).male_major
    size = (least + most) / 2
    of_none = 1 / (size * log(1000))  # by proportion, from 0.2 to 200 mm
    known = 0.7 / (most - least) + 0.3 / (most - least + 0.15 * MM)
    expected = 0.1 * of_none / (0.9 * mixed(known, of_none, 0.001))

    found = weigh(thread, diameter=size, caliper_error=FINE)
    assert found["none"] / found["one"] == pytest.approx(expected, rel=1e-6)


def test_worn_male_weighs_three_tenths() -> None:
    """A male in its range against one 0.03 mm under it: 0.7 of males are sound, 0.3 worn by up
    to 0.15 mm, each spread evenly over its range."""
    sound, worn = own_thread("sound"), own_thread("worn", pitch=1.5)
    least, most = limits_of(worn).male_major
    reading = least - 0.03 * MM
    worn_density = 0.3 / (most - least + 0.15 * MM)
    low, high = limits_of(sound).male_major
    shift = reading - (low + high) / 2
    sound = own_thread("sound", diameter=(10 * MM + shift) / MM)
    low, high = limits_of(sound).male_major
    assert low < reading < high
    sound_density = 0.7 / (high - low) + 0.3 / (high - low + 0.15 * MM)

    found = odds(sound, worn, diameter=reading, caliper_error=FINE)
    assert found == pytest.approx(sound_density / worn_density, rel=1e-3)


def test_wear_reaches_so_far_and_no_farther() -> None:
    thread = own_thread("worn")
    least, _ = limits_of(thread).male_major

    def is_likely(depth: float, **more: float) -> bool:
        found = weigh(thread, diameter=least - depth, caliper_error=FINE, **more)
        return found.get("worn", 0) > found["none"]

    assert is_likely(0.1499 * MM)
    assert not is_likely(0.1511 * MM)
    assert is_likely(0.199 * MM, wear=0.2 * MM)
    assert not is_likely(0.201 * MM, wear=0.2 * MM)
    assert not is_likely(0.002 * MM, wear=0.0)


def test_coarsely_drilled_female_weighs_two_fifths() -> None:
    """A bore over the limits, down to 55 % of depth, against one within them: 0.6 to 0.4."""
    wide = own_thread("wide")
    least, most = limits_of(wide).female_core
    widest = (10 - 0.55 * 1.280655) * MM
    reading = (most + widest) / 2
    wide_density = 0.4 / (widest - least)
    sound = own_thread("sound", pitch=0.8)
    low, high = limits_of(sound).female_core
    sound = own_thread("sound", pitch=0.8, diameter=10 + (reading - (low + high) / 2) / MM)
    low, high = limits_of(sound).female_core
    high_end = sound.major_diameter - 0.55 * 1.280655 * 0.8 * MM
    sound_density = 0.6 / (high - low) + 0.4 / (high_end - low)

    found = odds(sound, wide, gender="female", diameter=reading, caliper_error=FINE)
    assert found == pytest.approx(sound_density / wide_density, rel=1e-3)


def test_caliper_softens_the_edges_of_a_range() -> None:
    """A male measured a standard error over its largest: half-and-half integrals of the bell."""
    edge, middle = own_thread("edge"), own_thread("middle", diameter=10.05)
    most = limits_of(edge).male_major[1]
    reading, error = most + 0.03 * MM, 0.03 * MM

    def chance(thread: Thread) -> float:
        low, high = limits_of(thread).male_major
        total = 0.0
        for share, start in ((0.7, low), (0.3, low - 0.15 * MM)):
            reached = bell.cdf((reading - start) / error) - bell.cdf((reading - high) / error)
            total += share * reached / (high - start)
        return mixed(total, 1 / (reading * log(1000)), 0.001)

    found = odds(middle, edge, diameter=reading, caliper_error=error)
    assert found == pytest.approx(chance(middle) / chance(edge), rel=1e-6)


def test_usual_caliper_errs_by_three_hundredths_and_the_usual_wear_is_fifteen() -> None:
    plain = Measurement("male", 9.9 * MM)
    said = Measurement("male", 9.9 * MM, caliper_error=0.03 * MM, wear=0.15 * MM)
    pair = (own_thread("one"), own_thread("other", diameter=9.8))

    likelihoods = [
        [each.likelihood for each in identify_thread(reading, catalogue=pair)]
        for reading in (plain, said)
    ]
    assert likelihoods[0] == pytest.approx(likelihoods[1], rel=1e-9)


@pytest.mark.parametrize(
    ("family", "commonness"),
    [
        # judgement, from memory: how much likelier in a box of steam fittings
        ("ME", 1.3),
        ("brass", 1.1),
        ("BA", 1.2),
        ("BSW", 1.0),
        ("BSF", 1.0),
        ("BSPT", 1.0),
        ("BSP", 1.1),
        ("UNC", 1.0),
        ("UNF", 1.0),
        ("UNEF", 0.9),
        ("UNS", 0.8),
        ("metric", 1.1),
        ("metric fine", 1.0),
        ("NPT", 1.0),
        ("of nobody", 1.0),
    ],
)
def test_commonness_breaks_a_tie(family: str, commonness: float) -> None:
    """Two threads alike in what was measured; as tapers both have one system of limits."""
    first = own_thread("one", family=family, taper=0.0625)
    second = own_thread("two", taper=0.0625, form="56")

    assert odds(first, second, diameter=10 * MM) == pytest.approx(commonness)


def test_a_second_name_makes_a_thread_no_commoner() -> None:
    """The commonest of its names counts: ME at 1.3."""
    alike = [own_thread(f"a {key}", family=key, taper=0.0625) for key in ("BSW", "ME", "BSF")]
    other = own_thread("b", taper=0.0625, form="56")
    named = identify_thread(Measurement("male", 10 * MM), catalogue=(*alike, other))

    assert named[0].names == ("a BSW", "a ME", "a BSF")
    assert named[0].likelihood / named[1].likelihood == pytest.approx(1.3)


@pytest.mark.parametrize(("likelihood", "is_named"), [(0.00502, True), (0.00498, False)])
def test_candidate_of_five_in_a_thousand_is_the_last_named(
    likelihood: float, is_named: bool
) -> None:
    """By a pitch so sharp that the misreadings alone keep the far one in play."""
    near = own_thread("near")

    def weigh_far(pitch: float) -> float:
        far = own_thread("far", pitch=pitch)
        return weigh(near, far, pitch=1 * MM, pitch_error=0.02 * MM).get("far", 0.0)

    low, high = 1.0, 1.1  # the pitch of the far one that is so likely, by halving
    for _ in range(50):
        middle = (low + high) / 2
        far = own_thread("far", pitch=middle)
        right, beside = (density(out, 0.02) for out in (0, middle - 1))
        shift = mixed(right, ANYWHERE) / mixed(beside, ANYWHERE)
        before = odds(near, far)
        low, high = (middle, high) if 1 / (1 + before * shift) > likelihood else (low, middle)
    assert bool(weigh_far(low)) is is_named


def test_eight_candidates_and_none_of_these_are_the_most() -> None:
    alike = tuple(own_thread(f"alike {number}", form=f"{50 + number}") for number in range(10))
    named = identify_thread(Measurement("male", 9.9 * MM), catalogue=alike)

    assert [each.thread for each in named[:-1]] == list(alike[:8])
    assert named[-1].threads == ()
    assert named[0].likelihood == pytest.approx((1 - named[-1].likelihood) / 10)


def clear_reading(threads: tuple[Thread, ...], **measured: object) -> tuple[str, Candidate]:
    """The code of the first finding, and the first candidate."""
    readings = {"gender": "male", "diameter": 9.9 * MM, "pitch": 1 * MM} | measured
    measurement = Measurement(**readings)
    named = identify_thread(measurement, catalogue=threads)
    finding = judge_candidates(named, measurement, catalogue=threads)[0]
    assert finding.value == named[0].likelihood
    assert finding.limit == pytest.approx(0.99)
    assert finding.level == ("ok" if finding.code == "clear" else "caution")
    return finding.code, named[0]


def test_ninety_nine_chances_in_a_hundred_are_clear() -> None:
    """Two readings of the angle make the twin unlikely enough; one does not."""
    twins = (own_thread("one"), own_thread("two", form="60"))
    measured = {"gauge": "metric", "included_angle": radians(55)}
    once, first = clear_reading(twins, **measured)
    twice, second = clear_reading(twins, **measured, angle_readings=2)

    assert (once, twice) == ("tell-apart", "clear")
    assert 0.9 < first.likelihood < 0.99 < second.likelihood


def test_what_is_taken_for_granted_stands_in_the_workings() -> None:
    named = identify_thread(Measurement("male", 9.9 * MM), catalogue=(own_thread("one"),))
    lines = write_workings(named)

    taken = {line.symbol: line.value for line in lines if line.source == "from memory"}
    assert taken['p("threads of no table")'] == pytest.approx(0.1)
    assert [line.value for line in lines[len(taken) :]] == [each.likelihood for each in named]


def test_rival_is_the_best_of_the_others() -> None:
    threads = tuple(own_thread(f"x{size}", diameter=size) for size in (10.0, 10.03, 10.06))
    named = identify_thread(Measurement("male", 9.90 * MM), catalogue=threads)
    names = [each.names[0] for each in named if each.threads]

    assert names[1] in word(named[0].tell_apart.text)
    for other in named[1:3]:
        assert names[0] in word(other.tell_apart.text)
    assert names[1] not in word(named[2].tell_apart.text)


def test_male_of_a_taper_runs_from_its_small_end_to_three_turns_past_the_gauge() -> None:
    """1/8 at one in sixteen: 4.0 mm of gauge length, turns of 0.907 mm; a turn either way."""
    thread = find_thread("1/8 BSPT")
    turn = INCH / 28 / 16
    least, most = male_range((thread,))

    assert least == pytest.approx(9.728 * MM - turn - 0.25 * MM, abs=1e-7)
    assert most == pytest.approx(9.728 * MM + turn + 3 * turn, abs=1e-7)
    parallel = find_thread("1/8 BSP")
    assert male_range((parallel,)) == limits_of(parallel).male_major


def test_bore_of_a_female_runs_to_55_per_cent_of_its_depth() -> None:
    thread = find_thread("1/4 BSW")
    least, most, widest = female_range((thread,))

    assert (least, most) == limits_of(thread).female_core
    assert widest == pytest.approx((6.35 - 0.55 * 1.280655 * 1.27) * MM, rel=1e-6)
    taper = find_thread("1/8 BSPT")
    turn = 1.25 * INCH / 28 / 16
    core = (9.728 - 1.280655 * 25.4 / 28) * MM
    least, most, _ = female_range((taper,))
    assert (least, most) == pytest.approx((core - turn - 0.25 * MM, core + turn), abs=1e-7)


def test_bore_is_never_wider_by_drilling_than_by_its_limits() -> None:
    """So fine a pitch has limits wider than coarse drilling leaves."""
    thread = own_thread("fine", pitch=0.1)
    _, most, widest = female_range((thread,))

    assert most > (10 - 0.55 * 1.280655 * 0.1) * MM
    assert widest == most
