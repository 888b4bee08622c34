"""What the steam loses in a block on every sort of way, and where the judgement of it turns."""

from dataclasses import replace
from math import log, pi, radians, sqrt, tan

import pytest
from fluids.fittings import contraction_sharp, entrance_sharp
from fluids.friction import friction_factor
from iapws import IAPWS97
from scipy.optimize import brentq

from service.engineering.block import (
    BlockPlan,
    BlockRequest,
    Port,
    RunningCase,
    Section,
    plan_block,
)
from service.engineering.errors import NoSolution
from service.engineering.findings import Finding
from service.engineering.threads.catalogue import Drill
from service.engineering.threads.catalogue.series import find_thread
from service.quantities.wording import figures_in

MM, INCH = 1e-3, 25.4e-3
GRAM = 1 / 60e3
PRESSURE = 5e5
PULSATION = 1.2
QUARTER, SMALL = find_thread("1/4 x 40 ME"), find_thread("1/8 x 40 ME")
PITCH = INCH / 40
ROUGHNESS = 3.2e-6
"""Wall of a drilled hole [m]: common practice."""
STEAM = IAPWS97(P=PRESSURE / 1e6, x=1)


def drills(*sizes: float) -> tuple[Drill, ...]:
    return tuple(Drill(f"{size} mm", size * MM, "metric") for size in sizes)


def block(*flows: float, **changes) -> BlockPlan:
    """Outlets on a large bar with a bore of 4 mm, fed by ways of 3 mm; flows in grams a minute."""
    steam = tuple(flow * GRAM for flow in flows)
    request = BlockRequest(
        outlets=(Port(QUARTER),) * len(flows),
        inlet=Port(QUARTER),
        pressure=PRESSURE,
        drop_budget=4e5,
        cases=(RunningCase("all", steam),),
        drills=drills(2.64, 3.0, 4.0, 5.55625),
    )
    bar = Section("the bar", "square", 40 * MM, 40 * MM)
    return plan_block(replace(request, **changes), sections=[bar])


def finding(plan: BlockPlan, code: str) -> Finding | None:
    return next((each for each in plan.findings if each.code == code), None)


def pass_down(pressure: float, grams: float, bore: float, *, loss: float, length: float) -> float:
    """Pressure after one part: p1² - p2² = p v G² [K + f L/d + 2 ln(p1/p2)].

    Isothermal flow with losses, textbook of gas dynamics; friction by fluids, steam by iapws.
    """
    flux = grams * GRAM * sqrt(PULSATION) / (pi / 4 * bore**2)
    reynolds = flux * bore / STEAM.mu
    loss += friction_factor(Re=reynolds, eD=ROUGHNESS / bore) * length / bore

    def excess(outlet: float) -> float:
        needed = flux**2 * PRESSURE * STEAM.v * (loss + 2 * log(pressure / outlet))
        return pressure**2 - outlet**2 - needed

    return float(brentq(excess, 0.5 * pressure, pressure, xtol=1e-7))


def way_length(major: float, tapping: float, way: float) -> float:
    """One diameter of thread, two turns of lead, 0.5 mm of floor, and the drill's point."""
    return major + 2 * PITCH + 0.5 * MM + (tapping - way) / 2 * tan(radians(31))


QUARTER_WAY = way_length(6.35 * MM, 5.55625 * MM, 3.0 * MM)
SMALL_END = 5 * PITCH + 2 * PITCH
"""Five turns of 1/8 in x 40, which are one diameter as well, and two of lead."""


def branch_loss(way: float, bore: float, share: float) -> float:
    """TP-410, diverging branch at 90 degrees on its own head, and that head."""
    return 1 + ((way / bore) ** 2 / share) ** 2 + 1


def leave(pressure: float, grams: float, *, share: float) -> float:
    loss = branch_loss(3.0, 4.0, share)
    return pass_down(pressure, grams, 3.0 * MM, loss=loss, length=QUARTER_WAY)


