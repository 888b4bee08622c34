"""Left-hand threads: sized like right-hand ones, never joined to them, indexed the other way."""

from math import pi, radians

import pytest

from service.engineering.kit import Kit, ThreadTools
from service.engineering.threads.catalogue import (
    Hand,
    Thread,
    is_same_thread,
    limits_of,
    tapping_drills,
    turn_left,
)
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd, match_threads
from service.engineering.threads.identify import Measurement, identify_thread
from service.engineering.threads.joint import check_fitting, index_fitting
from service.engineering.threads.remedies import find_remedies, plan_adapter
from service.quantities import word

RIGHT = find_thread("5/8 BSP")
LEFT = turn_left(RIGHT)


def check(male: Thread, female: Thread) -> tuple[str, list[str]]:
    found = check_fitting(MaleEnd(male, 0.012), FemaleEnd(female, 0.014), pressure=5e5)
    return found.verdict, [finding.code for finding in found.findings]


def test_it_has_the_sizes_of_the_right_hand_one_and_its_own_name() -> None:
    assert LEFT.designation == "5/8 BSP LH"
    assert LEFT.major_diameter == RIGHT.major_diameter
    assert limits_of(LEFT).male_effective == limits_of(RIGHT).male_effective
    assert [one.drill for one in tapping_drills(LEFT)] == [
        one.drill for one in tapping_drills(RIGHT)
    ]
    assert turn_left(LEFT) is LEFT


@pytest.mark.parametrize(("male", "female"), [(LEFT, RIGHT), (RIGHT, LEFT)])
def test_a_left_hand_thread_never_goes_with_a_right_hand_one(male: Thread, female: Thread) -> None:
    found = check_fitting(MaleEnd(male, 0.012), FemaleEnd(female, 0.014), pressure=5e5)

    assert found.verdict == "does_not_go"
    assert found.remedies == ()
    text = word(found.findings[0].text)
    assert "5/8 BSP LH is a left-hand thread and 5/8 BSP a right-hand one" in text
    assert not is_same_thread(male, female)
    assert match_threads(male, female, engaged_length=0.01).level == "fail"
    assert find_remedies(MaleEnd(male), FemaleEnd(female)) == ()


def test_two_left_hand_threads_are_judged_as_two_right_hand_ones_are() -> None:
    for one, other in (("1/4 x 40 ME", "1/4-40 UNS"), ("1/4 x 40 ME", "1/4 x 40 ME"),
                       ("M6", "1/4 x 26 brass")):  # fmt: skip
        male, female = find_thread(one), find_thread(other)
        left = check(turn_left(male), turn_left(female))
        assert left == check(male, female)


def test_every_thread_that_a_remedy_cuts_is_left_hand_too() -> None:
    """A bush with a right-hand outside comes loose when a left-hand fitting is tightened in it."""
    male, female = (turn_left(find_thread(name)) for name in ("1/4 x 40 ME", "5/16 x 32 ME"))
    remedies = find_remedies(MaleEnd(male, 0.006, 0.002), FemaleEnd(female, 0.008, 0.02))
    cut = [
        word(step.text)
        for remedy in remedies
        for step in remedy.steps
        if word(step.text).startswith(("Tap ", "Cut ", "Start a "))
    ]

    assert {"bush", "adapter"} <= {remedy.kind for remedy in remedies}
    assert cut
    assert all(" LH" in text for text in cut), [text for text in cut if " LH" not in text]


def test_a_tap_on_hand_serves_every_name_of_its_thread() -> None:
    taps = ("Rc 1/8", "1/4-40 UNS", "1/4 BSF")
    kit = Kit(taps_and_dies=tuple(ThreadTools(find_thread(name), True, True) for name in taps))

    for name in ("1/8 BSPT", "1/4 x 40 ME 60", "1/4 x 26 brass"):
        assert not kit.lacks_tap(find_thread(name))
    for name in ("1/8 BSP", "1/4 x 40 ME", "1/4 x 26 cycle", "1/4 BSW"):
        assert kit.lacks_tap(find_thread(name))


