"""One thread laid into another: what the geometry promises for any pair."""

from dataclasses import replace
from math import tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue import Thread, catalogue
from service.engineering.threads.catalogue.forms import BRITISH_ASSOCIATION, ISO_METRIC, WHITWORTH
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.overlay import overlay

MILLIMETRE = 1e-3
STEP = 0.01 / tan(BRITISH_ASSOCIATION.half_angle)
"""What the steps in which the best shift is sought can leave, per pitch: a hundredth of a pitch
along the axis, which the steepest flank turns into this much across it."""

PARALLEL = tuple(thread for thread in catalogue() if not thread.is_taper)
TAPER = tuple(thread for thread in catalogue() if thread.is_taper)

pitches = st.floats(0.2, 2.5).map(lambda pitch: pitch * MILLIMETRE)
half_forms = st.sampled_from((WHITWORTH, BRITISH_ASSOCIATION))
forms = st.sampled_from((WHITWORTH, BRITISH_ASSOCIATION, ISO_METRIC))


def make_thread(form, pitch: float, *, effective: float) -> Thread:
    return Thread(
        designation=f"{form.name} {pitch}",
        family="custom",
        form=form,
        major_diameter=effective + form.effective_offset * pitch,
        pitch=pitch,
        source="made for a test",
    )


@pytest.mark.parametrize("thread", PARALLEL, ids=lambda thread: thread.designation)
def test_same_thread_at_basic_size_enters_without_play(thread: Thread) -> None:
    laid = overlay(thread, thread, engaged_length=6 * thread.pitch)

    assert laid.diametral_interference == 0
    assert laid.play == pytest.approx(0, abs=1e-8)
    assert laid.touches == "nowhere"
    assert laid.turns_before_binding is None
    assert laid.contact_ratio == pytest.approx(1)


@pytest.mark.parametrize("thread", TAPER, ids=lambda thread: thread.designation)
def test_taper_pair_goes_to_the_gauge_plane_by_hand_and_then_wedges(thread: Thread) -> None:
    assert thread.gauge_length is not None
    by_hand = overlay(thread, thread, engaged_length=thread.gauge_length)
    past = overlay(thread, thread, engaged_length=thread.gauge_length + thread.pitch)

    assert by_hand.diametral_interference == pytest.approx(0, abs=1e-8)
    assert by_hand.wedge_depth == pytest.approx(thread.gauge_length, abs=1e-8)
    assert past.diametral_interference == pytest.approx(thread.taper * thread.pitch, rel=1e-6)


@given(forms, forms, pitches, st.floats(-0.05, 0.05))
def test_one_pair_turned_inside_out_fouls_alike(male_form, female_form, pitch, offset) -> None:
    """Whitworth and BA forms are the same inside and out, so male and female may change places."""
    if ISO_METRIC in (male_form, female_form):
        male_form = female_form = WHITWORTH
    one = make_thread(male_form, pitch, effective=10 * pitch)
    other = make_thread(female_form, pitch, effective=(10 + offset) * pitch)
    mirrored = make_thread(female_form, pitch, effective=10 * pitch)
    turned = make_thread(male_form, pitch, effective=(10 + offset) * pitch)

    there = overlay(one, other, engaged_length=5 * pitch)
    back = overlay(mirrored, turned, engaged_length=5 * pitch)

    assert there.diametral_interference == pytest.approx(
        back.diametral_interference, abs=2e-3 * pitch
    )


@given(half_forms, pitches, st.floats(0.001, 0.03), st.floats(1.1, 3.0), st.floats(2, 12))
def test_greater_pitch_difference_never_fouls_less(form, pitch, share, times, turns) -> None:
    """The female's pitch moves away from the male's; effective diameters stay one."""
    male = make_thread(form, pitch, effective=12 * pitch)
    near = make_thread(form, pitch * (1 - share), effective=12 * pitch)
    far = make_thread(form, pitch * (1 - share * times), effective=12 * pitch)

    little = overlay(male, near, engaged_length=turns * pitch)
    much = overlay(male, far, engaged_length=turns * pitch)

    assert much.diametral_interference >= little.diametral_interference - 1e-4 * pitch
    assert much.growth_per_turn > little.growth_per_turn


@given(st.sampled_from(PARALLEL), st.sampled_from(PARALLEL), st.floats(1, 10), st.floats(1, 3))
def test_longer_engagement_never_fouls_less(male, female, turns, times) -> None:
    pitch = min(male.pitch, female.pitch)

    short = overlay(male, female, engaged_length=turns * pitch)
    long = overlay(male, female, engaged_length=turns * times * pitch)

    assert long.radial_overlap >= short.radial_overlap - STEP * pitch


@given(st.sampled_from(PARALLEL), forms, st.floats(0, 0.5), st.floats(0, 0.5))
def test_smaller_male_never_fouls_more(female, form, cut, more) -> None:
    pitch = female.pitch
    larger = make_thread(form, pitch, effective=female.effective_diameter - cut * pitch)
    smaller = make_thread(form, pitch, effective=female.effective_diameter - (cut + more) * pitch)

    tight = overlay(larger, female, engaged_length=5 * pitch)
    free = overlay(smaller, female, engaged_length=5 * pitch)

    assert free.diametral_interference <= tight.diametral_interference + 1e-9
    assert free.play >= tight.play - 1e-9


