"""Whether two threads go together: the code changes at each stated limit, and only there."""

from dataclasses import replace
from math import radians, tan

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.findings import Finding
from service.engineering.threads.catalogue import Thread, custom_thread, limits_of
from service.engineering.threads.catalogue.forms import WHITWORTH
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.joint import FittingCheck, check_fitting
from service.engineering.threads.joint.fitting_check import FemaleEnd, MaleEnd
from service.engineering.threads.overlay import overlay

MM, INCH, MICROMETRE = 1e-3, 25.4e-3, 1e-6
QUARTER, UNIFIED = find_thread("1/4 x 40 ME"), find_thread("1/4-40 UNS")
PITCH = INCH / 40
DEPTH = 0.640327 * PITCH
"""Depth of a Whitworth thread at 40 threads per inch: BS 84."""
SIXTY_DEPTH = 0.541266 * PITCH
"""5H/8 of a 60 degree thread at 40 threads per inch: ISO 68-1."""
TOLERANCE = (0.002 * 0.25 ** (1 / 3) + 0.003 * 0.25**0.5 + 0.005 * 0.025**0.5) * INCH
"""Medium tolerance on effective diameter of 1/4 in x 40: BS 84, in inches."""
TAPER, PIPE = find_thread("1/8 BSPT"), find_thread("1/8 BSP")
PIPE_DEPTH = 0.640327 * INCH / 28


def check(male: Thread, female: Thread, *, length: float = 8 * MM, **sizes) -> FittingCheck:
    return check_fitting(MaleEnd(male, length=length), FemaleEnd(female, depth=length, **sizes))


def of_match(answer: FittingCheck) -> Finding:
    """The one finding on how the threads go together."""
    codes = {
        "same-thread", "too-loose", "too-large", "parallel-into-taper", "taper-differs",
        "taper-into-parallel", "pitch-near", "pitch-differs", "diameter-differs", "angle-differs",
    }  # fmt: skip
    (finding,) = [finding for finding in answer.findings if finding.code in codes]
    return finding


def larger(thread: Thread, by: float) -> Thread:
    return replace(thread, designation="another", major_diameter=thread.major_diameter + by)


def deeper(thread: Thread, by: float) -> Thread:
    """The same major diameter, the effective one smaller by so much (Whitworth form)."""
    return replace(thread, designation="another", depth=DEPTH + by)


def steeper(thread: Thread, by: float) -> Thread:
    form = replace(thread.form, included_angle=thread.form.included_angle + radians(by))
    return replace(thread, designation="another", form=form)


def coarser(thread: Thread, share: float) -> Thread:
    return replace(thread, designation="another", pitch=thread.pitch * (1 + share))


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(
    ("change", "within", "beyond", "code"),
    [
        (larger, 9.9 * MICROMETRE, 10.1 * MICROMETRE, "diameter-differs"),
        (deeper, 9.9 * MICROMETRE, 10.1 * MICROMETRE, "diameter-differs"),
        (steeper, 0.0099, 0.0101, "angle-differs"),
        (coarser, 0.99e-4, 1.01e-4, "pitch-near"),
    ],
)
def test_one_thread_by_two_names_agrees_within_the_rounding_of_tables(
    change, within, beyond, code, sign
) -> None:
    """Ten thousandths of a millimetre, one part in ten thousand, a hundredth of a degree."""
    one, two = (check(change(QUARTER, sign * by), QUARTER) for by in (within, beyond))

    assert (one.verdict, of_match(one).code) == ("goes", "same-thread")
    assert (two.verdict, of_match(two).code) == ("goes_with_care", code)


def test_taper_is_never_one_thread_with_its_parallel_fellow() -> None:
    assert of_match(check(TAPER, PIPE)).code == "taper-into-parallel"
    assert of_match(check(TAPER, TAPER)).code == "same-thread"


@pytest.mark.parametrize(
    ("share", "code", "level"), [(0.501, "angle-differs", "caution"), (0.499, "too-loose", "fail")]
)
def test_half_of_the_shallower_depth_must_overlap_in_the_middle_of_the_limits(
    share, code, level
) -> None:
    middle = sum(limits_of(UNIFIED).male_major) / 2
    finding = of_match(check(UNIFIED, QUARTER, drilled=middle - 2 * share * SIXTY_DEPTH))

    assert (finding.code, finding.level) == (code, level)
    if code == "too-loose":
        assert finding.value == pytest.approx(share, abs=1e-5)
        assert finding.limit == 0.5


@pytest.mark.parametrize("order", [1, -1])
def test_overlap_counts_the_shallower_thread_whichever_it_is(order: int) -> None:
    pair = (UNIFIED, QUARTER)[::order]
    male, female = pair
    hole = 5.8 * MM
    middle = sum(limits_of(male).male_major) / 2

    answer = check(male, female, drilled=hole)

    assert answer.middle.depth_engaged == pytest.approx((middle - hole) / 2 / SIXTY_DEPTH, rel=1e-5)


