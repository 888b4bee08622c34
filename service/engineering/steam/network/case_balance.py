"""One running case of a plant, solved for every end of what is soft in it.

It is solved as likely, with everything soft against the plant and in its favour, and with each soft
input alone at its ends; the band of a figure is the span of all these answers.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, NamedTuple

from service.engineering.findings import Band
from service.engineering.steam.network.network import settle
from service.engineering.steam.network.network_tree import Settled
from service.engineering.steam.network.outlets import EngineOnBranch, OpenOutlet
from service.engineering.steam.network.running_plant import (
    AGAINST,
    IN_FAVOUR,
    LIKELY,
    SOFT_INPUTS,
    RunningCase,
    RunningPlant,
    Softness,
)

SLOWEST_PART = 0.1  # of its speed, below which an engine sooner or later stops (inference)
SMALLEST_SPREAD = 1e-4  # span of speed, over the wanted speed, that is none at all


@dataclass(frozen=True, slots=True)
class EngineBalance:
    """Where one engine settles; pressures absolute."""

    name: str
    pressure: Annotated[Band, "Pa"]  # pressure at its chest, before any governor
    speed: Annotated[Band, "1/s"]  # revolutions a second; 0 when it stands
    steam: Annotated[Band, "kg/s"]  # steam it takes, condensation included
    wanted_speed: Annotated[float, "1/s"]  # the speed of its load at the reference pressure
    load_pressure: Annotated[float, "Pa"]  # chest pressure below which its load stands
    stalls: bool  # whether it stands, or turns too slowly to keep on turning
    may_stall: bool  # whether it does with everything soft against it


@dataclass(frozen=True, slots=True)
class OpenOutletBalance:
    """What blows from one whistle or drain."""

    name: str
    pressure: Annotated[Band, "Pa"]  # absolute pressure at the hole
    steam: Annotated[Band, "kg/s"]  # steam it blows


@dataclass(frozen=True, slots=True)
class SoftInput:
    """What one soft input alone does to a case."""

    name: str
    speed_spread: float  # largest span of any engine's speed, over its wanted speed
    steam_spread: float  # span of the steam drawn, over the likely steam
    engine: str | None  # the engine whose speed it moves most; None when no speed moves


@dataclass(frozen=True, slots=True)
class CaseBalance:
    """Where the plant settles in one running case; pressures absolute."""

    name: str
    boiler_pressure: Annotated[Band, "Pa"]  # pressure in the boiler
    block_pressure: Annotated[Band, "Pa"]  # pressure in the distribution block
    steam: Annotated[Band, "kg/s"]  # steam drawn from the boiler
    surplus: Annotated[Band, "kg/s"]
    """What the fire could raise beyond: it blows off, or turn the burner down."""
    heat_bound: bool  # whether heat is short, so that the boiler falls below its limit
    engines: tuple[EngineBalance, ...]
    open_outlets: tuple[OpenOutletBalance, ...]
    soft_inputs: tuple[SoftInput, ...]  # what makes the spread, the widest first


def settle_case(plant: RunningPlant, case: RunningCase) -> tuple[CaseBalance, Settled]:
    """Solve one running case for every end of what is soft in it."""
    answers = _answer(plant, case)
    likely = answers.likely.settled
    places = {name: place for place, name in enumerate(case.running)}
    found = CaseBalance(
        name=case.name,
        boiler_pressure=answers.span(lambda answer: answer.settled.boiler_pressure),
        block_pressure=answers.span(lambda answer: answer.settled.block_pressure),
        steam=answers.span(lambda answer: answer.settled.flow),
        surplus=answers.span(_find_surplus),
        heat_bound=likely.heat_bound,
        engines=tuple(
            _report_engine(outlet, answers, places[outlet.name])
            for outlet in plant.engines
            if outlet.name in places
        ),
        open_outlets=tuple(
            _report_open_outlet(outlet, answers, places[outlet.name])
            for outlet in plant.open_outlets
            if outlet.name in places
        ),
        soft_inputs=_rank_soft_inputs(plant, answers),
    )
    return found, likely


class _Answer(NamedTuple):
    """One solution and the heat it was found for."""

    settled: Settled
    net_heat: float


class _Answers(NamedTuple):
    """All solutions of one case; `alone` holds each soft input's against and in favour."""

    case: RunningCase
    likely: _Answer
    against: _Answer
    alone: dict[str, tuple[_Answer, _Answer]]
    all: tuple[_Answer, ...]

    def span(self, pick: Callable[[_Answer], float]) -> Band:
        """The band of one figure over all solutions."""
        values = [pick(answer) for answer in self.all]
        return Band(min(values), pick(self.likely), max(values))


