"""Supply and demand of a running case against boiler pressure: what a picture of it needs."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import require
from service.engineering.findings import Band
from service.engineering.steam.network.case_balance import settle_case
from service.engineering.steam.network.network import settle
from service.engineering.steam.network.network_tree import Network
from service.engineering.steam.network.outlets import EngineOnBranch, OpenOutlet
from service.engineering.steam.network.running_plant import (
    BoilerSupply,
    RunningCase,
    RunningPlant,
    Softness,
    prepare_plant,
    require_known,
)
from service.engineering.steam.passages import Element

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


def trace_supply_and_demand(
    supply: BoilerSupply,
    engines: Iterable[EngineOnBranch],
    *,
    case: RunningCase,
    trunk: Iterable[Element] = (),
    open_outlets: Iterable[OpenOutlet] = (),
    points: int = 41,
) -> SupplyAndDemand:
    """Supply and demand of one running case against boiler pressure, up to its limit.

    supply: the boiler.
    engines: every engine with its load and passages.
    case: what runs at once.
    trunk: the passages from boiler to block.
    open_outlets: whistles, drains and the like.
    points: pressures to look at, 3 to 1000.
    Returns: the curves as bands, and where they meet [SI].
    Raises OutOfRange: if a figure is outside its range.
    Raises UnknownName: if the case names something the plant has not got.
    Raises NoSolution: if the network does not settle.
    Source: As `network.settle`, once with heat that never runs short.
    """
    require(3 <= points <= 1000, "points", "Give 3 to 1000 points.")
    plant = prepare_plant(supply, engines, trunk=trunk, open_outlets=open_outlets)
    require_known(plant, [case])
    settled, _ = settle_case(plant, case)
    span = supply.pressure_limit - ATMOSPHERE
    pressures = tuple(ATMOSPHERE + span * (step + 1) / points for step in range(points))
    return SupplyAndDemand(
        case=case.name,
        pressures=pressures,
        supply=_trace_supply(plant, case, pressures),
        demand=_trace_demand(plant, case, pressures),
        meeting_pressure=settled.boiler_pressure,
        meeting_steam=settled.steam,
        heat_bound=settled.heat_bound,
    )


def _trace_supply(
    plant: RunningPlant, case: RunningCase, pressures: tuple[float, ...]
) -> tuple[Band, ...]:
    network = plant.network(case)
    band = plant.supply.heat_band
    return tuple(band.scaled(1 / network.find_steam(pressure).heat) for pressure in pressures)


def _trace_demand(
    plant: RunningPlant, case: RunningCase, pressures: tuple[float, ...]
) -> tuple[Band, ...]:
    least, likely, most = (
        _draw_at(plant.network(case, softness), pressures)
        for softness in (LEAST_DEMAND, Softness(), MOST_DEMAND)
    )
    return tuple(Band(*values) for values in zip(least, likely, most, strict=True))


def _draw_at(network: Network, pressures: tuple[float, ...]) -> list[float]:
    return [
        settle(replace(network, net_heat=BOUNDLESS_HEAT, pressure_limit=pressure)).flow
        for pressure in pressures
    ]
