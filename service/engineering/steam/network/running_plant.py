"""A boiler with everything it may have to feed, and which of it runs at once.

Three inputs are soft: how much steam condenses in the cylinders, how much heat reaches the water,
and what the small passages cost. A `Softness` says at which end each is taken.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Annotated, Literal, NamedTuple

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import UnknownName, require
from service.engineering.findings import Band
from service.engineering.given import given
from service.engineering.saturation import require_pressure
from service.engineering.saying import name as called
from service.engineering.saying import power, say
from service.engineering.steam.network.demand_curve import (
    DemandCurve,
    trace_engine,
    trace_open_outlet,
)
from service.engineering.steam.network.network_tree import Branch, Network
from service.engineering.steam.network.outlets import EngineOnBranch, OpenOutlet
from service.engineering.steam.passages import (
    LOSS_SPREAD,
    Element,
    Resistance,
    join_segments,
    trace_line,
)
from service.engineering.steam.properties import water_enthalpy

LEAST_HEAT, MOST_HEAT = 1.0, 1e7
HEAT_RANGE = say(
    ("Heat must be between ", power(LEAST_HEAT), " and ", power(MOST_HEAT)),
    ", and its band in order.",
)

End = Literal["low", "likely", "high"]
ENDS: tuple[End, ...] = ("low", "likely", "high")

LOSS_FACTORS: dict[End, float] = {"low": 1 / LOSS_SPREAD, "likely": 1.0, "high": LOSS_SPREAD}
"""Factor on loss coefficients: 40 % either way (common practice)."""


@dataclass(frozen=True, slots=True)
class BoilerSupply:
    """What the boiler can give."""

    net_heat: float | Band  # into the water, losses off [W], 1 W to 10 MW; a band for a guess
    pressure_limit: Annotated[float, "Pa"] = given("4 bar")
    """Absolute pressure at which burner or safety valve holds it; the inspector's at most."""
    feed_temperature: Annotated[float, "K"] | None = given("15 degC")
    """Of the feed; None while no feed pump runs, when steam costs latent heat."""

    def __post_init__(self) -> None:
        require_pressure(self.pressure_limit, field="pressure_limit")
        fault = "The boiler must stand above the atmosphere; is the pressure absolute?"
        require(self.pressure_limit > ATMOSPHERE, "pressure_limit", fault)
        heat = self.heat_band
        ordered = LEAST_HEAT <= heat.low <= heat.likely <= heat.high <= MOST_HEAT
        require(ordered, "net_heat", HEAT_RANGE)

    @property
    def heat_band(self) -> Band:
        """Heat into the water as a band [W]."""
        heat = self.net_heat
        return heat if isinstance(heat, Band) else Band(heat, heat, heat)


@dataclass(frozen=True, slots=True)
class RunningCase:
    """What runs or blows at once."""

    name: str
    running: tuple[str, ...]  # names of engines and open outlets; everything else is shut off


class Softness(NamedTuple):
    """At which end each soft input is taken."""

    condensation: End = "likely"
    heat: End = "likely"
    loss: End = "likely"


LIKELY = Softness()
AGAINST = Softness(condensation="high", heat="low", loss="high")
IN_FAVOUR = Softness(condensation="low", heat="high", loss="low")

SOFT_INPUTS: dict[str, tuple[Softness, Softness]] = {
    "condensation": (Softness(condensation="high"), Softness(condensation="low")),
    "heat into the water": (Softness(heat="low"), Softness(heat="high")),
    "loss coefficients": (Softness(loss="high"), Softness(loss="low")),
}
"""Each soft input alone, at the end against the plant and at the end in its favour."""


class PreparedOutlet(NamedTuple):
    """An outlet with its passages and its curve at each end of what is soft."""

    passages: tuple[Element, ...]
    resistances: dict[End, Resistance]
    curves: dict[End, DemandCurve]
    pulsation: float


