"""The saturation line of water, by IAPWS-IF97.

CoolProp's IF97 back end does the arithmetic, through one low-level state object per thread. It is
imported at the first call, so that importing this module costs nothing.
"""

import threading
from dataclasses import dataclass
from functools import cache
from typing import Any

from service.engineering.coolprop_library import load_core
from service.engineering.errors import OutOfRange, require
from service.engineering.saying import drop, say, temperature

LOWEST_PRESSURE = 1_000.0  # absolute [Pa]: 0.01 bar, just above the triple point of water
HIGHEST_PRESSURE = 4_000_000.0  # absolute [Pa]: 40 bar, far above any miniature boiler
FREEZING_POINT = 273.16  # lowest temperature of liquid water [K]: the triple point (IAPWS-IF97)
PRESSURE_RANGE = say(
    ("Absolute pressure must lie between ", drop(LOWEST_PRESSURE)),
    (" and ", drop(HIGHEST_PRESSURE), "."),
)
BOILING_RANGE = say(
    "Boiling temperature must lie between ", temperature(280.12), " and ", temperature(523.5), "."
)

PROPERTY_SOURCE = "IAPWS-IF97"


@dataclass(frozen=True, slots=True)
class Saturation:
    """Water and dry steam in equilibrium at one absolute pressure."""

    pressure: float  # absolute pressure [Pa]
    temperature: float  # saturation temperature [K]
    vapour_volume: float  # specific volume of dry steam [m3/kg]
    vapour_enthalpy: float  # specific enthalpy of dry steam [J/kg]
    vapour_entropy: float  # specific entropy of dry steam [J/kg/K]
    vapour_viscosity: float  # dynamic viscosity of dry steam [Pa s]
    liquid_volume: float  # specific volume of water at the boil [m3/kg]
    liquid_enthalpy: float  # specific enthalpy of water at the boil [J/kg]
    liquid_entropy: float  # specific entropy of water at the boil [J/kg/K]

    @property
    def latent_heat(self) -> float:
        """Heat that turns boiling water into dry steam [J/kg]."""
        return self.vapour_enthalpy - self.liquid_enthalpy


def saturation(pressure: float) -> Saturation:
    """Everything about water and dry steam in equilibrium at one pressure.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    Returns: the saturated state, with its units beside each field [SI].
    Raises OutOfRange: if the pressure is outside the range.
    Source: IAPWS-IF97 (IAPWS R7-97) for the equations of state; IAPWS R12-08 for viscosity.
    """
    require_pressure(pressure)
    water = water_state()
    state = water.state
    state.update(water.pressure_and_quality, pressure, 0.0)
    liquid = 1.0 / state.rhomass(), state.hmass(), state.smass()
    state.update(water.pressure_and_quality, pressure, 1.0)
    vapour = 1.0 / state.rhomass(), state.hmass(), state.smass(), state.viscosity()
    return Saturation(pressure, state.T(), *vapour, *liquid)


def saturation_temperature(pressure: float) -> float:
    """Temperature at which water boils.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    Returns: temperature [K].
    Raises OutOfRange: if the pressure is outside the range.
    Source: IAPWS-IF97, region 4.
    """
    return dry_steam(pressure).T()  # type: ignore[no-any-return]


def saturation_pressure(temperature: float) -> float:
    """Pressure at which water boils at a temperature.

    temperature: temperature [K], 280.12 K to 523.5 K (the pressures 1 kPa to 4 MPa).
    Returns: absolute pressure [Pa].
    Raises OutOfRange: if the temperature is outside the range.
    Source: IAPWS-IF97, region 4.
    """
    require(FREEZING_POINT <= temperature <= 523.6, "temperature", BOILING_RANGE)
    water = water_state()
    water.state.update(water.quality_and_temperature, 1.0, temperature)
    pressure: float = water.state.p()
    require_pressure(pressure, field="temperature")
    return pressure


def require_pressure(pressure: float, *, field: str = "pressure") -> None:
    """Refuse an absolute pressure outside the range of this module.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    field: name of the argument to blame.
    Raises OutOfRange: if the pressure is outside the range.
    Source: The project's own limits, well inside IAPWS-IF97.
    """
    if not LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
        raise OutOfRange(PRESSURE_RANGE, field=field)


def dry_steam(pressure: float) -> Any:
    """CoolProp's state of dry saturated steam; only until the next call in this thread.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    Returns: asked by its methods, all in SI.
    Raises OutOfRange: if the pressure is outside the range.
    """
    require_pressure(pressure)
    water = water_state()
    water.state.update(water.pressure_and_quality, pressure, 1.0)
    return water.state


class _Water(threading.local):
    """A state object for each thread, with CoolProp's names for the pairs it is set by."""

    def __init__(self) -> None:
        core = load_core()
        self.state: Any = core.AbstractState("IF97", "Water")
        self.pressure_and_quality: Any = core.PQ_INPUTS
        self.pressure_and_temperature: Any = core.PT_INPUTS
        self.quality_and_temperature: Any = core.QT_INPUTS


@cache
def water_state() -> _Water:
    """The state object of this thread, made when a property is first wanted.

    Returns: the state and the names of the pairs it is set by.
    """
    return _Water()
