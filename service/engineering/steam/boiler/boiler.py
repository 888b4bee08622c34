"""What a boiler gives: steam from its fire, less what the shell loses, and how long it lasts."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import acos, log, pi, sqrt
from typing import Annotated, Literal

from service.engineering.errors import NoSolution, require
from service.engineering.findings import Band, Finding, Level, Working, worst_first
from service.engineering.given import given, require_given
from service.engineering.saturation import PROPERTY_SOURCE, Saturation, saturation
from service.engineering.saying import duration, flow, power, say, share
from service.engineering.steam.boiler.firing import Firing
from service.engineering.steam.boiler.pipe_loss import (
    CONVECTION_SOURCE,
    COPPER_HEAT,
    LAGGING_EMISSIVITY,
    OXIDISED_EMISSIVITY,
    STRING_CONDUCTIVITY,
    find_loss_per_length,
)
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.steam.properties import water_enthalpy, water_volume

SURFACE_EVAPORATION = Band(15 / 3600, 25 / 3600, 45 / 3600)  # steam [kg/s/m2] (common practice)
FITTINGS_ALLOWANCE = Band(1.10, 1.15, 1.20)
"""Heat for fittings, warming through and purged water over that of boiler and water
(common practice)."""

WASTEFUL_LOSS = 0.25  # part of the heat in the water lost by the shell that calls for lagging
PRACTICE = "common practice"

Lie = Literal["horizontal", "vertical"]


@dataclass(frozen=True, slots=True)
class Shell:
    """A plain cylindrical shell, inside dimensions; levels are measured from its lowest point."""

    lie: Lie = given("horizontal")  # whether the axis is horizontal or vertical
    diameter: Annotated[float, "m"] = given("100 mm", least=0.01, most=2.0)  # inside diameter
    length: Annotated[float, "m"] = given("200 mm", least=0.01, most=5.0)  # inside length or height
    displaced: float = given(0.1, default=0.0, least=0.0, most=0.9)  # taken by tubes and flues

    def __post_init__(self) -> None:
        require_given(self)

    @property
    def height(self) -> float:
        """Highest level the shell can hold [m]."""
        return self.diameter if self.lie == "horizontal" else self.length

    @property
    def volume(self) -> float:
        """Whole volume of the shell, tubes not taken off [m3]."""
        return pi / 4 * self.diameter**2 * self.length

    @property
    def surface(self) -> float:
        """Whole surface, both ends included [m2]."""
        return pi * self.diameter * (self.length + self.diameter / 2)


@dataclass(frozen=True, slots=True)
class Boiler:
    """A boiler, its fire and its water."""

    firing: Firing
    shell: Shell
    low_level: Annotated[float, "m"] = given("50 mm")  # lowest safe: the bottom nut
    high_level: Annotated[float, "m"] = given("75 mm")  # when full, above the shell's lowest point
    metal_mass: Annotated[float, "kg"] = given("2.5 kg", least=1e-3, most=500.0)  # copper to warm
    heating_surface: Annotated[float, "m2"] | None = given(
        "500 cm2", default=None, least=1e-5, most=20.0
    )
    """Wetted surface that fire touches; only a cross-check."""
    lagging: Annotated[float, "m"] = given("6 mm", default=0.0, least=0.0, most=0.2)  # 0: bare
    conductivity: float = STRING_CONDUCTIVITY  # thermal conductivity of the lagging [W/m/K]
    emissivity: float = given(0.7, default=OXIDISED_EMISSIVITY, least=0.0, most=1.0)  # if bare

    def __post_init__(self) -> None:
        require_given(self)
        find_water_between(self.shell, low=self.low_level, high=self.high_level)


@dataclass(frozen=True, slots=True)
class BoilerSupply:
    """What a boiler gives at a steady pressure."""

    pressure: Annotated[float, "Pa"]  # absolute pressure
    shell_loss: Annotated[float, "W"]  # heat the shell gives to the air
    net_heat: Annotated[Band, "W"]
    """Left for steam; low is 0 where the poorest fire cannot hold the pressure."""
    evaporation: Annotated[Band, "kg/s"]  # steam with the feed pump keeping the level
    evaporation_unfed: Annotated[Band, "kg/s"]  # steam with the feed shut, the level falling
    surface_evaporation: Annotated[Band, "kg/s"] | None
    """What the surface should give, a cross-check only."""
    usable_water: Annotated[float, "kg"]  # water between the levels, hot
    water_time: Annotated[Band, "s"] | None
    """Time from full to the lowest safe level, feed shut; low is the hottest fire; None when
    the poorest fire of the band cannot hold the pressure."""
    fuel_time: Annotated[float, "s"] | None  # time the fuel lasts; None if it does not run out
    raising_heat: Annotated[Band, "J"]  # heat to raise steam from cold
    raising_time: Annotated[Band, "s"] | None
    """Time to raise steam from cold, low and None as for the water."""
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
    surface = boiler.heating_surface
    from_surface = None if surface is None else SURFACE_EVAPORATION.scaled(surface)
    evaporation = net.scaled(1 / heat)
    faults = [
        *_find_holding_faults(boiler.firing.into_water, loss),
        _judge_endurance(water * steam.latent_heat / net.likely, boiler.firing),
    ]
    if from_surface is not None:
        faults.append(_judge_surface(evaporation, from_surface))
    return BoilerSupply(
        pressure=pressure,
        shell_loss=loss,
        net_heat=net,
        evaporation=evaporation,
        evaporation_unfed=net.scaled(1 / steam.latent_heat),
        surface_evaporation=from_surface,
        usable_water=water,
        water_time=_divide(water * steam.latent_heat, net),
        fuel_time=boiler.firing.burning_time,
        raising_heat=raising_heat,
        raising_time=find_raising_time(
            boiler.firing.into_water, raising_heat, loss=loss, rise=rise, excess=excess
        ),
        findings=worst_first(faults),
        workings=_write_workings(boiler.firing, steam, loss=loss, net=net, heat=heat, water=water),
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
        text = say(
            ("The fire puts about ", power(given.likely), " into the water and the shell loses "),
            (power(loss), ": it cannot hold that pressure. Lag it, or fire harder."),
        )
        raise NoSolution(text, field="pressure")
    return Band(max(given.low - loss, 0.0), given.likely - loss, given.high - loss)


def _divide(heat: float, power: Band) -> Band | None:
    if not power.low:
        return None
    return Band(heat / power.high, heat / power.likely, heat / power.low)


def _find_holding_faults(into_water: Band, loss: float) -> Iterator[Finding]:
    part = loss / into_water.likely
    if into_water.low <= loss:
        text = say(
            ("If the fire is as poor as such fires can be (", power(into_water.low, "poorest")),
            (" into the water), the shell's loss of ", power(loss, "loss")),
            " leaves nothing for steam.",
        )
        yield Finding("caution", "weak-fire", text, into_water.low, loss, "W", PRACTICE)
    elif part > WASTEFUL_LOSS:
        text = say(
            ("The shell loses ", power(loss, "loss"), ", ", share(part)),
            " of what reaches the water: lag it.",
        )
        yield Finding("caution", "wasteful-shell", text, part, WASTEFUL_LOSS, "1", PRACTICE)


def _judge_endurance(water_time: float, firing: Firing) -> Finding:
    """Which runs out first with the feed shut; without a feed pump it should be the fuel."""
    fuel_time = firing.burning_time
    water = duration(water_time, "water")
    if fuel_time is not None and fuel_time <= water_time:
        text = say(
            ("By the likely figures the fuel runs out first, after ", duration(fuel_time, "fuel")),
            ("; the water would last about ", water, "."),
        )
        return Finding("ok", "fuel-first", text, fuel_time, water_time, "s", PRACTICE)
    text = say(
        ("With the feed shut the water reaches its lowest safe level after about ", water),
        ", and the fire still burns: watch the glass or pump.",
    )
    return Finding("caution", "water-first", text, water_time, fuel_time, "s", PRACTICE)


def _judge_surface(evaporation: Band, from_surface: Band) -> Finding:
    """Whether the heating surface could pass the heat the fire is said to give."""
    likely = evaporation.likely
    level: Level = "ok"
    if likely > from_surface.high:
        level, code, against = "caution", "surface-small", " is more than"
        advice = "the efficiency is probably taken too high."
    elif likely < from_surface.low:
        code, against = "fire-small", " is less than"
        advice = "the fire is small for the boiler."
    else:
        code, against, advice = "surface-agrees", " agrees with", "the two bear each other out."
    text = say(
        ("Likely evaporation of ", flow(likely, "evaporation"), against),
        (" what such a heating surface usually gives (", flow(from_surface.low, "least")),
        (" to ", flow(from_surface.high, "most"), "): ", advice),
    )
    return Finding(level, code, text, likely, from_surface.high, "kg/s", PRACTICE)


def _write_workings(
    firing: Firing, steam: Saturation, *, loss: float, net: Band, heat: float, water: float
) -> tuple[Working, ...]:
    sources = "; ".join(firing.sources) or "given"
    likely, latent = net.likely, steam.latent_heat
    return (
        Working('Q_"fire"', '"heat in the fuel, or power"', firing.gross.likely, "W", sources),
        Working("eta", '"part that reaches the water"', firing.efficiency.likely, "1", sources),
        Working('Q_"loss"', '"shell to still air"', loss, "W", CONVECTION_SOURCE),
        Working('Q_"net"', 'eta Q_"fire" - Q_"loss"', likely, "W", "heat balance"),
        Working('h_g - h_"feed"', '"from feed water to dry steam"', heat, "J/kg", PROPERTY_SOURCE),
        Working("m", 'Q_"net"/(h_g - h_"feed")', likely / heat, "kg/s", "heat balance"),
        Working('m_"unfed"', 'Q_"net"/h_"fg"', likely / latent, "kg/s", "heat balance"),
        Working("M_w", 'V rho_f "between the levels"', water, "kg", PROPERTY_SOURCE),
        Working("t_w", 'M_w/m_"unfed"', water * latent / likely, "s", "heat balance"),
    )


def find_water_between(shell: Shell, *, low: float, high: float) -> float:
    """Volume of water between two levels of the gauge glass.

    shell: the shell.
    low: lower level above the shell's lowest point [m].
    high: upper level above the shell's lowest point [m].
    Returns: volume, tubes and flues taken off [m3].
    Raises OutOfRange: if the levels are out of order or outside the shell.
    Source: Area of a circular segment (geometry).
    """
    require(0 <= low < high, "low", "The low level must be below the high one.")
    require(high <= shell.height, "high", "The high level is above the top of the shell.")
    if shell.lie == "vertical":
        space = pi / 4 * shell.diameter**2 * (high - low)
    else:
        radius = shell.diameter / 2
        space = shell.length * (_segment_area(radius, high) - _segment_area(radius, low))
    return space * (1 - shell.displaced)


def _segment_area(radius: float, depth: float) -> float:
    rest = radius - depth
    return radius**2 * acos(rest / radius) - rest * sqrt(max(2 * radius * depth - depth**2, 0.0))
