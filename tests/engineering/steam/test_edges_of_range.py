"""The last figure each quantity may have and the first that is refused, either side of an edge."""

from collections.abc import Callable
from dataclasses import replace
from math import pi
from typing import Any, NamedTuple

import pytest

from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.findings import Band
from service.engineering.saturation import saturation, saturation_pressure
from service.engineering.steam.boiler import (
    Boiler,
    Firing,
    PipeRun,
    Shell,
    blow_down,
    boiler_supply,
    burn_fuel,
    burn_gas,
    find_water_between,
    heat_electrically,
    pipe_loss,
)
from service.engineering.steam.engine import Engine, steam_demand
from service.engineering.steam.network import (
    BoilerSupply,
    EngineOnBranch,
    Load,
    OpenOutlet,
    RunningCase,
    advise,
    balance,
    prepare_plant,
    trace_supply_and_demand,
)
from service.engineering.steam.passages import (
    Bend,
    Bore,
    Contraction,
    Corner,
    Loss,
    StopValve,
    Tee,
    Valve,
    flow_through,
)
from service.engineering.steam.properties import water_enthalpy
from service.engineering.steam.safety_valve import (
    SafetyValve,
    check_relief_area,
    check_safety_valve,
    find_greatest_evaporation,
)
from service.engineering.steam.shell import CopperCylinder, check_shell, find_hydraulic_test
from tests.engineering.steam.bare_flow import mass_flow

AIR = 101_325.0
LEAST_FLOW = 1e-3 / 60e3  # a milligram a minute
ONE_DEGREE = pi / 180
FOUR_BAR = 501_325.0
HAIR = 1e-6
ENGINE = Engine(
    name="engine",
    bore=0.02,
    stroke=0.02,
    cylinders=1,
    acting="double",
    speed=8.0,
    cut_off=0.75,
    clearance=0.1,
)
ONE = RunningCase("one", ("engine",))
RELIEF = {"set_pressure": FOUR_BAR, "accumulation": 0.1, "evaporation": 1e-3}
POT = Boiler(heat_electrically(1000.0), Shell("vertical", 0.1, 0.2), 0.05, 0.1, 1.0)
DAY = {"pressure": FOUR_BAR, "feed_temperature": 288.15, "air_temperature": 293.15}
STEAM = {"pressure": FOUR_BAR, "back_pressure": 111e3, "feed_temperature": 288.15}
RUN = PipeRun(0.006, 0.005, 1.0)


class Edge(NamedTuple):
    """A quantity put in by `call`, the field to blame, the figures that pass and those that do not.

    `lowest` and `highest` are the last that pass; None where that side has no edge. `open_low` and
    `open_high` say that the edge itself is refused.
    """

    call: Callable[[Any], object]
    field: str
    lowest: float | None
    highest: float | None
    open_low: bool = False
    open_high: bool = False


def gas(**changes: Any) -> object:
    order = {"pressure": 3e5, "temperature": 293.15, "kind": "gas_flue", **changes}
    return burn_gas("butane", order.pop("jet", 2e-4), **order)


def engine(**changes: Any) -> Engine:
    return replace(ENGINE, **changes)


def area(square: float = 1e-6, *, coefficient: float = 0.6, **changes: Any) -> object:
    return check_relief_area(square, discharge_coefficient=coefficient, **{**RELIEF, **changes})


def lose(*, air: float = 293.0, pressure: float = 5e5, flow: float | None = None, **run: Any):
    return pipe_loss(replace(RUN, **run), pressure=pressure, air_temperature=air, flow=flow)


def drain(*, pressure: float = 5e5, water: float = 0.1) -> object:
    return blow_down([Bore(2e-3, 0.01)], pressure=pressure, water=water)


def fill(lie: Any = "vertical", *, low: float = 0.05, high: float = 0.1) -> object:
    return find_water_between(Shell(lie, 0.1, 0.2), low=low, high=high)


def outlet(**changes: Any) -> EngineOnBranch:
    return EngineOnBranch(ENGINE, Load("governed", 8.0, 3e5), **changes)