@pytest.mark.parametrize(
    ("male", "female", "depth"),
    [(QUARTER, QUARTER, DEPTH), (QUARTER, UNIFIED, SIXTY_DEPTH), (UNIFIED, QUARTER, SIXTY_DEPTH)],
)
def test_male_larger_by_the_shallower_depth_does_not_enter(male, female, depth) -> None:
    """Above a depth of thread it is refused on its diameter alone, under it by how it fouls."""
    beyond = of_match(check(larger(male, depth * 1.001), female))
    within = of_match(check(larger(male, depth * 0.999), female))

    assert (beyond.code, beyond.level) == (within.code, within.level) == ("too-large", "fail")
    assert beyond.limit == pytest.approx(depth, rel=1e-5)
    assert beyond.value == pytest.approx(depth * 1.001, rel=1e-5)
    assert within.limit == 0.0


@pytest.mark.parametrize(("by", "code"), [(0.999, "taper-differs"), (1.001, "too-large")])
def test_taper_larger_by_a_depth_does_not_enter_either(by: float, code: str) -> None:
    finding = of_match(check(TAPER, larger(PIPE, -by * PIPE_DEPTH)))

    assert (finding.code, finding.level) == (code, "fail")


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(
    ("by", "code", "level"),
    [(0.999, "taper-into-parallel", "caution"), (1.001, "taper-differs", "fail")],
)
def test_taper_goes_into_a_parallel_thread_within_a_quarter_of_its_depth(
    sign, by, code, level
) -> None:
    finding = of_match(check(TAPER, larger(PIPE, sign * by * PIPE_DEPTH / 4)))

    assert (finding.code, finding.level) == (code, level)


@pytest.mark.parametrize(
    ("change", "within", "beyond"), [(coarser, 0.99e-4, 1.01e-4), (steeper, 0.0099, 0.0101)]
)
def test_taper_goes_only_into_a_parallel_thread_of_its_pitch_and_angle(
    change, within, beyond
) -> None:
    assert of_match(check(TAPER, change(PIPE, within))).code == "taper-into-parallel"
    assert of_match(check(TAPER, change(PIPE, beyond))).code == "taper-differs"


def test_parallel_male_leaks_in_a_taper_female() -> None:
    finding = of_match(check(PIPE, TAPER))

    assert (finding.code, finding.level) == ("parallel-into-taper", "fail")


def test_loose_taper_is_loose_before_it_is_anything_else() -> None:
    assert of_match(check(TAPER, larger(PIPE, 1.5 * PIPE_DEPTH))).code == "too-loose"


def pair_that_binds_after(turns: float, *, coarse_male: bool) -> tuple[Thread, Thread]:
    """Threads of 55 degrees that bind after so many turns in the middle of their limits.

    N = C tan(a) / |dP|, thread metrology, gives the difference of pitch to begin with; the figure
    that the check itself goes by is then brought to the turns asked for.
    """
    female = custom_thread("female", diameter=10 * MM, pitch=MM, included_angle=radians(55))
    limits = limits_of(female)
    clearance = (sum(limits.female_effective) - sum(limits.male_effective)) / 2
    low, high = (clearance * tan(radians(27.5)) / (turns * times) for times in (1.5, 0.6))
    for _ in range(40):
        drift = (low + high) / 2 * (1 if coarse_male else -1)
        male = custom_thread(
            "male",
            diameter=10 * MM + WHITWORTH.effective_offset * drift,
            pitch=MM + drift,
            included_angle=radians(55),
        )
        laid = overlay(male, female, engaged_length=20 * MM, fit="middle")
        later = laid.turns_before_binding is None or laid.turns_before_binding > turns
        low, high = (abs(drift), high) if later else (low, abs(drift))
    expected = clearance * tan(radians(27.5)) / abs(drift)
    assert turns == pytest.approx(expected, rel=0.03)
    return male, female


@pytest.mark.parametrize("coarse_male", [True, False])
@pytest.mark.parametrize(
    ("turns", "code", "level", "verdicts"),
    [
        (5.01, "pitch-near", "caution", {"goes_with_care"}),
        (4.99, "pitch-differs", "fail", {"make_good", "does_not_go"}),
    ],
)
def test_five_turns_are_wanted_before_unlike_pitches_bind(
    coarse_male, turns, code, level, verdicts
) -> None:
    answer = check(*pair_that_binds_after(turns, coarse_male=coarse_male), length=20 * MM)

    finding = of_match(answer)
    assert (finding.code, finding.level) == (code, level)
    assert answer.verdict in verdicts
    assert finding.value == pytest.approx(turns, abs=1e-3)
    assert finding.limit == 5.0


