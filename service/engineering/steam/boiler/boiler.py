"""What a boiler gives: steam from its fire, less what the shell loses, and how long it lasts."""

from dataclasses import dataclass
from math import log, pi
from typing import Annotated

from service.engineering.errors import NoSolution
from service.engineering.findings import Band, Finding, Working, worst_first
from service.engineering.given import given, require_given
from service.engineering.saturation import Saturation, saturation
from service.engineering.saying import power, say
from service.engineering.steam.boiler.boiler_findings import (
    find_endurance_faults,
    find_holding_faults,
    find_surface_faults,
    write_boiler_workings,
)
from service.engineering.steam.boiler.firing import Firing
from service.engineering.steam.boiler.pipe_loss import (
    COPPER_HEAT,
    LAGGING_EMISSIVITY,
    OXIDISED_EMISSIVITY,
    STRING_CONDUCTIVITY,
)
from service.engineering.steam.boiler.still_air import find_loss_per_length
from service.engineering.steam.boiler.water_space import Shell, find_water_between
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.steam.properties import water_enthalpy, water_volume

SURFACE_EVAPORATION = Band(15 / 3600, 25 / 3600, 45 / 3600)
"""Steam each square metre of heating surface gives [kg/s/m2] (common practice)."""

FITTINGS_ALLOWANCE = Band(1.10, 1.15, 1.20)
"""Heat for fittings, warming through and purged water over that of boiler and water
(common practice)."""


@dataclass(frozen=True, slots=True)
class Boiler:
    """A boiler, its fire and its water."""

    firing: Firing
    shell: Shell
    low_level: Annotated[float, "m"] = given("50 mm")
    """Lowest safe level above the shell's lowest point: the bottom nut of the glass."""
    high_level: Annotated[float, "m"] = given("75 mm")
    """Level when full, above the shell's lowest point."""
    metal_mass: Annotated[float, "kg"] = given("2.5 kg", above=0.0, most=500.0)
    """Of the copper to be warmed."""
    heating_surface: Annotated[float, "m2"] | None = given(
        "500 cm2", default=None, above=0.0, most=20.0
    )
    """Wetted surface that fire touches; only a cross-check."""
    lagging: Annotated[float, "m"] = given("6 mm", default=0.0, least=0.0)
    """Thickness of the lagging; 0 for a bare shell."""
    conductivity: float = STRING_CONDUCTIVITY  # thermal conductivity of the lagging [W/m/K]
    emissivity: float = given(0.7, default=OXIDISED_EMISSIVITY, least=0.0, most=1.0)
    """Of the bare shell."""

    def __post_init__(self) -> None:
        require_given(self)
        find_water_between(self.shell, low=self.low_level, high=self.high_level)


@dataclass(frozen=True, slots=True)
class BoilerSupply:
    """What a boiler gives at a steady pressure."""

    pressure: float  # absolute pressure [Pa]
    shell_loss: float  # heat the shell gives to the air [W]
    net_heat: Band
    """Heat left to make steam [W]; low is 0 where the poorest fire cannot hold the pressure."""
    evaporation: Band  # steam with the feed pump keeping the level [kg/s]
    evaporation_unfed: Band  # steam with the feed shut, the level falling [kg/s]
    surface_evaporation: Band | None
    """What the heating surface should give, as a cross-check only [kg/s]."""
    usable_water: float  # water between the levels, hot [kg]
    water_time: Band | None
    """Time from full to the lowest safe level, feed shut [s]; low is the hottest fire; None when
    the poorest fire of the band cannot hold the pressure."""
    fuel_time: float | None  # time the fuel lasts [s]; None if it does not run out
    raising_heat: Band  # heat to raise steam from cold [J]
    raising_time: Band | None  # time to raise steam from cold [s], low and None as for the water
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = CAUTIONS


