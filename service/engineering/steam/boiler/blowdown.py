"""Boiling water let out through a cock and its drain: it flashes to steam on the way.

Flow in equilibrium is the lower bound, and right for a long way; water too hurried to flash, as in
a passage shorter than about 10 mm, is the upper bound. Cold-water formulas give 6 to 8 times the
lower one.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import log, sqrt
from typing import Annotated, NamedTuple

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import require, require_within
from service.engineering.findings import Band, Finding, Working
from service.engineering.saturation import PROPERTY_SOURCE, Saturation, require_pressure, saturation
from service.engineering.saying import duration, force, mass, say
from service.engineering.saying import pressure as gauge
from service.engineering.steam.cautions import BLOWDOWN_CAUTIONS
from service.engineering.steam.passages import Element, Line, Segment, trace_line

LEAST_PRESSURE = ATMOSPHERE + 2e4  # least absolute pressure of a blowdown looked at [Pa]
WALL_FRICTION = 0.03  # darcy friction factor of flashing water in small pipe (common practice)
STEPS = 48  # pressures at which the flashing mixture is looked at on its way down
LIKELY_SHARE = 0.25  # where between the bounds a small cock is likely to lie (inference)
EQUILIBRIUM_SOURCE = "homogeneous equilibrium flow at constant entropy, handbook of two-phase flow"
PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Blowdown:
    """Boiling water leaving a boiler."""

    flow: Annotated[Band, "kg/s"]  # mass flow: in equilibrium, likely, and unflashed
    emptying_time: Annotated[Band, "s"]  # time to lose the stated water; low is the fastest
    exit_pressure: Annotated[float, "Pa"]  # absolute pressure at the tightest place, in equilibrium
    exit_velocity: Annotated[float, "m/s"]  # velocity there, in equilibrium
    thrust: Annotated[float, "N"]  # push on the end of an open pipe, in equilibrium
    flashed: float  # part of the water that is steam once at atmospheric pressure
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = BLOWDOWN_CAUTIONS


class FlashingFlow(NamedTuple):
    """Flashing water at the tightest place of its way."""

    flux: float  # mass flux [kg/s/m2]
    pressure: float  # absolute pressure at the exit [Pa]
    volume: float  # specific volume at the exit [m3/kg]


class _Step(NamedTuple):
    """The mixture at one pressure, with ∫v dp [J/kg] and ∫dp/v [Pa kg/m3] from the boiler."""

    pressure: float
    volume: float
    head: float
    push: float


class _Way(NamedTuple):
    """A drain reduced to its tightest bore: its area [m2] and its whole loss on that bore."""

    area: float
    loss: float


def blow_down(elements: Iterable[Element] | Line, *, pressure: float, water: float) -> Blowdown:
    """Boiling water that a cock and its drain pass, and the time to lose the working water.

    elements: cock and drain in the order water meets them, to the open air.
    pressure: absolute pressure in the boiler [Pa], at least 0.2 bar gauge.
    water: working water to be lost [kg], above 0.
    Returns: flow, time and thrust, with the two bounds [SI].
    Raises OutOfRange: if a quantity or an element is outside its range.
    Source: Lower bound: homogeneous equilibrium flow, nozzle entry then G² (K + 2 ln(v2/v1)) = 2
        ∫dp/v, handbook of two-phase flow. Upper bound: water that does not flash, G² = 2 rho dp/K.
        K holds the entry and the velocity head.
    """
    require_pressure(pressure)
    fault = say("Blowdown wants at least ", gauge(LEAST_PRESSURE), " behind it.")
    require(pressure >= LEAST_PRESSURE, "pressure", fault)
    require_within("water", water, 1e-6, 1e5, mass)
    way = _reduce(trace_line(elements))
    boiler, outside = saturation(pressure), saturation(ATMOSPHERE)
    flux, exit_pressure, exit_volume = find_flashing_flux(boiler, loss=way.loss)
    unflashed = sqrt(2 * (pressure - ATMOSPHERE) / boiler.liquid_volume / way.loss)
    likely = flux + LIKELY_SHARE * (unflashed - flux)
    flow = Band(flux * way.area, likely * way.area, unflashed * way.area)
    velocity = flux * exit_volume
    thrust = (flux * velocity + exit_pressure - ATMOSPHERE) * way.area
    times = Band(water / flow.high, water / flow.likely, water / flow.low)
    return Blowdown(
        flow=flow,
        emptying_time=times,
        exit_pressure=exit_pressure,
        exit_velocity=velocity,
        thrust=thrust,
        flashed=find_flashed(boiler, outside),
        findings=_find_dangers(pressure, times, thrust),
        workings=_write_workings(boiler, way, flux=flux, unflashed=unflashed, flow=flow),
    )


def find_flashing_flux(boiler: Saturation, *, loss: float) -> FlashingFlow:
    """Largest mass flux of water that starts at the boil, flashes in equilibrium and meets a loss.

    The water enters the way as through a nozzle, then pays the loss at constant area; the entry
    pressure is sought at which the way's outlet just chokes, or meets the atmosphere.

    Source: Homogeneous equilibrium flow at constant entropy, handbook of two-phase flow; in the
    way G² (K + 2 ln(v2/v1)) = 2 ∫dp/v.
    """
    path = _expand(boiler)
    friction = loss - 1.0
    flux_before = loss_before = 0.0
    fullest = FlashingFlow(0.0, boiler.pressure, boiler.liquid_volume)
    for entry in range(1, len(path)):
        flux = sqrt(2 * path[entry].head) / path[entry].volume
        if flux < fullest.flux:
            return fullest
        borne, outlet = _find_borne_loss(path, entry, flux)
        found = path[outlet]
        if borne <= friction:
            flux = _interpolate_flux(flux_before, loss_before, flux, borne, friction)
            return FlashingFlow(flux, found.pressure, found.volume)
        fullest = FlashingFlow(flux, found.pressure, found.volume)
        flux_before, loss_before = flux, borne
    return fullest


def find_flashed(boiler: Saturation, outside: Saturation) -> float:
    """Part of boiling water that turns to steam when let down to a lower pressure.

    Source: Throttling at constant enthalpy (IAPWS-IF97).
    """
    return (boiler.liquid_enthalpy - outside.liquid_enthalpy) / outside.latent_heat


def _expand(boiler: Saturation) -> list[_Step]:
    """The mixture on its way down to the atmosphere, steps widening from the boiler's pressure."""
    fall = boiler.pressure - ATMOSPHERE
    path = [_Step(boiler.pressure, boiler.liquid_volume, 0.0, 0.0)]
    for number in range(1, STEPS + 1):
        last = path[-1]
        pressure = boiler.pressure - fall * (number / STEPS) ** 2
        volume = _find_mixture_volume(boiler, saturation(pressure))
        drop = last.pressure - pressure
        head = last.head + drop * (volume + last.volume) / 2
        push = last.push + drop * (1 / volume + 1 / last.volume) / 2
        path.append(_Step(pressure, volume, head, push))
    return path


