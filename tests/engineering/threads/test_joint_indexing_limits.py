"""Indexing at its limits: how many shims, how thick, how near, and what is refused."""

from dataclasses import replace
from math import pi, radians

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.joint import Indexing, index_fitting

MM, MICROMETRE, TURN = 1e-3, 1e-6, 2 * pi
MILLIMETRE_PITCH = replace(find_thread("M6"), pitch=MM)
"""A pitch of 1 mm, so that a thousandth of a turn is a thousandth of a millimetre."""


def index(back: float, **changes) -> Indexing:
    """A fitting that must come back so many turns."""
    plain = {"found": back * TURN, "wanted": 0.0, "shims": [0.1 * MM], "tolerance": 0.0}
    return index_fitting(MILLIMETRE_PITCH, **(plain | changes))


def codes(answer: Indexing) -> set[str]:
    return {finding.code for finding in answer.findings}


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(("share", "level"), [(1 - 1e-6, "ok"), (1 + 1e-6, "caution")])
def test_error_is_let_pass_up_to_the_tolerance_either_way(sign, share, level) -> None:
    answer = index(sign * share * 5 / 360, shims=[], tolerance=radians(5))

    assert answer.stack == ()
    assert answer.findings[0].level == level
    assert answer.error == pytest.approx(sign * share * radians(5), rel=1e-6)
    assert answer.findings[0].limit == pytest.approx(radians(5))


@pytest.mark.parametrize(("share", "count"), [(1 - 1e-6, 0), (1 + 1e-6, 1)])
def test_shim_is_put_in_only_beyond_the_tolerance(share: float, count: int) -> None:
    """A tolerance of a twentieth of a turn, and a shim of a tenth: as near from the other side."""
    answer = index(share * 0.06, tolerance=0.06 * TURN)

    assert len(answer.stack) == count


@pytest.mark.parametrize(("share", "count"), [(1 - 1e-6, 1), (1 + 1e-6, 2)])
def test_stack_is_within_tolerance_by_its_thickness(share: float, count: int) -> None:
    """A shim of 0.2 mm misses 0.23 mm by 0.03; two of 0.115 hit it."""
    answer = index(0.23, shims=[0.2 * MM, 0.115 * MM], tolerance=0.03 / share * TURN)

    assert len(answer.stack) == count
    assert answer.findings[0].code == "indexing-within-tolerance"


def test_stack_that_misses_by_the_tolerance_itself_is_within_it() -> None:
    """Arithmetic makes the miss a hair more than the tolerance, or a hair less."""
    answers = [
        index(
            0.2 + miss / 1000,
            shims=[0.2 * MM, 0.1 * MM + miss * MM / 2000],
            tolerance=TURN * miss / 1000,
        )
        for miss in range(11, 40)
    ]

    assert {answer.stack for answer in answers} == {(0.2 * MM,)}


@pytest.mark.parametrize(("hundredths", "count", "level"), [(60, 6, "ok"), (70, 6, "caution")])
def test_six_shims_are_stacked_and_no_seventh(hundredths, count, level) -> None:
    answer = index(hundredths / 100)

    assert len(answer.stack) == count
    judged = {f.code: f.level for f in answer.findings}
    reached = "within" if level == "ok" else "out-of"
    assert judged[f"indexing-{reached}-tolerance"] == level


@pytest.mark.parametrize(("count", "is_told"), [(3, False), (4, True)])
def test_more_than_three_shims_are_many(count: int, is_told: bool) -> None:
    answer = index(count / 10)

    assert len(answer.stack) == count
    assert ("indexing-many-shims" in codes(answer)) is is_told


@pytest.mark.parametrize(("gain", "count"), [(0.9, 1), (1.1, 2)])
def test_another_shim_must_bring_it_nearer_by_a_thousandth_of_a_millimetre(gain, count) -> None:
    """0.3 mm wanted: one shim misses by 10 thousandths, two by `gain` less."""
    shims = [0.29 * MM, (0.3 * MM + (10 - gain) * MICROMETRE) / 2]

    answer = index(0.3, shims=shims)

    assert len(answer.stack) == count


@pytest.mark.parametrize(("cut", "is_told"), [(0.9, False), (1.1, True)])
def test_facing_cut_under_a_thousandth_of_a_millimetre_is_none(cut: float, is_told: bool) -> None:
    answer = index(1 - cut * MICROMETRE / MM, tolerance=0.01)

    assert answer.facing_cut == pytest.approx(cut * MICROMETRE, rel=1e-6)
    assert ("indexing-facing-cut" in codes(answer)) is is_told


