"""How the steam's loss in a block follows from its flows."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engineering.block import (
    BlockPlan,
    BlockRequest,
    Port,
    RunningCase,
    Section,
    plan_block,
)
from service.engineering.threads.catalogue import find_drill
from service.engineering.threads.catalogue.series import find_thread

GRAMS = 1 / 60e3
BAR = (Section("30 mm square", "square", 0.030, 0.030),)


def plan_with(flows: tuple[float, ...], **changes: object) -> BlockPlan:
    """A block of four outlets with an open budget, so that the bore stays the same."""
    thread = find_thread("1/4 x 40 ME")
    request = BlockRequest(
        outlets=tuple(Port(thread) for _ in flows),
        inlet=Port(thread),
        pressure=5e5,
        drop_budget=4e5,
        cases=(RunningCase("case", flows),),
        drills=tuple(find_drill(name) for name in ("4 mm", "5 mm", "7/32 in")),
    )
    return plan_block(replace(request, **changes), sections=BAR)  # type: ignore[arg-type]


grams = st.floats(0.5, 15.0)


@settings(max_examples=60)
@given(st.tuples(grams, grams, grams, grams), st.integers(0, 3))
def test_closing_one_outlet_never_raises_the_loss_of_another(
    flows: tuple[float, ...], closed: int
) -> None:
    steam = tuple(flow * GRAMS for flow in flows)
    fewer = tuple(0.0 if place == closed else flow for place, flow in enumerate(steam))

    before = {drop.port: drop.drop.likely for drop in plan_with(steam).drops}
    after = {drop.port: drop.drop.likely for drop in plan_with(fewer).drops}

    assert set(after) == set(before) - {closed + 1}
    assert all(drop <= before[port] * (1 + 1e-6) for port, drop in after.items())


@settings(max_examples=60)
@given(st.tuples(grams, grams, grams, grams), st.floats(1.0, 2.0))
def test_more_steam_through_every_port_never_costs_less(
    flows: tuple[float, ...], factor: float
) -> None:
    steam = tuple(flow * GRAMS for flow in flows)

    before = [drop.drop.likely for drop in plan_with(steam).drops]
    after = [drop.drop.likely for drop in plan_with(tuple(flow * factor for flow in steam)).drops]

    assert all(later >= earlier * (1 - 1e-6) for earlier, later in zip(before, after, strict=True))


def test_a_small_flow_costs_the_square_of_itself() -> None:
    one, two = (plan_with((flow * GRAMS, 0.0)).drops[0].drop.likely for flow in (10.0, 20.0))

    # Turbulent at both; expansion and the falling friction factor are all that is between.
    assert two / one == pytest.approx(4, rel=0.06)


def test_pulsation_counts_as_more_steam() -> None:
    steady = plan_with((20 * GRAMS,), pulsation=1.0).drops[0]
    pulsing = plan_with((10 * GRAMS,), pulsation=4.0).drops[0]

    assert pulsing.drop.likely == pytest.approx(steady.drop.likely, rel=1e-6)
    assert pulsing.flow == pytest.approx(steady.flow / 2)


def test_a_port_that_is_shut_has_no_loss_to_report() -> None:
    plan = plan_with((10 * GRAMS, 0.0, 10 * GRAMS))

    assert [drop.port for drop in plan.drops] == [1, 3]