PARTS = [
    Edge(lambda d: Bore(d, 0.01, 0.0), "diameter", 2e-4, 0.2),
    Edge(lambda length: Bore(3e-3, length), "length", 0.0, 100.0),
    Edge(lambda rough: Bore(1e-3, 0.01, rough), "roughness", 0.0, 0.05e-3),
    Edge(Corner, "diameter", 2e-4, 0.2),
    Edge(lambda angle: Corner(3e-3, angle), "angle", ONE_DEGREE, 2.0),
    Edge(lambda d: Bend(d, 3 * d), "diameter", 2e-4, 0.2),
    Edge(lambda ratio: Bend(3e-3, 3e-3 * ratio), "radius", 0.7 * (1 + 1e-12), 20 * (1 - 1e-12)),
    Edge(lambda angle: Bend(3e-3, 9e-3, angle), "angle", ONE_DEGREE, pi),
    Edge(lambda d: Contraction(d, 0.2), "diameter", 2e-4, 0.2, False, True),
    Edge(lambda d: Contraction(2e-4, d), "upstream_diameter", None, 0.2),
    Edge(lambda d: Tee(d, 4e-3), "diameter", 2e-4, 4e-3),
    Edge(lambda d: Tee(2e-4, d), "run_diameter", None, 0.2),
    Edge(lambda share: Tee(3e-3, 4e-3, share), "share", 0.05, 1.0),
    Edge(lambda d: Loss(d, 1.0), "diameter", 2e-4, 0.2),
    Edge(lambda k: Loss(3e-3, k), "k", 0.0, 1e5),
    Edge(lambda kv: Valve(0.2, kv), "kv", 1e-5, 1000.0),
    Edge(lambda xt: Valve(4e-3, 0.1, xt), "xt", 0.1, 1.0),
    # Kv of a loss coefficient of 0.05 in 4 mm, K = 1.6e9 D⁴/Kv²
    Edge(lambda kv: Valve(4e-3, kv), "kv", 1e-5, (1.6e9 * 4e-3**4 / 0.05) ** 0.5),
    Edge(lambda lift: StopValve(4e-3, lift), "lift", 4e-3 / 50, 8e-3),
    Edge(lambda xt: StopValve(4e-3, 1e-3, xt), "xt", 0.1, 1.0),
    Edge(lambda p: mass_flow([Loss(3e-3, 9)], FOUR_BAR, 2e5, pulsation=p), "pulsation", 1, 10),
    Edge(
        lambda p: flow_through([Loss(3e-3, 9)], pressure=FOUR_BAR, outlet_pressure=p),
        "outlet_pressure",
        1e3,
        FOUR_BAR,
        False,
        True,
    ),
]

VALVES = [
    Edge(lambda seat: SafetyValve(seat, 1e-5), "seat", 5e-4, 0.05),
    Edge(lambda lift: SafetyValve(4e-3, lift), "lift", 1e-6, 2e-3),
    Edge(lambda angle: SafetyValve(4e-3, 2e-4, angle), "seat_angle", pi / 6, pi),
    Edge(lambda kd: SafetyValve(4e-3, 2e-4, pi, kd), "discharge_coefficient", 0.05, 1.0),
    Edge(lambda exits: SafetyValve(4e-3, 2e-4, exit_area=exits), "exit_area", 1e-8, 0.01),
    Edge(area, "area", 1e-9, 2e-3),
    Edge(lambda kd: area(coefficient=kd), "discharge_coefficient", 0.05, 1.0),
    Edge(lambda rise: area(accumulation=rise), "accumulation", 0.0, 0.33),
    Edge(lambda steam: area(evaporation=steam), "evaporation", LEAST_FLOW, 10.0),
    Edge(lambda p: area(set_pressure=p, accumulation=0.0), "set_pressure", None, 4e6),
    # Steam chokes while the air is at most 0.577 of the relieving pressure; the gauge grows.
    Edge(lambda p: area(set_pressure=p, accumulation=0.0), "set_pressure", AIR / 0.577, None),
    Edge(
        lambda p: area(set_pressure=p, accumulation=0.1),
        "set_pressure",
        AIR + (AIR / 0.577 - AIR) / 1.1 + 1e-6,
        None,
    ),
    Edge(
        lambda p: check_safety_valve(SafetyValve(4e-3, 2e-4), **{**RELIEF, "set_pressure": p}),
        "set_pressure",
        AIR + (AIR / 0.577 - AIR) / 1.1 + 1e-6,
        None,
    ),
    Edge(lambda heat: find_greatest_evaporation(heat, relieving_pressure=5e5), "heat", 1e-3, 1e7),
]

SHELLS = [
    Edge(lambda d: CopperCylinder(d, 1e-4, "seamless"), "outside_diameter", 2e-3, 1.0),
    Edge(lambda wall: CopperCylinder(0.05, wall, "seamless"), "thickness", 5e-5, 0.1 * 0.05),
    Edge(
        lambda p: check_shell(CopperCylinder(0.05, 1e-3, "seamless"), pressure=p),
        "pressure",
        AIR,
        None,
        True,
    ),
    # 400 degF is the last point of annealed copper's table.
    Edge(
        lambda kelvin: check_shell(
            CopperCylinder(0.05, 1e-3, "seamless"), pressure=saturation_pressure(kelvin)
        ),
        "pressure",
        None,
        (400 + 459.67) / 1.8 - 1e-5,
    ),
    Edge(
        lambda p: find_hydraulic_test("uk_small", working_pressure=p),
        "working_pressure",
        AIR,
        4e6,
        True,
    ),
    Edge(
        lambda ratio: find_hydraulic_test("ped", working_pressure=5e5, stress_ratio=ratio),
        "stress_ratio",
        1.0,
        5.0,
    ),
    Edge(lambda d: Shell("vertical", d, 0.1), "diameter", 0.01, 2.0),
    Edge(lambda length: Shell("vertical", 0.1, length), "length", 0.01, 5.0),
    Edge(lambda part: Shell("vertical", 0.1, 0.1, part), "displaced", 0.0, 0.9),
    Edge(lambda low: fill(low=low), "low", 0.0, 0.1, False, True),
    # The highest level of a standing shell is its length, of a lying one its diameter.
    Edge(lambda high: fill(high=high), "high", None, 0.2),
    Edge(lambda high: fill("horizontal", high=high), "high", None, 0.1),
]

