"""Published thread figures against the catalogue, each row with the table it was printed in."""

import pytest

from service.engineering.threads.catalogue import find_drill, limits_of
from service.engineering.threads.catalogue.series import find_thread

INCH, MM = 0.0254, 0.001

HANDBOOK = "Whitworth table of BS 84 as printed in Machinery's Handbook"
BA_TABLE = "BS 93:1951 table"
BSB_TABLE = "published table of 26 tpi brass threads"
PIPE = "ISO 228-1 table"
METRIC = "ISO 724 table of basic dimensions"
BOLTS = "EN ISO 898-1 table"
UNIFIED = "ASME B1.1 table"
TAPER = "ASME B1.20.1 table"

# designation, diameter, printed figure, its unit, half a unit of its last place or more, table
BASIC_SIZES = [
    ("1/4 BSW", "effective_diameter", 0.2180, INCH, 0.00005, HANDBOOK),
    ("1/4 BSW", "core_diameter", 0.1860, INCH, 0.00005, HANDBOOK),
    ("3/16 BSW", "effective_diameter", 0.1608, INCH, 0.00005, HANDBOOK),
    ("3/16 BSW", "core_diameter", 0.1341, INCH, 0.00005, HANDBOOK),
    ("1/2 BSW", "effective_diameter", 0.4466, INCH, 0.00005, HANDBOOK),
    ("1/2 BSW", "core_diameter", 0.3933, INCH, 0.00005, HANDBOOK),
    ("1 BSW", "core_diameter", 0.8400, INCH, 0.0001, HANDBOOK),
    ("1/4 BSF", "effective_diameter", 0.2254, INCH, 0.00005, HANDBOOK),
    ("3/8 BSF", "core_diameter", 0.3110, INCH, 0.00005, HANDBOOK),
    ("0 BA", "major_diameter", 6.0, MM, 0.0005, BA_TABLE),
    ("0 BA", "effective_diameter", 5.400, MM, 0.0005, BA_TABLE),
    ("0 BA", "core_diameter", 4.80, MM, 0.0005, BA_TABLE),
    ("2 BA", "effective_diameter", 4.215, MM, 0.0005, BA_TABLE),
    ("2 BA", "core_diameter", 3.73, MM, 0.0005, BA_TABLE),
    ("3 BA", "effective_diameter", 3.660, MM, 0.0005, BA_TABLE),
    ("3 BA", "core_diameter", 3.22, MM, 0.0005, BA_TABLE),
    ("4 BA", "core_diameter", 2.81, MM, 0.0005, BA_TABLE),
    ("5 BA", "effective_diameter", 2.845, MM, 0.0005, BA_TABLE),
    ("6 BA", "core_diameter", 2.16, MM, 0.0005, BA_TABLE),
    ("7 BA", "core_diameter", 1.92, MM, 0.0005, BA_TABLE),
    ("0 BA", "major_diameter", 0.2362, INCH, 0.00005, "table of BA sizes in inches"),
    ("5 BA", "major_diameter", 0.1260, INCH, 0.00005, "table of BA sizes in inches"),
    ("10 BA", "major_diameter", 0.0669, INCH, 0.00005, "table of BA sizes in inches"),
    ("3/8 x 26 brass", "core_diameter", 8.273, MM, 0.001, BSB_TABLE),
    ("1 x 26 brass", "core_diameter", 24.148, MM, 0.001, BSB_TABLE),
    ("1/8 BSP", "major_diameter", 9.728, MM, 0.0005, PIPE),
    ("1/8 BSP", "effective_diameter", 9.147, MM, 0.0005, PIPE),
    ("1/8 BSP", "core_diameter", 8.566, MM, 0.0005, PIPE),
    ("1/8 BSP", "pitch", 0.907, MM, 0.0005, PIPE),
    ("1/4 BSP", "effective_diameter", 12.301, MM, 0.0005, PIPE),
    ("3/8 BSP", "core_diameter", 14.950, MM, 0.0005, PIPE),
    ("1/2 BSP", "core_diameter", 18.631, MM, 0.001, PIPE),
    ("3/4 BSP", "major_diameter", 26.441, MM, 0.0005, PIPE),
    ("M3", "effective_diameter", 2.675, MM, 0.0005, METRIC),
    ("M3", "root_diameter", 2.387, MM, 0.0005, METRIC),
    ("M5", "core_diameter", 4.134, MM, 0.0005, METRIC),
    ("M6", "effective_diameter", 5.350, MM, 0.0005, METRIC),
    ("M6", "core_diameter", 4.917, MM, 0.0005, METRIC),
    ("M6", "root_diameter", 4.773, MM, 0.0005, METRIC),
    ("M6 x 0.75", "core_diameter", 5.188, MM, 0.0005, METRIC),
    ("M8", "effective_diameter", 7.188, MM, 0.0005, METRIC),
    ("M10 x 1", "root_diameter", 8.773, MM, 0.0005, METRIC),
    ("M12 x 1.5", "core_diameter", 10.376, MM, 0.0005, METRIC),
    ("5-40 UNC", "effective_diameter", 0.1088, INCH, 0.00005, UNIFIED),
    ("10-32 UNF", "effective_diameter", 0.1697, INCH, 0.00005, UNIFIED),
    ("1/4-20 UNC", "effective_diameter", 0.2175, INCH, 0.00005, UNIFIED),
    ("1/4-28 UNF", "effective_diameter", 0.2268, INCH, 0.00005, UNIFIED),
    ("1/4-32 UNEF", "effective_diameter", 0.2297, INCH, 0.00005, UNIFIED),
    ("3/8-32 UNEF", "effective_diameter", 0.3547, INCH, 0.00005, UNIFIED),
    ("1/16-27 NPT", "effective_diameter", 0.28118, INCH, 0.00001, TAPER),
    ("1/8-27 NPT", "effective_diameter", 0.37360, INCH, 0.00001, TAPER),
    ("1/4-18 NPT", "effective_diameter", 0.49163, INCH, 0.00001, TAPER),
    ("3/8-18 NPT", "effective_diameter", 0.62701, INCH, 0.00001, TAPER),
]


