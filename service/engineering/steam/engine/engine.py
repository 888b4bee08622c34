"""What an engine takes: steam, mean pressure, power and heat at a stated pressure and speed.

The diagram accounts for dry steam only; what condenses on the walls and leaks past comes on top as
a band, and is most of the answer in a small cylinder.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Annotated

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import NoSolution, require
from service.engineering.findings import Band, Finding, Working, worst_first
from service.engineering.saturation import PROPERTY_SOURCE
from service.engineering.saying import Said, drop, length, name, number, say
from service.engineering.saying import pressure as gauge
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.steam.engine.cylinder import (
    CONDENSATION_SOURCE,
    CUSHION_FAULT,
    DIAGRAM_FACTOR_SOURCE,
    MEAN_PRESSURE,
    MEAN_PRESSURE_SOURCE,
    WATER_RATE,
    WATER_RATE_SOURCE,
    Engine,
    SteamConditions,
    find_engine_pressure,
    find_indicated_steam,
    find_steam_conditions,
    table_limits,
)

WET_BORE = 0.0125  # bore below which condensation is most of the steam [m] (common practice)

LEAST_FRICTION, FRICTION_PRESSURE = 20_000.0, 50_000.0
"""Mean pressure friction may take [Pa]: 0.2 to 0.5 bar in small engines (common practice)."""

EARLIEST_OSCILLATOR = 0.8  # earliest cut-off of a single-acting engine with plain oscillating ports
PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class EngineDemand:
    """What one engine takes and gives; what follows from that is worked out when asked for."""

    engine: Engine
    conditions: SteamConditions
    steam: Annotated[Band, "kg/s"]  # steam from the boiler, condensation included
    dry_steam: Annotated[float, "kg/s"]  # steam the indicator diagram accounts for
    mean_effective_pressure: Annotated[float, "Pa difference"]  # diagram factor included
    indicated_power: Annotated[float, "W"]  # power on the pistons

    @property
    def name(self) -> str:
        """The engine's name."""
        return self.engine.name

    @property
    def heat(self) -> Annotated[Band, "W"]:
        """Heat into the water, from feed temperature to dry steam."""
        return self.steam.scaled(self.conditions.heat)

    @property
    def steam_rate(self) -> Band | None:
        """Steam per indicated energy [kg/J]; None when the engine gives none."""
        power = self.indicated_power
        return self.steam.scaled(1 / power) if power > 0 else None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What a fitter should be told about this engine on this steam."""
        return (
            *_find_turning(self.engine, self.mean_effective_pressure),
            *_find_diagram(self.engine, self.conditions),
            *_find_wetness(self.engine),
        )

    @property
    def workings(self) -> tuple[Working, ...]:
        """The arithmetic, line by line."""
        return _write_workings(self)


@dataclass(frozen=True, slots=True)
class PlantDemand:
    """What several engines take at once."""

    engines: tuple[EngineDemand, ...]
    steam: Annotated[Band, "kg/s"]  # steam from the boiler
    dry_steam: Annotated[float, "kg/s"]  # steam the indicator diagrams account for
    indicated_power: Annotated[float, "W"]  # power on all pistons
    heat: Annotated[Band, "W"]  # heat into the water
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What a fitter should be told, about any of the engines."""
        return worst_first([finding for engine in self.engines for finding in engine.findings])

    @property
    def workings(self) -> tuple[Working, ...]:
        """The arithmetic of every engine in turn, then the sums."""
        lines = [working for engine in self.engines for working in engine.workings]
        summed = '"sum over the engines"'
        return (
            *lines,
            Working('m_"total"', summed, self.steam.likely, "kg/s", "mass balance"),
            Working('Q_"total"', summed, self.heat.likely, "W", "energy balance"),
        )


