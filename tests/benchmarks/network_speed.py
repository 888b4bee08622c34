"""How quickly a network settles, beside scipy.optimize.root on the same equations.

Run it by hand: python tests/benchmarks/network_speed.py. Both are timed turn about in one run, so
that only the ratios need believing. The yardstick is given twice: with residuals written plainly on
the public functions of the line, and with the joined and quickest form this project has.
"""

from collections.abc import Callable
from math import sqrt
from statistics import median
from time import perf_counter

import numpy as np
from scipy.optimize import root

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band
from service.engineering.steam.engine import Engine
from service.engineering.steam.network import (
    LOAD_KINDS,
    BoilerSupply,
    EngineOnBranch,
    Load,
    OpenOutlet,
    RunningCase,
    RunningPlant,
    balance,
    prepare_plant,
)
from service.engineering.steam.network.network import settle
from service.engineering.steam.network.network_tree import Network
from service.engineering.steam.network.outlets import LoadKind
from service.engineering.steam.passages import (
    Bend,
    Bore,
    Corner,
    Element,
    ExpandingSteam,
    Pipe,
    StopValve,
    climb,
    find_expanding_steam,
    trace_line,
)
from service.engineering.steam.passages.expanding_steam import find_inlet_pressure

TRUNK: tuple[Element, ...] = (StopValve(5e-3, 2e-3), Pipe(4e-3, 0.2), Bore(5e-3, 0.05))
WAY: tuple[Element, ...] = (
    Bore(3e-3, 0.04),
    Corner(3e-3),
    StopValve(3e-3, 1e-3),
    Pipe(3e-3, 0.3),
    Bend(3e-3, 9e-3),
)
NAMES = ("port engine", "starboard engine", "pump")
LIMIT = 4e5 + ATMOSPHERE
CASE = RunningCase("all", NAMES)

Climb = Callable[[int | None, float, ExpandingSteam, float], float]
"""Pressure before a branch (its number) or the trunk (None): flow, steam, pressure beyond."""


def main() -> None:
    print("one case, three engines, trunk and branches of 3 and 5 parts")
    ratios = []
    for kind, heat in (("propeller", 800.0), ("propeller", 2000.0), ("propeller", 6000.0)):
        ratios.append(_time_case(kind, heat))
    print(f"median: plain residuals {median(plain for plain, _ in ratios):.1f} times slower,")
    print(f"        quick residuals {median(quick for _, quick in ratios):.1f} times slower")
    simple = _time_balance()
    _time_largest(simple)


def _time_case(kind: LoadKind, heat: float) -> tuple[float, float]:
    plant = _make_plant(kind, heat)
    network = plant.network(CASE)
    found = settle(network)
    plain = _residuals(network, plain=True)
    quick = _residuals(network, plain=False)
    start = [_start_of(network)] * (2 + len(network.branches))
    for residuals in (plain, quick):
        answer = root(residuals, start, tol=1e-10)
        if not answer.success or abs(answer.x[0] * 1e5 / found.boiler_pressure - 1) > 1e-6:
            raise SystemExit(f"scipy does not agree: {answer.message} {answer.x} {found}")
    ours, theirs, strict = _time_in_turn(
        lambda: settle(network),
        lambda: root(plain, start, tol=1e-10),
        lambda: root(quick, start, tol=1e-10),
    )
    print(
        f"  {heat:5.0f} W: {ours * 1e3:.3f} ms ({found.sweeps} sweeps);"
        f" scipy root {theirs / ours:.1f} x on plain residuals, {strict / ours:.1f} x on quick ones"
    )
    return theirs / ours, strict / ours


def _time_balance() -> float:
    engines = [
        _make_engine(name, size, "propeller") for name, size in zip(NAMES, SIZES, strict=True)
    ]
    supply = BoilerSupply(Band(1500.0, 2000.0, 2300.0), LIMIT, 288.15)
    runs = [NAMES, NAMES[:2], NAMES[:1], NAMES[1:], (*NAMES, "whistle"), ("whistle",)]
    cases = [RunningCase(f"case {number}", tuple(names)) for number, names in enumerate(runs)]
    open_outlets = [OpenOutlet.of_diameter("whistle", 1.5e-3)]
    (taken,) = _time_in_turn(
        lambda: balance(
            prepare_plant(supply, engines, trunk=TRUNK, open_outlets=open_outlets), cases=cases
        )
    )
    print(f"balance of 3 engines, 6 cases, all bands: {taken * 1e3:.1f} ms")
    return taken