@pytest.mark.parametrize(("short", "serves"), [(0.9, True), (1.1, False)])
def test_single_shim_may_be_thin_by_a_thousandth_of_a_millimetre(short, serves) -> None:
    answer = index(0.3, shims=[0.3 * MM - short * MICROMETRE])

    assert (answer.shim_with_cut is not None) is serves
    if answer.shim_with_cut:
        assert answer.shim_with_cut[1] == 0.0


def test_thinnest_shim_that_is_thick_enough_is_the_one_that_is_faced() -> None:
    answer = index(0.3, shims=[0.5 * MM, 0.35 * MM, 0.2 * MM])

    assert answer.shim_with_cut == pytest.approx((0.35 * MM, 0.05 * MM))


@pytest.mark.parametrize(("angle", "thickness"), [(0.9e-9, 0.0), (1.1e-9, 0.02 * MM)])
def test_angle_that_is_arithmetic_wants_no_shim_at_all(angle: float, thickness: float) -> None:
    """Beyond it the crush of the stack is added."""
    answer = index(angle / TURN, crush=0.02 * MM)

    assert answer.thickness == pytest.approx(thickness, abs=1e-12)


def test_hair_short_of_a_whole_turn_is_none() -> None:
    near, far = (index(-angle / TURN) for angle in (0.5e-9, 1.0e-6))

    assert near.thickness == 0.0
    assert far.thickness == pytest.approx(MM, rel=1e-6)


def test_crush_gives_back_what_the_stack_took() -> None:
    answer = index(0.3, shims=[0.35 * MM], crush=0.05 * MM)

    assert answer.thickness == pytest.approx(0.35 * MM)
    assert answer.turns_lost == pytest.approx(0.3)
    assert answer.error == pytest.approx(0, abs=1e-9)
    assert "indexing-crush" in codes(answer)
    assert "indexing-crush" not in codes(index(0.3, shims=[0.3 * MM]))
    assert "indexing-crush" not in codes(index(0.0, crush=0.05 * MM))


def test_stack_thinner_than_its_crush_loses_no_thread() -> None:
    answer = index(0.3, shims=[0.01 * MM], crush=0.9 * MM)

    assert answer.turns_lost == 0.0


def test_error_is_told_within_half_a_turn_either_way() -> None:
    """Three quarters of a turn on is a quarter back."""
    assert index(0.25, shims=[]).error == pytest.approx(TURN / 4)
    assert index(0.75, shims=[]).error == pytest.approx(-TURN / 4)


@pytest.mark.parametrize(
    ("taken", "refused", "field"),
    [
        ({"shims": [5 * MM]}, {"shims": [5 * MM + 1e-9]}, "shims"),
        ({"shims": [1e-9]}, {"shims": [0.0]}, "shims"),
        (
            {"shims": [0.02 * MM * step for step in range(1, 25)]},
            {"shims": [0.02 * MM * step for step in range(1, 26)]},
            "shims",
        ),
        ({"tolerance": pi}, {"tolerance": pi + 1e-9}, "tolerance"),
        ({"tolerance": 0.0}, {"tolerance": -1e-9}, "tolerance"),
        ({"crush": MM - 1e-9}, {"crush": MM}, "crush"),
        ({"crush": 0.0}, {"crush": -1e-9}, "crush"),
        ({"flats": 2}, {"flats": 1}, "flats"),
        ({"flats": 12}, {"flats": 13}, "flats"),
    ],
)
def test_request_is_taken_at_its_limit_and_refused_beyond(taken, refused, field) -> None:
    # Wide enough that a bin of many kinds is not searched through.
    assert index(0.3, **({"tolerance": 0.5} | taken)).thickness > 0
    with pytest.raises(OutOfRange) as refusal:
        index(0.3, **({"tolerance": 0.5} | refused))
    assert refusal.value.field == field


def test_same_thickness_many_times_is_one_kind() -> None:
    assert index(0.3, shims=[0.1 * MM] * 100).stack == pytest.approx((0.1 * MM,) * 3)


def test_workings_hold_the_angle_the_shim_and_the_cut() -> None:
    told = {working.symbol: working.value for working in index(0.3).workings}

    assert told["theta"] == pytest.approx(0.3 * TURN)
    assert told["t"] == pytest.approx(0.3 * MM)
    assert told["c"] == pytest.approx(0.7 * MM)
    assert told["P"] == MM