@dataclass(frozen=True)
class RunningPlant:
    """A plant made ready to be solved case by case."""

    supply: BoilerSupply
    engines: tuple[EngineOnBranch, ...]
    open_outlets: tuple[OpenOutlet, ...]
    trunk: tuple[Element, ...]
    trunk_resistances: dict[End, Resistance] = field(repr=False)
    outlets: dict[str, PreparedOutlet] = field(repr=False)
    feed_enthalpy: float | None

    def has_width(self, soft_input: str) -> bool:
        """Whether a soft input has a low and a high end at all."""
        if soft_input == "condensation":
            return any(_is_wide(outlet.engine.condensation_band) for outlet in self.engines)
        if soft_input == "heat into the water":
            return _is_wide(self.supply.heat_band)
        return any(self.trunk_resistances["likely"]) or any(
            outlet.resistances["likely"] for outlet in self.outlets.values()
        )

    def network(self, case: RunningCase, softness: Softness = LIKELY) -> Network:
        """The tree of a running case, with the soft inputs at the ends stated."""
        loss, condensation = softness.loss, softness.condensation
        outlets = [self.outlets[name] for name in case.running]
        return Network(
            trunk=self.trunk_resistances[loss],
            branches=tuple(
                Branch(outlet.resistances[loss], outlet.pulsation, outlet.curves[condensation])
                for outlet in outlets
            ),
            net_heat=getattr(self.supply.heat_band, softness.heat),
            feed_enthalpy=self.feed_enthalpy,
            pressure_limit=self.supply.pressure_limit,
        )


def prepare_plant(
    supply: BoilerSupply,
    engines: Iterable[EngineOnBranch],
    *,
    trunk: Iterable[Element] = (),
    open_outlets: Iterable[OpenOutlet] = (),
) -> RunningPlant:
    """A plant made ready: every passage and every outlet traced once, for many cases.

    supply: the boiler: heat into the water, pressure limit, feed.
    engines: every engine with its load and its passages from the block.
    trunk: the passages from boiler to block.
    open_outlets: whistles, drains and the like.
    Returns: the plant [SI].
    Raises OutOfRange: if a figure is outside its range, or two outlets share a name.
    Raises NoSolution: if an engine could not turn at all.
    Source: As the parts name it; IAPWS-IF97 for the feed.
    """
    engines, open_outlets, trunk = tuple(engines), tuple(open_outlets), tuple(trunk)
    outlets = {engine.name: _prepare_engine(engine) for engine in engines}
    outlets |= {outlet.name: _prepare_open_outlet(outlet) for outlet in open_outlets}
    count = len(engines) + len(open_outlets)
    require(len(outlets) == count, "name", "Two outlets have the same name.")
    feed = supply.feed_temperature
    return RunningPlant(
        supply=supply,
        engines=engines,
        open_outlets=open_outlets,
        trunk=trunk,
        trunk_resistances=_trace(trunk),
        outlets=outlets,
        feed_enthalpy=None if feed is None else water_enthalpy(supply.pressure_limit, feed),
    )


def require_known(plant: RunningPlant, cases: Iterable[RunningCase]) -> tuple[RunningCase, ...]:
    """The cases, once every name in them is known to the plant and stands once."""
    cases = tuple(cases)
    require(bool(cases), "cases", "Name at least one running case.")
    for case in cases:
        fault = say("The case ", called(repr(case.name)), " names an outlet twice.")
        require(len(set(case.running)) == len(case.running), "running", fault)
        for name in case.running:
            if name not in plant.outlets:
                near = tuple(get_close_matches(name, plant.outlets, cutoff=0.4))
                raise UnknownName(name, near, kind="engine or outlet", field="running")
    return cases


def _prepare_engine(outlet: EngineOnBranch) -> PreparedOutlet:
    condensation = outlet.engine.condensation_band
    curves: dict[End, DemandCurve] = {
        end: trace_engine(outlet, condensation=getattr(condensation, end)) for end in ENDS
    }
    passages = tuple(outlet.passages)
    return PreparedOutlet(passages, _trace(passages), curves, outlet.pulsation_factor)


def _prepare_open_outlet(outlet: OpenOutlet) -> PreparedOutlet:
    curves: dict[End, DemandCurve] = dict.fromkeys(ENDS, trace_open_outlet(outlet))
    passages = tuple(outlet.passages)
    return PreparedOutlet(passages, _trace(passages), curves, 1.0)


def _trace(elements: tuple[Element, ...]) -> dict[End, Resistance]:
    if not elements:
        return dict.fromkeys(ENDS, ())
    line = trace_line(elements)
    return {end: join_segments(line, loss_factor=LOSS_FACTORS[end]) for end in ENDS}


def _is_wide(band: Band) -> bool:
    return band.low < band.high