def plant_demand(
    engines: Iterable[Engine], *, pressure: float, back_pressure: float, feed_temperature: float
) -> PlantDemand:
    """Steam, power and heat of several engines running at once on the same steam.

    engines: the engines that run together; at least one.
    pressure: absolute pressure at the steam chests [Pa], 1 kPa to 4 MPa.
    back_pressure: absolute pressure of the exhaust [Pa], below `pressure`.
    feed_temperature: temperature of the water fed to the boiler [K].
    Returns: each engine's demand and the sums, steam and heat as low, likely and high [SI].
    Raises OutOfRange: if there is no engine, or a pressure or temperature is outside its range.
    Raises NoSolution: if an engine would hold back more steam than it lets in.
    Source: Water-rate method and hyperbolic mean pressure (textbook of mechanical engineering),
        IAPWS-IF97.
    """
    conditions = find_steam_conditions(
        pressure, back_pressure=back_pressure, feed_temperature=feed_temperature
    )
    demands = tuple([_demand(engine, conditions) for engine in engines])
    require(bool(demands), "engines", "Name at least one engine.")
    steam = sum([demand.steam for demand in demands], Band(0.0, 0.0, 0.0))
    return PlantDemand(
        engines=demands,
        steam=steam,
        dry_steam=sum([demand.dry_steam for demand in demands]),
        indicated_power=sum([demand.indicated_power for demand in demands]),
        heat=steam.scaled(conditions.heat),
    )


def steam_demand(
    engine: Engine, *, pressure: float, back_pressure: float, feed_temperature: float
) -> EngineDemand:
    """Steam, mean pressure, power and heat of one engine.

    engine: the engine and its speed.
    pressure: absolute pressure at the steam chest [Pa], 1 kPa to 4 MPa.
    back_pressure: absolute pressure of the exhaust [Pa], below `pressure`.
    feed_temperature: temperature of the water fed to the boiler [K].
    Returns: the demand, steam and heat as low, likely and high [SI].
    Raises OutOfRange: if a pressure or temperature is outside its range.
    Raises NoSolution: if the engine would hold back more steam than it lets in.
    Source: Water-rate method and hyperbolic mean pressure (textbook of mechanical engineering),
        IAPWS-IF97.
    """
    conditions = find_steam_conditions(
        pressure, back_pressure=back_pressure, feed_temperature=feed_temperature
    )
    return _demand(engine, conditions)


def _demand(engine: Engine, conditions: SteamConditions) -> EngineDemand:
    charge = engine.swept_volume * find_indicated_steam(
        conditions.volume,
        cushion_volume=conditions.back_volume,
        cut_off=engine.cut_off,
        clearance=engine.clearance,
        exhaust_closure=engine.exhaust_closure,
    )
    if charge <= 0:
        raise NoSolution(say(name(engine.name), CUSHION_FAULT), field="exhaust_closure")
    dry_steam = charge * engine.speed
    mean_pressure = find_engine_pressure(
        engine, pressure=conditions.pressure, back_pressure=conditions.back_pressure
    )
    power = mean_pressure * engine.swept_volume * engine.speed
    condensation = engine.condensation_band
    steam = Band(
        dry_steam * (1 + condensation.low),
        dry_steam * (1 + condensation.likely),
        dry_steam * (1 + condensation.high),
    )
    return EngineDemand(engine, conditions, steam, dry_steam, mean_pressure, power)


def _find_turning(engine: Engine, mean: float) -> Iterator[Finding]:
    if mean <= 0:
        text = say(name(engine.name), " will not turn: the exhaust pushes harder than the steam.")
        yield Finding("fail", "no-work", text, mean, 0.0, "Pa difference", PRACTICE)
    elif mean < FRICTION_PRESSURE:
        text = say(
            (name(engine.name), " may not turn itself over: mean pressure "),
            (drop(mean, "mean_pressure"), ", friction alone takes ", drop(LEAST_FRICTION)),
            (" to ", drop(FRICTION_PRESSURE), "."),
        )
        yield Finding(
            "caution", "little-work", text, mean, FRICTION_PRESSURE, "Pa difference", PRACTICE
        )


def _find_diagram(engine: Engine, conditions: SteamConditions) -> Iterator[Finding]:
    back, chest = conditions.back_pressure, conditions.pressure
    release = chest * (engine.cut_off + engine.clearance) / (1 + engine.clearance)
    cushion = back * (engine.exhaust_closure + engine.clearance) / engine.clearance
    if release < back:
        text = say(
            (name(engine.name), ": steam expands to ", gauge(release, "release")),
            ", below the exhaust; cut off later or raise the pressure.",
        )
        yield _about_pressure("expands-too-far", text, release, back)
    if cushion > chest:
        text = say(
            (name(engine.name), ": compression reaches ", gauge(cushion, "cushion")),
            ", above admission; let the exhaust close later.",
        )
        yield _about_pressure("compresses-too-far", text, cushion, chest)
    limit = ATMOSPHERE + 0.2 * max(chest - ATMOSPHERE, 0.0)
    if back > limit:
        text = say(
            (name(engine.name), ": exhaust at ", gauge(back, "exhaust")),
            " is more than a fifth of the steam pressure; open out the exhaust pipe.",
        )
        yield _about_pressure("high-exhaust-pressure", text, back, limit)