@pytest.mark.parametrize(
    ("designation", "diameter", "printed", "unit", "tolerance", "source"), BASIC_SIZES
)
def test_basic_size_is_the_printed_one(
    designation: str, diameter: str, printed: float, unit: float, tolerance: float, source: str
) -> None:
    calculated = getattr(find_thread(designation), diameter) / unit

    assert calculated == pytest.approx(printed, abs=tolerance + 1e-9), source


# designation, limit, which end of it, printed figure, unit, last place, table
LIMITS = [
    ("1/4-20 UNC", "male_effective", 1, 0.2164, INCH, 0.0001, UNIFIED),
    ("1/4-20 UNC", "male_effective", 0, 0.2127, INCH, 0.0001, UNIFIED),
    ("1/4-20 UNC", "female_effective", 1, 0.2224, INCH, 0.0001, UNIFIED),
    ("1/4-20 UNC", "male_major", 1, 0.2489, INCH, 0.0001, UNIFIED),
    ("1/4-20 UNC", "male_major", 0, 0.2408, INCH, 0.0001, UNIFIED),
    ("1/4-20 UNC", "female_core", 0, 0.196, INCH, 0.0005, UNIFIED),
    ("1/4-20 UNC", "female_core", 1, 0.207, INCH, 0.0005, UNIFIED),
    ("0-80 UNF", "female_core", 0, 0.0465, INCH, 0.0001, UNIFIED),
    ("0-80 UNF", "female_core", 1, 0.0514, INCH, 0.0001, UNIFIED),
    ("4-40 UNC", "female_core", 1, 0.0939, INCH, 0.0001, UNIFIED),
    ("M3", "male_effective", 1, 2.655, MM, 0.0006, "ISO 965 limits, 6g"),
    ("M3", "male_effective", 0, 2.580, MM, 0.0006, "ISO 965 limits, 6g"),
    ("M3", "female_effective", 1, 2.775, MM, 0.0006, "ISO 965 limits, 6H"),
    ("M5", "male_effective", 0, 4.361, MM, 0.0006, "ISO 965 limits, 6g"),
    ("M6", "male_effective", 0, 5.212, MM, 0.0006, "ISO 965 limits, 6g"),
    ("M6", "female_core", 1, 5.153, MM, 0.0006, "ISO 965 limits, 6H"),
    ("M6 x 0.75", "female_effective", 1, 5.645, MM, 0.0006, "ISO 965 limits, 6H"),
    ("M8", "female_core", 1, 6.912, MM, 0.0006, "ISO 965 limits, 6H"),
    ("M10", "male_effective", 1, 8.994, MM, 0.0006, "ISO 965 limits, 6g"),
    ("M10", "female_effective", 1, 9.206, MM, 0.0006, "ISO 965 limits, 6H"),
    ("M10", "male_major", 0, 9.732, MM, 0.0006, "bolted joint handbook, 6g"),
    ("M12 x 1", "female_effective", 1, 11.510, MM, 0.0006, "ISO 965 limits, 6H"),
    ("M12 x 1.5", "female_core", 1, 10.676, MM, 0.0006, "ISO 965 limits, 6H"),
    ("1/8 BSP", "female_core", 1, 8.848, MM, 0.0006, "ISO 228-1: 8.566 + 0.282"),
    ("1/8 BSP", "female_effective", 1, 9.254, MM, 0.0006, "ISO 228-1: 9.147 + 0.107"),
    ("1/4 BSP", "male_effective", 0, 12.176, MM, 0.0006, "ISO 228-1 class A: 12.301 - 0.125"),
]


