"""What the trade knows of threads that look alike."""

import pytest

from service.engineering.threads.catalogue import diameter_of_percent
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.catalogue.tapping import percent_depth

INCH = 0.0254


@pytest.mark.parametrize(
    ("british", "american"), [("1/2 BSP", "1/2-14 NPT"), ("3/4 BSP", "3/4-14 NPT")]
)
def test_half_and_three_quarter_pipe_share_pitch_but_not_angle(british: str, american: str) -> None:
    """ISO 228-1 and ASME B1.20.1: 14 threads per inch both, 55 against 60 degrees."""
    bsp, npt = find_thread(british), find_thread(american)

    assert bsp.threads_per_inch == npt.threads_per_inch == 14
    assert bsp.form.included_angle < npt.form.included_angle


def test_eighth_pipe_is_28_british_and_27_american() -> None:
    """ISO 228-1 and ASME B1.20.1."""
    assert find_thread("1/8 BSP").threads_per_inch == 28
    assert find_thread("1/8-27 NPT").threads_per_inch == 27


def test_half_inch_whitworth_is_12_and_unified_13() -> None:
    """BS 84 and ASME B1.1; at 1/4, 5/16 and 3/8 they share the pitch."""
    assert find_thread("1/2 BSW").threads_per_inch == 12
    assert find_thread("1/2-13 UNC").threads_per_inch == 13
    for british, american in (
        ("1/4 BSW", "1/4-20 UNC"),
        ("5/16 BSW", "5/16-18 UNC"),
        ("3/8 BSW", "3/8-16 UNC"),
    ):
        assert find_thread(british).threads_per_inch == find_thread(american).threads_per_inch


def test_three_sixteenths_fine_is_32_not_28() -> None:
    """BS 84: some shop lists print 28."""
    assert find_thread("3/16 BSF").threads_per_inch == 32


def test_brass_thread_at_a_quarter_is_the_same_as_british_fine() -> None:
    """Both 26 threads per inch of Whitworth form: trade lists."""
    brass, fine = find_thread("1/4 x 26 brass"), find_thread("1/4 BSF")

    assert (brass.major_diameter, brass.pitch, brass.form) == (
        fine.major_diameter,
        fine.pitch,
        fine.form,
    )


def test_eighth_by_40_is_one_size_in_three_families() -> None:
    """1/8 x 40 ME, 1/8 BSW and No. 5-40 UNC: 0.125 in and 40 threads per inch."""
    sizes = {
        (round(find_thread(name).major_diameter / INCH, 4), find_thread(name).threads_per_inch)
        for name in ("1/8 x 40 ME", "1/8 BSW", "5-40 UNC")
    }

    assert sizes == {(0.125, 40)}


def test_whitworth_effective_diameter_exceeds_that_of_60_degrees() -> None:
    """By 0.009192 P at the same size and pitch: 0.640327 P against 0.649519 P off."""
    whitworth, unified = find_thread("1/4 x 40 ME"), find_thread("1/4-40 UNS")
    excess = whitworth.effective_diameter - unified.effective_diameter

    assert excess / whitworth.pitch == pytest.approx(0.009192, abs=1e-6)


@pytest.mark.parametrize(
    ("designation", "drill", "basis", "printed", "tolerance", "source"),
    [
        ("1/4-20 UNC", 0.201, "3H/4", 75, 0.5, "Machinery's Handbook tapping table, No. 7"),
        ("1/4-20 UNC", 0.201, "17H/24", 79.9, 0.05, "charts on D - 1.2269 P"),
        ("1/4-20 UNC", 0.201, "own", 90.5, 0.05, "charts on the basic 5H/8"),
        ("1/4 x 40 ME", 0.21875, "own", 97.6, 0.05, "common practice: 7/32 in, 97-98 %"),
        ("3/16 BSW", 3.70 / 25.4, "own", 78.4, 0.05, "BS 1157 drill 3.70 mm"),
    ],
)
def test_percentage_of_depth(
    designation: str, drill: float, basis: str, printed: float, tolerance: float, source: str
) -> None:
    percent = percent_depth(find_thread(designation), drill * INCH, basis=basis)

    assert percent == pytest.approx(printed, abs=tolerance), source


def test_metric_rule_of_size_less_pitch_is_77_percent_of_the_shop_rule() -> None:
    """Machinery's Handbook: drill = D - P is 76.98 % of 3H/4."""
    thread = find_thread("M6")

    assert percent_depth(thread, 0.005, basis="3H/4") == pytest.approx(76.98, abs=0.01)
    assert diameter_of_percent(thread, 76.98, basis="3H/4") == pytest.approx(0.005, abs=1e-7)


def test_7_32_drill_is_far_below_the_core_of_quarter_by_40_of_60_degrees() -> None:
    """0.0042 in under the least minor diameter 0.2229 in of ASME B1.1: about 115 %."""
    assert percent_depth(find_thread("1/4-40 UNS"), 7 / 32 * INCH) == pytest.approx(115, abs=1)
