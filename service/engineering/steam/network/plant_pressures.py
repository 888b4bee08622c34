"""Pressure along every way from boiler to outlet, element by element."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

from service.engineering.steam.network.network import settle
from service.engineering.steam.network.network_tree import Settled
from service.engineering.steam.network.outlets import EngineOnBranch, OpenOutlet
from service.engineering.steam.network.running_plant import (
    BoilerSupply,
    RunningCase,
    RunningPlant,
    prepare_plant,
    require_known,
)
from service.engineering.steam.passages import (
    Element,
    ExpandingSteam,
    find_expanding_steam,
    pass_up,
    trace_line,
)


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
    branch: tuple[Station, ...]
    """What follows the block, to the outlet's own pressure; one called direct if nothing does."""
    flows: bool  # whether any steam is on its way there


def trace_pressure_lines(
    supply: BoilerSupply,
    engines: Iterable[EngineOnBranch],
    *,
    case: RunningCase,
    trunk: Iterable[Element] = (),
    open_outlets: Iterable[OpenOutlet] = (),
) -> tuple[PressureLine, ...]:
    """Follow the pressure from the boiler to everything that runs, in the likely answer.

    supply: the boiler.
    engines: every engine with its load and passages.
    case: what runs at once.
    trunk: the passages from boiler to block.
    open_outlets: whistles, drains and the like.
    Returns: one way an outlet that runs, in the order the case names them [SI].
    Raises OutOfRange: if a figure is outside its range.
    Raises UnknownName: if the case names something the plant has not got.
    Raises NoSolution: if the network does not settle.
    Source: As `network.settle` and `expansion.pass_up`.
    """
    plant = prepare_plant(supply, engines, trunk=trunk, open_outlets=open_outlets)
    require_known(plant, [case])
    network = plant.network(case)
    settled = settle(network)
    steam = network.find_steam(settled.boiler_pressure).expanding
    return tuple(_follow(plant, settled, steam, place) for place in _places(plant, case))


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


Place = tuple[str, int, tuple[Element, ...], float]
"""Outlet, its place in the case, its passages and its pulsation."""


def _places(plant: RunningPlant, case: RunningCase) -> list[Place]:
    passages = {outlet.name: outlet.passages for outlet in plant.engines}
    passages |= {open_outlet.name: open_outlet.passages for open_outlet in plant.open_outlets}
    return [
        (name, place, tuple(passages[name]), plant.outlets[name].pulsation)
        for place, name in enumerate(case.running)
    ]


def _follow(
    plant: RunningPlant, settled: Settled, steam: ExpandingSteam, place: Place
) -> PressureLine:
    name, number, passages, pulsation = place
    drawn = settled.drawn[number]
    branch = climb_stations(
        passages,
        find_expanding_steam(settled.block_pressure),
        flow=drawn.flow * sqrt(pulsation),
        outlet=drawn.pressure,
    )
    trunk = climb_stations(
        plant.trunk, steam, flow=settled.effective_flow, outlet=settled.block_pressure
    )
    return PressureLine(
        outlet=name,
        trunk=_name_stations("boiler", plant.trunk, trunk),
        branch=_name_stations("block", passages, branch)[1:]
        or (Station("direct", drawn.pressure),),
        flows=drawn.flow > 0,
    )


def _name_stations(
    first: str, elements: tuple[Element, ...], pressures: tuple[float, ...]
) -> tuple[Station, ...]:
    names = [first, *(element.kind.replace("_", " ") for element in elements)]
    return tuple(Station(name, pressure) for name, pressure in zip(names, pressures, strict=True))
