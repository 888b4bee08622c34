"""Where a tapping hole stops being sound, and which of two drills is taken."""

from math import cos, radians, tan

import pytest

from service.engineering.errors import OutOfRange, UnknownName, Unsuitable
from service.engineering.threads.catalogue import (
    Drill,
    all_drills,
    diameter_of_percent,
    find_drill,
    judge_drill,
    nearest_drill,
    tapping_drills,
)
from service.engineering.threads.catalogue.drills import Series
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.catalogue.tapping import find_practice, percent_depth

MM = 1e-3
INCH = 0.0254
HAIR = 1e-4
SIXTY = 5 / 4 * cos(radians(30))
"""Basic double depth of the 60 degree bolts per pitch: 5H/8 twice, H = cos 30."""

SIZES = {
    # designation: major diameter (a taper's at its small end) and full double depth, mm
    "1/4 x 40 ME": (6.35, 2 * 2 / 3 / (2 * tan(radians(27.5))) * 0.635),
    "1/4 BSW": (6.35, 2 * 2 / 3 / (2 * tan(radians(27.5))) * 1.27),
    "0 BA": (6.0, 1.2),
    "M6": (6.0, SIXTY),
    "1/4-20 UNC": (6.35, SIXTY * 1.27),
    "1/8 BSPT": (9.728 - 4.0 / 16, 2 * 2 / 3 / (2 * tan(radians(27.5))) * 25.4 / 28),
    "1/8-27 NPT": ((0.36351 + 0.8 / 27) * 25.4, 1.6 * 25.4 / 27),
    "1/4 BSP": (13.157, 2 * 2 / 3 / (2 * tan(radians(27.5))) * 25.4 / 19),
}
SHOP = 1.2
"""Depth of the old shop rule, 3H/4, over the basic depth, 5H/8."""


def hole_of(designation: str, percent: float) -> float:
    """The hole that leaves a share of the form's own depth [m]: D - 2h percent / 100."""
    major, double_depth = SIZES[designation]
    return (major - double_depth * percent / 100) * MM


def bands(deepest: float) -> list[tuple[float, str, str]]:
    """Percentages a hair either side of each edge, with what is said of them."""
    return [
        (deepest + 5 + HAIR, "fail", "drill-below-core"),
        (deepest + 5 - HAIR, "caution", "drill-below-core"),
        (deepest + HAIR, "caution", "drill-below-core"),
        (deepest - HAIR, "ok", "drill-near-full"),
        (90 + HAIR, "ok", "drill-near-full"),
        (90 - HAIR, "ok", "drill-sound"),
        (60 + HAIR, "ok", "drill-sound"),
        (60 - HAIR, "caution", "drill-shallow"),
        (50 + HAIR, "caution", "drill-shallow"),
        (50 - HAIR, "fail", "drill-too-shallow"),
        (0 + HAIR, "fail", "drill-too-shallow"),
        (0 - HAIR, "fail", "drill-no-thread"),
    ]


EDGE_OF = {
    "drill-below-core": 100,
    "drill-near-full": 100,
    "drill-sound": 60,
    "drill-shallow": 60,
    "drill-too-shallow": 50,
    "drill-no-thread": 0,
}
"""The edge each verdict is stated against: the one it may not pass, or should have reached [%]."""


@pytest.mark.parametrize(
    ("designation", "percent", "level", "code"),
    [
        *(("1/4 x 40 ME", *band) for band in bands(100)),
        *(("M6", *band) for band in bands(100)),
        *(("1/8 BSPT", *band) for band in bands(110)),
    ],
)
def test_hole_is_judged_by_the_depth_it_leaves(
    designation: str, percent: float, level: str, code: str
) -> None:
    """Common practice: 60 to 90 % sound, under 50 % strips, over 100 % (a taper 110 %) binds."""
    (finding,) = judge_drill(find_thread(designation), hole_of(designation, percent))

    assert (finding.level, finding.code) == (level, code)
    assert finding.value == pytest.approx(percent / 100, abs=2e-7)
    assert finding.limit == pytest.approx(EDGE_OF[code] / 100)


@pytest.mark.parametrize(
    ("designation", "tolerance"), [(name, 0.05 if "NPT" in name else 0.01) for name in SIZES]
)
def test_percentage_is_of_the_familys_own_depth(designation: str, tolerance: float) -> None:
    for percent in (0, 50, 100):
        depth = percent_depth(find_thread(designation), hole_of(designation, percent))
        assert depth == pytest.approx(percent, abs=tolerance)