def _time_largest(simple: float) -> None:
    """The largest plant that may be asked about, on fires that make Newton's method circle too."""
    worst = 0.0
    for heat in (50.0, 300.0, 3e3, 3e4):
        names = [f"engine {number}" for number in range(20)]
        engines = [
            _make_engine(name, 0.012 + 0.0007 * number, LOAD_KINDS[number % 3])
            for number, name in enumerate(names)
        ]
        holes = [OpenOutlet.of_diameter(f"hole {number}", 5e-4 * number) for number in range(1, 21)]
        runs = [(*names, *(hole.name for hole in holes[:count])) for count in range(-4, 20)]
        cases = [RunningCase(f"case {place}", run) for place, run in enumerate(runs)]
        supply = BoilerSupply(Band(0.8 * heat, heat, 1.2 * heat), LIMIT, 288.15)
        plant = prepare_plant(supply, engines, trunk=TRUNK, open_outlets=holes)
        begun = perf_counter()
        balance(plant, cases=cases)
        worst = max(worst, perf_counter() - begun)
    print(
        f"balance of 20 engines and up to 20 holes, 24 cases: {worst * 1e3:.0f} ms at the worst of"
        f" 4 fires, {worst / simple:.0f} times that (to be under 1 s)"
    )


SIZES = (0.020, 0.019, 0.012)


def _make_engine(name: str, size: float, kind: LoadKind) -> EngineOnBranch:
    engine = Engine(
        name=name,
        bore=size,
        stroke=size,
        cylinders=1,
        acting="double",
        speed=500 / 60,
        cut_off=0.75,
        clearance=0.10,
    )
    return EngineOnBranch(engine, Load(kind, 500 / 60, 3e5 + ATMOSPHERE), WAY)


def _make_plant(kind: LoadKind, heat: float) -> RunningPlant:
    engines = [_make_engine(name, size, kind) for name, size in zip(NAMES, SIZES, strict=True)]
    return prepare_plant(BoilerSupply(heat, LIMIT, 288.15), engines, trunk=TRUNK)


def _start_of(network: Network) -> float:
    return 0.9 * network.pressure_limit / 1e5


def _residuals(network: Network, *, plain: bool) -> Callable[[np.ndarray], list[float]]:
    """Boiler, trunk and every branch, in pressures of bar; heat against limit by the larger."""
    reach = _plain_climb() if plain else _quick_climb(network)

    def residuals(unknown: np.ndarray) -> list[float]:
        boiler, block, *chests = (float(value) * 1e5 for value in unknown)
        steam, at_block = network.find_steam(boiler), find_expanding_steam(block)
        errors, flow, surge = [], 0.0, 0.0
        for number, (branch, chest) in enumerate(zip(network.branches, chests, strict=True)):
            part = branch.curve.find_part(chest)
            taken = branch.curve.at(part)[1]
            effective = taken * sqrt(branch.pulsation)
            errors.append((reach(number, effective, at_block, chest) - block) / 1e5)
            flow += taken
            surge += (branch.pulsation - 1) * taken * taken
        reached = reach(None, sqrt(flow * flow + surge), steam.expanding, block)
        errors.append((reached - boiler) / 1e5)
        short = flow * steam.heat / network.net_heat - 1
        errors.append(max(short, boiler / network.pressure_limit - 1))
        return errors

    return residuals


def _plain_climb() -> Climb:
    trunk, way = trace_line(TRUNK), trace_line(WAY)

    def reach(number: int | None, flow: float, steam: ExpandingSteam, outlet: float) -> float:
        line = trunk if number is None else way
        return find_inlet_pressure(line, steam, flow=flow, outlet_pressure=outlet)

    return reach


def _quick_climb(network: Network) -> Climb:
    def reach(number: int | None, flow: float, steam: ExpandingSteam, outlet: float) -> float:
        line = network.trunk if number is None else network.branches[number].segments
        return climb(line, flow, limit=steam.limit, viscosity=steam.viscosity, outlet=outlet)[0]

    return reach


def _time_in_turn(*calls: Callable[[], object]) -> list[float]:
    """The least time of each call over rounds that go round all of them [s]."""
    least = [float("inf")] * len(calls)
    for _ in range(60):
        for place, call in enumerate(calls):
            begun = perf_counter()
            for _ in range(5):
                call()
            least[place] = min(least[place], (perf_counter() - begun) / 5)
    return least


if __name__ == "__main__":
    main()