BOILERS = [
    Edge(lambda mass: replace(POT, metal_mass=mass), "metal_mass", 1e-3, 500.0),
    Edge(lambda face: replace(POT, heating_surface=face), "heating_surface", 1e-5, 20.0),
    Edge(
        lambda air: boiler_supply(POT, **{**DAY, "air_temperature": air}),
        "air_temperature",
        230.0,
        330.0,
    ),
    Edge(
        lambda feed: boiler_supply(POT, **{**DAY, "feed_temperature": feed}),
        "feed_temperature",
        273.16,
        None,
    ),
    Edge(lambda rate: burn_fuel("coal", rate, kind="coal"), "rate", 1e-10, 0.1),
    Edge(heat_electrically, "power", 1.0, 1e5),
    Edge(lambda jet: gas(jet=jet), "jet", 5e-5, 2e-3),
    Edge(lambda p: gas(pressure=p), "pressure", AIR, 1.5e6, True),
    Edge(lambda kelvin: gas(temperature=kelvin), "temperature", 230.0, 400.0),
    Edge(lambda part: Firing(Band(9, 9, 9), Band(0.1, 0.1, part)), "efficiency", 0.1, 1.0),
    Edge(lambda part: Firing(Band(9, 9, 9), Band(part, 0.1, 0.1)), "efficiency", 0, 0.1, True),
    Edge(lambda heat: Firing(Band(heat, 9, 9), Band(1, 1, 1)), "heat", 0.0, 9.0, True),
    Edge(lambda fuel: Firing(Band(9, 9, 9), Band(1, 1, 1), 1.0, fuel), "fuel", 1e-6, 1e4),
    Edge(lambda d: PipeRun(d, 5e-4, 1.0), "outside_diameter", 1e-3, 0.2),
    Edge(lambda d: PipeRun(6e-3, d, 1.0), "bore", 1e-4, 6e-3, False, True),
    Edge(lambda length: PipeRun(6e-3, 5e-3, length), "length", 1e-3, 100.0),
    Edge(lambda count: PipeRun(6e-3, 5e-3, 1.0, fittings=count), "fittings", 0, 100),
    Edge(lambda flow: lose(flow=flow), "flow", LEAST_FLOW, 10.0),
    Edge(lambda air: lose(air=air), "air_temperature", 230, 330),
    Edge(lambda part: lose(emissivity=part), "emissivity", 0.0, 1.0),
    Edge(lambda wall: lose(lagging=wall), "lagging", 1e-4, 0.2),
    Edge(lambda k: lose(conductivity=k), "conductivity", 0.01, 2.0),
    # The air must be cooler than the steam.
    Edge(
        lambda air: lose(pressure=5e3, air=air),
        "air_temperature",
        None,
        saturation(5e3).temperature,
        False,
        True,
    ),
    Edge(lambda p: drain(pressure=p), "pressure", AIR + 2e4, 4e6),
    Edge(lambda water: drain(water=water), "water", 1e-6, 1e5),
]