def _about_pressure(code: str, text: Said, absolute: float, limit: float) -> Finding:
    """A caution about a pressure, both figures as a gauge shows them."""
    return Finding(
        "caution", code, text, absolute - ATMOSPHERE, limit - ATMOSPHERE, "Pa gauge", PRACTICE
    )


def _find_wetness(engine: Engine) -> Iterator[Finding]:
    if engine.acting == "single" and engine.cut_off < EARLIEST_OSCILLATOR:
        text = say(
            (name(engine.name), ": cut-off ", number(engine.cut_off, "cut_off")),
            " is early for a single-acting engine;"
            " plain oscillating ports stay open for 0.85 to 0.95 of the stroke.",
        )
        yield Finding(
            "caution", "early-cut-off", text, engine.cut_off, EARLIEST_OSCILLATOR, "1", PRACTICE
        )
    if engine.condensation == 0:
        text = say(
            name(engine.name),
            ": no condensation counted; a small engine takes 1.5 to 3 times this.",
        )
        yield Finding("caution", "ideal-steam", text, 0.0, None, "1", CONDENSATION_SOURCE)
    elif engine.condensation is None:
        yield from _find_band_trust(engine)


def _find_band_trust(engine: Engine) -> Iterator[Finding]:
    smallest, largest = table_limits()
    bore = length(engine.bore, "bore")
    if engine.bore < WET_BORE:
        code, limit = "wet-small-cylinder", WET_BORE
        text = say(
            (name(engine.name), ": in a bore of ", bore, " most steam condenses on the walls;"),
            " the figure is a wide band, so measure the water used.",
        )
    elif engine.bore > largest:
        code, limit = "condensation-held", largest
        text = say(
            (name(engine.name), ": condensation for a bore of ", bore, " is held at that of "),
            (length(largest), ", the largest in the table (smallest ", length(smallest), ")."),
        )
    else:
        return
    yield Finding("caution", code, text, engine.bore, limit, "m", CONDENSATION_SOURCE)


def _write_workings(demand: EngineDemand) -> tuple[Working, ...]:
    engine, steam = demand.engine, demand.conditions
    factor_source = "given" if engine.diagram_factor else DIAGRAM_FACTOR_SOURCE
    loss_source = CONDENSATION_SOURCE if engine.condensation is None else "given"
    lines = (
        Working("V_s", _swept_formula(engine), engine.swept_volume, "m3", "geometry"),
        Working("v_1", "v_g (p_1)", steam.volume, "m3/kg", PROPERTY_SOURCE),
        Working("v_b", "v_g (p_b)", steam.back_volume, "m3/kg", PROPERTY_SOURCE),
        Working('m_"ind"', WATER_RATE, demand.dry_steam, "kg/s", WATER_RATE_SOURCE),
        Working("K", '"diagram factor"', engine.effective_diagram_factor, "1", factor_source),
        Working("p_m", MEAN_PRESSURE, demand.mean_effective_pressure, "Pa difference",
                MEAN_PRESSURE_SOURCE),
        Working("P", "p_m V_s n", demand.indicated_power, "W", "definition of indicated power"),
        Working("f", '"steam lost"/"dry steam"', engine.condensation_band.likely, "1", loss_source),
        Working("m", 'm_"ind" (1 + f)', demand.steam.likely, "kg/s", "mass balance"),
        Working("Q", 'm (h_g (p_1) - h_"feed")', demand.heat.likely, "W", PROPERTY_SOURCE),
    )  # fmt: skip
    return tuple(line.about(engine.name) for line in lines)


def _swept_formula(engine: Engine) -> str:
    if engine.acting == "single":
        return "z L (pi D^2)/4"
    return 'z L (pi (2 D^2 - d_"rod"^2))/4' if engine.piston_rod else "z L (pi D^2)/2"