def test_inlet_in_a_face_pays_its_way_a_corner_and_only_the_flow_of_its_own_side() -> None:
    """Two outlets, one on each side. Corner at 90 degrees: 0.42 s + 2.56 s³, s = sin 45."""
    flows = (30.0, 18.0)
    plan = block(*flows, inlet=Port(QUARTER, "top"))
    inlet = plan.setting_out[0].x
    half = sqrt(0.5)
    corner = 0.42 * half + 2.56 * half**3

    entered = pass_down(
        PRESSURE, sum(flows), 3.0 * MM, loss=entrance_sharp() + 1, length=QUARTER_WAY
    )
    for port, grams in enumerate(flows, start=1):
        length = abs(plan.setting_out[port].x - inlet)
        turned = pass_down(entered, grams, 4.0 * MM, loss=corner, length=0)
        run = pass_down(turned, grams, 4.0 * MM, loss=0, length=length)
        out = leave(run, grams, share=1.0)
        (drop,) = [each.drop.likely for each in plan.drops if each.port == port]
        assert drop == pytest.approx(PRESSURE - out, rel=0.01)


def test_port_in_the_far_end_pays_for_its_narrower_hole() -> None:
    plan = block(20.0, ends=(Port(SMALL),), cases=(RunningCase("all", (20 * GRAM,), (15 * GRAM,)),))
    outlet, end = plan.setting_out[1].x, plan.length

    entered = pass_down(PRESSURE, 35.0, 4.0 * MM, loss=entrance_sharp() + 1, length=0)
    past = pass_down(entered, 35.0, 4.0 * MM, loss=0, length=outlet)
    far = pass_down(past, 15.0, 4.0 * MM, loss=0, length=end - outlet)
    narrow = contraction_sharp(4.0, 2.64) + 1 - (2.64 / 4.0) ** 4
    out = pass_down(far, 15.0, 2.64 * MM, loss=narrow, length=SMALL_END)

    drops = {each.port: each.drop.likely for each in plan.drops}
    assert drops[2] == pytest.approx(PRESSURE - out, rel=0.01)
    assert drops[1] == pytest.approx(PRESSURE - leave(past, 20.0, share=20 / 35), rel=0.01)


def test_inlet_narrower_than_the_bore_pays_for_its_own_hole() -> None:
    plan = block(20.0, inlet=Port(SMALL), ends=(Port(QUARTER, "right end"),))
    outlet = plan.setting_out[1].x

    entered = pass_down(PRESSURE, 20.0, 2.64 * MM, loss=entrance_sharp() + 1, length=SMALL_END)
    run = pass_down(entered, 20.0, 4.0 * MM, loss=0, length=outlet)

    assert plan.bore == pytest.approx(4 * MM)
    assert plan.drop.likely == pytest.approx(PRESSURE - leave(run, 20.0, share=1.0), rel=0.01)


def test_end_as_wide_as_the_bore_costs_nothing_of_its_own() -> None:
    plan = block(20.0, ends=(Port(QUARTER),), cases=(RunningCase("end", (0.0,), (15 * GRAM,)),))

    entered = pass_down(PRESSURE, 15.0, 4.0 * MM, loss=entrance_sharp() + 1, length=0)
    out = pass_down(entered, 15.0, 4.0 * MM, loss=0, length=plan.length)
    assert plan.drop.likely == pytest.approx(PRESSURE - out, rel=0.01)


def test_worst_port_of_all_cases_is_the_one_that_is_told() -> None:
    cases = (RunningCase("one", (30 * GRAM, 5 * GRAM)), RunningCase("two", (5 * GRAM, 34 * GRAM)))

    plan = block(0.0, 0.0, cases=cases)

    worst = max(plan.drops, key=lambda each: each.drop.likely)
    assert (worst.case, worst.port) == ("two", 2)
    assert plan.drop == worst.drop
    told = {working.symbol: working.value for working in plan.workings}
    assert told["m"] == pytest.approx(34 * GRAM)


def test_losses_are_spread_by_two_fifths_either_way() -> None:
    """At so small a flow the drop is in proportion to the losses: 40 % (common practice)."""
    drop = block(5.0).drop

    assert drop.high / drop.likely == pytest.approx(1.4, rel=1e-3)
    assert drop.low / drop.likely == pytest.approx(1 / 1.4, rel=1e-3)


