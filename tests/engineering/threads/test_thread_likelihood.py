"""How each measurement weighs: ratios between two threads, reckoned by the normal curve."""

from math import exp, hypot, log, radians, sqrt
from statistics import NormalDist

import pytest

from service.engineering.threads.catalogue import Thread, limits_of, load_series
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.identify import (
    Measurement,
    identify_thread,
    judge_candidates,
    write_workings,
)
from service.engineering.threads.identify.identify import Candidate
from service.engineering.threads.identify.likelihood import female_range, male_range
from service.quantities.wording import word

MM = 1e-3
INCH = 0.0254
FINE = 1e-7
"""A caliper so good that it tells in and out of a range."""
bell = NormalDist()


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


def odds(first: Thread, second: Thread, **measured: float) -> float:
    """How much likelier the first is than the second."""
    readings = {"gender": "male", "diameter": 9.9 * MM, "caliper_error": 0.05 * MM} | measured
    named = identify_thread(Measurement(**readings), catalogue=(first, second))
    by_name = {each.thread.designation: each.likelihood for each in named}
    assert sum(by_name.values()) == pytest.approx(1)
    return by_name[first.designation] / by_name[second.designation]


def evidence(
    first: Thread, second: Thread, *, diameter: float = 9.9 * MM, **measured: float
) -> float:
    """How much one more measurement shifts the odds that the diameter alone gives."""
    before = odds(first, second, diameter=diameter)
    return odds(first, second, diameter=diameter, **measured) / before


@pytest.mark.parametrize("errors", [1.0, 2.0])
def test_pitch_gauge_errs_by_twelve_parts_in_a_thousand(errors: float) -> None:
    """exp(-z^2/2), z in standard errors of 1.2 % of the pitch found."""
    near, far = own_thread("near"), own_thread("far", pitch=1 + errors * 0.012)

    assert evidence(near, far, pitch=1 * MM) == pytest.approx(exp(errors**2 / 2), rel=1e-6)
    far = own_thread("far", pitch=1.05)
    shift = evidence(near, far, pitch=1 * MM, pitch_error=0.025 * MM)
    assert shift == pytest.approx(exp(2), rel=1e-6)


def test_flank_gauge_errs_by_a_degree_and_a_half() -> None:
    near, far = own_thread("near"), own_thread("far", form="58")

    assert evidence(near, far, included_angle=radians(55)) == pytest.approx(exp(2), rel=1e-6)


@pytest.mark.parametrize("apart", [5.0, 10.0])
def test_taper_errs_by_crests_and_both_readings(apart: float) -> None:
    """0.004 of itself, and the caliper twice over the distance; added as squares."""
    straight, taper = own_thread("straight"), own_thread("taper", taper=0.01)
    error = hypot(0.004, sqrt(2) * 0.05 / apart)
    measured = {"second_diameter": 9.9 * MM, "apart": apart * MM}

    shift = evidence(straight, taper, **measured)
    assert shift == pytest.approx(exp((0.01 / error) ** 2 / 2), rel=1e-6)
    fallen = {"second_diameter": (9.9 - 0.01 * apart) * MM, "apart": apart * MM}
    risen = {"second_diameter": (9.9 + 0.01 * apart) * MM, "apart": apart * MM}
    assert evidence(straight, taper, **fallen) == pytest.approx(1 / shift, rel=1e-6)
    assert evidence(straight, taper, **risen) == pytest.approx(1 / shift, rel=1e-6)


@pytest.mark.parametrize("excess", [0.4, 0.5, 0.7])
def test_count_is_right_to_half_a_thread(excess: float) -> None:
    """Edges softened by 0.15 of a thread of lining up and 0.1 mm of length."""
    near, far = own_thread("near"), own_thread("far", pitch=20 / (20 + excess))

    def fit(by: float, pitch: float) -> float:
        error = hypot(0.15, 0.1 / pitch)
        return bell.cdf((by + 0.5) / error) - bell.cdf((by - 0.5) / error)

    shift = evidence(near, far, count=20, over=20 * MM)
    assert shift == pytest.approx(fit(0, 1.0) / fit(excess, 20 / (20 + excess)), rel=1e-6)


def test_worn_male_weighs_three_twentieths() -> None:
    """A male in its range against one 0.03 mm under it: 0.85 of males are sound, 0.15 worn by up
    to 0.05 mm, each spread evenly over its range."""
    sound, worn = own_thread("sound"), own_thread("worn", pitch=1.5)
    least, most = limits_of(worn).male_major
    reading = least - 0.03 * MM
    worn_density = 0.15 / (most - least + 0.05 * MM)
    low, high = limits_of(sound).male_major
    shift = reading - (low + high) / 2
    sound = own_thread("sound", diameter=(10 * MM + shift) / MM)
    low, high = limits_of(sound).male_major
    assert low < reading < high
    sound_density = 0.85 / (high - low) + 0.15 / (high - low + 0.05 * MM)

    found = odds(sound, worn, diameter=reading, caliper_error=FINE)
    assert found == pytest.approx(sound_density / worn_density, rel=1e-3)


def test_wear_reaches_so_far_and_no_farther() -> None:
    thread = own_thread("worn")
    least, _ = limits_of(thread).male_major

    def names(depth: float, **more: float) -> bool:
        reading = Measurement("male", least - depth, caliper_error=FINE, **more)
        return bool(identify_thread(reading, catalogue=(thread,)))

    assert names(0.0499 * MM)
    assert not names(0.0511 * MM)
    assert names(0.099 * MM, wear=0.1 * MM)
    assert not names(0.101 * MM, wear=0.1 * MM)
    assert not names(0.002 * MM, wear=0.0)


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

    def density(thread: Thread) -> float:
        low, high = limits_of(thread).male_major
        total = 0.0
        for share, start in ((0.85, low), (0.15, low - 0.05 * MM)):
            chance = bell.cdf((reading - start) / error) - bell.cdf((reading - high) / error)
            total += share * chance / (high - start)
        return total

    found = odds(middle, edge, diameter=reading, caliper_error=error)
    assert found == pytest.approx(density(middle) / density(edge), rel=1e-6)


