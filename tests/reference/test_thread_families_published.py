"""Published figures of the pipe, cycle and special families, each with the table it stands in."""

import pytest

from service.engineering.threads.catalogue import limits_of, taper_at, taper_lengths, tapping_drills
from service.engineering.threads.catalogue.series import find_thread

INCH, MM = 0.0254, 0.001

GAUGES = "ASME B1.20.1 table of straight pipe threads, as a maker of gauges prints it"
PIPE_MAKER = "ASME B1.20.1 table of taper pipe threads, as two makers of tube print it"
CYCLE = "table of cycle threads in an engineer's collection on the net"
TAPS = "ISO metric table of a maker's tap catalogue"
SCREWS = "table of Unified screw threads, classes 2A and 2B, as a tool maker prints it"

# size; male: largest and least major, largest and least effective; female: least and largest core,
# least and largest effective; inches
NPSM = [
    ("1/8-27", 0.397, 0.390, 0.3725, 0.3689, 0.358, 0.364, 0.3736, 0.3783),
    ("1/4-18", 0.526, 0.517, 0.4903, 0.4859, 0.468, 0.481, 0.4916, 0.4974),
    ("3/8-18", 0.662, 0.653, 0.6256, 0.6211, 0.603, 0.612, 0.6270, 0.6329),
    ("1/2-14", 0.823, 0.813, 0.7769, 0.7718, 0.747, 0.759, 0.7784, 0.7851),
    ("3/4-14", 1.034, 1.024, 0.9873, 0.9820, 0.958, 0.970, 0.9889, 0.9958),
    ("1-11.5", 1.293, 1.281, 1.2369, 1.2311, 1.201, 1.211, 1.2386, 1.2462),
]


@pytest.mark.parametrize("row", NPSM, ids=lambda row: row[0])
def test_straight_pipe_thread_for_mechanical_joints(row: tuple[str, float]) -> None:
    """Three places of the crests, four of the flanks; the printed ends are rounded inwards."""
    size, *printed = row
    limits = limits_of(find_thread(f"{size} NPSM"))
    crests = (*limits.male_major[::-1], *limits.female_core)
    flanks = (*limits.male_effective[::-1], *limits.female_effective)

    for found, expected in zip(crests, (*printed[:2], *printed[4:6]), strict=True):
        assert found / INCH == pytest.approx(expected, abs=0.001), GAUGES
    for found, expected in zip(flanks, (*printed[2:4], *printed[6:]), strict=True):
        assert found / INCH == pytest.approx(expected, abs=0.00015), GAUGES


# size; E0, L2, E1, L1, E3, L3, L1 + L3; inches
NPT = [
    ("1/8-27", 0.36351, 0.2639, 0.37360, 0.1615, 0.35656, 0.1111, 0.2726),
    ("1/4-18", 0.47739, 0.4018, 0.49163, 0.2278, 0.46697, 0.1667, 0.3945),
    ("3/8-18", 0.61201, 0.4078, 0.62701, 0.240, 0.60160, 0.1667, 0.4067),
    ("1/2-14", 0.75843, 0.5337, 0.77843, 0.320, 0.74504, 0.2143, 0.5343),
    ("3/4-14", 0.96768, 0.5457, 0.98887, 0.339, 0.95429, 0.2143, 0.5533),
    ("1-11.5", 1.21363, 0.6828, 1.23863, 0.400, 1.19733, 0.2609, 0.6609),
]
HAND_TIGHT = {"1/8-27": 4.36, "1/4-18": 4.10, "3/8-18": 4.32, "1/2-14": 4.48, "3/4-14": 4.75,
              "1-11.5": 4.60}  # fmt: skip


