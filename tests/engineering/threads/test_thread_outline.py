"""The outline of a thread, point by point, from the geometry of its form."""

from math import cos, radians, sin, sqrt, tan

import numpy as np
import pytest

from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.overlay import Profile, female_profile, male_profile
from service.engineering.threads.overlay.profile import fold

MM = 1e-3
ME, BA, M6, NPT = (find_thread(name) for name in ("1/4 x 40 ME", "0 BA", "M6", "1/8-27 NPT"))
TIGHT = 1e-9


def radius(profile: Profile, along: float) -> float:
    return float(profile.radius_at(np.array([along]))[0])


@pytest.mark.parametrize("thread", [ME, BA, M6, NPT], ids=lambda thread: thread.designation)
@pytest.mark.parametrize("outline", [male_profile, female_profile])
def test_flank_crosses_the_effective_line_at_a_quarter_pitch(thread, outline) -> None:
    profile = outline(thread)
    slope = tan(thread.form.included_angle / 2)
    step = thread.pitch / 40

    assert radius(profile, thread.pitch / 4) == pytest.approx(thread.effective_diameter / 2)
    for way in (-1, 1):
        along = thread.pitch / 4 + way * step
        expected = thread.effective_diameter / 2 - way * step / slope
        assert radius(profile, along) == pytest.approx(expected, abs=TIGHT)
    assert profile.sharp_height == pytest.approx(thread.pitch / 4 / slope)


@pytest.mark.parametrize("thread", [ME, BA, M6, NPT], ids=lambda thread: thread.designation)
def test_crest_and_core_are_cut_off_at_the_diameters(thread) -> None:
    male, female = male_profile(thread), female_profile(thread)

    for profile in (male, female):
        assert radius(profile, 0.0) == pytest.approx(thread.major_diameter / 2, abs=TIGHT)
    assert radius(female, thread.pitch / 2) == pytest.approx(thread.core_diameter / 2, abs=TIGHT)


@pytest.mark.parametrize(("thread", "rounding"), [(ME, 0.137329), (BA, 0.180834)])
def test_rounding_of_crest_and_root_is_an_arc_of_the_printed_radius(thread, rounding) -> None:
    """BS 84, BS 93: the top of the arc on the crest, the bottom on the root, 0.05 P off the
    middle a radius less the height of the chord."""
    along, arc = 0.05 * thread.pitch, rounding * thread.pitch
    fall = arc - sqrt(arc**2 - along**2)
    for profile in (male_profile(thread), female_profile(thread)):
        assert radius(profile, along) == pytest.approx(thread.major_diameter / 2 - fall, abs=1e-8)
        assert radius(profile, thread.pitch / 2 - along) == pytest.approx(
            thread.root_diameter / 2 + fall, abs=1e-8
        )
        tangent = arc * cos(thread.form.half_angle)
        assert profile.outer_edges == pytest.approx((0.0, tangent), abs=0.005 * thread.pitch)
        assert profile.outer_edges[1] == pytest.approx(tangent, rel=1e-5)
        assert profile.inner_edges[1] == pytest.approx(tangent, rel=1e-5)


def test_flats_of_a_metric_thread() -> None:
    """ISO 68-1: a flat of P/8 on the male's crest, P/4 on the female's; its corners lie there."""
    male, female = male_profile(M6), female_profile(M6)
    pitch = M6.pitch

    assert male.outer_edges == pytest.approx((pitch / 16,))
    assert female.inner_edges == pytest.approx((pitch / 8,))
    assert radius(male, 0.99 * pitch / 16) == pytest.approx(M6.major_diameter / 2)
    assert radius(male, 1.05 * pitch / 16) < M6.major_diameter / 2
    edges = [pitch / 16, 3 * pitch / 8, pitch / 2, 0.0]
    assert set(np.round(female.corners() / pitch, 9)) == {
        round(sign * edge / pitch, 9) + 0.0 for edge in edges for sign in (1, -1)
    }