def test_dryseal_in_plain_american_taper_wants_a_sealant() -> None:
    plain, dryseal = find_thread("1/8-27 NPT"), find_thread("1/8-27 NPTF")

    assert check(plain, dryseal)[1][0] == "dryseal-mixed"
    assert check(plain, dryseal)[0] == "goes_with_care"
    assert "dryseal-mixed" not in check(dryseal, dryseal)[1]
    assert "dryseal-mixed" not in check(find_thread("1/8 BSPT"), find_thread("Rc 1/8"))[1]


def test_a_right_hand_tap_on_hand_is_none_for_a_left_hand_thread() -> None:
    kit = Kit(taps_and_dies=(ThreadTools(RIGHT, tap=True, die=True),))

    assert not kit.lacks_tap(RIGHT)
    assert kit.lacks_tap(LEFT)
    assert kit.lacks_die(LEFT)


@pytest.mark.parametrize(("found", "wanted"), [(20, 110), (300, 30), (90, 0), (0, 180)])
def test_it_is_indexed_as_the_mirror_of_a_right_hand_one(found: float, wanted: float) -> None:
    """A left-hand thread tightens anticlockwise: the same joint seen in a mirror."""
    shims = (5e-5, 1e-4, 2e-4, 5e-4)
    left = index_fitting(LEFT, found=radians(found), wanted=radians(wanted), shims=shims,
                         tolerance=radians(5))  # fmt: skip
    right = index_fitting(RIGHT, found=radians(-found), wanted=radians(-wanted), shims=shims,
                          tolerance=radians(5))  # fmt: skip

    assert left.stack == right.stack
    assert left.thickness == pytest.approx(right.thickness)
    assert left.facing_cut == pytest.approx(right.facing_cut)
    assert left.error == pytest.approx(-right.error)
    assert (left.points_at + right.points_at) % (2 * pi) == pytest.approx(0, abs=1e-9) or (
        left.points_at + right.points_at
    ) % (2 * pi) == pytest.approx(2 * pi)


def test_shim_of_a_left_hand_thread_by_hand() -> None:
    """14 threads an inch: 90 degrees too far anticlockwise take a quarter of 1.814 mm of shim."""
    indexing = index_fitting(LEFT, found=radians(0), wanted=radians(90), shims=(),
                             tolerance=radians(5))  # fmt: skip

    assert indexing.thickness == pytest.approx(0.0254 / 14 / 4)
    assert indexing.facing_cut == pytest.approx(0.0254 / 14 * 3 / 4)
    theta = next(line for line in indexing.workings if line.symbol == "theta")
    assert theta.formula.startswith('("wanted" - "found")')


def test_an_adapter_between_the_hands_asks_whether_that_is_meant() -> None:
    def plan(one: Thread, other: Thread) -> list[str]:
        ends = (MaleEnd(one), MaleEnd(other))
        return [finding.code for finding in plan_adapter(*ends, bore=0.006).findings]

    assert "hands-differ" in plan(LEFT, RIGHT)
    assert "hands-differ" not in plan(LEFT, LEFT)
    assert "hands-differ" not in plan(RIGHT, RIGHT)


@pytest.mark.parametrize(("hand", "first"), [("right", "5/8 BSP"), ("left", "5/8 BSP LH")])
def test_what_is_measured_is_named_in_its_own_hand(hand: Hand, first: str) -> None:
    named = identify_thread(
        Measurement("male", 0.02285, hand=hand, count=14, over=0.0254, included_angle=radians(55))
    )

    assert first in named[0].names
    hands = {thread.hand for candidate in named for thread in candidate.threads}
    assert hands == {hand}


def test_a_left_hand_thread_of_ones_own_is_one_candidate_and_no_right_hand_one() -> None:
    for hand, count in (("right", 1), ("left", 1)):
        named = identify_thread(
            Measurement("male", 0.02285, hand=hand, count=14, over=0.0254), catalogue=(RIGHT, LEFT)
        )
        assert [len(candidate.threads) for candidate in named if candidate.threads] == [count]
