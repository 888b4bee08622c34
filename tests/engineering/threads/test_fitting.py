"""The answer for one joint: verdict, findings, and remedies only where they are wanted."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange, UnknownMaterial, Unsuitable
from service.engineering.saturation import saturation_temperature
from service.engineering.threads.catalogue import catalogue
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.joint import FittingCheck, check_fitting
from service.quantities.wording import word

MILLIMETRE = 1e-3
FIVE_BAR = 6.0e5


def check(male: str, female: str, *, pressure: float | None = FIVE_BAR, **sizes) -> FittingCheck:
    bore, boss = sizes.get("bore"), sizes.get("boss")
    length = sizes.get("length", 8 * MILLIMETRE)
    return check_fitting(
        MaleEnd(find_thread(male), length=length, bore=bore),
        FemaleEnd(find_thread(female), depth=length, boss=boss, drilled=sizes.get("drilled")),
        pressure=pressure,
        steam_temperature=pressure and saturation_temperature(pressure),
    )


def codes(answer: FittingCheck) -> set[str]:
    return {finding.code for finding in answer.findings}


@pytest.mark.parametrize(
    ("male", "female", "verdict", "code"),
    [
        ("1/4 x 40 ME", "1/4 x 40 ME", "goes", "same-thread"),
        ("1/4 x 26 brass", "1/4 BSF", "goes", "same-thread"),
        ("1/8 BSPT", "1/8 BSPT", "goes", "same-thread"),
        ("1/4-40 UNS", "1/4 x 40 ME", "goes_with_care", "angle-differs"),
        ("1/4 x 40 ME", "1/4-40 UNS", "goes_with_care", "angle-differs"),
        ("M6", "0 BA", "goes_with_care", "angle-differs"),
        ("1/8 BSPT", "1/8 BSP", "goes_with_care", "taper-into-parallel"),
        ("0 BA", "M6", "make_good", "too-large"),
        ("3/8 x 32 ME", "1/4 x 40 ME", "make_good", "too-large"),
        ("1/4 x 40 ME", "3/8 x 32 ME", "make_good", "too-loose"),
        ("1/4 x 40 ME", "1/4 x 32 ME", "make_good", "pitch-differs"),
        ("1/8 BSP", "M10 x 1", "make_good", "pitch-differs"),
        ("1/8 BSP", "1/8-27 NPT", "make_good", "parallel-into-taper"),
        ("1/8-27 NPT", "1/8 BSP", "make_good", "taper-differs"),
        ("1/2-14 NPT", "1/2 BSPT", "make_good", "taper-differs"),
        ("1/2 BSP", "1/2-14 NPT", "make_good", "parallel-into-taper"),
        ("1/4 x 40 ME", "1/2-14 NPT", "make_good", "too-loose"),
    ],
)
def test_verdict_names_the_first_thing_that_is_wrong(male, female, verdict, code) -> None:
    length = 14 * MILLIMETRE if male.startswith("1/2") else 8 * MILLIMETRE

    answer = check(male, female, length=length)

    assert answer.verdict == verdict
    assert code in codes(answer)


def test_sound_joint_of_one_thread_needs_nothing_made_good() -> None:
    answer = check(
        "1/4 x 40 ME",
        "1/4 x 40 ME",
        bore=3.175 * MILLIMETRE,
        boss=11.1 * MILLIMETRE,
        drilled=5.55625 * MILLIMETRE,
    )

    assert answer.verdict == "goes"
    assert answer.remedies == ()
    assert answer.wall_over_bore == pytest.approx(1.181 * MILLIMETRE, abs=1e-6)
    assert answer.boss_wall == pytest.approx(2.375 * MILLIMETRE, abs=1e-6)
    assert all(finding.level == "ok" for finding in answer.findings)


def test_unlike_angles_are_never_for_a_pressure_shell() -> None:
    answer = check("1/4-40 UNS", "1/4 x 40 ME")

    text = next(finding.text for finding in answer.findings if finding.code == "angle-differs")
    assert "not in a pressure shell" in word(text)
    assert answer.remedies


@pytest.mark.parametrize(
    ("sizes", "code"),
    [
        ({"bore": 5.0 * MILLIMETRE}, "wall-over-bore-too-thin"),
        ({"boss": 6.8 * MILLIMETRE}, "boss-wall-too-thin"),
        ({"length": 2.0 * MILLIMETRE}, "engagement-turns"),
    ],
)
def test_one_thread_without_the_metal_does_not_simply_go(sizes, code) -> None:
    answer = check("1/4 x 40 ME", "1/4 x 40 ME", **sizes)

    assert answer.verdict in ("make_good", "does_not_go")
    assert code in codes(answer)


def test_joint_that_no_remedy_saves_does_not_go() -> None:
    """A boss with no wall, and a bore as large as any thread that fits it."""
    answer = check("1/4 x 40 ME", "1/4 x 40 ME", bore=5.4 * MILLIMETRE, boss=6.5 * MILLIMETRE)

    assert answer.verdict == "does_not_go"
    assert answer.remedies
    assert all(remedy.refused for remedy in answer.remedies)


def test_thin_wall_wants_care() -> None:
    answer = check("1/4 x 40 ME", "1/4 x 40 ME", bore=4.1 * MILLIMETRE)

    assert answer.verdict == "goes_with_care"
    assert "wall-over-bore-thin" in codes(answer)


def test_hole_that_breaks_the_tap_is_told() -> None:
    answer = check("1/4 x 40 ME", "1/4 x 40 ME", drilled=5.4 * MILLIMETRE)

    assert "drill-below-core" in codes(answer)


def test_hole_under_the_core_is_cured_by_opening_it_out_and_by_nothing_else() -> None:
    """7/32 in for 1/4-40 UNS is 115 % of full depth, ASME B1.1: a drill for the 55 degree form."""
    answer = check("1/4-40 UNS", "1/4-40 UNS", drilled=5.55625 * MILLIMETRE)

    assert answer.verdict == "make_good"
    sound = {remedy.kind for remedy in answer.remedies if not remedy.refused}
    assert "recut" in sound
    assert not sound & {"replace", "adapter"}


def test_taper_in_thin_boss_wants_twice_the_wall() -> None:
    parallel = check("1/8 BSP", "1/8 BSP", boss=12 * MILLIMETRE)
    taper = check("1/8 BSPT", "1/8 BSP", boss=12 * MILLIMETRE)

    assert "boss-wall-sound" in codes(parallel)
    assert "boss-wall-thin" in codes(taper)


def test_findings_come_worst_first_and_cautions_name_the_inspector() -> None:
    answer = check("0 BA", "M6", bore=4.4 * MILLIMETRE)

    levels = [finding.level for finding in answer.findings]
    assert levels == sorted(levels, key=["fail", "caution", "ok"].index)
    assert any("inspector" in caution for caution in answer.cautions)
    assert all(working.source for working in answer.workings)


@pytest.mark.parametrize(
    ("male", "female", "field"),
    [
        ({"length": 0.0}, {}, "length"),
        ({"length": -1e-3}, {}, "length"),
        ({"bore": -1e-3}, {}, "bore"),
        ({"bore": 5.6e-3}, {}, "bore"),
        ({"bore": float("nan")}, {}, "bore"),
        ({}, {"depth": 0.0}, "depth"),
        ({}, {"boss": 6.0e-3}, "boss"),
        ({}, {"drilled": 6.4e-3}, "drilled"),
        ({}, {"drilled": 0.0}, "drilled"),
    ],
)
def test_dimension_that_no_fitting_has_is_refused(male, female, field) -> None:
    thread = find_thread("1/4 x 40 ME")

    with pytest.raises(OutOfRange) as refusal:
        check_fitting(MaleEnd(thread, **male), FemaleEnd(thread, **female))
    assert refusal.value.field == field


@pytest.mark.parametrize("pressure", [0.0, -1e5, 5e6, float("nan")])
def test_pressure_out_of_range_is_refused_where_it_is_used(pressure: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        check("0 BA", "M6", pressure=pressure)
    assert refusal.value.field == "pressure"


def test_hotter_steam_wants_a_hotter_sealant() -> None:
    """150 degC is saturated steam of 4.76 bar absolute, IAPWS: the limit of ordinary grades."""
    mild, hot = (
        next(
            remedy.sealing
            for remedy in check("1/4-40 UNS", "1/4 x 40 ME", pressure=pressure).remedies
            if remedy.kind == "recut"
        )
        for pressure in (3.0e5, 4.8e5)
    )

    assert mild.temperature_limit == pytest.approx(423.15)
    assert hot.steam_temperature is not None
    assert hot.steam_temperature > 423.15
    assert hot.temperature_limit > hot.steam_temperature
    assert hot.finding.level == "ok"


def test_unknown_metal_is_refused_by_name() -> None:
    thread = find_thread("1/4 x 40 ME")

    with pytest.raises(UnknownMaterial, match="unobtainium"):
        check_fitting(MaleEnd(thread, material="unobtainium"), FemaleEnd(thread))


def test_unknown_operation_in_the_workshops_table_is_refused() -> None:
    with pytest.raises(Unsuitable, match="polish"):
        check_fitting(
            MaleEnd(find_thread("0 BA")),
            FemaleEnd(find_thread("M6")),
            table_of_times={"polish": 3.0},
        )


@given(
    st.sampled_from(catalogue()),
    st.sampled_from(catalogue()),
    st.floats(0.5, 10),
    st.floats(0, 0.95) | st.none(),
    st.floats(1.02, 3) | st.none(),
)
def test_every_pair_gets_an_answer_that_hangs_together(male, female, turns, bore, boss) -> None:
    fitting = MaleEnd(male, length=turns * male.pitch)
    if bore is not None:
        fitting = MaleEnd(male, length=turns * male.pitch, bore=bore * fitting.bottom)
    socket = FemaleEnd(female, boss=None if boss is None else boss * female.major_diameter)

    answer = check_fitting(fitting, socket, pressure=FIVE_BAR)

    is_sound = all(finding.level != "fail" for finding in answer.findings)
    assert is_sound == (answer.verdict in ("goes", "goes_with_care"))
    refused = [remedy.refused for remedy in answer.remedies]
    assert refused == sorted(refused)
    if answer.verdict == "make_good":
        assert not answer.remedies[0].refused