@pytest.mark.parametrize(
    ("designation", "limit", "end", "printed", "unit", "tolerance", "source"), LIMITS
)
def test_limit_is_the_printed_one(
    designation: str,
    limit: str,
    end: int,
    printed: float,
    unit: float,
    tolerance: float,
    source: str,
) -> None:
    calculated = getattr(limits_of(find_thread(designation)), limit)[end] / unit

    assert calculated == pytest.approx(printed, abs=tolerance), source


@pytest.mark.parametrize(
    ("designation", "pipe_diameter", "gauge_length", "effective_at_small_end"),
    [
        ("1/16-27 NPT", 0.3125, 0.160, 0.27118),
        ("1/8-27 NPT", 0.405, 0.1615, 0.36351),
        ("1/4-18 NPT", 0.540, 0.2278, 0.47739),
        ("3/8-18 NPT", 0.675, 0.240, 0.61201),
        ("1/2-14 NPT", 0.840, 0.320, 0.75843),
        ("3/4-14 NPT", 1.050, 0.339, 0.96768),
        ("1-11.5 NPT", 1.315, 0.400, 1.21363),
    ],
)
def test_taper_pipe_agrees_with_the_formula_of_asme_b1_20_1(
    designation: str, pipe_diameter: float, gauge_length: float, effective_at_small_end: float
) -> None:
    """E0 = D - (0.05 D + 1.1) P and the printed E0, L1 of ASME B1.20.1."""
    thread = find_thread(designation)
    pitch = thread.pitch / INCH
    formula = pipe_diameter - (0.05 * pipe_diameter + 1.1) * pitch
    calculated = (thread.effective_diameter - thread.small_end_offset) / INCH

    assert thread.gauge_length == pytest.approx(gauge_length * INCH)
    assert calculated == pytest.approx(effective_at_small_end, abs=1.5e-5)
    assert calculated == pytest.approx(formula, abs=1.5e-5)


@pytest.mark.parametrize("number", range(17))
def test_ba_follows_the_rule_of_bs_93(number: int) -> None:
    """P = 0.9^n to two figures, D = 6 P^1.2 to two figures, depth 0.6 P to 0.005 mm."""
    thread = find_thread(f"{number} BA")
    exact_pitch = 0.9**number
    pitch = float(f"{exact_pitch:.2g}")
    diameter = float(f"{6 * exact_pitch**1.2:.2g}")

    assert thread.pitch == pytest.approx(pitch * MM)
    assert thread.major_diameter == pytest.approx(diameter * MM)
    assert thread.depth is not None
    assert abs(thread.depth / MM - 0.6 * pitch) <= 0.0025 + 1e-9


@pytest.mark.parametrize(
    ("name", "printed", "source"),
    [
        ("7/32 in", 0.21875, "k/64 in"),
        ("No. 1", 0.2280, "Machinery's Handbook"),
        ("No. 5", 0.2055, "twist drill gauge chart"),
        ("No. 18", 0.1695, "twist drill gauge chart"),
        ("No. 30", 0.1285, "Machinery's Handbook"),
        ("No. 40", 0.0980, "twist drill gauge chart"),
        ("No. 69", 0.0292, "twist drill gauge chart"),
        ("No. 80", 0.0135, "Machinery's Handbook"),
        ("letter A", 0.234, "Machinery's Handbook"),
        ("letter J", 0.277, "Machinery's Handbook"),
        ("letter Q", 0.332, "Machinery's Handbook"),
        ("letter Z", 0.413, "Machinery's Handbook"),
    ],
)
def test_drill_is_the_printed_size(name: str, printed: float, source: str) -> None:
    assert find_drill(name).diameter == pytest.approx(printed * INCH, abs=1e-9), source


@pytest.mark.parametrize(
    ("designation", "medium_tolerance", "source"),
    [
        # T = 0.002 D^(1/3) + 0.003 D^(1/2) + 0.005 P^(1/2), worked by hand for each
        ("1/4 x 40 ME", 0.00355, "BS 84:2007 formula by hand"),
        ("3/16 x 40 ME", 0.00323, "BS 84:2007 formula by hand"),
        ("5/16 x 32 ME", 0.00392, "BS 84:2007 formula by hand"),
        ("3/8 x 26 brass", 0.00426, "BS 84:2007 formula by hand"),
    ],
)
def test_whitworth_medium_tolerance(designation: str, medium_tolerance: float, source: str) -> None:
    least, largest = limits_of(find_thread(designation)).male_effective

    assert (largest - least) / INCH == pytest.approx(medium_tolerance, abs=1e-5), source
