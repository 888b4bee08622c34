"""Plants drawn at the ends of every range: each settles, and what it says keeps all balances."""

from collections.abc import Callable
from math import log, sqrt
from random import Random
from typing import TypeVar

import pytest

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.saturation import HIGHEST_PRESSURE
from service.engineering.steam.engine import Engine
from service.engineering.steam.network import (
    LOAD_KINDS,
    BoilerSupply,
    EngineOnBranch,
    Load,
    OpenOutlet,
    RunningCase,
    RunningPlant,
    prepare_plant,
    trace_engine,
)
from service.engineering.steam.network.case_balance import settle_case
from service.engineering.steam.network.network import SWEEPS, begin, settle, settle_quickly
from service.engineering.steam.network.network_tree import Settled
from service.engineering.steam.passages import (
    Bend,
    Bore,
    Contraction,
    Corner,
    Element,
    Loss,
    Pipe,
    StopValve,
    Tee,
    Valve,
    find_expanding_steam,
    trace_line,
)
from service.engineering.steam.passages.expanding_steam import find_inlet_pressure

SEEDS = range(300)
WAY = (Pipe(2e-3, 0.3),)


def at_an_end(random: Random, least: float, most: float) -> float:
    """An end of a range, three times in ten; else any size between them."""
    draw = random.random()
    if draw < 0.3:
        return least if draw < 0.15 else most
    return float(least * (most / least) ** random.random())


def make_element(random: Random) -> Element:
    """A part of any kind and size."""
    bore = at_an_end(random, 2e-4, 0.2)
    makers: list[Callable[[], Element]] = [
        lambda: Bore(bore, at_an_end(random, 1e-4, 100.0), random.uniform(0.0, 0.05) * bore),
        lambda: Pipe(bore, at_an_end(random, 1e-4, 100.0)),
        lambda: Corner(bore, at_an_end(random, 0.02, 2.0)),
        lambda: Loss(bore, at_an_end(random, 1e-6, 1e5)),
        lambda: StopValve(bore, bore * at_an_end(random, 0.021, 1.99), at_an_end(random, 0.1, 1.0)),
        lambda: Tee(bore, at_an_end(random, bore, 0.2), at_an_end(random, 0.05, 1.0)),
        lambda: Valve(bore, at_an_end(random, 1e-5, 1e3), at_an_end(random, 0.1, 1.0)),
        lambda: Bend(bore, bore * at_an_end(random, 0.71, 19.9), at_an_end(random, 0.02, 3.14)),
        lambda: Contraction(bore, at_an_end(random, bore, 0.2)),
    ]
    return make_until_taken(lambda: random.choice(makers)())


def make_way(random: Random) -> tuple[Element, ...]:
    return tuple(make_element(random) for _ in range(random.randrange(5)))


def make_engine(random: Random, name: str) -> EngineOnBranch:
    """An engine of any size under any load that it can turn at all."""
    bore, speed = at_an_end(random, 1e-3, 1.0), at_an_end(random, 1 / 60, 200.0)
    engine = Engine(
        name=name,
        bore=bore,
        stroke=at_an_end(random, 1e-3, 2.0),
        cylinders=random.choice([1, 2, 24]),
        acting=random.choice(["single", "double"]),
        speed=speed,
        cut_off=at_an_end(random, 0.01, 1.0),
        clearance=at_an_end(random, 1e-3, 0.5),
        condensation=random.choice([None, 0.0, 5.0]),
        piston_rod=random.choice([0.0, 0.99]) * bore,
        exhaust_closure=random.choice([0.0, 0.3, 0.9]),
    )
    load = Load(random.choice(LOAD_KINDS), speed, random.choice([None, random.uniform(1e4, 4e6)]))
    outlet = EngineOnBranch(
        engine,
        load,
        make_way(random),
        back_pressure=at_an_end(random, 1e3, 1e6),
        friction=random.choice([0.0, 3e4, 5e5]),
        pulsation=random.choice([None, 1.0, 10.0]),
    )
    trace_engine(outlet, condensation=0.0)
    return outlet


