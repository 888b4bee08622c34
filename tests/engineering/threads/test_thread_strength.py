"""Engagement: what carries, what pulls, how much thread is wanted."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import NoSolution, OutOfRange, UnknownMaterial
from service.engineering.materials import find_material, materials
from service.engineering.threads.catalogue import Thread, catalogue, limits_of
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.strength import (
    LEAST_TURNS,
    Engagement,
    end_load,
    engagement,
    needed_length,
    spanner_load,
)
from service.engineering.threads.strength.areas import (
    female_shear_area,
    male_shear_area,
    neck_area,
    stress_area,
)

MM = 1e-3
BAR = 1e5
ME = "1/4 x 40 ME"


def engage(designation: str = ME, **changes: float | str | None) -> Engagement:
    thread = find_thread(designation)
    given_joint = {
        "length": 5 * MM,
        "bore": 3 * MM,
        "drilled": 7 / 32 * 0.0254,
        "male_material": "bronze",
        "female_material": "brass",
        "pressure": 4 * BAR,
    } | changes
    return engagement(thread, thread, **given_joint)


def level_of(result: Engagement, code: str) -> str:
    return next(finding.level for finding in result.findings if finding.code == code)


def test_a_sound_steam_joint_has_only_good_findings() -> None:
    result = engage()

    assert {finding.level for finding in result.findings} == {"ok"}
    assert result.turns == pytest.approx(5 / 0.635)
    assert result.governing == "male neck"
    assert result.governing_load == "spanner"


def test_steam_end_load_is_pressure_on_the_major_diameter() -> None:
    """Worked: 5.5 bar on 1/4 in is 17 N."""
    assert end_load(0.0254 / 4, 5.5 * BAR) == pytest.approx(17.4, abs=0.05)
    assert end_load(find_thread(ME), 5.5 * BAR) == end_load(0.0254 / 4, 5.5 * BAR)


def test_torque_becomes_load_by_the_nut_factor() -> None:
    """Machinery's Handbook: T = 0.2 F D, so 1 N m on 5 mm pulls 1000 N."""
    assert spanner_load(5 * MM, torque=1.0) == pytest.approx(1000)
    assert spanner_load(5 * MM, torque=0.0) == 0


def test_no_pressure_means_no_factor_on_it() -> None:
    result = engage(pressure=0.0)

    assert result.factor is None
    assert result.end_load == 0


def test_a_bore_that_eats_the_neck_fails() -> None:
    result = engage(bore=5.7 * MM)

    assert result.tensile_area < 1e-6
    assert level_of(result, "engagement-spanner") == "fail"
    assert result.governing == "male neck"


def test_few_turns_are_said_to_be_few() -> None:
    levels = [
        level_of(engage(length=turns * 0.635 * MM), "engagement-turns") for turns in (3, 4.5, 6)
    ]

    assert levels == ["fail", "caution", "ok"]


def test_threads_that_miss_one_another_hold_nothing() -> None:
    result = engagement(
        find_thread("3/16 x 40 ME"),
        find_thread(ME),
        length=5 * MM,
        male_material="brass",
        female_material="brass",
        pressure=4 * BAR,
    )

    assert result.overlap < 0
    assert result.strength == 0
    assert result.needed_length is None
    assert result.findings[0].level == "fail"


def test_workings_name_their_sources() -> None:
    assert all(working.source and working.formula for working in engage().workings)


def test_findings_come_worst_first() -> None:
    levels = [finding.level for finding in engage(length=2 * MM, bore=5.2 * MM).findings]

    assert levels == sorted(levels, key=["fail", "caution", "ok"].index)
    assert levels[0] == "fail"


def test_needed_length_grows_as_metal_gets_weaker() -> None:
    thread = find_thread(ME)
    lengths = [
        needed_length(
            thread, thread, load=20_000, drilled=5.6 * MM, male_material=name, female_material=name
        )
        for name in ("stainless steel", "mild steel", "brass", "bronze", "gunmetal", "copper")
    ]

    assert lengths == sorted(lengths)
    assert lengths[0] < lengths[-1]


def test_needed_length_is_never_under_five_turns() -> None:
    thread = find_thread(ME)
    length = needed_length(
        thread, thread, load=1, drilled=5.6 * MM, male_material="brass", female_material="brass"
    )

    assert length == LEAST_TURNS * thread.pitch


def test_needed_length_of_threads_that_miss_has_no_answer() -> None:
    with pytest.raises(NoSolution):
        needed_length(
            find_thread(ME),
            find_thread(ME),
            load=1,
            drilled=6.4 * MM,
            male_material="brass",
            female_material="brass",
        )


@pytest.mark.parametrize("thread", catalogue(), ids=lambda thread: thread.designation)
def test_full_strength_takes_about_three_quarters_of_a_diameter(thread: Thread) -> None:
    """Common practice: 0.8 D for a standard nut, less for a fine thread's neat fit."""
    if thread.is_taper:
        return
    shorn = male_shear_area(thread, thread.major_diameter, hole=limits_of(thread).female_core[1])
    assert 0.5 < 2 * stress_area(thread) / shorn < 1.1


@given(
    length=st.floats(0.001, 0.02),
    hole=st.floats(5.54, 5.9),
    name=st.sampled_from([ME, "1/4-40 UNS", "1/4 BSF"]),
)
def test_male_shear_area_grows_with_length_and_with_depth(
    length: float, hole: float, name: str
) -> None:
    thread = find_thread(name)
    area = male_shear_area(thread, length, hole=hole * MM)

    assert male_shear_area(thread, 2 * length, hole=hole * MM) == pytest.approx(2 * area)
    assert male_shear_area(thread, length, hole=(hole + 0.05) * MM) < area
    assert area < pi * hole * MM * length


@given(bore=st.floats(0, 0.01))
def test_bore_takes_its_own_area_from_the_neck(bore: float) -> None:
    thread = find_thread(ME)
    left = neck_area(thread, bore=bore)

    assert left == pytest.approx(max(stress_area(thread) - pi / 4 * bore**2, 0), abs=1e-15)


def test_wider_flanks_lose_less_to_a_loose_fit() -> None:
    """At the effective diameter the shorn width is half a pitch, whatever the angle."""
    for name in (ME, "1/4-40 UNS", "2 BA", "M6"):
        thread = find_thread(name)
        effective = thread.effective_diameter
        area = female_shear_area(thread, 0.01, male_major=effective, effective=effective)
        assert area == pytest.approx(pi * effective * 0.01 / 2)


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("length", {"length": 0.0}),
        ("bore", {"bore": -1.0}),
        ("pressure", {"pressure": -1.0}),
        ("hole", {"drilled": 0.0}),
        ("torque", {"torque": -1.0}),
        ("length", {"length": float("nan")}),
    ],
)
def test_impossible_joint_is_refused_by_field(field: str, changes: dict[str, float]) -> None:
    with pytest.raises(OutOfRange) as refusal:
        engage(**changes)

    assert refusal.value.field == field


def test_unknown_material_names_the_nearest() -> None:
    with pytest.raises(UnknownMaterial, match="gunmetal"):
        engage(male_material="gun metal")


def test_capitals_do_not_matter_in_a_material() -> None:
    assert find_material("Brass") is find_material("brass")


def test_materials_of_the_trade_are_there_with_sources() -> None:
    names = {material.name for material in materials()}

    assert {"brass", "gunmetal", "bronze", "copper", "mild steel", "stainless steel"} <= names
    for material in materials():
        assert 0.4 <= material.hot_share <= 1
        assert material.shear_strength < material.steam_strength <= material.tensile_strength
        assert material.source