def _find_mixture_volume(boiler: Saturation, state: Saturation) -> float:
    """Volume of boiling water let down at constant entropy, steam and water moving together."""
    steam = (boiler.liquid_entropy - state.liquid_entropy) / (
        state.vapour_entropy - state.liquid_entropy
    )
    return state.liquid_volume + steam * (state.vapour_volume - state.liquid_volume)


def _find_borne_loss(path: list[_Step], entry: int, flux: float) -> tuple[float, int]:
    """The loss a way can have at this flux, and the step at which it ends."""
    start, squared = path[entry], flux * flux

    def bear(step: int) -> float:
        end = path[step]
        return 2 * (end.push - start.push) / squared - 2 * log(end.volume / start.volume)

    outlet = max(range(entry, len(path)), key=bear)
    return bear(outlet), outlet


def _interpolate_flux(
    flux_before: float, loss_before: float, flux: float, borne: float, friction: float
) -> float:
    """Flux for a loss between two steps: the loss goes nearly with 1/G²."""
    if not flux_before:
        return flux * sqrt((1 + borne) / (1 + friction))
    part = (friction - borne) / (loss_before - borne)
    return 1 / sqrt((1 - part) / flux**2 + part / flux_before**2)


def _reduce(line: Line) -> _Way:
    tightest = min(segment.area for segment in line.segments)
    loss = sum(_find_loss(segment) * (tightest / segment.area) ** 2 for segment in line.segments)
    return _Way(tightest, max(loss, 1.0))


def _find_loss(segment: Segment) -> float:
    if segment.valve_area:
        return 2 * (segment.area / segment.valve_area) ** 2
    return segment.loss + WALL_FRICTION * segment.slenderness


def _find_dangers(pressure: float, times: Band, thrust: float) -> tuple[Finding, ...]:
    lead_away = say(
        ("At ", gauge(pressure), " the working water is gone in "),
        (duration(times.low, "quickest"), " to ", duration(times.high, "slowest")),
        " as scalding water and steam: lead the drain away, and put the fire out first.",
    )
    fix_drain = say(
        ("The jet pushes back with about ", force(thrust, "thrust")),
        ", more while it spits: fix the drain pipe at its end.",
    )
    source = EQUILIBRIUM_SOURCE
    return (
        Finding("caution", "lead-away", lead_away, times.low, None, "s", source),
        Finding("caution", "fix-drain", fix_drain, thrust, None, "N", source),
    )


def _write_workings(
    boiler: Saturation, way: _Way, *, flux: float, unflashed: float, flow: Band
) -> tuple[Working, ...]:
    equilibrium = (
        "G^2 (K - 1 + 2 ln(v_2/v_1)) = 2 integral (d p)/v,"
        ' "after a nozzle entry, at constant entropy, choked"'
    )
    liquid = 'sqrt((2 rho_f Delta p)/K), "no flashing"'
    losses = '"losses carried to that bore, velocity head included"'
    return (
        Working("rho_f", "1/v_f", 1 / boiler.liquid_volume, "kg/m3", PROPERTY_SOURCE),
        Working("A", '"tightest bore"', way.area, "m2", "geometry"),
        Working("K", losses, way.loss, "1", PRACTICE),
        Working('G_"eq"', equilibrium, flux, "kg/s/m2", EQUILIBRIUM_SOURCE),
        Working('G_"liquid"', liquid, unflashed, "kg/s/m2", "Bernoulli"),
        Working('m_"low"', 'A G_"eq"', flow.low, "kg/s", "mass balance"),
        Working('m_"high"', 'A G_"liquid"', flow.high, "kg/s", "mass balance"),
    )