def boiler_supply(
    boiler: Boiler, *, pressure: float, feed_temperature: float, air_temperature: float
) -> BoilerSupply:
    """Steam a boiler gives at a pressure, how long it lasts, and how long it takes to raise.

    boiler: the boiler, its fire and its levels.
    pressure: absolute pressure held [Pa], up to the inspector's limit, which is checked elsewhere.
    feed_temperature: temperature of the feed, and of the boiler when cold [K].
    air_temperature: temperature of the air [K], 230 to 330 K.
    Returns: heat, steam and times as low, likely and high [SI].
    Raises OutOfRange: if a quantity is outside its range.
    Raises NoSolution: if the likely fire cannot hold that pressure against the shell's loss.
    Source: Heat balance: efficiency times heat in the fuel (common practice) less the shell's loss
        (Morgan 1975, Stefan-Boltzmann), over h_g - h_feed (IAPWS-IF97).
    """
    steam = saturation(pressure)
    loss = find_shell_loss(boiler, steam.temperature, air_temperature=air_temperature)
    net = _find_net_heat(boiler.firing, loss)
    heat = steam.vapour_enthalpy - water_enthalpy(
        pressure, feed_temperature, field="feed_temperature"
    )
    space = find_water_between(boiler.shell, low=boiler.low_level, high=boiler.high_level)
    water = space / steam.liquid_volume
    rise, excess = steam.temperature - feed_temperature, steam.temperature - air_temperature
    raising_heat = find_raising_heat(boiler, steam, cold=feed_temperature)
    surface_evaporation = _find_surface_evaporation(boiler.heating_surface)
    evaporation = net.scaled(1 / heat)
    faults = (
        *find_holding_faults(boiler.firing.into_water, loss),
        *find_endurance_faults(water * steam.latent_heat / net.likely, boiler.firing),
    )
    return BoilerSupply(
        pressure=pressure,
        shell_loss=loss,
        net_heat=net,
        evaporation=evaporation,
        evaporation_unfed=net.scaled(1 / steam.latent_heat),
        surface_evaporation=surface_evaporation,
        usable_water=water,
        water_time=_divide(water * steam.latent_heat, net),
        fuel_time=boiler.firing.burning_time,
        raising_heat=raising_heat,
        raising_time=find_raising_time(
            boiler.firing.into_water, raising_heat, loss=loss, rise=rise, excess=excess
        ),
        findings=worst_first((*faults, *find_surface_faults(evaporation, surface_evaporation))),
        workings=write_boiler_workings(
            boiler.firing, steam, loss=loss, net=net, heat=heat, water=water
        ),
    )


def find_shell_loss(boiler: Boiler, temperature: float, *, air_temperature: float) -> float:
    """Heat the whole shell gives to still air, ends reckoned like the barrel.

    Source: Morgan (1975) for convection, Stefan-Boltzmann for radiation, Fourier through the
    lagging.
    """
    shell = boiler.shell
    per_length = find_loss_per_length(
        temperature,
        air=air_temperature,
        diameter=shell.diameter,
        emissivity=LAGGING_EMISSIVITY if boiler.lagging else boiler.emissivity,
        lagging=boiler.lagging,
        conductivity=boiler.conductivity,
    )
    return per_length * shell.surface / (pi * shell.diameter)


def find_raising_heat(boiler: Boiler, steam: Saturation, *, cold: float) -> Band:
    """Heat that brings a full boiler from cold to the boil at working pressure.

    Source: Energy balance with IAPWS-IF97; copper 385 J/kg/K (handbook); allowance by common
    practice.
    """
    space = find_water_between(boiler.shell, low=0.0, high=boiler.high_level)
    mass = space / water_volume(steam.pressure, cold)
    warming = steam.liquid_enthalpy - water_enthalpy(steam.pressure, cold)
    metal = boiler.metal_mass * COPPER_HEAT * (steam.temperature - cold)
    return FITTINGS_ALLOWANCE.scaled(mass * warming + metal)


def find_raising_time(
    into_water: Band, heat: Band, *, loss: float, rise: float, excess: float
) -> Band | None:
    """Time to raise steam while the shell loses more and more heat.

    Source: Energy balance C dT/dt = Q - UA (T - Ta), integrated.
    """
    if into_water.low <= loss:
        return None
    at_start = loss * (1 - rise / excess)

    def take(needed: float, given: float) -> float:
        slowing = (given - loss) / (given - at_start)
        mean = given - at_start if slowing == 1 else (at_start - loss) / log(slowing)
        return needed / mean

    return Band(
        take(heat.low, into_water.high),
        take(heat.likely, into_water.likely),
        take(heat.high, into_water.low),
    )


def _find_net_heat(firing: Firing, loss: float) -> Band:
    given = firing.into_water
    if given.likely <= loss:
        raise NoSolution(
            say(
                ("The fire puts about ", power(given.likely), " into the water and the shell"),
                (" loses ", power(loss), ": it cannot hold that pressure."),
                " Lag it, or fire harder.",
            ),
            field="pressure",
        )
    return Band(max(given.low - loss, 0.0), given.likely - loss, given.high - loss)


def _find_surface_evaporation(surface: float | None) -> Band | None:
    return None if surface is None else SURFACE_EVAPORATION.scaled(surface)


def _divide(heat: float, power: Band) -> Band | None:
    if not power.low:
        return None
    return Band(heat / power.high, heat / power.likely, heat / power.low)
