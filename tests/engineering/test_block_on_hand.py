"""A block is planned with the drills, taps and bars that are on hand; what is lacking is said."""

from dataclasses import replace

import pytest

from service.engineering.block import find_section, plan_block
from service.engineering.errors import NoSolution
from service.engineering.kit import Bar, Kit, ThreadTools
from service.engineering.threads.catalogue import all_drills, find_drill
from service.engineering.threads.catalogue.series import find_thread
from service.quantities.wording import word
from tests.engineering.test_block_planning import launch_block

DRILLS = {drill.name for drill in all_drills()}
FEW = tuple(find_drill(name) for name in ("2 mm", "3 mm", "4 mm", "5 mm", "5.6 mm", "7.2 mm"))


def codes(plan):
    return {finding.code for finding in plan.findings if finding.code.startswith("no-")}


def bar(name, length, metal="brass"):
    section = find_section(name)
    return Bar(name, section.shape, section.width, section.height, section.unit, metal, length)


def test_without_a_kit_nothing_is_said_to_be_lacking():
    assert codes(plan_block(launch_block())) == set()


def test_every_operation_names_a_drill_that_is_on_hand():
    plan = plan_block(launch_block(), kit=Kit(drills=FEW))

    named = {word(step.size) for step in plan.operations if step.tool == "twist drill"} & DRILLS
    assert named
    assert named <= {drill.name for drill in FEW}
    assert {hole.drill for hole in plan.setting_out} <= set(FEW)


def test_drills_that_the_request_names_go_before_those_of_the_kit():
    asked = replace(launch_block(), drills=(find_drill("3.2 mm"), find_drill("5.7 mm")))

    plan = plan_block(asked, kit=Kit(drills=FEW))

    assert {hole.drill.name for hole in plan.setting_out} <= {"3.2 mm", "5.7 mm"}


def test_a_thread_that_no_drill_is_near_enough_for_is_named():
    drills = tuple(find_drill(name) for name in ("3 mm", "3.9 mm", "5 mm"))
    plan = plan_block(launch_block(), kit=Kit(drills=drills))

    told = [word(one.text) for one in plan.findings if one.code == "no-drill-near"]
    assert told
    assert any("1/4 x 40 ME" in text and "5 mm" in text for text in told)


def test_drills_that_leave_no_thread_are_refused_by_name():
    """5 mm is wider than 3/16 in."""
    with pytest.raises(NoSolution) as refusal:
        plan_block(launch_block(), kit=Kit(drills=(find_drill("2 mm"), find_drill("5 mm"))))

    assert refusal.value.field == "drills"
    assert "3/16 x 40 ME" in word(refusal.value.message)
    assert "5 mm" in word(refusal.value.message)


def test_a_tap_that_is_not_on_hand_is_named_once():
    threads = {port.thread for port in launch_block().ports}
    some = tuple(ThreadTools(thread, tap=False, die=True) for thread in threads)

    plan = plan_block(launch_block(), kit=Kit(taps_and_dies=some))

    assert sum(one.code == "no-tap-on-hand" for one in plan.findings) == len(threads)
    having = tuple(ThreadTools(thread, tap=True, die=False) for thread in threads)
    assert codes(plan_block(launch_block(), kit=Kit(taps_and_dies=having))) == set()


def test_the_bar_on_the_rack_is_taken_before_a_smaller_one_of_the_trade():
    usual = plan_block(launch_block())

    plan = plan_block(launch_block(), kit=Kit(stock=(bar("1 in square", 0.3),)))

    assert usual.section.area < plan.section.area
    assert plan.section.name == "1 in square"
    assert codes(plan) == set()


@pytest.mark.parametrize(
    "stock",
    [(), (bar("1 in square", 0.02),), (bar("1 in square", 0.3, "bronze"),),
     (bar("1/4 in square", 0.3),)],
)  # fmt: skip
def test_a_rack_that_does_not_do_is_told_of_and_the_trades_bar_is_named(stock):
    plan = plan_block(launch_block(), kit=Kit(stock=stock))

    assert plan.section.name == plan_block(launch_block()).section.name
    (told,) = [one for one in plan.findings if one.code == "no-bar-on-hand"]
    assert plan.section.name in word(told.text)


def test_the_bar_must_be_as_long_as_the_block_and_its_facing():
    """2 mm are left for facing both ends; a nanometre more or less is arithmetic."""
    finished = plan_block(launch_block(), kit=Kit(stock=(bar("1 in square", 0.3),))).length

    lengths = ((2.1e-3, False), (2e-3 - 5e-10, False), (2e-3 - 2e-9, True), (1.9e-3, True))
    for more, lacks in lengths:
        length = finished + more
        plan = plan_block(launch_block(), kit=Kit(stock=(bar("1 in square", length),)))
        assert ("no-bar-on-hand" in codes(plan)) is lacks


def test_of_two_pieces_of_one_bar_the_longer_counts():
    pieces = (bar("1 in square", 0.02), bar("1 in square", 0.3), bar("1 in square", 0.01))

    assert codes(plan_block(launch_block(), kit=Kit(stock=pieces))) == set()


def test_the_workshops_own_minutes_count():
    slow = Kit(times={"hold block": 60.0})

    assert plan_block(launch_block(), kit=slow).minutes > plan_block(launch_block()).minutes + 40
    assert find_thread("1/4 x 40 ME") in {port.thread for port in launch_block().ports}
