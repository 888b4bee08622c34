"""The overlay against figures got in other ways: closed geometry, metrology, standards."""

from math import radians, sin, sqrt, tan

import pytest

from service.engineering.constants import INCH
from service.engineering.threads.catalogue import Thread, custom_thread, diameter_of_percent
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.overlay import overlay

MICROMETRE = 1e-6
WHITWORTH_ROUNDING = 0.137329
"""Radius of crest and root per pitch, BS 84:2007."""
SHARP = 0.480246
"""Half the height of the sharp 55 degree V per pitch, BS 84:2007: 0.960491 / 2."""
OFFSET = (0.649519 - 0.640327) / 2
"""How much smaller the effective radius of a 60 degree thread is, per pitch: ISO 68-1, BS 84."""


def lay(male: str, female: str, **arguments):
    return overlay(find_thread(male), find_thread(female), engaged_length=5e-3, **arguments)


def flank_foul(centre: float) -> float:
    """Radial foul of a Whitworth rounding, centred `centre` from the effective line on the middle
    of its ridge, with a straight 60 degree flank: distance of a point from a line, per pitch."""
    apex = 0.25 / tan(radians(30)) - OFFSET
    distance = (apex - centre) * sin(radians(30))
    return (WHITWORTH_ROUNDING - distance) / sin(radians(30))


def test_sixty_in_fifty_five_fouls_at_the_inner_end_by_the_circle_and_line() -> None:
    """A circle of the BS 84 crest radius against a 60 degree line (plane geometry)."""
    centre = SHARP - WHITWORTH_ROUNDING / sin(radians(27.5))
    # the female's crest is the male's crest turned over: the effective line lies the other side
    expected = (flank_foul(centre) - 2 * OFFSET) * 2

    laid = lay("1/4-40 UNS", "1/4 x 40 ME")

    assert laid.touches == "flank inner end"
    assert laid.diametral_interference / find_thread("1/4 x 40 ME").pitch == pytest.approx(
        expected, rel=2e-3
    )


def test_fifty_five_in_sixty_fouls_at_the_outer_end_by_the_circle_and_line() -> None:
    """A circle of the BS 84 crest radius against a 60 degree line (plane geometry)."""
    centre = SHARP - WHITWORTH_ROUNDING / sin(radians(27.5))
    expected = flank_foul(centre) * 2

    laid = lay("1/4 x 40 ME", "1/4-40 UNS")

    assert laid.touches == "flank outer end"
    assert laid.diametral_interference / find_thread("1/4 x 40 ME").pitch == pytest.approx(
        expected, rel=2e-3
    )


@pytest.mark.parametrize(
    ("male", "female", "diametral", "axial"),
    [
        ("1/4-40 UNS", "1/4 x 40 ME", 25.3, 7.3),
        ("1/4 x 40 ME", "1/4-40 UNS", 37, 10.7),
        ("5/16-32 UNEF", "5/16 x 32 ME", 32, 9.1),
        ("5/16 x 32 ME", "5/16-32 UNEF", 46, 13.3),
        ("M6", "0 BA", 46, 13.3),
        ("0 BA", "M6", 145, 42),
    ],
)
def test_unlike_angles_foul_as_a_separate_reckoning_found(male, female, diametral, axial) -> None:
    """Micrometres at basic size, full depth of thread: a separate numerical reckoning on the forms
    of BS 84, BS 93, ISO 68-1 and ASME B1.1; stated to two figures."""
    laid = lay(male, female)

    assert laid.flank_interference == pytest.approx(diametral * MICROMETRE, rel=0.02)
    assert laid.axial_overlap_per_flank == pytest.approx(axial * MICROMETRE, rel=0.02)
    assert laid.diametral_interference == laid.flank_interference


@pytest.mark.parametrize(("percent", "share"), [(85, 0.035), (75, 0.022), (65, 0.010)])
def test_larger_hole_eases_the_flanks_of_a_sixty_degree_male(percent: float, share: float) -> None:
    """Flank foul per pitch by the same separate reckoning; stated to three places."""
    hole = diameter_of_percent(find_thread("1/4 x 40 ME"), percent)

    laid = lay("1/4-40 UNS", "1/4 x 40 ME", drilled=hole)

    pitch = find_thread("1/4 x 40 ME").pitch
    assert laid.flank_interference / pitch == pytest.approx(share, abs=6e-4)


def test_flat_crest_of_sixty_degrees_fouls_the_rounded_root() -> None:
    """Corner of a flat of P/8 against the BS 84 root circle (plane geometry): 0.0301 P."""
    radius = WHITWORTH_ROUNDING
    expected = 2 * (radius - sqrt(radius**2 - (1 / 16) ** 2))

    laid = lay("1/4-40 UNS", "1/4 x 40 ME")

    pitch = find_thread("1/4 x 40 ME").pitch
    assert laid.crest_interference / pitch == pytest.approx(expected, rel=1e-3)
    assert expected == pytest.approx(0.0301, abs=1e-4)