def make_plant(random: Random) -> RunningPlant:
    heat = at_an_end(random, 1.0, 1e7)
    limit = ATMOSPHERE + at_an_end(random, 1.0, HIGHEST_PRESSURE - ATMOSPHERE)
    feed = random.choice([None, 273.16, 288.15])
    return prepare_plant(
        BoilerSupply(heat, limit, feed),
        [
            make_until_taken(lambda: make_engine(random, f"engine {number}"))  # noqa: B023
            for number in range(random.randrange(6))
        ],
        trunk=make_way(random),
        open_outlets=[
            OpenOutlet(
                f"hole {number}",
                at_an_end(random, 1e-9, 1e-3),
                make_way(random),
                at_an_end(random, 0.05, 1.0),
            )
            for number in range(random.randrange(1, 6))
        ],
    )


Thing = TypeVar("Thing")


def make_until_taken(make: Callable[[], Thing]) -> Thing:
    """What is made by chance, once it is not refused."""
    for _ in range(1000):
        try:
            return make()
        except (OutOfRange, NoSolution):
            continue
    raise AssertionError("nothing drawn was ever taken")


@pytest.mark.parametrize("seed", SEEDS)
def test_any_plant_in_range_settles_with_its_balances_kept(seed: int) -> None:
    plant = make_plant(Random(seed))
    case = RunningCase("all", tuple(plant.outlets))

    _, found = settle_case(plant, case)

    assert_balanced(plant, case, found)


@pytest.mark.parametrize(
    "wide_way", [(), WAY], ids=["straight off the block", "behind a long pipe"]
)
@pytest.mark.parametrize("heat", [1.0, 5.0, 500.0])
def test_wide_hole_beside_a_small_one_settles_on_any_fire(
    wide_way: tuple[Element, ...], heat: float
) -> None:
    holes = [OpenOutlet("wide", 100e-6, wide_way), OpenOutlet("small", 2e-6, WAY)]
    plant = prepare_plant(BoilerSupply(heat, 4e5 + ATMOSPHERE, 288.15), [], open_outlets=holes)
    case = RunningCase("both", ("wide", "small"))

    _, found = settle_case(plant, case)

    assert_balanced(plant, case, found)
    wide, small = (drawn.flow for drawn in found.drawn)
    assert wide > small > 0.0


def test_search_between_bounds_takes_over_where_newton_circles() -> None:
    circling = []
    for seed in SEEDS:
        plant = make_plant(Random(seed))
        network = plant.network(RunningCase("all", tuple(plant.outlets)))
        if settle_quickly(network, begin(network)) is None:
            circling.append(settle(network).sweeps)

    assert circling
    assert max(circling) < SWEEPS


def assert_balanced(plant: RunningPlant, case: RunningCase, found: Settled) -> None:
    """Mass, heat and every pressure drop, by the marching equations of the separate parts."""
    network = plant.network(case)
    ways = [plant.outlets[name] for name in case.running]
    assert found.flow == pytest.approx(sum(drawn.flow for drawn in found.drawn), rel=1e-9)
    block = find_expanding_steam(found.block_pressure)
    for way, drawn in zip(ways, found.drawn, strict=True):
        reached = drawn.pressure
        if way.passages:
            reached = find_inlet_pressure(
                trace_line(way.passages),
                block,
                flow=drawn.flow * sqrt(way.pulsation),
                outlet_pressure=drawn.pressure,
            )
        assert reached == pytest.approx(found.block_pressure, rel=1e-6)
    steam = network.find_steam(found.boiler_pressure)
    reached = found.block_pressure
    if plant.trunk:
        reached = find_inlet_pressure(
            trace_line(plant.trunk),
            steam.expanding,
            flow=found.effective_flow,
            outlet_pressure=found.block_pressure,
        )
    assert abs(log(reached / found.boiler_pressure)) < 1e-6
    wanted = found.flow * steam.heat
    if found.heat_bound:
        assert wanted == pytest.approx(network.net_heat, rel=1e-6)
    else:
        assert wanted <= network.net_heat * (1 + 1e-6)
        assert found.boiler_pressure == pytest.approx(network.pressure_limit, rel=1e-9)