@pytest.mark.parametrize("coarse_male", [True, False])
def test_pair_fouls_only_past_the_turns_at_which_it_binds(coarse_male: bool) -> None:
    """The two figures of one overlay agree: free a third of a turn before, foul a third after."""
    male, female = pair_that_binds_after(3, coarse_male=coarse_male)

    before, after = (
        overlay(male, female, engaged_length=turns * male.pitch, fit="middle")
        for turns in (3 - 1 / 3, 3 + 1 / 3)
    )

    assert (before.diametral_interference, before.turns_before_binding) == (0.0, None)
    assert before.play > 0
    assert after.diametral_interference > 0
    assert after.turns_before_binding == pytest.approx(3, abs=1e-3)


def test_pitches_that_do_not_bind_within_reach_still_want_care() -> None:
    male, female = pair_that_binds_after(8, coarse_male=True)

    short, long = (of_match(check(male, female, length=length * MM)) for length in (7, 10))

    assert (short.code, short.level, short.limit) == ("pitch-near", "caution", None)
    assert (long.code, long.level, long.limit) == ("pitch-near", "caution", 5.0)


@pytest.mark.parametrize(
    ("off", "code", "level"), [(-1.5, "diameter-differs", "caution"), (1.5, "too-large", "fail")]
)
def test_male_enters_while_the_middles_of_the_limits_leave_room(off, code, level) -> None:
    """Half the medium tolerance of each member, BS 84: their flanks meet there."""
    finding = of_match(check(larger(QUARTER, TOLERANCE + off * MICROMETRE), QUARTER))

    assert (finding.code, finding.level) == (code, level)


@pytest.mark.parametrize(("off", "is_told"), [(-1, True), (0, False), (1, False)])
def test_hole_under_the_males_root_binds_on_it(off: int, is_told: bool) -> None:
    root = sum(limits_of(QUARTER).male_root) / 2

    answer = check(QUARTER, UNIFIED, drilled=root + off * MICROMETRE)

    told = [finding for finding in answer.findings if finding.code == "root-binds"]
    assert bool(told) is is_told
    assert all(finding.level == "caution" for finding in told)
    assert all(finding.limit == pytest.approx(root) for finding in told)


def test_root_is_not_looked_at_where_the_threads_do_not_go_at_all() -> None:
    codes = {each.code for each in check(PIPE, TAPER, drilled=7 * MM).findings}

    assert "root-binds" not in codes


def test_engagement_is_told_of_threads_that_go_together_and_of_no_others() -> None:
    def told(male: Thread, female: Thread) -> set[str]:
        return {finding.code for finding in check(male, female, length=2.5 * MM).findings}

    assert "engagement-turns" in told(QUARTER, QUARTER)
    assert "engagement-turns" in told(UNIFIED, QUARTER)
    assert "engagement-turns" not in told(find_thread("3/8 x 32 ME"), QUARTER)


def test_remedies_are_sought_for_care_between_threads_but_not_for_care_about_metal() -> None:
    thin = check_fitting(MaleEnd(QUARTER, 8 * MM, bore=4.1 * MM), FemaleEnd(QUARTER, 8 * MM))

    assert (thin.verdict, thin.remedies) == ("goes_with_care", ())
    assert check(UNIFIED, QUARTER).remedies
    assert check(QUARTER, QUARTER, length=2.5 * MM).remedies


def test_one_sound_remedy_among_refused_ones_makes_it_good() -> None:
    answer = check(find_thread("3/8 x 32 ME"), QUARTER, boss=9 * MM)

    refused = {remedy.refused for remedy in answer.remedies}
    assert (answer.verdict, refused) == ("make_good", {True, False})


def test_working_of_the_middle_is_below_nothing_where_there_is_play() -> None:
    def middle(male: Thread) -> float:
        workings = check(male, QUARTER).workings
        return next(each.value for each in workings if each.symbol == 'i_"middle of limits"')

    assert middle(QUARTER) == pytest.approx(-TOLERANCE, rel=0.01)
    assert middle(larger(QUARTER, 3 * TOLERANCE)) == pytest.approx(2 * TOLERANCE, rel=0.02)


@pytest.mark.parametrize(
    ("fit", "share"), [("basic", 0), ("tightest", 0), ("middle", 1), ("loosest", 2)]
)
def test_play_is_what_the_limits_of_both_members_leave(fit, share) -> None:
    """Two medium tolerances between the flanks at the loosest, BS 84; along the axis C tan(a)."""
    laid = overlay(QUARTER, QUARTER, engaged_length=5 * MM, fit=fit)

    assert laid.play == pytest.approx(share * TOLERANCE, rel=0.01, abs=1e-8)
    assert laid.end_play == pytest.approx(
        share * TOLERANCE * tan(radians(27.5)), rel=0.02, abs=2e-7
    )
    assert laid.diametral_interference == pytest.approx(0, abs=1e-8)