def test_root_of_a_metric_male_is_the_deepest_allowed() -> None:
    """ISO 965-1, ASME B1.1: a root radius of P/8 at least. Tangent to both flanks its bottom lies
    P/8 (1/sin 30 - 1) = P/8 over the apex, whatever root diameter is given."""
    pitch = M6.pitch
    apex = M6.effective_diameter / 2 - 0.8660254 / 2 * pitch

    for profile in (male_profile(M6), male_profile(M6, root=1 * MM)):
        assert profile.inner == pytest.approx(apex + pitch / 8, rel=1e-6)
        assert profile.inner_rounding == pytest.approx(pitch / 8)
        assert radius(profile, pitch / 2) == pytest.approx(apex + pitch / 8, rel=1e-6)
    deeper = male_profile(M6, effective=M6.effective_diameter - 0.1 * MM)
    assert deeper.inner == pytest.approx(apex + pitch / 8 - 0.05 * MM, rel=1e-6)


def test_measured_diameters_take_the_place_of_basic_ones() -> None:
    male = male_profile(ME, major=6.2 * MM, effective=5.9 * MM, root=5.5 * MM)
    female = female_profile(ME, major=6.4 * MM, effective=6.0 * MM, core=5.7 * MM)

    assert (male.outer, male.effective, male.inner) == pytest.approx((3.1e-3, 2.95e-3, 2.75e-3))
    assert (female.outer, female.effective, female.inner) == pytest.approx((3.2e-3, 3e-3, 2.85e-3))
    assert radius(male, 0.0) == pytest.approx(3.1e-3)
    assert radius(female, ME.pitch / 2) == pytest.approx(2.85e-3)


def test_crest_turned_down_through_its_rounding() -> None:
    """A cut through the arc leaves a flat as wide as the chord; under the arc, one between the
    straight flanks."""
    rounding = 0.137329 * ME.pitch
    lowered = 0.02 * ME.pitch
    chord = sqrt(rounding**2 - (rounding - lowered) ** 2)
    profile = male_profile(ME, major=ME.major_diameter - 2 * lowered)

    assert profile.outer_edges[0] == pytest.approx(chord, rel=1e-3)
    assert profile.outer_edges[1] == pytest.approx(rounding * cos(radians(27.5)), rel=1e-4)
    far = male_profile(ME, major=ME.effective_diameter + 0.2 * ME.pitch)
    flat = ME.pitch / 4 - 0.1 * ME.pitch * tan(radians(27.5))
    assert far.outer_edges == pytest.approx((flat,), rel=1e-6)
    gone = male_profile(ME, major=ME.effective_diameter - 0.1 * ME.pitch)
    assert gone.outer_edges == pytest.approx((ME.pitch / 4,))


def test_places_where_another_flank_may_touch_lie_on_the_roundings() -> None:
    """A flank of another angle is tangent to an arc at radius times the cosine of that angle."""
    places = male_profile(BA).touching_places(radians(30))
    rounding = 0.180834 * BA.pitch

    for place in (rounding * cos(radians(30)), BA.pitch / 2 - rounding * cos(radians(30))):
        assert min(abs(each - place) for each in places) < 1e-8
    assert min(abs(each - BA.pitch / 4) for each in places) < 1e-12


@pytest.mark.parametrize(
    ("along", "folded"), [(0.0, 0.0), (0.3, 0.3), (0.5, 0.5), (0.7, 0.3), (1.0, 0.0), (-2.2, 0.2)]
)
def test_distance_is_folded_to_the_nearest_ridge(along: float, folded: float) -> None:
    assert fold(np.array([along]), 1.0)[0] == pytest.approx(folded, abs=1e-12)


@pytest.mark.parametrize(
    ("outline", "given", "field"),
    [
        (male_profile, "major", "major"),
        (male_profile, "effective", "effective"),
        (male_profile, "root", "core"),
        (female_profile, "major", "major"),
        (female_profile, "effective", "effective"),
        (female_profile, "core", "core"),
    ],
)
def test_diameter_of_nothing_is_refused(outline, given: str, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        outline(ME, **{given: 0.0})

    assert refusal.value.field == field


def test_outline_is_that_of_every_ridge() -> None:
    profile = male_profile(ME)

    for along in (0.1, 0.2, 0.45):
        here = radius(profile, along * ME.pitch)
        assert radius(profile, -along * ME.pitch) == pytest.approx(here, abs=1e-12)
        assert radius(profile, (along + 3) * ME.pitch) == pytest.approx(here, abs=1e-12)
    assert profile.slope == pytest.approx(sin(radians(27.5)) / cos(radians(27.5)))
