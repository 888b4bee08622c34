"""The drop of a distribution block against an independent solve: scipy, iapws and fluids."""

from math import log, pi, sqrt

import pytest
from fluids.fittings import entrance_sharp
from fluids.friction import friction_factor
from iapws import IAPWS97
from scipy.optimize import brentq

from service.engineering.block import BlockPlan, BlockRequest, Port, RunningCase, plan_block
from service.engineering.block.setting_out import Hole
from service.engineering.threads.catalogue.series import find_thread

GRAMS = 1 / 60e3
PRESSURE = 515e3
ROUGHNESS = 3.2e-6
"""Wall of a drilled hole [m]: common practice."""

FLOWS = (20 * GRAMS, 25 * GRAMS, 15 * GRAMS)
PULSATION = 1.2


def plan_launch_block() -> BlockPlan:
    thread = find_thread("1/4 x 40 ME")
    return plan_block(
        BlockRequest(
            outlets=tuple(Port(thread, spacing=0.016) for _ in FLOWS),
            inlet=Port(thread),
            pressure=PRESSURE,
            drop_budget=15e3,
            cases=(RunningCase("all", FLOWS),),
            pulsation=PULSATION,
        )
    )


def pass_down(
    pressure: float, flow: float, diameter: float, *, loss: float, length: float
) -> float:
    """Pressure after one part: (p1² - p2²) / (p v) = G² [K + f L/d + 2 ln(p1/p2)].

    Isothermal flow with losses, textbook of gas dynamics; friction by fluids, steam by iapws.
    """
    steam = IAPWS97(P=PRESSURE / 1e6, x=1)
    product, flux = PRESSURE * steam.v, flow / (pi / 4 * diameter**2)
    reynolds = flux * diameter / steam.mu
    loss += friction_factor(Re=reynolds, eD=ROUGHNESS / diameter) * length / diameter

    def excess(outlet: float) -> float:
        needed = flux**2 * product * (loss + 2 * log(pressure / outlet))
        return pressure**2 - outlet**2 - needed

    return float(brentq(excess, 0.8 * pressure, pressure, xtol=1e-6))


def follow_to(plan: BlockPlan, goal: int) -> float:
    """Pressure at an outlet, walked down from the inlet piece by piece."""
    outlets = plan.setting_out[1:4]
    flows = [flow * sqrt(PULSATION) for flow in FLOWS]
    # Sharp entry and velocity head; velocity is never recovered.
    pressure = pass_down(PRESSURE, sum(flows), plan.bore, loss=entrance_sharp() + 1, length=0)
    at = 0.0
    for place in range(goal + 1):
        length = outlets[place].x - at
        pressure = pass_down(pressure, sum(flows[place:]), plan.bore, loss=0, length=length)
        at = outlets[place].x
    way = outlets[goal].feed
    assert way is not None
    share = flows[goal] / sum(flows[goal:])
    # TP-410, diverging branch at 90 degrees on its own head: 1 + (v_run/v_branch)², and its head.
    branch = 1 + ((way.diameter / plan.bore) ** 2 / share) ** 2 + 1
    # Counted as deep as one diameter of thread and what lies below it.
    length = 6.35e-3 + lead_floor_and_point(outlets[goal])
    return pass_down(pressure, flows[goal], way.diameter, loss=branch, length=length)


def lead_floor_and_point(hole: Hole) -> float:
    """Two turns of lead, 0.5 mm of floor, and the cone of a 118 degree point."""
    assert hole.feed is not None
    cone = (hole.drill.diameter - hole.feed.diameter) / 2 * 0.600861
    return 2 * 0.635e-3 + 0.5e-3 + cone


@pytest.mark.parametrize("goal", [0, 1, 2])
def test_drop_of_each_outlet_agrees_with_an_independent_walk(goal: int) -> None:
    plan = plan_launch_block()

    drop = next(each for each in plan.drops if each.port == goal + 1)

    # iapws and CoolProp agree to 1e-6; the two friction correlations to 2 %, which is a tenth of
    # the loss: 1 % is what the sources support.
    assert drop.drop.likely == pytest.approx(PRESSURE - follow_to(plan, goal), rel=0.01)
    assert drop.flow == pytest.approx(FLOWS[goal])