def test_room_is_used_up_by_the_smaller_flank_angle() -> None:
    """dE = dP cot(a), thread metrology: the steeper flank takes more."""
    fine = replace(UNIFIED, pitch=0.6 * MM)

    for pair in ((fine, QUARTER), (QUARTER, fine)):
        laid = overlay(*pair, engaged_length=5 * MM)
        assert laid.growth_per_turn == pytest.approx((0.635 - 0.6) * MM / tan(radians(27.5)))


@pytest.mark.parametrize(
    ("turns", "ratio"), [(2.5, 1.0), (4.99, 1.0), (5.01, 5 / 5.01), (10, 0.5), (20, 0.25)]
)
def test_flanks_bed_over_a_drift_of_five_thousandths_of_a_millimetre(turns, ratio) -> None:
    fine = replace(QUARTER, pitch=PITCH - MICROMETRE)

    laid = overlay(QUARTER, fine, engaged_length=turns * PITCH)

    assert laid.contact_ratio == pytest.approx(ratio, rel=3e-3)


def test_unlike_angles_bear_on_the_share_of_the_flank_that_beds() -> None:
    """The straight flank of BS 84 lies within 0.24625 P of its middle (rounding 0.137329 P)."""
    common = 2 * 0.24625 * PITCH
    apart = (tan(radians(30)) - tan(radians(27.5))) * common

    laid = overlay(UNIFIED, QUARTER, engaged_length=5 * MM)

    assert laid.contact_ratio == pytest.approx(5 * MICROMETRE / apart, rel=5e-3)


def test_flanks_that_meet_over_part_of_their_height_bear_on_less_of_it() -> None:
    """0.4 P smaller on diameter: 0.366 P of 0.4925 P is common, and beds over that much less."""
    full = 2 * 0.24625 * PITCH
    apart = (tan(radians(30)) - tan(radians(27.5))) * full

    laid = overlay(larger(UNIFIED, -0.4 * PITCH), QUARTER, engaged_length=5 * MM)

    # The share that is common and the gap over it cancel out.
    assert laid.contact_ratio == pytest.approx(5 * MICROMETRE / apart, rel=5e-3)


def test_hundred_pitches_of_the_finer_thread_are_laid_together_and_no_more() -> None:
    """The check itself stops there: a long tube is not refused."""
    fine, coarse = QUARTER, find_thread("1/4 x 32 ME")

    assert overlay(fine, coarse, engaged_length=100 * PITCH).turns == pytest.approx(100)
    for pair in ((fine, coarse), (coarse, fine)):
        with pytest.raises(OutOfRange):
            overlay(*pair, engaged_length=100.001 * PITCH)
        laid = check(*pair, length=0.2).overlay
        assert laid.turns * laid.male.pitch == pytest.approx(100 * PITCH)


@pytest.mark.parametrize("over", [-10, 0, 10, 60])
def test_hole_over_the_core_takes_of_the_overlap_and_one_under_it_adds_nothing(over) -> None:
    core = 6.35 * MM - 2 * DEPTH

    laid = overlay(QUARTER, QUARTER, engaged_length=5 * MM, drilled=core + over * MICROMETRE)

    taken = max(over, 0) * MICROMETRE / 2 / DEPTH
    assert laid.depth_engaged == pytest.approx(1 - taken, abs=1e-5)


def test_sixty_degree_hole_under_the_core_counts_as_the_core_and_not_as_the_root() -> None:
    """Between the male's root of 5.571 mm and the core of 5.663 mm: ISO 68-1."""
    assert overlay(
        UNIFIED, UNIFIED, engaged_length=5 * MM, drilled=5.6 * MM
    ).depth_engaged == pytest.approx(1.0)


def test_hole_is_the_same_in_every_fit_and_the_core_goes_by_its_limits() -> None:
    limits = limits_of(QUARTER)
    for fit, major, core in (("tightest", 1, 0), ("middle", 0.5, 0.5), ("loosest", 0, 1)):
        male = limits.male_major[0] + major * (limits.male_major[1] - limits.male_major[0])
        free = limits.female_core[0] + core * (limits.female_core[1] - limits.female_core[0])

        laid = overlay(QUARTER, QUARTER, engaged_length=5 * MM, fit=fit)
        drilled = overlay(QUARTER, QUARTER, engaged_length=5 * MM, fit=fit, drilled=5.6 * MM)

        assert laid.depth_engaged == pytest.approx((male - free) / 2 / DEPTH, rel=1e-5)
        assert drilled.depth_engaged == pytest.approx((male - 5.6 * MM) / 2 / DEPTH, rel=1e-5)
