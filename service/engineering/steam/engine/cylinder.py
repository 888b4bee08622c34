"""An engine as a meter of steam: its size, its setting, and what one revolution takes and gives."""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import log, pi
from typing import Annotated, Literal

from service.engineering.data_files import read_table
from service.engineering.errors import require
from service.engineering.findings import Band
from service.engineering.given import given, require_given
from service.engineering.saturation import require_pressure
from service.engineering.steam.properties import vapour_enthalpy, vapour_volume, water_enthalpy

Acting = Literal["single", "double"]

CONDENSATION_SOURCE = "inference from full-size missing quantity; common practice"
DIAGRAM_FACTOR_SOURCE = "common practice for miniature engines"

MEAN_PRESSURE = "K (p_1 (e + (e + c) ln((1 + c)/(e + c))) - p_b (1 - x + (x + c) ln((x + c)/c)))"
WATER_RATE = "n V_s ((e + c)/v_1 - (x + c)/v_b)"

MEAN_PRESSURE_SOURCE = "hyperbolic expansion, textbook of mechanical engineering"
WATER_RATE_SOURCE = "water-rate method (mass at release less mass at compression), textbook"

CUSHION_FAULT = (
    ": the cushion would hold more steam than is let in;"
    " check exhaust closure, clearance and cut-off."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """One engine; every cylinder alike. Fractions are of the stroke or of the swept volume."""

    name: str = given("port engine", default="engine")
    bore: Annotated[float, "m"] = given("3/4 in", least=1e-3, most=1.0)  # cylinder bore
    stroke: Annotated[float, "m"] = given("3/4 in", least=1e-3, most=2.0)  # piston stroke
    cylinders: int = given(2, default=1, least=1, most=24)  # those that take boiler steam
    acting: Acting = given("double", default="double")  # sides of the piston that take steam
    speed: Annotated[float, "1/s"] = given("600 rpm", least=1 / 60, most=200.0)  # revolutions
    cut_off: float = given(0.75, default=0.75, least=0.01, most=1.0)  # stroke with steam on
    clearance: float = given(0.1, default=0.10, least=1e-3, most=0.5)  # of the swept volume
    condensation: float | None = given(None, default=None, least=0.0, most=5.0)
    """Steam lost to walls and leakage per dry steam; None: the band by bore; 0: ideal."""
    piston_rod: Annotated[float, "m"] = given("1/8 in", default=0.0, least=0.0)
    """Diameter of the piston rod; it takes area from one side of a double-acting piston."""
    diagram_factor: float | None = given(None, default=None, least=0.05, most=1.0)
    """Actual over ideal mean pressure; None: by bore and acting."""
    exhaust_closure: float = given(0.0, default=0.0, least=0.0, most=0.9)
    """Part of the return stroke left when the exhaust closes."""

    def __post_init__(self) -> None:
        require_given(self)
        require(self.piston_rod < self.bore, "piston_rod", "The rod must be thinner than the bore.")

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

    pressure: float  # pressure at the steam chest [Pa]
    back_pressure: float  # pressure of the exhaust [Pa]
    feed_temperature: float  # temperature of the water fed to the boiler [K]
    volume: float  # specific volume of dry steam at the chest [m3/kg]
    back_volume: float  # specific volume of dry steam at the exhaust [m3/kg]
    heat: float  # heat from feed water to dry steam [J/kg]


def find_steam_conditions(
    pressure: float, *, back_pressure: float, feed_temperature: float
) -> SteamConditions:
    """The properties of the steam that engines share.

    pressure: absolute pressure at the steam chest [Pa], 1 kPa to 4 MPa.
    back_pressure: absolute pressure of the exhaust [Pa], below `pressure`.
    feed_temperature: temperature of the water fed to the boiler [K].
    Returns: specific volumes and the heat of one kilogram [SI].
    Raises OutOfRange: if a pressure or temperature is outside its range.
    Source: IAPWS-IF97.
    """
    require_pressure(back_pressure, field="back_pressure")
    fault = "The exhaust must be below the steam pressure; are both absolute?"
    require(back_pressure < pressure, "back_pressure", fault)
    feed_enthalpy = water_enthalpy(pressure, feed_temperature, field="feed_temperature")
    return SteamConditions(
        pressure=pressure,
        back_pressure=back_pressure,
        feed_temperature=feed_temperature,
        volume=vapour_volume(pressure),
        back_volume=vapour_volume(back_pressure),
        heat=vapour_enthalpy(pressure) - feed_enthalpy,
    )


def find_engine_pressure(engine: Engine, *, pressure: float, back_pressure: float) -> float:
    """Mean effective pressure of an engine, diagram factor included; cheap, for solvers.

    engine: the engine.
    pressure: absolute pressure at the steam chest [Pa].
    back_pressure: absolute pressure of the exhaust [Pa].
    Returns: mean effective pressure [Pa]; its work a revolution is this times
        `engine.swept_volume`.
    Source: Hyperbolic expansion with diagram factor, textbook of mechanical engineering.
    """
    return engine.effective_diagram_factor * find_mean_pressure(
        pressure,
        back_pressure=back_pressure,
        cut_off=engine.cut_off,
        clearance=engine.clearance,
        exhaust_closure=engine.exhaust_closure,
    )


def find_mean_pressure(
    pressure: float,
    *,
    back_pressure: float,
    cut_off: float,
    clearance: float = 0.0,
    exhaust_closure: float = 0.0,
) -> float:
    """Mean effective pressure of the ideal diagram with hyperbolic (p v constant) expansion.

    Source: `MEAN_PRESSURE` without K: hyperbolic expansion with clearance, textbook of mechanical
    engineering.
    """
    filled = cut_off + clearance
    forward = pressure * (cut_off + filled * log((1.0 + clearance) / filled))
    if not exhaust_closure:
        return forward - back_pressure
    require(clearance > 0, "clearance", "Compression needs some clearance to compress into.")
    cushion = exhaust_closure + clearance
    return forward - back_pressure * (1.0 - exhaust_closure + cushion * log(cushion / clearance))


def find_indicated_steam(
    volume: float,
    *,
    cushion_volume: float,
    cut_off: float,
    clearance: float,
    exhaust_closure: float = 0.0,
) -> float:
    """Dry steam the diagram accounts for, per cubic metre swept.

    Source: `WATER_RATE` of one stroke's cubic metre, textbook of steam engines.
    """
    return (cut_off + clearance) / volume - (exhaust_closure + clearance) / cushion_volume


@cache
def find_condensation(bore: float) -> Band:
    """Steam lost to wet walls and leakage, as a part of the indicated steam, by size of bore.

    Nobody publishes the steam rate of engines below 15 mm bore: the band is wide, and is held at
    its end values outside 8 to 50 mm.

    Source: Inference: missing quantity of 25 to 60 % of all steam in full-size engines
    (textbook of mechanical engineering), grown with surface over volume; common practice.
    """
    rows = read_table("engine_condensation.csv")
    bores = [float(row["bore_mm"]) / 1e3 for row in rows]
    return Band(
        *(
            _interpolate(bore, bores, [float(row[column]) for row in rows])
            for column in ("low", "likely", "high")
        )
    )


@cache
def find_diagram_factor(bore: float, acting: Acting) -> float:
    """Actual over ideal mean effective pressure, by size of bore; held outside 8 to 50 mm.

    Source: Common practice: 0.6 to 0.75 for small oscillating engines, 0.7 to 0.8 for small
    slide valves.
    """
    rows = [row for row in read_table("engine_diagram_factors.csv") if row["acting"] == acting]
    bores = [float(row["bore_mm"]) / 1e3 for row in rows]
    return _interpolate(bore, bores, [float(row["factor"]) for row in rows])


@cache
def table_limits() -> tuple[float, float]:
    """Smallest and largest bore for which the condensation table speaks."""
    bores = [float(row["bore_mm"]) / 1e3 for row in read_table("engine_condensation.csv")]
    return bores[0], bores[-1]


def _interpolate(bore: float, bores: list[float], values: list[float]) -> float:
    """Straight line on the logarithm of the bore, held at both ends."""
    if bore <= bores[0]:
        return values[0]
    for (left, right), (low, high) in zip(pairwise(bores), pairwise(values), strict=True):
        if bore <= right:
            return low + (high - low) * log(bore / left) / log(right / left)
    return values[-1]