def _answer(plant: RunningPlant, case: RunningCase) -> _Answers:
    likely = _solve(plant, case, LIKELY, None)

    def solve(softness: Softness) -> _Answer:
        return _solve(plant, case, softness, likely.settled)

    wide = [name for name in SOFT_INPUTS if plant.has_width(name)]
    alone = {name: (solve(SOFT_INPUTS[name][0]), solve(SOFT_INPUTS[name][1])) for name in wide}
    together = (solve(AGAINST), solve(IN_FAVOUR)) if len(wide) > 1 else ()
    ends = together or next(iter(alone.values()), (likely, likely))
    every = (likely, *ends, *(answer for pair in alone.values() for answer in pair))
    return _Answers(case, likely, ends[0], alone, every)


def _solve(
    plant: RunningPlant, case: RunningCase, softness: Softness, start: Settled | None
) -> _Answer:
    network = plant.network(case, softness)
    return _Answer(settle(network, start=start), network.net_heat)


def _find_surplus(answer: _Answer) -> float:
    settled = answer.settled
    return 0.0 if settled.heat_bound else answer.net_heat / settled.heat - settled.flow


def _report_engine(outlet: EngineOnBranch, answers: _Answers, place: int) -> EngineBalance:
    wanted = outlet.load.speed
    parts = answers.span(lambda answer: _find_part(outlet, answer, place))
    against = _find_part(outlet, answers.against, place)
    return EngineBalance(
        name=outlet.name,
        pressure=answers.span(lambda answer: answer.settled.drawn[place].pressure),
        speed=parts.scaled(wanted),
        steam=answers.span(lambda answer: answer.settled.drawn[place].flow),
        wanted_speed=wanted,
        load_pressure=outlet.load_pressure,
        stalls=parts.likely < SLOWEST_PART,
        may_stall=against < SLOWEST_PART,
    )


def _report_open_outlet(outlet: OpenOutlet, answers: _Answers, place: int) -> OpenOutletBalance:
    return OpenOutletBalance(
        name=outlet.name,
        pressure=answers.span(lambda answer: answer.settled.drawn[place].pressure),
        steam=answers.span(lambda answer: answer.settled.drawn[place].flow),
    )


def _find_part(outlet: EngineOnBranch, answer: _Answer, place: int) -> float:
    """The part of its wanted speed at which an engine turns."""
    return min(max(answer.settled.drawn[place].part, 0.0), outlet.load.top_part)


def _rank_soft_inputs(plant: RunningPlant, answers: _Answers) -> tuple[SoftInput, ...]:
    found = [_weigh_soft_input(plant, answers, name) for name in answers.alone]
    found.sort(key=lambda soft: (soft.speed_spread, soft.steam_spread), reverse=True)
    return tuple(found)


def _weigh_soft_input(plant: RunningPlant, answers: _Answers, name: str) -> SoftInput:
    against, in_favour = answers.alone[name]
    spreads = {
        outlet.name: _find_part(outlet, in_favour, place) - _find_part(outlet, against, place)
        for place, name in enumerate(answers.case.running)
        for outlet in plant.engines
        if outlet.name == name
    }
    most = max(spreads, key=lambda key: abs(spreads[key]), default=None)
    speed_spread = abs(spreads[most]) if most is not None else 0.0
    flow = answers.likely.settled.flow
    steam_spread = abs(in_favour.settled.flow - against.settled.flow) / flow if flow else 0.0
    moved = speed_spread > SMALLEST_SPREAD
    return SoftInput(name, speed_spread, steam_spread, most if moved else None)