@pytest.mark.parametrize("family", ["NPT", "NPTF"])
@pytest.mark.parametrize("row", NPT, ids=lambda row: row[0])
def test_american_taper_along_its_length(row: tuple[str, float], family: str) -> None:
    size, small_end, useful, at_gauge, gauge, deepest, wrench, engaged = row
    thread = find_thread(f"{size} {family}")
    lengths = taper_lengths(thread)
    assert lengths is not None

    def effective(distance: float, datum: str) -> float:
        return taper_at(thread, distance * INCH, datum).effective_diameter / INCH  # type: ignore[arg-type]

    assert effective(0, "small end") == pytest.approx(small_end, abs=1.5e-5), PIPE_MAKER
    assert effective(gauge, "small end") == pytest.approx(at_gauge, abs=1.5e-5), PIPE_MAKER
    assert effective(0, "gauge plane") == pytest.approx(at_gauge, abs=1.5e-5), PIPE_MAKER
    assert effective(engaged, "gauge plane") == pytest.approx(deepest, abs=2e-5), PIPE_MAKER
    assert lengths.hand_tight_length / INCH == pytest.approx(gauge, abs=5e-5), PIPE_MAKER
    assert lengths.hand_tight_turns == pytest.approx(HAND_TIGHT[size], abs=0.006), PIPE_MAKER
    assert lengths.effective_length / INCH == pytest.approx(useful, abs=6e-5), PIPE_MAKER
    assert lengths.wrench_length / INCH == pytest.approx(wrench, abs=6e-5), PIPE_MAKER
    assert lengths.wrench_turns == 3


# size; gauge length, useful thread, fitting allowance; mm
ISO_7 = [
    ("1/16", 4.0, 6.5, 2.5), ("1/8", 4.0, 6.5, 2.5), ("1/4", 6.0, 9.7, 3.7),
    ("3/8", 6.4, 10.1, 3.7),
    ("1/2", 8.2, 13.2, 5.0), ("3/4", 9.5, 14.5, 5.0), ("1", 10.4, 16.8, 6.4),
]  # fmt: skip


@pytest.mark.parametrize(("size", "gauge", "useful", "allowance"), ISO_7)
@pytest.mark.parametrize("called", ["{} BSPT", "Rc {}"])
def test_british_taper_along_its_length(
    called: str, size: str, gauge: float, useful: float, allowance: float
) -> None:
    """ISO 7-1, from memory: the three lengths agree among themselves and with 2 3/4 turns."""
    lengths = taper_lengths(find_thread(called.format(size)))
    assert lengths is not None

    assert lengths.hand_tight_length / MM == pytest.approx(gauge, abs=0.001)
    assert lengths.effective_length / MM == pytest.approx(useful, abs=0.06)
    assert lengths.wrench_length / MM == pytest.approx(allowance, abs=0.06)


@pytest.mark.parametrize(
    ("size", "core"),
    [("1/4", 0.209), ("5/16", 0.272), ("3/8", 0.334), ("7/16", 0.397), ("1/2", 0.459),
     ("9/16", 0.522), ("5/8", 0.584), ("11/16", 0.647), ("3/4", 0.709), ("1", 0.959)],
)  # fmt: skip
def test_cycle_thread_has_the_printed_core(size: str, core: float) -> None:
    thread = find_thread(f"{size} x 26 cycle")

    assert thread.core_diameter / INCH == pytest.approx(core, abs=0.00055), CYCLE


def test_cycle_form_is_rounded_to_a_sixth_of_the_pitch() -> None:
    """BS 811: 60 degrees, crest and root of radius P/6, so depth H - P/3 = 0.5327 P."""
    form = find_thread("1/4 x 26 cycle").form

    assert form.crest_radius == pytest.approx(1 / 6)
    assert form.internal_depth == pytest.approx(0.5327, abs=5e-5)


@pytest.mark.parametrize(
    ("designation", "effective", "core"),
    [
        ("M6 x 0.5", 5.675, 5.459), ("M7 x 0.5", 6.675, 6.459), ("M8 x 0.5", 7.675, 7.459),
        ("M9", 8.188, 7.647), ("M9 x 1", 8.350, 7.917), ("M9 x 0.75", 8.513, 8.188),
        ("M10 x 0.5", 9.675, 9.459), ("M5 x 0.75", 4.513, 4.188),
    ],
)  # fmt: skip
def test_metric_pitches_off_the_list(designation: str, effective: float, core: float) -> None:
    thread = find_thread(designation)

    assert thread.effective_diameter / MM == pytest.approx(effective, abs=0.0006), TAPS
    assert thread.core_diameter / MM == pytest.approx(core, abs=0.0006), TAPS


