"""The tree of passages: balances hold, nothing falls that should rise, and slopes have no step."""

from dataclasses import replace
from itertools import pairwise
from math import exp, log, pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import OutOfRange
from service.engineering.steam.engine import Engine
from service.engineering.steam.network import (
    LOAD_KINDS,
    EngineOnBranch,
    Load,
    OpenOutlet,
    trace_engine,
)
from service.engineering.steam.network.demand_curve import trace_open_outlet
from service.engineering.steam.network.network import assess, begin, search, settle
from service.engineering.steam.network.network_tree import Branch, Network, Settled
from service.engineering.steam.passages import (
    Bore,
    Corner,
    Line,
    Loss,
    Pipe,
    StopValve,
    Valve,
    climb,
    find_expanding_steam,
    join_segments,
    trace_line,
)
from service.engineering.steam.passages.expanding_steam import find_inlet_pressure
from service.engineering.steam.properties import water_enthalpy

LIMIT = 5e5 + ATMOSPHERE
FEED = water_enthalpy(LIMIT, 288.15)

millimetres = st.floats(1.5, 6.0).map(lambda bore: bore * 1e-3)
elements = st.one_of(
    st.builds(Bore, millimetres, st.floats(0, 0.1)),
    st.builds(Pipe, millimetres, st.floats(0, 1.0)),
    st.builds(Loss, millimetres, st.floats(0.5, 30.0)),
    st.builds(Corner, millimetres),
    millimetres.flatmap(
        lambda bore: st.builds(StopValve, st.just(bore), st.floats(0.08 * bore, 0.4 * bore))
    ),
)
lines = st.lists(elements, min_size=1, max_size=4).map(trace_line)


@st.composite
def outlets(draw: st.DrawFn) -> EngineOnBranch:
    size = draw(st.floats(0.010, 0.028))
    acting = draw(st.sampled_from(["single", "double"]))
    engine = Engine(
        name="engine",
        bore=size,
        stroke=size,
        cylinders=1,
        acting=acting,
        speed=8.0,
        cut_off=0.8,
        clearance=0.1,
        condensation=0.8,
    )
    pressure = draw(st.floats(2e5, 4e5)) + ATMOSPHERE
    return EngineOnBranch(
        engine, Load(draw(st.sampled_from(LOAD_KINDS)), draw(st.floats(3.0, 15.0)), pressure)
    )


branches = st.builds(
    lambda line, outlet: (line, outlet.pulsation_factor, trace_engine(outlet, condensation=0.8)),
    lines,
    outlets(),
)
trees = st.tuples(lines, st.lists(branches, min_size=1, max_size=4), st.floats(80.0, 4000.0))
Tree = tuple[Line, list[tuple[Line, float, object]], float]


def build(tree: Tree, *, feed: float | None = FEED, limit: float = LIMIT) -> Network:
    trunk, ways, heat = tree
    return Network(
        trunk=join_segments(trunk),
        branches=tuple(Branch(join_segments(line), pulse, curve) for line, pulse, curve in ways),
        net_heat=heat,
        feed_enthalpy=feed,
        pressure_limit=limit,
    )


@given(trees, st.sampled_from([FEED, None]))
@settings(max_examples=120, deadline=None)
def test_settled_network_keeps_mass_heat_and_every_pressure_drop(
    tree: Tree, feed: float | None
) -> None:
    network = build(tree, feed=feed)

    found = settle(network)

    steam = network.find_steam(found.boiler_pressure)
    assert found.flow == pytest.approx(sum(drawn.flow for drawn in found.drawn), rel=1e-9)
    for (line, pulsation, _), drawn in zip(tree[1], found.drawn, strict=True):
        reached = find_inlet_pressure(
            line,
            find_expanding_steam(found.block_pressure),
            flow=drawn.flow * sqrt(pulsation),
            outlet_pressure=drawn.pressure,
        )
        assert reached == pytest.approx(found.block_pressure, rel=1e-6)
    surge = sum(
        (pulsation - 1) * drawn.flow**2
        for (_, pulsation, _), drawn in zip(tree[1], found.drawn, strict=True)
    )
    reached = find_inlet_pressure(
        tree[0],
        steam.expanding,
        flow=sqrt(found.flow**2 + surge),
        outlet_pressure=found.block_pressure,
    )
    assert reached == pytest.approx(found.boiler_pressure, rel=1e-6)
    assert found.flow * steam.heat <= network.net_heat * (1 + 1e-6)
    assert found.boiler_pressure <= LIMIT * (1 + 1e-9)
    if found.heat_bound:
        assert found.flow * steam.heat == pytest.approx(network.net_heat, rel=1e-6)
    else:
        assert found.boiler_pressure == pytest.approx(LIMIT, rel=1e-9)


