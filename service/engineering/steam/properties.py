"""Specific volumes, enthalpies and viscosity of dry saturated steam and of water, by IAPWS-IF97."""

from typing import Any

from service.engineering.errors import OutOfRange
from service.engineering.saturation import FREEZING_POINT, dry_steam, water_state
from service.engineering.saying import say
from service.engineering.saying import temperature as degrees

STEAM_EXPONENT = 1.135  # isentropic, of dry steam that stays in equilibrium (from memory)


def vapour_volume(pressure: float) -> float:
    """Specific volume of dry saturated steam.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    Returns: specific volume [m3/kg].
    Raises OutOfRange: if the pressure is outside the range.
    Source: IAPWS-IF97, regions 2 and 4.
    """
    return 1.0 / dry_steam(pressure).rhomass()  # type: ignore[no-any-return]


def vapour_enthalpy(pressure: float) -> float:
    """Specific enthalpy of dry saturated steam.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    Returns: specific enthalpy [J/kg].
    Raises OutOfRange: if the pressure is outside the range.
    Source: IAPWS-IF97, regions 2 and 4.
    """
    return dry_steam(pressure).hmass()  # type: ignore[no-any-return]


def vapour_viscosity(pressure: float) -> float:
    """Dynamic viscosity of dry saturated steam.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    Returns: dynamic viscosity [Pa s].
    Raises OutOfRange: if the pressure is outside the range.
    Source: IAPWS R12-08 at the saturated density of IAPWS-IF97.
    """
    return dry_steam(pressure).viscosity()  # type: ignore[no-any-return]


def water_enthalpy(pressure: float, temperature: float, *, field: str = "temperature") -> float:
    """Specific enthalpy of liquid water, as fed to a boiler.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    temperature: temperature [K], from 273.16 K to the boil at that pressure.
    field: name of the temperature to blame.
    Returns: specific enthalpy [J/kg].
    Raises OutOfRange: if the pressure is outside the range, or the water would freeze or boil.
    Source: IAPWS-IF97, region 1.
    """
    return _liquid(pressure, temperature, field).hmass()  # type: ignore[no-any-return]


def water_volume(pressure: float, temperature: float) -> float:
    """Specific volume of liquid water.

    pressure: absolute pressure [Pa], 1 kPa to 4 MPa.
    temperature: temperature [K], from 273.16 K to the boil at that pressure.
    Returns: specific volume [m3/kg].
    Raises OutOfRange: if the pressure is outside the range, or the water would freeze or boil.
    Source: IAPWS-IF97, region 1.
    """
    return 1.0 / _liquid(pressure, temperature, "temperature").rhomass()  # type: ignore[no-any-return]


def _liquid(pressure: float, temperature: float, field: str) -> Any:
    boiling = dry_steam(pressure).T()
    if not FREEZING_POINT <= temperature < boiling:
        limits = "Water must be above freezing and below its boil at that pressure, "
        raise OutOfRange(say(limits, degrees(boiling), "."), field=field)
    water = water_state()
    water.state.update(water.pressure_and_temperature, pressure, temperature)
    return water.state
