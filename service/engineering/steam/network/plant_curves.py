"""What pictures of a running case need: supply and demand, and the pressure along every way."""

from dataclasses import dataclass, replace
from math import sqrt

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import require
from service.engineering.findings import Band
from service.engineering.steam.network.case_balance import settle_case
from service.engineering.steam.network.network import settle
from service.engineering.steam.network.network_tree import Drawn, Network, Settled
from service.engineering.steam.network.running_plant import (
    RunningCase,
    RunningPlant,
    Softness,
    require_known,
)
from service.engineering.steam.passages import (
    Element,
    ExpandingSteam,
    find_expanding_steam,
    pass_up,
    trace_line,
)

BOUNDLESS_HEAT = 1e9  # heat that never runs short [W]: what is drawn then is the demand
LEAST_DEMAND = Softness(condensation="low", loss="high")
MOST_DEMAND = Softness(condensation="high", loss="low")


@dataclass(frozen=True, slots=True)
class SupplyAndDemand:
    """Two curves against boiler pressure and where they meet; pressures absolute."""

    case: str
    pressures: tuple[float, ...]  # boiler pressures, rising to the limit [Pa]
    supply: tuple[Band, ...]  # steam the fire can raise at each [kg/s]
    demand: tuple[Band, ...]  # steam the case draws at each [kg/s]
    meeting_pressure: Band  # where the boiler settles [Pa]
    meeting_steam: Band  # what is drawn there [kg/s]
    heat_bound: bool  # whether the curves meet below the limit


@dataclass(frozen=True, slots=True)
class Station:
    """One place along a way."""

    name: str  # what has just been passed, or boiler or block
    pressure: float  # absolute pressure there [Pa]


@dataclass(frozen=True, slots=True)
class PressureLine:
    """The way to one outlet."""

    outlet: str
    trunk: tuple[Station, ...]  # from the boiler to the block, both named
    branch: tuple[Station, ...]  # from block to outlet; one called direct if nothing is between
    flows: bool  # whether any steam is on its way there


def trace_supply_and_demand(
    plant: RunningPlant, *, case: RunningCase, points: int = 41
) -> SupplyAndDemand:
    """Supply and demand of one running case against boiler pressure, up to its limit.

    plant: boiler, passages, engines and open outlets, made ready.
    case: what runs at once.
    points: pressures to look at, 3 to 1000.
    Returns: the curves as bands, and where they meet [SI].
    Raises OutOfRange: if there are too few or too many points, or an outlet is named twice.
    Raises UnknownName: if the case names something the plant has not got.
    Raises NoSolution: if the network does not settle.
    Source: As `network.settle`, once with heat that never runs short.
    """
    require(3 <= points <= 1000, "points", "Give 3 to 1000 points.")
    require_known(plant, [case])
    settled, _ = settle_case(plant, case)
    network, heat = plant.network(case), plant.supply.heat_band
    limit = plant.supply.pressure_limit
    pressures = tuple(
        ATMOSPHERE + (limit - ATMOSPHERE) * (step + 1) / points for step in range(points)
    )
    return SupplyAndDemand(
        case=case.name,
        pressures=pressures,
        supply=tuple(heat.scaled(1 / network.find_steam(each).heat) for each in pressures),
        demand=_trace_demand(plant, case, pressures),
        meeting_pressure=settled.boiler_pressure,
        meeting_steam=settled.steam,
        heat_bound=settled.heat_bound,
    )


def trace_pressure_lines(plant: RunningPlant, *, case: RunningCase) -> tuple[PressureLine, ...]:
    """Follow the pressure from the boiler to everything that runs, in the likely answer.

    plant: boiler, passages, engines and open outlets, made ready.
    case: what runs at once.
    Returns: one way an outlet that runs, in the order the case names them [SI].
    Raises OutOfRange: if the case names an outlet twice.
    Raises UnknownName: if the case names something the plant has not got.
    Raises NoSolution: if the network does not settle.
    Source: As `network.settle` and `passages.pass_up`.
    """
    require_known(plant, [case])
    network = plant.network(case)
    settled = settle(network)
    steam = network.find_steam(settled.boiler_pressure).expanding
    trunk = climb_stations(
        plant.trunk, steam, flow=settled.effective_flow, outlet=settled.block_pressure
    )
    stations = _name_stations("boiler", plant.trunk, trunk)
    return tuple(
        PressureLine(name, stations, _follow_branch(plant, name, settled, drawn), drawn.flow > 0)
        for name, drawn in zip(case.running, settled.drawn, strict=True)
    )


def climb_stations(
    elements: tuple[Element, ...], steam: ExpandingSteam, *, flow: float, outlet: float
) -> tuple[float, ...]:
    """Pressures before the first and after every element of a line that passes a flow."""
    pressures = [outlet]
    if elements and flow > 0:
        for segment in reversed(trace_line(elements).segments):
            passed = pass_up(segment, steam, flow=flow, outlet_pressure=pressures[-1])
            pressures.append(passed.pressure_in)
    else:
        pressures += [outlet] * len(elements)
    return tuple(reversed(pressures))


def _trace_demand(
    plant: RunningPlant, case: RunningCase, pressures: tuple[float, ...]
) -> tuple[Band, ...]:
    least, likely, most = (
        _draw_at(plant.network(case, softness), pressures)
        for softness in (LEAST_DEMAND, Softness(), MOST_DEMAND)
    )
    return tuple(Band(*values) for values in zip(least, likely, most, strict=True))


def _draw_at(network: Network, pressures: tuple[float, ...]) -> list[float]:
    """What is drawn at each pressure, which begins where it stood at the one before."""
    flows, settled = [], None
    for pressure in pressures:
        held = replace(network, net_heat=BOUNDLESS_HEAT, pressure_limit=pressure)
        settled = settle(held, start=settled)
        flows.append(settled.flow)
    return flows


def _follow_branch(
    plant: RunningPlant, name: str, settled: Settled, drawn: Drawn
) -> tuple[Station, ...]:
    outlet = plant.outlets[name]
    passages, flow = outlet.passages, drawn.flow * sqrt(outlet.pulsation)
    steam = find_expanding_steam(settled.block_pressure)
    pressures = climb_stations(passages, steam, flow=flow, outlet=drawn.pressure)
    stations = _name_stations("block", passages, pressures)[1:]
    return stations or (Station("direct", drawn.pressure),)


def _name_stations(
    first: str, elements: tuple[Element, ...], pressures: tuple[float, ...]
) -> tuple[Station, ...]:
    names = [first, *(element.kind.replace("_", " ") for element in elements)]
    return tuple(Station(name, pressure) for name, pressure in zip(names, pressures, strict=True))