@given(trees)
@settings(max_examples=40, deadline=None)
def test_newton_and_halving_find_the_same_pressures(tree: Tree) -> None:
    network = build(tree)

    quick = settle(network)
    slow, worst = assess(network, search(network, begin(network)))

    assert worst < 1e-5
    assert slow.boiler_pressure == pytest.approx(quick.boiler_pressure, rel=1e-6)
    assert slow.block_pressure == pytest.approx(quick.block_pressure, rel=1e-6)


@given(trees, st.floats(1.001, 3.0))
@settings(max_examples=100, deadline=None)
def test_more_boiler_heat_never_lowers_a_speed(tree: Tree, factor: float) -> None:
    network = build(tree)

    before = settle(network)
    after = settle(replace(network, net_heat=network.net_heat * factor))

    assert_no_part_falls(before, after)


@given(trees, st.floats(1.01, 2.0))
@settings(max_examples=100, deadline=None)
def test_opening_out_the_trunk_never_lowers_a_flow(tree: Tree, factor: float) -> None:
    trunk, ways, heat = tree
    wider = trace_line(
        replace(part, diameter=part.diameter * factor, lift=part.lift * factor)
        if isinstance(part, StopValve)
        else replace(part, diameter=part.diameter * factor)
        for part in trunk.elements
    )

    before, after = (settle(build((line, ways, heat))) for line in (trunk, wider))

    assert_no_flow_falls(before, after)


@given(trees, st.floats(1.01, 2.0))
@settings(max_examples=100, deadline=None)
def test_opening_out_a_branch_never_lowers_its_own_flow(tree: Tree, factor: float) -> None:
    trunk, ways, heat = tree
    line, pulsation, curve = ways[0]
    wider = trace_line(
        replace(part, diameter=part.diameter * factor, lift=part.lift * factor)
        if isinstance(part, StopValve)
        else replace(part, diameter=part.diameter * factor)
        for part in line.elements
    )

    before = settle(build(tree))
    after = settle(build((trunk, [(wider, pulsation, curve), *ways[1:]], heat)))

    assert after.drawn[0].flow >= before.drawn[0].flow * (1 - 1e-6)


@given(trees)
@settings(max_examples=100, deadline=None)
def test_closing_a_branch_never_lowers_the_others(tree: Tree) -> None:
    trunk, ways, heat = tree

    before = settle(build(tree))
    after = settle(build((trunk, ways[1:], heat)))

    assert_no_part_falls(before._replace(drawn=before.drawn[1:]), after)
    assert_no_flow_falls(before._replace(drawn=before.drawn[1:]), after)


@given(trees)
@settings(max_examples=60, deadline=None)
def test_blowing_a_whistle_never_raises_a_speed(tree: Tree) -> None:
    network = build(tree)
    whistle = Branch((), 1.0, trace_open_outlet(OpenOutlet.of_diameter("whistle", 1.2e-3)))

    quiet = settle(network)
    loud = settle(replace(network, branches=(*network.branches, whistle)))

    assert_no_part_falls(loud._replace(drawn=loud.drawn[:-1]), quiet)
    assert loud.drawn[-1].flow > 0


