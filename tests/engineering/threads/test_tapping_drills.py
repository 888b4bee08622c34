"""Tapping drills: common practice first, its basis named, below core called what it is."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange, UnknownMaterial, Unsuitable
from service.engineering.materials import materials
from service.engineering.threads.catalogue import (
    Thread,
    catalogue,
    diameter_of_percent,
    find_drill,
    judge_drill,
    tapping_drills,
)
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.catalogue.tapping import (
    BASES,
    basis_name,
    find_practice,
    percent_depth,
)
from service.quantities import parse_thread
from service.quantities.wording import figures_in


@pytest.mark.parametrize(
    ("designation", "drill"),
    [
        # 40 threads per inch in brass: size less 1/32 in (common practice)
        ("1/4 x 40 ME", "7/32 in"),
        ("3/16 x 40 ME", "5/32 in"),
        ("7/32 x 40 ME", "3/16 in"),
        ("3/8 x 40 ME", "11/32 in"),
        # BS 1157 style drills of BA threads
        ("0 BA", "5.1 mm"),
        ("1 BA", "4.5 mm"),
        ("2 BA", "4 mm"),
        ("3 BA", "3.4 mm"),
        ("4 BA", "3 mm"),
        ("5 BA", "2.65 mm"),
        ("6 BA", "2.3 mm"),
        ("7 BA", "2.05 mm"),
        ("8 BA", "1.8 mm"),
        ("10 BA", "1.4 mm"),
        # metric rule of size less pitch
        ("M3", "2.5 mm"),
        ("M4", "3.3 mm"),
        ("M5", "4.2 mm"),
        ("M6", "5 mm"),
        ("M10", "8.5 mm"),
        ("M6 x 0.75", "5.25 mm"),
        ("M10 x 1", "9 mm"),
        # Unified charts on the 75 % shop rule
        ("1/4-20 UNC", "No. 7"),
        ("1/4-28 UNF", "No. 3"),
        ("1/4-32 UNEF", "7/32 in"),
        ("2-56 UNC", "No. 50"),
        ("8-32 UNC", "No. 29"),
        ("6-32 UNC", "No. 36"),
        ("10-32 UNF", "No. 21"),
        ("5/16-24 UNF", "letter I"),
        ("3/8-24 UNF", "letter Q"),
        ("3/8-32 UNEF", "11/32 in"),
        ("1/2-28 UNEF", "15/32 in"),
        # pipe
        ("1/8 BSP", "8.8 mm"),
        ("1/4 BSP", "11.8 mm"),
        ("1/4-18 NPT", "7/16 in"),
    ],
)
def test_first_drill_is_that_of_the_trade(designation: str, drill: str) -> None:
    assert tapping_drills(find_thread(designation))[0].drill.name == drill


def test_quarter_by_40_in_brass_is_near_full_depth_on_its_own_basis() -> None:
    best = tapping_drills(find_thread("1/4 x 40 ME"))[0]

    assert best.depth_percent == pytest.approx(97.6, abs=0.05)
    assert best.basis == "2H/3"
    assert not best.below_core


def test_tough_metal_gets_a_larger_hole() -> None:
    thread = find_thread("1/4 x 40 ME")
    brass, steel, stainless = (
        tapping_drills(thread, material=name)[0].drill.diameter
        for name in ("brass", "mild steel", "stainless steel")
    )

    assert brass < steel < stainless


@pytest.mark.parametrize("thread", catalogue(), ids=lambda thread: thread.designation)
def test_no_drill_below_core_is_offered_from_the_full_range(thread: Thread) -> None:
    for material in materials():
        offered = tapping_drills(thread, material=material.name)

        assert offered
        if thread.core_diameter < 0.0495:
            assert not any(drill.below_core for drill in offered)


def test_workshops_own_drills_are_the_only_ones_offered() -> None:
    on_hand = [find_drill("5.7 mm"), find_drill("5 mm"), find_drill("7/32 in")]
    offered = tapping_drills(find_thread("1/4 x 40 ME"), drills=on_hand)

    assert [each.drill.name for each in offered] == ["7/32 in", "5.7 mm"]


def test_a_stand_without_the_right_drill_says_what_the_nearest_are() -> None:
    offered = tapping_drills(find_thread("1/4 x 40 ME"), drills=[find_drill("5 mm")])

    assert offered[0].drill.name == "5 mm"
    assert offered[0].below_core
    assert offered[0].depth_percent > 100


def test_an_empty_stand_is_refused() -> None:
    with pytest.raises(OutOfRange):
        tapping_drills(find_thread("M6"), drills=[])


def test_unknown_material_is_refused() -> None:
    with pytest.raises(UnknownMaterial, match="brass"):
        tapping_drills(find_thread("M6"), material="bras")


def test_practice_names_its_rule_and_source() -> None:
    practice = find_practice(find_thread("3/8 x 40 ME"))

    assert "1.25 pitches" in practice.reason
    assert practice.source == "common practice"


def test_sixty_degree_bases_are_refused_for_other_angles() -> None:
    with pytest.raises(Unsuitable, match="60 degree"):
        percent_depth(find_thread("1/4 x 40 ME"), 0.0055, basis="3H/4")
    with pytest.raises(Unsuitable, match="No basis"):
        percent_depth(find_thread("M6"), 0.005, basis="7H/8")


def test_basis_of_each_form_is_named() -> None:
    assert [basis_name(find_thread(name)) for name in ("2 BA", "M6", "1/8 BSP", "1/8-27 NPT")] == [
        "0.6 P",
        "5H/8",
        "2H/3",
        "0.8 P",
    ]


@pytest.mark.parametrize(
    ("designation", "diameter_mm", "level", "code"),
    [
        ("3/8 x 32 ME", 8.4328, "fail", "drill-below-core"),  # letter Q, a misprinted chart
        ("14 BA", 0.7112, "caution", "drill-below-core"),  # No. 70, a misprinted chart
        ("1/4 x 40 ME", 5.55625, "ok", "drill-near-full"),
        ("1/4 x 40 ME", 5.7, "ok", "drill-sound"),
        ("1/4 x 40 ME", 5.9, "caution", "drill-shallow"),
        ("1/4 x 40 ME", 6.1, "fail", "drill-too-shallow"),
        ("1/4 x 40 ME", 6.35, "fail", "drill-no-thread"),
        ("1/4-40 UNS", 5.55625, "fail", "drill-below-core"),
    ],
)
def test_drill_is_called_what_it_is(
    designation: str, diameter_mm: float, level: str, code: str
) -> None:
    (finding,) = judge_drill(find_thread(designation), diameter_mm / 1000)

    assert (finding.level, finding.code) == (level, code)
    hole = next(figure for called, figure in figures_in(finding.text) if called == "hole")
    assert hole.value == pytest.approx(diameter_mm / 1000)


@given(
    thread=st.sampled_from(catalogue()),
    percent=st.floats(0, 120),
    basis=st.sampled_from(sorted(BASES)),
)
def test_percentage_and_diameter_are_inverse(thread: Thread, percent: float, basis: str) -> None:
    if basis != "own" and basis_name(thread) != "5H/8":
        basis = "own"
    diameter = diameter_of_percent(thread, percent, basis=basis)

    assert percent_depth(thread, diameter, basis=basis) == pytest.approx(percent, abs=1e-6)


@pytest.mark.parametrize("diameter", [0.0, -0.005])
def test_impossible_hole_is_refused(diameter: float) -> None:
    with pytest.raises(OutOfRange):
        judge_drill(find_thread("M6"), diameter)


def geometry(thread: Thread) -> tuple[object, ...]:
    form = thread.form.included_angle, thread.form.internal_depth, thread.form.external_depth
    return (round(thread.major_diameter, 6), round(thread.pitch, 8), thread.taper, *form)


@pytest.mark.parametrize("material", ["brass", "mild steel", "stainless steel"])
def test_one_thread_has_one_answer_whatever_its_name(material: str) -> None:
    answers: dict[tuple[object, ...], set[tuple[str, ...]]] = {}
    for thread in catalogue():
        drills = tuple(one.drill.name for one in tapping_drills(thread, material=material))
        answers.setdefault(geometry(thread), set()).add(drills)

    assert [found for found in answers.values() if len(found) > 1] == []
    assert len(answers) < len(catalogue())  # some have two names: the test has something to see


@pytest.mark.parametrize(
    ("designation", "measured"),
    [("M5 x 0.5", "5 mm x 0.5 mm 60 deg"), ("M8", "8 mm x 1.25 mm 60 deg"),
     ("4-40 UNC", "0.112 in x 40 tpi 60 deg"), ("1/4 x 40 ME", "1/4 in x 40 tpi 55 deg"),
     ("1/4-36 UNS", "1/4 in x 36 tpi 60 deg"), ("1/8 BSP", "9.728 mm x 28 tpi 55 deg")],
)  # fmt: skip
def test_a_measured_thread_is_drilled_as_what_it_is(designation: str, measured: str) -> None:
    own, other = find_thread(designation), parse_thread(measured)

    assert tapping_drills(other)[0].drill == tapping_drills(own)[0].drill


@pytest.mark.parametrize("designation", ["1/8 x 40 ME", "5/32 x 40 ME", "1/8 BSW", "3/16 BSF"])
def test_small_taps_are_not_drilled_to_near_full_depth(designation: str) -> None:
    """Under 3/16 in by 40 the tap is too weak for 98 %: 60 to 90 % as for any Whitworth thread."""
    thread = find_thread(designation)

    assert all(60 <= drill.depth_percent <= 90 for drill in tapping_drills(thread))


def test_chart_is_for_soft_metals_and_for_drills_on_hand() -> None:
    thread = find_thread("M8")
    on_hand = [find_drill("6.7 mm"), find_drill("6.9 mm")]

    assert tapping_drills(thread)[0].reason == "the drill that the charts of the trade give"
    assert "charts" not in tapping_drills(thread, material="stainless steel")[0].reason
    assert {one.drill.name for one in tapping_drills(thread, drills=on_hand)} == {
        "6.7 mm",
        "6.9 mm",
    }
