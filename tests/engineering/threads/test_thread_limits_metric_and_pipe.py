"""Limits of size of metric and pipe threads: printed rows, formula ranges, gauge planes."""

from math import radians, sqrt

import pytest

from service.engineering.threads.catalogue import Thread, custom_thread, limits_of, load_series
from service.engineering.threads.catalogue.series import find_thread

MM = 1e-3
INCH = 0.0254


def width(ends: tuple[float, float]) -> float:
    """Least to largest in millimetres."""
    return (ends[1] - ends[0]) / MM


@pytest.mark.parametrize(
    ("designation", "male_effective", "female_effective", "female_core"),
    [
        # ISO 965 limits of 6g and 6H as printed, mm: (largest, least), (least, largest) twice
        ("M3", (2.655, 2.580), (2.675, 2.775), (2.459, 2.599)),
        ("M4", (3.523, 3.433), (3.545, 3.663), (3.242, 3.422)),
        ("M4 x 0.5", (3.655, 3.580), (3.675, 3.775), (3.459, 3.599)),
        ("M5", (4.456, 4.361), (4.480, 4.605), (4.134, 4.334)),
        ("M6", (5.324, 5.212), (5.350, 5.500), (4.917, 5.153)),
        ("M6 x 0.75", (5.491, 5.391), (5.513, 5.645), (5.188, 5.378)),
        ("M8", (7.160, 7.042), (7.188, 7.348), (6.647, 6.912)),
        ("M8 x 1", (7.324, 7.212), (7.350, 7.500), (6.917, 7.153)),
        ("M10", (8.994, 8.862), (9.026, 9.206), (8.376, 8.676)),
    ],
)
def test_metric_limits_are_the_printed_ones(
    designation: str,
    male_effective: tuple[float, float],
    female_effective: tuple[float, float],
    female_core: tuple[float, float],
) -> None:
    limits = limits_of(find_thread(designation))

    for found, printed in (
        (limits.male_effective, male_effective[::-1]),
        (limits.female_effective, female_effective),
        (limits.female_core, female_core),
    ):
        assert tuple(end / MM for end in found) == pytest.approx(printed, abs=0.0007)
    # the allowance g is the same on every diameter of the male
    allowance = find_thread(designation).effective_diameter - limits.male_effective[1]
    basics = (find_thread(designation).major_diameter, find_thread(designation).root_diameter)
    assert basics[0] - limits.male_major[1] == pytest.approx(allowance, abs=1e-9)
    assert basics[1] - limits.male_root[1] == pytest.approx(allowance, abs=1e-9)


def metric(diameter: float, pitch: float) -> Thread:
    """A 60 degree thread of the workshop's own; millimetres."""
    return custom_thread(
        "odd", diameter=diameter * MM, pitch=pitch * MM, included_angle=radians(60)
    )


@pytest.mark.parametrize(
    ("diameter", "pitch", "male", "female"),
    [
        # ISO 965-1 grade 6: a range holds its upper end, not its lower; micrometres
        (5.6, 0.75, 90, 118),
        (5.601, 0.75, 100, 132),
        (11.2, 1.0, 112, 150),
        (11.201, 1.0, 118, 160),
        (22.4, 2.0, 160, 212),
        (22.401, 2.0, 170, 224),
    ],
)
def test_size_range_of_the_metric_table_holds_its_upper_end(
    diameter: float, pitch: float, male: float, female: float
) -> None:
    limits = limits_of(metric(diameter, pitch))

    assert width(limits.male_effective) * 1000 == pytest.approx(male, abs=1e-3)
    assert width(limits.female_effective) * 1000 == pytest.approx(female, abs=1e-3)


def test_size_range_of_the_metric_table_does_not_hold_its_lower_end() -> None:
    """M5.6 x 1 is in no row: 5.6 mm belongs to the range under it, which has no pitch of 1 mm."""
    expected = 90 * sqrt(2.8 * 5.6) ** 0.1

    assert width(limits_of(metric(5.6, 1.0)).male_effective) * 1000 == pytest.approx(expected)


@pytest.mark.parametrize("bound", [1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0])
def test_untabled_size_follows_the_formula_of_its_range(bound: float) -> None:
    """Td2 = 90 P^0.4 d^0.1, d the geometric mean of a range that is bound to bound doubled;
    TD2 = 1.32 Td2 (ISO 965-1); the pitch of 0.43 or 1.43 mm is in no table."""
    pitch = 0.43 if bound < 5 else 1.43
    for diameter, mean in ((bound, bound / sqrt(2)), (bound + 0.001, bound * sqrt(2))):
        limits = limits_of(metric(diameter, pitch))
        expected = 90 * pitch**0.4 * mean**0.1

        assert width(limits.male_effective) * 1000 == pytest.approx(expected, rel=1e-3)
        assert width(limits.female_effective) * 1000 == pytest.approx(1.32 * expected, rel=1e-3)