@pytest.mark.parametrize(("share", "bore"), [(1 + 1e-6, 4.0), (1 - 1e-6, 5.55625)])
def test_smallest_bore_that_keeps_the_budget_is_drilled(share: float, bore: float) -> None:
    likely = block(30.0).drop.likely

    plan = block(30.0, drop_budget=likely * share)

    assert plan.bore == pytest.approx(bore * MM)
    judged = finding(plan, "block-drop")
    assert judged is not None
    assert judged.level == ("caution" if bore == 4.0 else "ok")


@pytest.mark.parametrize("share", [1 + 1e-6, 1 - 1e-6])
def test_budget_that_the_widest_bore_breaks_is_refused(share: float) -> None:
    only = {"drills": drills(3.0, 5.55625)}
    likely = block(30.0, **only).drop.likely

    if share > 1:
        assert block(30.0, **only, drop_budget=likely * share).bore == pytest.approx(5.55625 * MM)
    else:
        with pytest.raises(NoSolution) as refusal:
            block(30.0, **only, drop_budget=likely * share)
        assert refusal.value.field == "sections"


@pytest.mark.parametrize(("share", "level"), [(1 + 1e-6, "ok"), (1 - 1e-6, "caution")])
def test_budget_that_greater_losses_would_break_is_a_caution(share: float, level: str) -> None:
    only = {"drills": drills(3.0, 5.55625)}
    first = block(30.0, **only)

    plan = block(30.0, **only, drop_budget=first.drop.high * share)

    judged = finding(plan, "block-drop")
    assert judged is not None
    assert judged.level == level
    assert judged.limit == pytest.approx(first.drop.high, rel=1e-5)
    assert judged.value == pytest.approx(plan.drop.likely)


def test_caution_tells_the_spread_that_its_own_figures_show() -> None:
    only = {"drills": drills(3.0, 5.55625)}
    plan = block(5.0, **only, drop_budget=1.2 * block(5.0, **only).drop.likely)

    judged = finding(plan, "block-drop")
    assert judged is not None
    told = {called: figure.value for called, figure in figures_in(judged.text)}
    assert told["spread"] == pytest.approx(plan.drop.high / plan.drop.likely - 1, rel=1e-2)
    assert told["high"] == pytest.approx(plan.drop.high)


def velocity(plan: BlockPlan) -> float:
    return next(working.value for working in plan.workings if working.symbol == "u")


def test_velocity_is_that_of_the_narrowest_way_at_its_own_exit() -> None:
    """m p v / (A p_out): continuity; the swing of the demand counts as more steam."""
    plan = block(30.0)

    flux = 30 * GRAM * sqrt(PULSATION) / (pi / 4 * (3 * MM) ** 2)
    out = PRESSURE - plan.drop.likely
    assert velocity(plan) == pytest.approx(flux * PRESSURE * STEAM.v / out, rel=1e-4)


@pytest.mark.parametrize(("off", "is_told"), [(-1e-4, False), (1e-4, True)])
def test_steam_above_40_metres_a_second_is_quick(off: float, is_told: bool) -> None:
    grams = brentq(lambda flow: velocity(block(flow)) - 40.0 * (1 + off), 5.0, 80.0, xtol=1e-6)
    plan = block(grams)

    judged = finding(plan, "block-velocity")
    assert velocity(plan) == pytest.approx(40.0 * (1 + off), rel=1e-6)
    assert (judged is not None) is is_told
    if judged:
        assert (judged.level, judged.limit) == ("caution", 40.0)


def test_steam_of_an_end_port_counts_only_in_the_cases_that_name_it() -> None:
    cases = (RunningCase("shut", (20 * GRAM,)), RunningCase("open", (20 * GRAM,), (20 * GRAM,)))

    plan = block(20.0, ends=(Port(SMALL),), cases=cases)

    assert {(each.case, each.port) for each in plan.drops} == {
        ("shut", 1), ("open", 1), ("open", 2),
    }  # fmt: skip
    by_case = {each.case: each.drop.likely for each in plan.drops if each.port == 1}
    assert by_case["open"] > by_case["shut"]


def test_pulsation_raises_every_flow_by_its_root() -> None:
    """Four times the mean square passes as twice the steam."""
    steady = block(20.0, pulsation=1.0)
    swinging = block(10.0, pulsation=4.0)

    assert velocity(swinging) == pytest.approx(velocity(steady))
    assert swinging.drop.high == pytest.approx(steady.drop.high)
