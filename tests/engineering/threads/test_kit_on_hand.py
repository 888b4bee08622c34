"""What the workshop has decides which tool a step names; what it lacks is said."""

from dataclasses import replace

import pytest

from service.engineering.kit import Bar, Kit, ThreadTools
from service.engineering.threads.catalogue import all_drills, describe_thread, find_drill
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.joint import check_fitting
from service.engineering.threads.remedies import find_remedies, plan_adapter
from service.quantities.wording import word

ME, UNS, BA = (find_thread(name) for name in ("1/4 x 40 ME", "1/4-40 UNS", "2 BA"))
DRILLS = {drill.name for drill in all_drills()}
FEW = tuple(find_drill(name) for name in ("3 mm", "4 mm", "5.5 mm", "5.7 mm", "6 mm", "8 mm"))


def kit_of_drills(*names: str) -> Kit:
    return Kit(drills=tuple(find_drill(name) for name in names))


def codes(findings):
    return {finding.code for finding in findings}


def drills_named(steps):
    drilling = (step for step in steps if "drill" in step.tool)
    return {word(step.size) for step in drilling} & DRILLS


def joint(male=UNS, female=ME, **sizes):
    return MaleEnd(male, 0.00635, **sizes), FemaleEnd(female, 0.008)


def test_without_a_list_of_tools_nothing_is_said_to_be_lacking():
    remedies = find_remedies(*joint())

    told = {code for remedy in remedies for code in codes(remedy.metal_checks)}
    assert not {code for code in told if code.startswith("no-")}


@pytest.mark.parametrize("female", [ME, BA])
@pytest.mark.parametrize("male", [UNS, find_thread("M6")])
def test_every_step_of_every_remedy_names_a_drill_on_hand_or_is_told_that_none_is_near(
    male, female
):
    found = find_remedies(*joint(male, female), kit=Kit(drills=FEW))

    assert any(drills_named(remedy.steps) for remedy in found)
    for remedy in found:
        lacking = drills_named(remedy.steps) - {drill.name for drill in FEW}
        assert not lacking or "no-drill-near" in codes(remedy.metal_checks)


def test_a_drill_outside_practice_is_named_with_the_one_that_is_wanted():
    """1/4 x 40 ME is drilled from 75 to 98 % of full depth in brass: 5.556 to 5.74 mm."""
    told = describe_thread(ME, drills=[find_drill("5.8 mm")])

    (finding,) = told.findings
    assert (finding.level, finding.code) == ("caution", "no-drill-near")
    assert finding.value == pytest.approx(0.0058)
    assert "5.8 mm" in word(finding.text)
    assert describe_thread(ME).tapping_drills[0].drill.name in word(finding.text)


def test_a_drill_that_leaves_no_thread_is_said_to_leave_none():
    (finding,) = describe_thread(ME, drills=[find_drill("8 mm")]).findings

    assert "no thread at all" in word(finding.text)


def test_a_drill_within_practice_needs_no_word():
    assert describe_thread(ME, drills=[find_drill("5.6 mm")]).findings == ()


def test_a_remedy_that_drills_far_from_practice_is_told_so_and_one_that_does_not_is_not():
    kit = kit_of_drills("4 mm", "5.8 mm")
    found = {one.kind: one for one in find_remedies(*joint(ME, BA), kit=kit)}

    assert "no-drill-near" in codes(found["open_out"].metal_checks)
    assert "no-drill-near" not in codes(found["replace"].metal_checks)


def test_want_of_a_tap_or_a_die_is_said_of_the_remedy_that_wants_it():
    kit = Kit(taps_and_dies=(ThreadTools(UNS, tap=True, die=False),))
    recuts = [one for one in find_remedies(*joint(), kit=kit) if one.kind == "recut"]
    by_tool = {("die" if " die " in word(one.summary) else "tap"): one for one in recuts}

    assert "no-die-on-hand" in codes(by_tool["die"].metal_checks)
    assert "no-tap-on-hand" not in codes(by_tool["tap"].metal_checks)
    adapter = next(one for one in find_remedies(*joint(), kit=kit) if one.kind == "adapter")
    assert {"no-die-on-hand"} <= codes(adapter.metal_checks)
    assert "no-tap-on-hand" not in codes(adapter.metal_checks)


def test_a_remedy_whose_tools_are_on_hand_goes_before_one_whose_are_not():
    both = replace(Kit(), taps_and_dies=(ThreadTools(UNS, tap=True, die=True),))
    plain = [one.kind for one in find_remedies(*joint())]
    lacking = [one.kind for one in find_remedies(*joint(), kit=both)]

    assert sorted(plain) == sorted(lacking)
    assert lacking.index("replace") < lacking.index("adapter")


def test_the_verdict_does_not_hang_on_the_tools():
    for kit in (None, Kit(taps_and_dies=()), kit_of_drills("8 mm")):
        assert check_fitting(*joint(), kit=kit).verdict == check_fitting(*joint()).verdict


def nipple(kit=None, bore=0.0032, **more):
    return plan_adapter(MaleEnd(ME, 0.00635), FemaleEnd(UNS, 0.00635), bore=bore, kit=kit, **more)


def test_an_adapter_is_bored_with_the_drill_on_hand_that_is_near_enough():
    plan = nipple(kit_of_drills("3.3 mm", "5.6 mm", "5.8 mm"))

    assert plan.bore == pytest.approx(0.0033)
    assert drills_named(plan.operations) <= {"3.3 mm", "5.6 mm", "5.8 mm"}
    assert "no-drill-near" not in codes(plan.findings)


def test_an_adapter_whose_bore_no_drill_makes_keeps_it_and_says_so():
    plan = nipple(kit_of_drills("3.4 mm", "5.8 mm"))

    assert plan.bore == pytest.approx(0.0032)
    assert "no-drill-near" in codes(plan.findings)


def rack(size, metal="brass", length=0.2):
    return Kit(stock=(Bar("a bar", "hexagon", size, size, "mm", metal, length),))


@pytest.mark.parametrize(
    ("kit", "stock", "lacks"),
    [
        (rack(0.012), "a bar", False),
        (rack(0.005), "3/8 in hexagon", True),
        (rack(0.012, metal="bronze"), "3/8 in hexagon", True),
        (rack(0.012, length=0.010), "3/8 in hexagon", True),
        (None, "3/8 in hexagon", False),
    ],
)
def test_an_adapter_is_made_of_the_bar_on_the_rack(kit, stock, lacks):
    plan = nipple(kit)

    assert plan.stock == stock
    assert ("no-bar-on-hand" in codes(plan.findings)) is lacks


def test_the_shelf_decides_between_threads_of_one_size_for_a_bush():
    usual, other = Kit(), Kit(shelf=("brass", "ME", "metric fine"))

    assert [family.key for family in usual.bush_families()] == ["ME", "brass", "metric fine"]
    assert [family.key for family in other.bush_families()] == ["brass", "ME", "metric fine"]
