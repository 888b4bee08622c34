"""A tree of steam passages: boiler, trunk, block, branches, and what draws on them.

Steam is taken as dry and saturated where a passage begins, at the boiler and again at the block,
and at each outlet: the pipes cool away what little superheat throttling gives.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from service.engineering.saturation import saturation
from service.engineering.steam.network.demand_curve import DemandCurve
from service.engineering.steam.passages import ExpandingSteam, Resistance, find_expanding_steam
from service.engineering.steam.properties import vapour_enthalpy


class Branch(NamedTuple):
    """One way from the block to one outlet."""

    segments: Resistance
    pulsation: float  # mean square over square of mean flow, from 1
    curve: DemandCurve


class BoilerSteam(NamedTuple):
    """Steam as it leaves the boiler at one pressure."""

    expanding: ExpandingSteam
    heat: float  # heat that makes one kilogram of it [J/kg]


class Drawn(NamedTuple):
    """What one outlet settles to."""

    pressure: float  # absolute pressure at the outlet [Pa]
    flow: float  # mass flow [kg/s]
    part: float  # place on its curve: part of its wanted speed, 0 or less when it stands


class Settled(NamedTuple):
    """Where a network settles."""

    boiler_pressure: float  # absolute pressure in the boiler [Pa]
    block_pressure: float  # absolute pressure in the block [Pa]
    flow: float  # steam leaving the boiler, the sum of what is drawn [kg/s]
    effective_flow: float  # root mean square flow in the trunk, pulses included [kg/s]
    heat: float  # heat that makes one kilogram of it [J/kg]
    heat_bound: bool  # whether heat is short, so that the boiler stays below its limit
    drawn: tuple[Drawn, ...]  # one an outlet, in the order of the branches
    sweeps: int  # Newton sweeps it took; 0 when the slower search was called


@dataclass(frozen=True)
class Network:
    """A tree of passages with its boiler; a closed branch is simply left out."""

    trunk: Resistance
    branches: tuple[Branch, ...]
    net_heat: float  # heat into the water [W], above 0
    feed_enthalpy: float | None  # enthalpy of the feed [J/kg]; None while no feed pump runs
    pressure_limit: float  # absolute pressure at which burner or safety valve holds the boiler [Pa]

    @cached_property
    def steam_at_limit(self) -> BoilerSteam:
        """The steam at the pressure limit."""
        return self.find_steam(self.pressure_limit)

    def find_steam(self, pressure: float) -> BoilerSteam:
        """The steam the boiler gives at an absolute pressure [Pa]."""
        expanding = find_expanding_steam(pressure)
        if self.feed_enthalpy is None:
            return BoilerSteam(expanding, saturation(pressure).latent_heat)
        return BoilerSteam(expanding, vapour_enthalpy(pressure) - self.feed_enthalpy)


class State(NamedTuple):
    """Logarithms of boiler and block pressure, and each outlet's place."""

    boiler: float
    block: float
    parts: list[float]
