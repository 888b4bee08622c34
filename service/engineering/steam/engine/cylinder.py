"""An engine as a meter of steam: its size, its setting, and what one revolution takes and gives."""

from dataclasses import dataclass
from math import pi

from service.engineering.errors import require
from service.engineering.findings import Band
from service.engineering.saturation import require_pressure
from service.engineering.steam.engine.engine_defaults import (
    Acting,
    find_condensation,
    find_diagram_factor,
)
from service.engineering.steam.engine.indicator import find_indicated_steam, find_mean_pressure
from service.engineering.steam.properties import (
    vapour_volume,
    vapour_volume_and_enthalpy,
    water_enthalpy,
)


@dataclass(frozen=True, slots=True)
class Engine:
    """One engine; every cylinder alike. Fractions are of the stroke or of the swept volume."""

    name: str
    bore: float
    """Cylinder bore [m], 1 mm to 1 m."""
    stroke: float
    """Piston stroke [m], 1 mm to 2 m."""
    cylinders: int
    """Number of cylinders that take boiler steam."""
    acting: Acting
    """Whether one side of the piston takes steam or both."""
    speed: float
    """Revolutions a second [1/s], above 0, to 200."""
    cut_off: float
    """Part of the stroke with steam on, above 0, to 1."""
    clearance: float
    """Clearance as a part of the swept volume, above 0, to 0.5."""
    condensation: float | None = None
    """Steam lost to walls and leakage per dry steam; None: the band by bore; 0: ideal."""
    piston_rod: float = 0.0
    """Diameter of the piston rod [m]; it takes area from one side of a double-acting piston."""
    diagram_factor: float | None = None
    """Actual over ideal mean pressure; None: by bore and acting."""
    exhaust_closure: float = 0.0
    """Part of the return stroke left when the exhaust closes, 0 to 0.9."""

    def __post_init__(self) -> None:
        _check_size(self)
        _check_setting(self)

    @property
    def swept_volume(self) -> float:
        """Volume all pistons sweep with steam behind them in one revolution [m3]."""
        area = pi / 4 * self.bore**2
        if self.acting == "double":
            area += area - pi / 4 * self.piston_rod**2
        return area * self.stroke * self.cylinders

    @property
    def condensation_band(self) -> Band:
        """The stated condensation, or the band for this size of cylinder."""
        if self.condensation is None:
            return find_condensation(self.bore)
        return Band(self.condensation, self.condensation, self.condensation)

    @property
    def effective_diagram_factor(self) -> float:
        """The stated diagram factor, or the one for this size and kind of engine."""
        if self.diagram_factor is None:
            return find_diagram_factor(self.bore, self.acting)
        return self.diagram_factor


@dataclass(frozen=True, slots=True)
class SteamConditions:
    """The steam one or more engines run on; pressures absolute."""

    pressure: float
    """Pressure at the steam chest [Pa]."""
    back_pressure: float
    """Pressure of the exhaust [Pa]."""
    feed_temperature: float
    """Temperature of the water fed to the boiler [K]."""
    volume: float
    """Specific volume of dry steam at the chest [m3/kg]."""
    back_volume: float
    """Specific volume of dry steam at the exhaust [m3/kg]."""
    heat: float
    """Heat from feed water to dry steam [J/kg]."""


def find_steam_conditions(
    pressure: float, *, back_pressure: float, feed_temperature: float
) -> SteamConditions:
    """The properties of the steam that engines share.

    Parameters
    ----------
    pressure : float
        Absolute pressure at the steam chest [Pa], 1 kPa to 4 MPa.
    back_pressure : float
        Absolute pressure of the exhaust [Pa], below `pressure`.
    feed_temperature : float
        Temperature of the water fed to the boiler [K].

    Returns
    -------
    SteamConditions
        Specific volumes and the heat of one kilogram [SI].

    Raises
    ------
    OutOfRange
        If a pressure or temperature is outside its range.

    Source
    ------
    IAPWS-IF97.
    """
    require_pressure(back_pressure, field="back_pressure")
    require(
        back_pressure < pressure,
        "back_pressure",
        "The exhaust must be below the steam pressure; are both absolute?",
    )
    feed_enthalpy = water_enthalpy(pressure, feed_temperature, field="feed_temperature")
    volume, enthalpy = vapour_volume_and_enthalpy(pressure)
    return SteamConditions(
        pressure=pressure,
        back_pressure=back_pressure,
        feed_temperature=feed_temperature,
        volume=volume,
        back_volume=vapour_volume(back_pressure),
        heat=enthalpy - feed_enthalpy,
    )


def find_engine_pressure(engine: Engine, *, pressure: float, back_pressure: float) -> float:
    """Mean effective pressure of an engine, diagram factor included; cheap, for solvers.

    Parameters
    ----------
    engine : Engine
        The engine.
    pressure : float
        Absolute pressure at the steam chest [Pa].
    back_pressure : float
        Absolute pressure of the exhaust [Pa].

    Returns
    -------
    float
        Mean effective pressure [Pa]; its work a revolution is this times `engine.swept_volume`.

    Source
    ------
    Hyperbolic expansion with diagram factor, textbook of mechanical engineering.
    """
    return engine.effective_diagram_factor * find_mean_pressure(
        pressure,
        back_pressure=back_pressure,
        cut_off=engine.cut_off,
        clearance=engine.clearance,
        exhaust_closure=engine.exhaust_closure,
    )


def find_charge(engine: Engine, *, volume: float, back_volume: float) -> float:
    """Dry steam an engine takes in one revolution; cheap, for solvers.

    Source: Water-rate method, textbook of steam engines.
    """
    return engine.swept_volume * find_indicated_steam(
        volume,
        cushion_volume=back_volume,
        cut_off=engine.cut_off,
        clearance=engine.clearance,
        exhaust_closure=engine.exhaust_closure,
    )


def _check_size(engine: Engine) -> None:
    require(1e-3 <= engine.bore <= 1.0, "bore", "Bore must lie between 1 mm and 1 m.")
    require(1e-3 <= engine.stroke <= 2.0, "stroke", "Stroke must lie between 1 mm and 2 m.")
    require(1 <= engine.cylinders <= 24, "cylinders", "Give 1 to 24 cylinders.")
    require(engine.acting in ("single", "double"), "acting", "Acting is single or double.")
    require(
        0 <= engine.piston_rod < engine.bore, "piston_rod", "The rod must be thinner than the bore."
    )


def _check_setting(engine: Engine) -> None:
    require(0 < engine.speed <= 200, "speed", "Speed must be above 0 and at most 12 000 rpm.")
    require(0 < engine.cut_off <= 1, "cut_off", "Cut-off must be above 0 and at most 1.")
    require(0 < engine.clearance <= 0.5, "clearance", "Clearance must be above 0 and at most 0.5.")
    require(
        0 <= engine.exhaust_closure <= 0.9, "exhaust_closure", "Exhaust closure must be 0 to 0.9."
    )
    require(
        engine.condensation is None or 0 <= engine.condensation <= 5,
        "condensation",
        "Condensation must be 0 to 5 times the dry steam.",
    )
    require(
        engine.diagram_factor is None or 0 < engine.diagram_factor <= 1,
        "diagram_factor",
        "Diagram factor must be above 0 and at most 1.",
    )
