"""The steam an outlet draws, as a curve a solver can walk: pressure and flow both rise along it.

Below 0 the outlet stands and only its pressure changes. From 0 to 1 an engine comes up to its
speed; beyond, a propeller runs faster, and any other load holds its speed. Steam is taken to arrive
dry and saturated: what throttling superheats it, the pipes cool away.
"""

from math import exp, expm1, inf, log, log1p, sqrt
from typing import NamedTuple, Protocol

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import NoSolution
from service.engineering.saturation import HIGHEST_PRESSURE
from service.engineering.saying import name, say
from service.engineering.steam.engine import CUSHION_FAULT
from service.engineering.steam.network.outlets import EngineOnBranch, OpenOutlet
from service.engineering.steam.properties import STEAM_EXPONENT, vapour_volume

SMALLEST_PART = 1e-30  # place below which a hole blows nothing; keeps slopes finite
_RATIO_POWER = 2.0 / STEAM_EXPONENT
_STEP_POWER = (STEAM_EXPONENT - 1.0) / STEAM_EXPONENT
_CRITICAL_FALL = log((STEAM_EXPONENT + 1.0) / 2.0) / _STEP_POWER  # in ln p, where a nozzle chokes
_CHOKED_FACTOR = sqrt(
    STEAM_EXPONENT
    * (2.0 / (STEAM_EXPONENT + 1.0)) ** ((STEAM_EXPONENT + 1.0) / (STEAM_EXPONENT - 1.0))
)

DENSITY_POWER = 0.938  # power of pressure in the density of dry steam; for slopes only (IAPWS-IF97)

CurvePoint = tuple[float, float, float, float]
"""Pressure [Pa], flow [kg/s], and along the curve the slopes of ln pressure and of flow."""


class DemandCurve(Protocol):
    """What a solver asks of an outlet."""

    def at(self, part: float) -> CurvePoint:
        """The point of the curve at `part`."""

    def find_part(self, pressure: float) -> float:
        """Where along the curve the outlet stands at that pressure."""

    @property
    def top(self) -> float:
        """Place on the curve beyond which the outlet is held; infinite for one that never is."""

    @property
    def knee(self) -> float:
        """Absolute pressure there [Pa]."""


class EngineCurve(NamedTuple):
    """An engine under its load."""

    start: float  # absolute pressure at which it begins to turn [Pa]
    reference: float  # absolute pressure at which it reaches its speed [Pa]
    top: float  # part of its speed beyond which it is held; infinite for a propeller
    held: float  # absolute pressure to which a governor or hand throttles [Pa]
    fill: float  # flow at full speed per density at the chest [m3/s]
    cushion: float  # flow saved at full speed by the steam left in the clearance [kg/s]

    @property
    def knee(self) -> float:
        return self.reference

    def at(self, part: float) -> CurvePoint:
        start, reference, top, held, fill, cushion = self
        if part <= 0.0:
            return start * exp(part), 0.0, 1.0, 0.0
        if part <= top:
            span = part * (reference - start)
            pressure = start + part * span
            taken, rise = fill / _find_volume(pressure), 2.0 * span / pressure
            slope = taken - cushion + part * taken * DENSITY_POWER * rise
            return pressure, part * (taken - cushion), rise, slope
        pressure = reference * (1.0 + part - top)
        rise = reference / pressure
        if pressure >= held:
            return pressure, fill / _find_volume(held) - cushion, rise, 0.0
        taken = fill / _find_volume(pressure)
        return pressure, taken - cushion, rise, taken * DENSITY_POWER * rise

    def find_part(self, pressure: float) -> float:
        if pressure <= self.start:
            return log(pressure / self.start)
        part = sqrt((pressure - self.start) / (self.reference - self.start))
        return part if part <= self.top else self.top + pressure / self.reference - 1.0


class NozzleCurve(NamedTuple):
    """A hole that blows to the open air; smooth through choking."""

    area: float  # area times discharge coefficient [m2]
    top: float = inf  # never held
    knee: float = inf

    def at(self, part: float) -> CurvePoint:
        if part <= SMALLEST_PART:
            return ATMOSPHERE * exp(min(part, 0.0)), 0.0, 1.0, 0.0
        over = 1.0 + part * part
        pressure, rise = ATMOSPHERE * over, 2.0 * part / over
        factor, power = _nozzle_factor(log1p(part * part))
        flow = self.area * sqrt(pressure / _find_volume(pressure)) * factor
        return pressure, flow, rise, flow * power * rise

    def find_part(self, pressure: float) -> float:
        if pressure <= ATMOSPHERE:
            return log(pressure / ATMOSPHERE)
        return sqrt(pressure / ATMOSPHERE - 1.0)


def trace_engine(outlet: EngineOnBranch, *, condensation: float) -> EngineCurve:
    """The curve of an engine under its load.

    outlet: the engine and its load.
    condensation: steam lost to walls and leakage per dry steam, 0 to 5.
    Returns: the curve [SI].
    Raises NoSolution: if the cushion would hold more steam than is let in.
    Source: Torque balance with hyperbolic mean pressure; water-rate method (textbook of steam
        engines).
    """
    engine, load = outlet.engine, outlet.load
    swept = engine.swept_volume * load.speed * (1.0 + condensation)
    curve = EngineCurve(
        start=outlet.load_pressure,
        reference=outlet.reference_pressure,
        top=load.top_part,
        held=load.at_pressure or inf,
        fill=swept * (engine.cut_off + engine.clearance),
        cushion=swept
        * (engine.exhaust_closure + engine.clearance)
        / vapour_volume(outlet.back_pressure),
    )
    if curve.fill / vapour_volume(curve.start) <= curve.cushion:
        raise NoSolution(say(name(engine.name), CUSHION_FAULT), field="exhaust_closure")
    return curve


def trace_open_outlet(open_outlet: OpenOutlet) -> NozzleCurve:
    """The curve of a hole that blows.

    Source: Isentropic nozzle, k = 1.135 for dry saturated steam, form of ISO 4126-1.
    """
    return NozzleCurve(open_outlet.area * open_outlet.coefficient)


def _find_volume(pressure: float) -> float:
    """Of dry steam; a stride may end beyond what the tables hold, though no answer lies there."""
    return vapour_volume(min(pressure, HIGHEST_PRESSURE))


def _nozzle_factor(fall: float) -> tuple[float, float]:
    """Flow over A p/root(p v), and the power of the pressure with which the flow rises.

    `fall` is that of ln p: a ratio of pressures would lose the little by which a wide hole on a
    small fire stands above the air.
    """
    if fall >= _CRITICAL_FALL:
        return _CHOKED_FACTOR, 1.0
    gap = -expm1(-_STEP_POWER * fall)
    factor = sqrt(2.0 / _STEP_POWER * exp(-_RATIO_POWER * fall) * gap)
    slope = 0.5 * (_RATIO_POWER - _STEP_POWER * (1.0 - gap) / gap)
    return factor, 1.0 - slope