def pair_of_pitches(male_pitch: float, female_pitch: float, angle: float, clearance: float):
    """Two threads of one angle whose effective diameters differ by the clearance."""
    female = custom_thread(
        "female", diameter=9.5e-3, pitch=female_pitch, included_angle=radians(angle)
    )
    offset = female.form.effective_offset
    diameter = 9.5e-3 - clearance + offset * (male_pitch - female_pitch)
    male = custom_thread("male", diameter=diameter, pitch=male_pitch, included_angle=radians(angle))
    return male, female


@pytest.mark.parametrize("clearance", [0.05e-3, 0.10e-3, 0.15e-3, 0.25e-3])
@pytest.mark.parametrize(
    ("male_pitch", "female_pitch", "angle"),
    [
        (INCH / 26, 1.0e-3, 55),
        (1.0e-3, INCH / 26, 55),
        (0.6e-3, INCH / 40, 60),
        (INCH / 32, 0.75e-3, 60),
        (0.59e-3, INCH / 40, 47.5),
        (INCH / 28, INCH / 27, 60),
    ],
)
def test_turns_before_binding_follow_the_cumulative_pitch_error(
    male_pitch: float, female_pitch: float, angle: float, clearance: float
) -> None:
    """N = C tan(a) / |dP|: effective diameter equivalent of a pitch error, thread metrology."""
    male, female = pair_of_pitches(male_pitch, female_pitch, angle, clearance)
    expected = clearance * tan(radians(angle / 2)) / abs(male_pitch - female_pitch)

    laid = overlay(male, female, engaged_length=30 * male_pitch)

    assert laid.turns_before_binding == pytest.approx(expected, rel=0.02)
    assert laid.growth_per_turn == pytest.approx(
        abs(male_pitch - female_pitch) / tan(radians(angle / 2)), rel=1e-6
    )


def test_one_eighth_taper_male_in_parallel_female_wedges_at_the_gauge_length() -> None:
    """ISO 7-1: gauge length of R 1/8 4.0 mm, 28 threads per inch: 4.4 turns."""
    laid = overlay(find_thread("1/8 BSPT"), find_thread("1/8 BSP"), engaged_length=6.5e-3)

    assert laid.wedge_depth == pytest.approx(4.0e-3, abs=1e-6)
    assert laid.turns_before_binding == pytest.approx(4.41, abs=0.01)


def test_larger_parallel_female_lets_a_taper_in_by_sixteen_times_as_much() -> None:
    """ISO 228-1: the largest G 1/8 is 0.107 mm over basic, at 1 in 16 that is 1.71 mm more."""
    male = find_thread("1/8 BSPT")
    basic = overlay(male, find_thread("1/8 BSP"), engaged_length=6e-3)
    parallel = find_thread("1/8 BSP")
    large = Thread(
        "largest 1/8 BSP",
        "BSP",
        parallel.form,
        parallel.major_diameter + 0.107e-3,
        parallel.pitch,
        "ISO 228-1",
    )

    laid = overlay(male, large, engaged_length=6e-3)

    assert laid.wedge_depth - basic.wedge_depth == pytest.approx(1.712e-3, abs=1e-6)


def test_eighth_npt_by_hand_to_its_gauge_length() -> None:
    """ASME B1.20.1: L1 of 1/8 NPT 0.1615 in."""
    npt = find_thread("1/8-27 NPT")

    laid = overlay(npt, npt, engaged_length=6e-3)

    assert laid.wedge_depth == pytest.approx(0.1615 * INCH, rel=1e-3)


def test_half_inch_pipe_threads_share_a_pitch_and_foul_by_angle_and_taper_alone() -> None:
    """ISO 228-1 and ASME B1.20.1: both 14 threads per inch, 55 and 60 degrees."""
    laid = overlay(find_thread("1/2-14 NPT"), find_thread("1/2 BSP"), engaged_length=12e-3)

    assert laid.pitch_difference == pytest.approx(0, abs=1e-7)
    assert laid.flank_angle_difference == pytest.approx(radians(2.5))
    assert laid.wedge_depth is not None
    assert laid.wedge_depth < 12e-3


def test_eighth_gas_in_ten_by_one_binds_within_two_turns() -> None:
    """0.0929 mm of pitch apart and 0.2 mm of room: under two turns by C = N dP cot(a)."""
    laid = overlay(find_thread("1/8 BSP"), find_thread("M10 x 1"), engaged_length=8e-3)

    room = find_thread("M10 x 1").effective_diameter - find_thread("1/8 BSP").effective_diameter
    assert laid.turns_before_binding is not None
    assert laid.turns_before_binding < room * tan(radians(30)) / 0.0929e-3 * 1.01 < 2


def test_whitworth_effective_diameter_stands_over_the_sixty_degree_one() -> None:
    """0.009192 P: BS 84 0.640327 P against ISO 68-1 0.649519 P off the major diameter."""
    whitworth, unified = find_thread("1/4 x 40 ME"), find_thread("1/4-40 UNS")

    difference = whitworth.effective_diameter - unified.effective_diameter

    assert difference / whitworth.pitch == pytest.approx(0.009192, abs=2e-6)