ENGINES = [
    Edge(lambda d: engine(bore=d), "bore", 1e-3, 1.0),
    Edge(lambda stroke: engine(stroke=stroke), "stroke", 1e-3, 2.0),
    Edge(lambda count: engine(cylinders=count), "cylinders", 1, 24),
    Edge(lambda rod: engine(piston_rod=rod), "piston_rod", 0.0, 0.02, False, True),
    Edge(lambda speed: engine(speed=speed), "speed", 1 / 60, 200.0),
    Edge(lambda part: engine(cut_off=part), "cut_off", 0.01, 1.0),
    Edge(lambda part: engine(clearance=part), "clearance", 1e-3, 0.5),
    Edge(lambda part: engine(exhaust_closure=part), "exhaust_closure", 0.0, 0.9),
    Edge(lambda part: engine(condensation=part), "condensation", 0.0, 5.0),
    Edge(lambda part: engine(diagram_factor=part), "diagram_factor", 0.05, 1.0),
    Edge(
        lambda p: steam_demand(ENGINE, **{**STEAM, "back_pressure": p}),
        "back_pressure",
        1e3,
        FOUR_BAR,
        False,
        True,
    ),
    Edge(lambda p: steam_demand(ENGINE, **{**STEAM, "pressure": p}), "pressure", None, 4e6),
    Edge(lambda speed: Load("governed", speed, None), "speed", 1 / 60, 200.0),
    Edge(lambda p: Load("governed", 8.0, p), "at_pressure", 1e3, 4e6),
    Edge(lambda p: outlet(back_pressure=p), "back_pressure", 1e3, None),
    Edge(lambda take: outlet(friction=take), "friction", 0.0, None),
    Edge(
        lambda take: EngineOnBranch(ENGINE, Load("governed", 8.0, None), friction=take),
        "friction",
        None,
        5e5,
    ),
    Edge(lambda factor: outlet(pulsation=factor), "pulsation", 1.0, 10.0),
    Edge(lambda hole: OpenOutlet("whistle", hole), "area", 1e-9, 1e-3),
    Edge(lambda part: OpenOutlet("whistle", 1e-6, (), part), "coefficient", 0.05, 1.0),
    Edge(lambda heat: BoilerSupply(heat, 5e5, None), "net_heat", 1.0, 1e7),
    Edge(lambda p: BoilerSupply(1e3, p, None), "pressure_limit", AIR, 4e6, True),
    Edge(
        lambda count: trace_supply_and_demand(
            prepare_plant(BoilerSupply(1e3, 5e5, None), []),
            case=RunningCase("none", ()),
            points=count,
        ),
        "points",
        3,
        1000,
    ),
    Edge(
        lambda pascal: advise(
            prepare_plant(BoilerSupply(1e3, 5e5, None), [outlet()]), cases=[ONE], budget=pascal
        ),
        "budget",
        0.0,
        None,
        True,
    ),
    Edge(saturation, "pressure", 1e3, 4e6),
    Edge(lambda kelvin: water_enthalpy(5e5, kelvin), "temperature", 273.16, None),
]

EDGES = [*PARTS, *VALVES, *SHELLS, *BOILERS, *ENGINES]


def sides(edge: Edge) -> tuple[list[float], list[float]]:
    """The figures just inside and just outside an edge: whole numbers step by one."""
    inside, outside = [], []
    for figure, opened, away in (
        (edge.lowest, edge.open_low, -1),
        (edge.highest, edge.open_high, 1),
    ):
        if figure is None:
            continue
        step = 1 if isinstance(figure, int) and not opened else HAIR * abs(figure) or 1e-12
        (outside if opened else inside).append(figure)
        if opened:
            inside.append(figure - away * step)
        else:
            outside.append(figure + away * step)
    return inside, outside


def spread(outside: bool) -> list[Any]:
    return [
        pytest.param(edge, figure, id=f"{number} {edge.field} {figure}")
        for number, edge in enumerate(EDGES)
        for figure in sides(edge)[outside]
    ]


@pytest.mark.parametrize(("edge", "figure"), spread(outside=False))
def test_the_last_figure_inside_is_taken(edge: Edge, figure: float) -> None:
    edge.call(figure)


@pytest.mark.parametrize(("edge", "figure"), spread(outside=True))
def test_the_first_figure_outside_is_refused_by_its_field(edge: Edge, figure: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        edge.call(figure)

    assert refusal.value.field == edge.field


def test_a_reference_pressure_must_overcome_exhaust_and_friction() -> None:
    """Full admission and a factor of 1: the mean pressure is chest less exhaust, by definition."""
    plain = engine(cut_off=1.0, diagram_factor=1.0)
    asked = {"back_pressure": 1.2e5, "friction": 0.4e5}

    EngineOnBranch(plain, Load("governed", 8.0, 1.6e5 + 1), **asked)
    with pytest.raises(OutOfRange) as refusal:
        EngineOnBranch(plain, Load("governed", 8.0, 1.6e5 - 1), **asked)
    assert refusal.value.field == "at_pressure"


def test_an_engine_that_forty_bar_would_not_turn_is_refused() -> None:
    """The factor that brings 40 bar less the exhaust down to the friction, and a hair less."""
    factor = 5e5 / (40e5 - 1.2e5)

    def turn(part: float) -> object:
        stiff = engine(cut_off=1.0, diagram_factor=factor * part)
        supply = BoilerSupply(1e3, 5e5, None)
        hung = EngineOnBranch(stiff, Load("governed", 8.0, None), back_pressure=1.2e5, friction=5e5)
        return balance(prepare_plant(supply, [hung]), cases=[ONE])

    with pytest.raises(NoSolution) as refusal:
        turn(0.9999)
    assert refusal.value.field == "friction"
    turn(1.11)