# male: largest and least major; female: least and largest core; inches
SPECIAL = [
    ("10-28 UNS", 0.1890, 0.1825, 0.151, 0.160), ("10-36 UNS", 0.1891, 0.1836, 0.160, 0.166),
    ("10-40 UNS", 0.1891, 0.1840, 0.163, 0.169), ("12-36 UNS", 0.2151, 0.2096, 0.186, 0.192),
    ("12-40 UNS", 0.2151, 0.2100, 0.189, 0.195), ("12-32 UNEF", 0.2151, 0.2091, 0.182, 0.190),
    ("4-40 UNC", 0.1112, 0.1061, 0.0849, 0.0939), ("0-80 UNF", 0.0595, 0.0563, 0.0465, 0.0514),
]  # fmt: skip


@pytest.mark.parametrize("row", SPECIAL, ids=lambda row: row[0])
def test_number_sizes_with_special_pitches(row: tuple[str, float]) -> None:
    designation, *printed = row
    limits = limits_of(find_thread(designation), male_class="2A", female_class="2B")
    crests = (*limits.male_major[::-1], *limits.female_core)

    for found, expected in zip(crests, printed, strict=True):
        places = 0.0001 if round(expected, 3) != expected else 0.001  # three places, cut off
        assert found / INCH == pytest.approx(expected, abs=places), SCREWS


@pytest.mark.parametrize(
    ("designation", "number"),
    [("00-90 UNS", -1), ("000-120 UNS", -2), ("0000-160 UNS", -3), ("8-40 UNS", 8),
     ("4-36 UNS", 4)],
)  # fmt: skip
def test_number_sizes_under_nought_follow_the_rule(designation: str, number: int) -> None:
    """Number n is 0.060 + 0.013 n in (ASME B1.1); 00 counts as -1, 000 as -2, 0000 as -3."""
    assert find_thread(designation).major_diameter / INCH == pytest.approx(0.060 + 0.013 * number)


@pytest.mark.parametrize(
    ("named", "size"),
    [("1 1/8", 9 / 8), ("1 1/4", 5 / 4), ("1 3/8", 11 / 8), ("1 1/2", 3 / 2), ("1 3/4", 7 / 4),
     ("2", 2)],
)  # fmt: skip
def test_brass_beyond_an_inch_keeps_26_threads(named: str, size: float) -> None:
    """Core = D - 1.280655 P (BS 84 form), P = 1/26 in."""
    thread = find_thread(f"{named} x 26 brass")

    assert thread.core_diameter / INCH == pytest.approx(size - 1.280655 / 26, abs=1e-6)


CHART = "drill and tap chart, 75 % column"
METRIC_CHART = "metric tapping chart"


@pytest.mark.parametrize(
    ("designation", "drill", "chart"),
    [
        ("0-80 UNF", "3/64 in", CHART), ("3-48 UNC", "No. 47", CHART),
        ("3-56 UNF", "No. 45", CHART),
        ("4-40 UNC", "No. 43", CHART), ("4-48 UNF", "No. 42", CHART), ("5-40 UNC", "No. 38", CHART),
        ("5-44 UNF", "No. 37", CHART), ("6-32 UNC", "No. 36", CHART),
        ("12-24 UNC", "No. 16", CHART),
        ("12-28 UNF", "No. 14", CHART), ("1/4-28 UNF", "No. 3", CHART),
        ("7/16-20 UNF", "25/64 in", CHART), ("9/16-18 UNF", "33/64 in", CHART),
        ("5/8-18 UNF", "37/64 in", CHART), ("M8", "6.8 mm", METRIC_CHART),
        ("M9", "7.8 mm", METRIC_CHART), ("M10 x 1.25", "8.8 mm", METRIC_CHART),
        ("M12", "10.2 mm", METRIC_CHART), ("M12 x 1.25", "10.8 mm", METRIC_CHART),
        ("M14 x 1.25", "12.8 mm", METRIC_CHART),
        ("5/16 x 32 ME 60", "9/32 in", CHART),  # 5/16-32 UNEF by another name
    ],
)  # fmt: skip
def test_first_drill_is_that_of_the_charts(designation: str, drill: str, chart: str) -> None:
    assert tapping_drills(find_thread(designation))[0].drill.name == drill, chart