def test_usual_caliper_errs_by_three_hundredths_and_the_usual_wear_is_five() -> None:
    plain = Measurement("male", 9.9 * MM)
    said = Measurement("male", 9.9 * MM, caliper_error=0.03 * MM, wear=0.05 * MM)
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
    """Two threads alike in all but family; as tapers both have one system of limits."""
    first, second = own_thread("one", family=family, taper=0.0625), own_thread("two", taper=0.0625)

    assert odds(first, second, diameter=10 * MM) == pytest.approx(commonness)


@pytest.mark.parametrize(("errors", "is_named"), [(4.98, True), (4.99, False)])
def test_thread_five_errors_out_is_not_named(errors: float, is_named: bool) -> None:
    """exp(-z^2/2) under 4e-6 is z over 4.986."""
    thread = own_thread("near")
    middle = sum(limits_of(thread).male_major) / 2
    reading = Measurement(
        "male", middle, caliper_error=FINE, pitch=(1 + errors * 0.01) * MM, pitch_error=0.01 * MM
    )

    assert bool(identify_thread(reading, catalogue=(thread,))) is is_named


@pytest.mark.parametrize(("likelihood", "is_named"), [(0.00201, True), (0.00199, False)])
def test_candidate_of_two_in_a_thousand_is_the_last_named(
    likelihood: float, is_named: bool
) -> None:
    near, far = own_thread("near"), own_thread("far", form="59")
    before = odds(near, far)
    wanted = (1 - likelihood) / likelihood / before
    # the angle read off the first thread's by x degrees: ((4 + x)^2 - x^2) / 2 e^2 = ln(wanted)
    beyond = (log(wanted) * 2 * 1.5**2 - 16) / 8
    reading = Measurement(
        "male", 9.9 * MM, caliper_error=0.05 * MM, included_angle=radians(55 - beyond)
    )

    named = identify_thread(reading, catalogue=(near, far))
    assert [each.thread for each in named] == ([near, far] if is_named else [near])
    assert named[0].likelihood == pytest.approx(1 - likelihood, abs=1e-9)


def test_eight_candidates_are_the_most() -> None:
    alike = tuple(own_thread(f"alike {number}") for number in range(10))
    named = identify_thread(Measurement("male", 9.9 * MM), catalogue=alike)

    assert [each.thread for each in named] == list(alike[:8])
    assert named[0].likelihood == pytest.approx(0.1)


def candidate(likelihood: float) -> Candidate:
    return Candidate(own_thread("one"), likelihood, "", "", "")


@pytest.mark.parametrize(
    ("candidates", "level", "code"),
    [
        ((), "caution", "no-thread-near"),
        ((candidate(0.8999),), "caution", "tell-apart"),
        ((candidate(0.9001), candidate(0.0999)), "ok", "clear"),
    ],
)
def test_nine_chances_in_ten_are_clear(
    candidates: tuple[Candidate, ...], level: str, code: str
) -> None:
    (finding,) = judge_candidates(candidates)

    assert (finding.level, finding.code) == (level, code)
    if candidates:
        assert finding.value == candidates[0].likelihood
        assert finding.limit == pytest.approx(0.9)
        assert [line.value for line in write_workings(candidates)] == [
            each.likelihood for each in candidates
        ]


def test_rival_is_the_best_of_the_others() -> None:
    threads = tuple(own_thread(f"x{size}", diameter=size) for size in (10.0, 10.02, 10.04))
    named = identify_thread(Measurement("male", 9.90 * MM), catalogue=threads)
    names = [each.thread.designation for each in named]

    assert names[1] in word(named[0].tell_apart)
    for other in named[1:]:
        assert names[0] in word(other.tell_apart)
    for other in named[2:]:
        assert names[1] not in word(other.tell_apart)


def test_male_of_a_taper_runs_from_its_small_end_to_three_turns_past_the_gauge() -> None:
    """1/8 at one in sixteen: 4.0 mm of gauge length, turns of 0.907 mm; a turn either way."""
    thread = find_thread("1/8 BSPT")
    turn = INCH / 28 / 16
    least, most = male_range(thread)

    assert least == pytest.approx(9.728 * MM - turn - 0.25 * MM, abs=1e-7)
    assert most == pytest.approx(9.728 * MM + turn + 3 * turn, abs=1e-7)
    parallel = find_thread("1/8 BSP")
    assert male_range(parallel) == limits_of(parallel).male_major


def test_bore_of_a_female_runs_to_55_per_cent_of_its_depth() -> None:
    thread = find_thread("1/4 BSW")
    least, most, widest = female_range(thread)

    assert (least, most) == limits_of(thread).female_core
    assert widest == pytest.approx((6.35 - 0.55 * 1.280655 * 1.27) * MM, rel=1e-6)
    taper = find_thread("1/8 BSPT")
    turn = 1.25 * INCH / 28 / 16
    core = (9.728 - 1.280655 * 25.4 / 28) * MM
    least, most, _ = female_range(taper)
    assert (least, most) == pytest.approx((core - turn - 0.25 * MM, core + turn), abs=1e-7)


def test_bore_is_never_wider_by_drilling_than_by_its_limits() -> None:
    """So fine a pitch has limits wider than coarse drilling leaves."""
    thread = own_thread("fine", pitch=0.1)
    _, most, widest = female_range(thread)

    assert most > (10 - 0.55 * 1.280655 * 0.1) * MM
    assert widest == most
