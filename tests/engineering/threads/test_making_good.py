"""Remedies: clean metal, walls, order, owners, minutes and sealing."""

import pytest

from service.engineering.constants import CELSIUS
from service.engineering.errors import OutOfRange
from service.engineering.kit import Kit
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import Remedy, find_remedies
from service.engineering.threads.remedies.job_sheet import (
    choose_speed_class,
    find_standard_time,
    standard_times,
)
from service.engineering.threads.remedies.sealing import choose_sealing
from service.quantities.wording import word

MILLIMETRE = 1e-3


def remedies(male: str, female: str, *, male_end=None, female_end=None, **circumstances):
    return find_remedies(
        MaleEnd(find_thread(male), **{"length": 8 * MILLIMETRE, **(male_end or {})}),
        FemaleEnd(find_thread(female), **{"depth": 8 * MILLIMETRE, **(female_end or {})}),
        **circumstances,
    )


def of_kind(kind: str, found: tuple[Remedy, ...]) -> list[Remedy]:
    return [remedy for remedy in found if remedy.kind == kind]


def codes(remedy: Remedy) -> set[str]:
    return {finding.code for finding in remedy.metal_checks}


@pytest.mark.parametrize(
    ("outside", "inside", "wall", "refused"),
    [
        ("3/8 x 32 ME", "1/4 x 40 ME", 1.079, False),
        ("3/8 x 40 ME", "1/4 x 40 ME", 1.181, False),
        ("7/16 x 32 ME", "1/4 x 40 ME", 1.873, False),
        ("1/2 x 26 ME", "3/8 x 32 ME", 0.962, False),
        ("5/16 x 40 ME", "1/4 x 40 ME", 0.387, True),
        ("5/16 x 32 ME", "1/4 x 40 ME", 0.285, True),
        ("1/4 x 40 ME", "3/16 x 40 ME", 0.387, True),
        ("5/16 x 32 ME", "3/16 x 40 ME", 1.079, False),
    ],
)
def test_wall_of_a_bush_decides_whether_it_is_made(outside, inside, wall, refused) -> None:
    """Walls by (bottom of the outside thread - inside major diameter) / 2, reckoned apart."""
    bush = next(
        remedy
        for remedy in of_kind("bush", remedies(inside, outside))
        if word(remedy.summary).startswith("Make a bush")
    )

    assert bush.wall_left == pytest.approx(wall * MILLIMETRE, abs=1e-6)
    assert bush.refused is refused


@pytest.mark.parametrize(
    ("old", "new", "is_clean"),
    [
        ("1/8 BSP", "5/16 x 32 ME", True),
        ("1/8 BSP", "3/8 x 32 ME", False),
        ("3/8 x 32 ME", "5/16 x 32 ME", True),
        ("1/4 x 40 ME", "3/16 x 40 ME", True),
        ("1/4 x 26 brass", "2 BA", True),
        ("M10 x 1", "5/16 x 40 ME", True),
        ("M8 x 1", "1/4 x 40 ME", True),
        ("M6", "3/16 x 40 ME", True),
    ],
)
def test_turned_down_male_is_clean_when_the_new_thread_lies_within_the_old_root(
    old, new, is_clean
) -> None:
    """The trade's list of what can be made of the end of a bought fitting."""
    (remedy,) = of_kind("turn_down", remedies(old, new))

    assert ("old-groove-gone" in codes(remedy)) is is_clean
    assert remedy.refused is not is_clean


def test_male_is_never_turned_down_to_a_larger_thread() -> None:
    assert not of_kind("turn_down", remedies("1/4 x 40 ME", "3/8 x 32 ME"))


def test_opened_out_female_is_clean_when_the_new_drill_takes_the_old_thread() -> None:
    (clean,) = of_kind("open_out", remedies("3/8 x 32 ME", "1/4 x 40 ME"))
    (remnant,) = of_kind("open_out", remedies("1/4 x 26 brass", "1/4 x 40 ME"))

    assert "old-groove-gone" in codes(clean)
    assert not clean.refused
    assert "old-groove-left" in codes(remnant)
    assert remnant.refused
    assert remnant.refusal is not None
    assert remnant.refusal.value is not None


@pytest.mark.parametrize(
    ("male", "female", "count"),
    [
        ("1/4-40 UNS", "1/4 x 40 ME", 2),
        ("5/16 x 32 ME", "5/16-32 UNEF", 2),
        ("M6", "0 BA", 2),
        ("1/4 x 40 ME", "1/4 x 32 ME", 0),
        ("5/16 x 32 ME", "M8 x 0.75", 0),
        ("1/4 x 40 ME", "3/8 x 40 ME", 0),
        ("1/4 x 40 ME", "1/4 x 40 ME", 0),
    ],
)
def test_re_cutting_is_offered_only_where_the_helix_survives(male, female, count) -> None:
    assert len(of_kind("recut", remedies(male, female))) == count


def test_re_cutting_unlike_angles_takes_off_hundredths_of_a_millimetre() -> None:
    """Common practice: about 0.01 to 0.04 mm comes off at 40 and 32 threads per inch."""
    for male, female in (("1/4-40 UNS", "1/4 x 40 ME"), ("5/16 x 32 ME", "5/16-32 UNEF")):
        for remedy in of_kind("recut", remedies(male, female)):
            removed = next(
                finding.value for finding in remedy.metal_checks if finding.code == "helix-survives"
            )
            assert 0.005 * MILLIMETRE < removed < 0.04 * MILLIMETRE