def test_nothing_running_leaves_the_boiler_at_its_limit() -> None:
    network = build((trace_line([Bore(4e-3, 0.1)]), [], 500.0))

    found = settle(network)

    assert found.flow == 0
    assert not found.heat_bound
    assert found.boiler_pressure == pytest.approx(LIMIT)
    assert found.block_pressure == pytest.approx(LIMIT)


def test_a_fixed_torque_engine_short_of_steam_slows_at_its_load_pressure() -> None:
    engine = Engine(
        name="pump",
        bore=0.02,
        stroke=0.02,
        cylinders=1,
        acting="double",
        speed=8.0,
        cut_off=0.75,
        clearance=0.1,
        condensation=0.8,
    )
    load = Load("fixed torque", 8.0, 3e5 + ATMOSPHERE)
    curve = trace_engine(EngineOnBranch(engine, load), condensation=0.8)
    ample, scarce = (
        settle(Network((), (Branch((), 1.2, curve),), heat, FEED, LIMIT)) for heat in (2000, 300)
    )

    assert ample.drawn[0].part > 1
    assert ample.boiler_pressure == pytest.approx(LIMIT)
    assert 0 < scarce.drawn[0].part < 1
    assert scarce.boiler_pressure == pytest.approx(load.at_pressure, rel=0.02)


def test_a_load_too_heavy_for_the_pressure_limit_stands_and_takes_nothing() -> None:
    engine = Engine(
        name="pump",
        bore=0.02,
        stroke=0.02,
        cylinders=1,
        acting="double",
        speed=8.0,
        cut_off=0.75,
        clearance=0.1,
    )
    curve = trace_engine(
        EngineOnBranch(engine, Load("fixed torque", 8.0, 7e5 + ATMOSPHERE)), condensation=0.8
    )

    found = settle(Network((), (Branch((), 1.2, curve),), 2000.0, FEED, LIMIT))

    assert found.drawn[0].part < 0
    assert found.drawn[0].flow == 0
    assert found.drawn[0].pressure == pytest.approx(LIMIT)


@pytest.mark.parametrize(
    "parts",
    [
        (Loss(3e-3, 10.0),),
        (Bore(3e-3, 0.05), Loss(2.5e-3, 4.0)),
        (Valve(4e-3, 0.1),),
        (StopValve(3e-3, 0.6e-3), Pipe(3e-3, 0.3), Corner(2.8e-3)),
    ],
)
def test_joined_line_needs_the_same_pressure_as_the_line_itself(parts: tuple[Loss, ...]) -> None:
    line = trace_line(parts)
    steam = find_expanding_steam(LIMIT)

    for flow in (1e-6, 1e-5, 1e-4, 5e-4, 1.5e-3):
        for outlet in (1.1e5, 2e5, 4.5e5):
            wanted = find_inlet_pressure(line, steam, flow=flow, outlet_pressure=outlet)
            assert climb_to(parts, flow, outlet) == pytest.approx(wanted, rel=1e-12)


def test_a_part_that_costs_nothing_passes_its_choked_flow() -> None:
    steam = find_expanding_steam(LIMIT)
    wide_after_narrow = (Loss(2e-3, 8.0), Bore(2.1e-3, 1e-45))
    flow = 5 * pi / 4 * 2.1e-3**2 * 1.1e5 / steam.limit

    choked = climb_to((Loss(2e-3, 8.0),), flow, 5 * 1.1e5)

    assert climb_to(wide_after_narrow, flow, 1.1e5) == pytest.approx(choked)


@pytest.mark.parametrize("parts", [(Loss(3e-3, 10.0),), (Valve(4e-3, 0.1),)])
def test_pressure_rises_without_a_step_in_its_slope_where_the_line_chokes(
    parts: tuple[Loss, ...],
) -> None:
    outlet = 1.2e5
    slopes = [
        (log(climb_to(parts, flow * 1.001, outlet)) - log(climb_to(parts, flow, outlet))) / 1e-3
        for flow in [2e-4 * 1.002**step for step in range(1600)]
    ]

    assert slopes[0] < 0.5
    assert slopes[-1] == pytest.approx(1.0, abs=1e-3)  # choked: the pressure rises as the flow
    assert max(abs(after - before) for before, after in pairwise(slopes)) < 0.01


