"""A taper thread along its length: geometry, lengths, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange, Unsuitable
from service.engineering.threads.catalogue import (
    Thread,
    catalogue,
    custom_thread,
    describe_thread,
    taper_at,
    taper_lengths,
    turn_left,
)
from service.engineering.threads.catalogue.series import find_thread

MM = 1e-3
TAPERS = [thread for thread in catalogue() if thread.is_taper]


@given(st.sampled_from(TAPERS), st.floats(0, 0.02), st.floats(0, 0.02))
def test_diameter_grows_by_the_taper_from_the_small_end(
    thread: Thread, one: float, other: float
) -> None:
    near, far = taper_at(thread, one), taper_at(thread, other)

    for name in ("major_diameter", "effective_diameter", "core_diameter"):
        grown = getattr(far, name) - getattr(near, name)
        assert grown == pytest.approx((other - one) / 16, abs=1e-12)


@pytest.mark.parametrize("thread", TAPERS, ids=lambda thread: thread.designation)
def test_gauge_plane_is_where_the_size_is(thread: Thread) -> None:
    gauge = thread.gauge_length or 0.0
    by_plane, by_end = taper_at(thread, 0, "gauge plane"), taper_at(thread, gauge)

    assert by_plane.major_diameter == thread.major_diameter
    assert by_end.major_diameter == pytest.approx(thread.major_diameter)
    assert by_plane.from_small_end == by_end.from_small_end == gauge
    assert taper_at(thread, gauge, "gauge plane").from_small_end == pytest.approx(0)


def test_half_inch_of_an_eighth_bspt_by_hand() -> None:
    """9.728 mm at 4.0 mm from the small end; 5 mm from it is 1 mm on, 1/16 mm larger."""
    place = taper_at(find_thread("1/8 BSPT"), 5 * MM)
    mouth = taper_at(find_thread("Rc 1/8"), 6.2 * MM, "gauge plane")

    assert place.major_diameter / MM == pytest.approx(9.728 + 1 / 16)
    assert mouth.core_diameter / MM == pytest.approx(8.179, abs=0.0005)  # a tap maker's table
    assert mouth.from_small_end / MM == pytest.approx(4.0 - 6.2)


def test_a_parallel_thread_and_a_distance_out_of_reason_are_refused() -> None:
    with pytest.raises(Unsuitable, match="parallel") as refusal:
        taper_at(find_thread("M6"), 0.005)
    assert refusal.value.field == "distance"
    for distance in (-0.001, 0.21, float("nan")):
        with pytest.raises(OutOfRange):
            taper_at(find_thread("1/8 BSPT"), distance)
    with pytest.raises(Unsuitable, match="point"):
        taper_at(find_thread("1/16 BSPT"), 0.2, "gauge plane")


def test_lengths_are_known_of_standard_tapers_alone() -> None:
    measured = custom_thread("own", diameter=0.01, pitch=0.0009, included_angle=1.0, taper=1 / 16)

    assert taper_lengths(measured) is None
    assert taper_lengths(find_thread("1/8 BSP")) is None
    assert taper_lengths(turn_left(find_thread("1/8 BSPT"))) == taper_lengths(
        find_thread("1/8 BSPT")
    )
    assert all(taper_lengths(thread) for thread in TAPERS)


def test_description_holds_the_limits_of_the_class_that_is_asked() -> None:
    close = describe_thread(find_thread("1/4 x 40 ME"), male_class="close", female_class="close")
    usual = describe_thread(find_thread("1/4 x 40 ME"))

    assert (close.limits.male_class, usual.limits.male_class) == ("close", "medium")
    assert close.limits.male_effective.least > usual.limits.male_effective.least
    assert close.limits.male_effective.most == usual.limits.male_effective.most
    assert close.taper_lengths is None
    assert close.at_small_end is None
    with pytest.raises(Unsuitable, match="choose from"):
        describe_thread(find_thread("1/4 x 40 ME"), male_class="2A")


def test_a_hole_is_judged_for_every_thread_of_the_catalogue() -> None:
    """The bases of the 60 degree standards belong to their form, not to the angle."""
    for thread in catalogue():
        found = describe_thread(thread, drilled=thread.tapping_size - thread.pitch)
        assert found.drilled is not None
        assert found.drilled.basis
    cycle = describe_thread(find_thread("1/4 x 26 cycle"), drilled=0.0055)
    assert cycle.drilled is not None
    assert cycle.drilled.other_bases == {}