def test_hole_too_small_for_the_new_tap_is_opened_out_first() -> None:
    """7/32 in is below the core of 1/4-40 UNS, ASME B1.1."""
    recut = of_kind(
        "recut", remedies("1/4-40 UNS", "1/4 x 40 ME", female_end={"drilled": 5.55625e-3})
    )

    female = next(remedy for remedy in recut if "tap through" in word(remedy.summary))
    assert any("Open the crests out" in word(step.text) for step in female.steps)


def test_order_is_safety_then_reversible_then_minutes() -> None:
    found = remedies("1/8 BSP", "1/4 x 40 ME", female_end={"boss": 11 * MILLIMETRE})

    severity = {"ok": 0, "caution": 1, "fail": 2}
    keys = [
        (
            max(severity[finding.level] for finding in remedy.metal_checks),
            not remedy.reversible,
            remedy.minutes,
        )
        for remedy in found
    ]
    assert keys == sorted(keys)
    assert found[-1].refused
    assert len({key[0] for key in keys}) == 3


def test_refused_remedy_shows_the_figure_that_refuses_it() -> None:
    found = remedies("1/8 BSP", "1/4 x 40 ME", female_end={"boss": 11 * MILLIMETRE})

    for remedy in found:
        assert remedy.refused == (remedy.refusal is not None)
        if remedy.refusal is not None:
            assert remedy.refusal.level == "fail"
            assert remedy.refusal.limit is not None


def test_cutting_the_customers_part_wants_a_yes_first() -> None:
    found = remedies("1/4-40 UNS", "1/4 x 40 ME", male_end={"owner": "customer"})

    male, female = (
        next(remedy for remedy in of_kind("recut", found) if tool in word(remedy.summary))
        for tool in ("die over", "tap through")
    )
    assert (male.alters_customers_property, male.decision_wanted) == (True, True)
    assert (female.alters_customers_property, female.decision_wanted) == (False, False)


def test_setting_the_customers_part_aside_wants_a_yes_but_alters_nothing() -> None:
    found = remedies("1/4-40 UNS", "1/4 x 40 ME", male_end={"owner": "customer"})

    (replaced,) = of_kind("replace", found)
    assert (replaced.alters_customers_property, replaced.decision_wanted) == (False, True)
    (adapter,) = of_kind("adapter", found)
    assert (adapter.alters_customers_property, adapter.decision_wanted) == (False, False)


def test_steps_are_numbered_and_their_minutes_add_up() -> None:
    for remedy in remedies("1/8 BSP", "1/4 x 40 ME"):
        assert [step.number for step in remedy.steps] == list(range(1, len(remedy.steps) + 1))
        assert remedy.minutes == pytest.approx(sum(step.minutes for step in remedy.steps))
        assert all(step.text and step.tool for step in remedy.steps)


def test_workshops_own_times_take_the_place_of_the_standard_ones() -> None:
    (standard,) = of_kind("replace", remedies("0 BA", "M6"))
    (own,) = of_kind("replace", remedies("0 BA", "M6", kit=Kit(times={"order": 100.0})))

    assert own.minutes - standard.minutes == pytest.approx(
        100 - find_standard_time("order").minutes
    )


def test_every_standard_time_is_sourced_and_sound() -> None:
    for time in standard_times().values():
        assert time.source
        assert time.tool
        assert 0 <= time.minutes <= 120


@pytest.mark.parametrize("minutes", [-1.0, 601.0, float("nan")])
def test_unsound_time_is_refused(minutes: float) -> None:
    with pytest.raises(OutOfRange, match="order"):
        remedies("0 BA", "M6", kit=Kit(times={"order": minutes}))


@pytest.mark.parametrize(
    ("diameter", "material", "speed"),
    [(3e-3, "brass", "fast"), (12e-3, "mild steel", "medium"), (25e-3, "stainless steel", "slow")],
)
def test_speed_class_falls_with_diameter_and_toughness(diameter, material, speed) -> None:
    assert choose_speed_class(diameter, material) == speed


def test_sealant_is_chosen_against_the_steam() -> None:
    cool = choose_sealing("thread", steam_temperature=CELSIUS + 130)
    hot = choose_sealing("thread", steam_temperature=CELSIUS + 155)
    too_hot = choose_sealing("thread", steam_temperature=CELSIUS + 250)

    assert cool.temperature_limit < hot.temperature_limit
    assert (cool.finding.level, hot.finding.level) == ("ok", "ok")
    assert too_hot.finding.level == "fail"


def test_sealant_that_cannot_fill_the_gap_is_refused() -> None:
    assert choose_sealing("thread", gap=0.5 * MILLIMETRE).finding.level == "fail"


def test_plugging_warns_of_the_heat() -> None:
    (plug,) = of_kind("plug", remedies("0 BA", "M6"))

    assert "silver-solder-heat" in codes(plug)
    assert not plug.reversible


def test_replacing_may_be_longer_than_the_old_fitting() -> None:
    found = find_remedies(
        MaleEnd(find_thread("1/4 x 40 ME"), length=2 * MILLIMETRE),
        FemaleEnd(find_thread("1/4 x 40 ME"), depth=6 * MILLIMETRE),
    )

    assert not of_kind("replace", found)[0].refused