@pytest.mark.parametrize("reynolds", [2000.0, 4000.0])
def test_friction_turns_turbulent_without_a_step_in_the_slope(reynolds: float) -> None:
    parts = (Pipe(3e-3, 3.0),)
    viscosity = find_expanding_steam(LIMIT).viscosity
    flow = reynolds * pi * 3e-3 * viscosity / 4

    below = climb_to(parts, flow, 4e5) - climb_to(parts, flow * (1 - 1e-4), 4e5)
    above = climb_to(parts, flow * (1 + 1e-4), 4e5) - climb_to(parts, flow, 4e5)

    assert above == pytest.approx(below, rel=5e-3)


def test_slopes_given_along_are_those_of_the_pressure() -> None:
    segments = join_segments(trace_line([StopValve(3e-3, 0.6e-3), Loss(3e-3, 4.0)]))
    steam = find_expanding_steam(LIMIT)

    def at(flow: float, outlet: float) -> tuple[float, float, float]:
        return climb(segments, flow, limit=steam.limit, viscosity=steam.viscosity, outlet=outlet)

    for flow in (2e-4, 6e-4, 1.2e-3):
        pressure, share, friction = at(flow, 2e5)
        by_flow = log(at(flow * exp(1e-6), 2e5)[0] / pressure) / 1e-6
        by_outlet = log(at(flow, 2e5 * exp(1e-6))[0] / pressure) / 1e-6
        assert share + friction == pytest.approx(by_flow, abs=1e-5)
        assert 1 - share == pytest.approx(by_outlet, abs=1e-5)


def test_a_nozzle_blows_more_with_pressure_up_to_and_past_choking() -> None:
    curve = trace_open_outlet(OpenOutlet.of_diameter("whistle", 2e-3))
    flows = [curve.at(curve.find_part(ATMOSPHERE * (1 + 0.01 * step)))[1] for step in range(300)]
    steps = [after - before for before, after in pairwise(flows)]

    assert flows[0] == 0
    assert min(steps) > 0
    assert flows[-1] / flows[200] == pytest.approx(3.99 / 3.0, rel=0.01)  # choked: as pressure


def test_an_outlet_finds_its_way_back_along_its_curve() -> None:
    engine = Engine(
        name="engine",
        bore=0.02,
        stroke=0.02,
        cylinders=1,
        acting="double",
        speed=8.0,
        cut_off=0.75,
        clearance=0.1,
    )
    for kind in LOAD_KINDS:
        curve = trace_engine(
            EngineOnBranch(engine, Load(kind, 8.0, 3e5 + ATMOSPHERE)), condensation=0.8
        )
        for part in (-0.3, 0.2, 0.9, 1.3):
            assert curve.find_part(curve.at(part)[0]) == pytest.approx(part)


def test_a_propeller_without_a_reference_pressure_is_refused() -> None:
    with pytest.raises(OutOfRange, match="at what pressure"):
        Load("propeller", 8.0, None)


def climb_to(parts: tuple[Loss, ...], flow: float, outlet: float) -> float:
    steam = find_expanding_steam(LIMIT)
    segments = join_segments(trace_line(parts))
    return climb(segments, flow, limit=steam.limit, viscosity=steam.viscosity, outlet=outlet)[0]


def assert_no_part_falls(before: Settled, after: Settled) -> None:
    for was, now in zip(before.drawn, after.drawn, strict=True):
        assert now.part >= was.part - 1e-6


def assert_no_flow_falls(before: Settled, after: Settled) -> None:
    for was, now in zip(before.drawn, after.drawn, strict=True):
        assert now.flow >= was.flow * (1 - 1e-6)