@pytest.mark.parametrize(("basis", "printed"), [("own", 90.5), ("17H/24", 79.9), ("3H/4", 75.4)])
def test_quarter_by_20_with_no_7_on_three_bases(basis: str, printed: float) -> None:
    """0.201 in in 1/4-20: three charts, three percentages, each as printed."""
    thread = find_thread("1/4-20 UNC")

    assert percent_depth(thread, 0.201 * INCH, basis=basis) == pytest.approx(printed, abs=0.06)
    hole = diameter_of_percent(thread, printed, basis=basis)
    assert hole / INCH == pytest.approx(0.201, abs=5e-5)


@pytest.mark.parametrize("percent", [-HAIR, 120 + HAIR])
def test_percentage_lies_between_nothing_and_120(percent: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        diameter_of_percent(find_thread("M6"), percent)

    assert refusal.value.field == "percent"


def test_percentages_at_the_ends_of_the_range_are_reckoned() -> None:
    thread = find_thread("M6")

    assert diameter_of_percent(thread, 0) == pytest.approx(6 * MM)
    assert diameter_of_percent(thread, 120) == pytest.approx((6 - 1.2 * SIXTY) * MM)


@pytest.mark.parametrize("designation", ["0 BA", "1/8-27 NPT"])
def test_bases_of_the_sixty_degree_bolts_are_for_them_alone(designation: str) -> None:
    """A taper pipe thread has 60 degrees too, but its depth is 0.8 P by its own standard."""
    with pytest.raises(Unsuitable) as refusal:
        percent_depth(find_thread(designation), 5 * MM, basis="17H/24")

    assert refusal.value.field == "basis"


PRACTICE = [
    # designation, metal, percentage aimed at as so many pitches under size over the depth, range
    ("1/4 x 40 ME", "brass", 100 * 1.25 / 1.280655, 75, 98),
    ("1/4 x 40 ME", "mild steel", 100 * 0.9 / 1.280655, 60, 80),
    ("1/4 x 40 ME", "stainless steel", 60, 50, 70),
    ("1/4 BSW", "brass", 100 / 1.280655, 65, 90),
    ("1/4 BSW", "mild steel", 100 * 0.9 / 1.280655, 55, 80),
    ("1/4 BSW", "stainless steel", 60, 50, 70),
    ("1/4 BSP", "brass", 100 / 1.280655, 65, 90),
    ("0 BA", "brass", 100 * 0.92 / 1.2, 65, 90),
    ("0 BA", "mild steel", 100 * 0.84 / 1.2, 55, 80),
    ("0 BA", "stainless steel", 60, 50, 70),
    ("M6", "brass", 100 / 1.299038, 60, 83),
    ("M6", "mild steel", 100 * 0.91 / 1.299038, 55, 80),
    ("M6", "stainless steel", 60, 50, 70),
    ("1/4-20 UNC", "brass", 100 / 1.299038, 60, 83),
    ("1/4-20 UNC", "mild steel", 100 * 0.91 / 1.299038, 55, 80),
    ("1/4-20 UNC", "stainless steel", 60, 50, 70),
    ("1/8 BSPT", "brass", 100, 75, 110),
    ("1/8 BSPT", "mild steel", 100, 75, 110),
    ("1/8-27 NPT", "brass", 100, 75, 110),
    ("1/8-27 NPT", "stainless steel", 100, 75, 110),
]


def own_percent(designation: str, percent: float) -> float:
    """The family's own percentage for one on the basis that its practice is stated on."""
    return percent * (SHOP if designation in ("M6", "1/4-20 UNC") else 1)


def drill_of(designation: str, percent: float, series: Series = "metric") -> Drill:
    hole = hole_of(designation, own_percent(designation, percent))
    return Drill(f"{percent} {series}", hole, series)


@pytest.mark.parametrize(("designation", "material", "aim", "least", "most"), PRACTICE)
def test_drills_within_practice_are_offered_and_no_others(
    designation: str, material: str, aim: float, least: float, most: float
) -> None:
    hair = 0.1  # printed sizes of the taper are rounded
    within = [drill_of(designation, share) for share in (least + hair, most - hair)]
    without = [drill_of(designation, share) for share in (least - hair, most + hair)]
    thread = find_thread(designation)

    offered = tapping_drills(thread, material=material, drills=[*without, *within])

    assert {each.drill.name for each in offered} == {drill.name for drill in within}
    practice = find_practice(thread, material=material)
    assert practice.percent == pytest.approx(aim, abs=0.4)
    for each in offered:
        assert each.depth_percent == pytest.approx(
            own_percent(designation, float(each.drill.name.split()[0])), abs=0.05
        )


AIMS = {"1/4 BSW": 78, "0 BA": 77, "M6": 77, "1/4-20 UNC": 77, "1/4 BSP": 78}


def best_of(designation: str, *drills: Drill) -> str:
    return tapping_drills(find_thread(designation), drills=drills)[0].drill.name


@pytest.mark.parametrize(("designation", "aim"), AIMS.items())
def test_deeper_hole_counts_double(designation: str, aim: float) -> None:
    """Common practice: one part too deep is as bad as two too shallow; then the larger drill."""
    deeper = drill_of(designation, aim + 1)
    nearer, farther, alike = (drill_of(designation, aim - by) for by in (1.98, 2.02, 2.0))

    assert best_of(designation, deeper, nearer) == nearer.name
    assert best_of(designation, deeper, farther) == deeper.name
    assert best_of(designation, deeper, alike) == alike.name


@pytest.mark.parametrize(
    ("designation", "aim", "home", "foreign"),
    [
        ("1/4-20 UNC", 77, "number", "metric"),
        ("1/4-28 UNF", 77, "letter", "metric"),
        ("1/4-32 UNEF", 77, "fraction", "metric"),
        ("1/4-40 UNS", 77, "fraction", "metric"),
        ("1/8-27 NPT", 100, "letter", "metric"),
        ("M6", 77, "metric", "fraction"),
        ("M6 x 0.75", 77, "metric", "letter"),
        ("0 BA", 77, "metric", "number"),
        ("1/4 BSP", 78, "metric", "fraction"),
        ("1/8 BSPT", 100, "metric", "letter"),
    ],
)
def test_drill_of_the_other_system_must_be_ten_per_cent_nearer(
    designation: str, aim: float, home: Series, foreign: Series
) -> None:
    thread = find_thread(designation)
    basis = "3H/4" if aim == 77 and designation != "0 BA" else "own"

    def drill(percent: float, series: Series) -> Drill:
        return Drill(series, diameter_of_percent(thread, percent, basis=basis), series)

    assert best_of(designation, drill(aim, foreign), drill(aim - 9.95, home)) == home
    assert best_of(designation, drill(aim, foreign), drill(aim - 10.05, home)) == foreign
    # the penalty is for a strange drill, not a premium on every one
    assert best_of(designation, drill(aim, home), drill(aim - 1, home)) == home


@pytest.mark.parametrize("designation", ["1/4 x 40 ME", "1/4 BSW", "1/4 x 26 brass", "1/4 BSF"])
def test_whitworth_threads_take_either_system(designation: str) -> None:
    thread = find_thread(designation)
    aim = 97.6 if "ME" in designation else 78
    nearer, farther = (diameter_of_percent(thread, aim - by) for by in (0.5, 1.0))

    for home, other in (("metric", "fraction"), ("fraction", "metric")):
        drills = (Drill("near", nearer, home), Drill("far", farther, other))
        assert best_of(designation, *drills) == "near"


def test_five_drills_are_offered_or_the_three_nearest_of_a_poor_stand() -> None:
    thread = find_thread("1/4 BSW")
    fitting = [drill_of("1/4 BSW", share) for share in (70, 72, 74, 76, 78, 80, 82)]
    coarse = [drill_of("1/4 BSW", share) for share in (30, 35, 40, 45, 50)]

    assert len(tapping_drills(thread, drills=fitting)) == 5
    named = [each.drill.name for each in tapping_drills(thread, drills=coarse)]
    assert named == ["50 metric", "45 metric", "40 metric"]


@pytest.mark.parametrize(("designation", "deepest"), [("1/4 BSW", 100), ("1/8 BSPT", 110)])
def test_offered_drill_says_whether_it_is_below_the_core(designation: str, deepest: float) -> None:
    thread = find_thread(designation)
    for by, is_below in ((0.01, True), (-0.01, False)):
        (offered,) = tapping_drills(thread, drills=[drill_of(designation, deepest + by)])
        assert offered.below_core is is_below


def test_nearest_drill_of_the_full_range() -> None:
    """Between 5.5 and 5.6 mm lies 7/32 in, 5.556 mm; letter E and 1/4 in are one size."""
    assert nearest_drill(5.52 * MM).name == "5.5 mm"
    assert nearest_drill(5.53 * MM).name == "7/32 in"
    assert nearest_drill(5.57 * MM).name == "7/32 in"
    assert nearest_drill(5.58 * MM).name == "5.6 mm"
    assert nearest_drill(6.35 * MM).diameter == pytest.approx(6.35 * MM)
    sizes = [drill.diameter for drill in all_drills()]
    assert nearest_drill(1e-6).diameter == min(sizes)
    assert nearest_drill(1.0).diameter == max(sizes)


@pytest.mark.parametrize(
    ("look_up", "name"), [(find_drill, "5.65 m"), (find_thread, "1/4 x 41 ME")]
)
def test_three_nearest_names_are_offered(look_up, name: str) -> None:
    with pytest.raises(UnknownName) as refusal:
        look_up(name)

    assert len(refusal.value.nearest) == 3