@pytest.mark.parametrize(
    ("pitch", "core"),
    [
        # 433 P - 190 P^1.22 under 1 mm, 230 P^0.7 from there (ISO 965-1); worked, micrometres
        (0.55, 433 * 0.55 - 190 * 0.55**1.22),
        (0.99, 433 * 0.99 - 190 * 0.99**1.22),
        (1.01, 230 * 1.01**0.7),
        (1.6, 230 * 1.6**0.7),
    ],
)
def test_untabled_pitch_follows_the_formulas(pitch: float, core: float) -> None:
    """es(g) = 15 + 11 P, Td = 180 P^(2/3) - 3.15 P^(-1/2); micrometres (ISO 965-1)."""
    thread = metric(20, pitch)
    limits = limits_of(thread)

    allowance = (thread.major_diameter - limits.male_major[1]) / MM * 1000
    assert allowance == pytest.approx(15 + 11 * pitch, abs=1e-6)
    major = 180 * pitch ** (2 / 3) - 3.15 / sqrt(pitch)
    assert width(limits.male_major) * 1000 == pytest.approx(major, abs=1e-6)
    assert width(limits.female_core) * 1000 == pytest.approx(core, abs=1e-6)


def test_table_and_formula_of_the_metric_system_name_different_sources() -> None:
    assert limits_of(metric(6, 0.75)).source == limits_of(find_thread("M6 x 0.75")).source
    assert limits_of(metric(6, 0.74)).source != limits_of(find_thread("M6 x 0.75")).source


def test_sharp_v_of_an_odd_angle_is_held_as_whitworth_is() -> None:
    """Only the 60 degree forms and BA have systems of their own; the rest take BS 84."""
    odd = custom_thread("odd", diameter=INCH, pitch=INCH / 8, included_angle=radians(53))

    assert width(limits_of(odd).male_effective) * MM / INCH == pytest.approx(0.006768, abs=1e-6)


PIPE = [
    # ISO 228-1, mm: effective, major of the male, core of the female
    ("1/8 BSP", 0.107, 0.214, 0.282),
    ("1/4 BSP", 0.125, 0.250, 0.445),
    ("1/2 BSP", 0.142, 0.284, 0.541),
    ("1 BSP", 0.180, 0.360, 0.640),
]


@pytest.mark.parametrize(("designation", "effective", "major", "core"), PIPE)
@pytest.mark.parametrize(("male_class", "share"), [("A", 1), ("B", 2)])
def test_parallel_pipe_by_iso_228_1(
    designation: str, effective: float, major: float, core: float, male_class: str, share: float
) -> None:
    """Class B doubles the male's effective tolerance and nothing else."""
    thread = find_thread(designation)
    limits = limits_of(thread, male_class=male_class)

    assert width(limits.male_effective) == pytest.approx(share * effective, abs=1e-6)
    assert width(limits.male_major) == pytest.approx(major, abs=1e-6)
    assert width(limits.male_root) == pytest.approx(major, abs=1e-6)
    assert width(limits.female_effective) == pytest.approx(effective, abs=1e-6)
    assert width(limits.female_major) == pytest.approx(effective, abs=1e-6)
    assert width(limits.female_core) == pytest.approx(core, abs=1e-6)
    assert limits.male_effective[1] == pytest.approx(thread.effective_diameter)
    assert limits.female_core[0] == pytest.approx(thread.core_diameter)


@pytest.mark.parametrize(("threads_per_inch", "effective"), [(23.6, 0.107), (23.4, 0.125)])
def test_odd_pipe_thread_takes_the_nearest_row(threads_per_inch: float, effective: float) -> None:
    """28 and 19 threads per inch meet at 23.5."""
    (thread,) = load_series(
        "designation,family,form,diameter,unit,threads_per_inch,source\n"
        f"odd,BSP,Whitworth,10,mm,{threads_per_inch},ours\n"
    )

    assert width(limits_of(thread).male_effective) == pytest.approx(effective, abs=1e-6)


@pytest.mark.parametrize(
    ("designation", "threads_per_inch", "male_turns", "female_turns"),
    [
        ("1/8 BSPT", 28, 1, 1.25),
        ("1/2 BSPT", 14, 1, 1.25),
        ("1/8-27 NPT", 27, 1, 1),
        ("1/2-14 NPT", 14, 1, 1),
    ],
)
def test_gauge_plane_lies_so_many_turns_either_way(
    designation: str, threads_per_inch: float, male_turns: float, female_turns: float
) -> None:
    """ISO 7-1: a turn for the male, a turn and a quarter for the female; ASME B1.20.1: a turn for
    both; the diameter changes by a sixteenth of the way gone."""
    thread = find_thread(designation)
    limits = limits_of(thread)
    turn = INCH / threads_per_inch / 16
    basics = {
        "major": thread.major_diameter,
        "effective": thread.effective_diameter,
        "root": thread.root_diameter,
        "core": thread.core_diameter,
    }

    for side, parts, turns in (
        ("male", ("major", "effective", "root"), male_turns),
        ("female", ("major", "effective", "core"), female_turns),
    ):
        for part in parts:
            ends = (basics[part] - turns * turn, basics[part] + turns * turn)
            assert getattr(limits, f"{side}_{part}") == pytest.approx(ends, abs=1e-9)


def test_source_of_a_taper_follows_its_form() -> None:
    british, national = (limits_of(find_thread(name)) for name in ("1/8 BSPT", "1/8-27 NPT"))

    assert british.source != national.source