@given(st.sampled_from(PARALLEL), st.sampled_from(PARALLEL), st.floats(0.3, 1.0), st.floats(0, 0.3))
def test_larger_tapping_hole_never_fouls_more(male, female, depth, more) -> None:
    small = female.major_diameter - 2 * female.internal_depth * depth
    large = small + 2 * female.internal_depth * min(more, depth - 0.05)

    tight = overlay(male, female, engaged_length=5 * male.pitch, drilled=small)
    free = overlay(male, female, engaged_length=5 * male.pitch, drilled=large)

    assert free.radial_overlap <= tight.radial_overlap + STEP * male.pitch


@given(st.sampled_from(PARALLEL), st.sampled_from(PARALLEL), st.floats(0.1, 10))
def test_foul_scales_with_size(male, female, scale) -> None:
    larger = [
        replace(
            thread,
            major_diameter=thread.major_diameter * scale,
            pitch=thread.pitch * scale,
            depth=thread.depth * scale if thread.depth else None,
        )
        for thread in (male, female)
    ]

    small = overlay(male, female, engaged_length=5 * male.pitch)
    large = overlay(*larger, engaged_length=5 * male.pitch * scale)

    assert large.diametral_interference == pytest.approx(
        small.diametral_interference * scale, rel=1e-3, abs=2 * STEP * male.pitch * scale
    )


@given(st.sampled_from(PARALLEL), st.sampled_from(PARALLEL))
def test_looser_fit_never_fouls_more(male, female) -> None:
    length = 5 * min(male.pitch, female.pitch)
    rooms = [
        laid.play - laid.diametral_interference
        for laid in (
            overlay(male, female, engaged_length=length, fit="tightest"),
            overlay(male, female, engaged_length=length, fit="middle"),
            overlay(male, female, engaged_length=length, fit="loosest"),
        )
    ]

    assert rooms[0] <= rooms[1] + STEP * male.pitch
    assert rooms[1] <= rooms[2] + STEP * male.pitch


@given(st.sampled_from(catalogue()), st.sampled_from(catalogue()), st.floats(0.5, 12))
def test_outlines_for_the_picture_span_the_engagement(male, female, turns) -> None:
    length = turns * min(male.pitch, female.pitch)

    laid = overlay(male, female, engaged_length=length)

    for outline in (laid.male_profile, laid.female_profile):
        assert outline[0, 0] == 0
        assert outline[-1, 0] == pytest.approx(length)
        assert np.all(np.diff(outline[:, 0]) > 0)
        assert not outline.flags.writeable


def test_outlines_cross_by_the_interference_that_is_told() -> None:
    male, female = find_thread("1/4-40 UNS"), find_thread("1/4 x 40 ME")

    laid = overlay(male, female, engaged_length=5e-3)

    along = np.union1d(laid.male_profile[:, 0], laid.female_profile[:, 0])
    above = np.interp(along, *laid.male_profile.T) - np.interp(along, *laid.female_profile.T)
    assert above.max() == pytest.approx(laid.radial_overlap, rel=0.03)


def test_pitches_drifted_by_half_a_turn_ride_crest_on_crest() -> None:
    laid = overlay(find_thread("1/8 BSP"), find_thread("M10 x 1"), engaged_length=8e-3)

    assert laid.touches_member == "the male's crests on the female's crests"


def test_loose_male_never_binds_and_touches_nowhere() -> None:
    laid = overlay(find_thread("1/4 x 40 ME"), find_thread("3/8 x 32 ME"), engaged_length=6e-3)

    assert (laid.touches, laid.turns_before_binding) == ("nowhere", None)
    assert laid.depth_engaged < 0
    assert laid.contact_ratio == 0


def test_taper_in_taper_of_another_pitch_still_says_how_many_turns() -> None:
    laid = overlay(find_thread("1/8 BSP"), find_thread("1/8-27 NPT"), engaged_length=6e-3)

    assert laid.turns_before_binding is not None
    assert 0 < laid.turns_before_binding < laid.turns


@pytest.mark.parametrize("length", [0.0, -1e-3, 1.0, float("nan")])
def test_engaged_length_outside_its_range_is_refused(length: float) -> None:
    thread = find_thread("1/4 x 40 ME")

    with pytest.raises(OutOfRange, match="engaged length") as refusal:
        overlay(thread, thread, engaged_length=length)
    assert refusal.value.field == "engaged_length"


@pytest.mark.parametrize("drilled", [0.0, -1e-3, 6.35e-3, float("nan")])
def test_hole_that_leaves_no_thread_is_refused(drilled: float) -> None:
    thread = find_thread("1/4 x 40 ME")

    with pytest.raises(OutOfRange, match="tapping hole"):
        overlay(thread, thread, engaged_length=5e-3, drilled=drilled)


def test_hole_below_core_counts_as_core() -> None:
    male, female = find_thread("1/4-40 UNS"), find_thread("1/4 x 40 ME")

    below = overlay(male, female, engaged_length=5e-3, drilled=5e-3)

    full = overlay(male, female, engaged_length=5e-3)
    assert below.diametral_interference == full.diametral_interference
