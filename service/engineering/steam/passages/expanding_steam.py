"""Steam expanding along a line with p v constant: plain floats, quick enough for a solver.

Throttled dry steam superheats a little and keeps p v to 0.3 %, so each segment obeys
G² p v (K + 2 ln(p_in/p_out)) = p_in² - p_out². Against real steam a choked line then reads low, so
safe: by 2 % where K is 11, 5 % where it is 2, 12 % for a bare nozzle (K 1). The equations are
marched *up* the line, from the outlet: in that direction they have an answer for every flow, choked
or not, and the inlet pressure they give rises smoothly (its slope has no step at choking) with flow
and with outlet pressure.

A network climbs a `Resistance`: between two parts of the same bore the flow never chokes, and their
losses and logarithms add up exactly, so they count as one; slopes are given along. The slopes only
steer a solver: no answer rests on them.
"""

from math import log, pi, sqrt
from typing import NamedTuple

from service.engineering.errors import require_within
from service.engineering.solving import solve_rising
from service.engineering.steam.passages.elements import Line, Segment
from service.engineering.steam.passages.losses import friction_factor, friction_power
from service.engineering.steam.properties import vapour_viscosity, vapour_volume

LEAST_LOSS = 1e-9  # a smaller loss costs nothing; choked, it would divide by nothing

Resistance = tuple[Segment, ...]
"""Segments in climbing order: the last one steam meets stands first."""


class ExpandingSteam(NamedTuple):
    """What stays the same while steam expands along a line."""

    product: float  # pressure times specific volume [J/kg]
    limit: float  # speed at which the line chokes [m/s]: the square root of the product
    viscosity: float  # dynamic viscosity [Pa s]


class Passing(NamedTuple):
    """Steam passing one segment."""

    pressure_in: float  # absolute pressure before it [Pa]
    pressure_out: float  # absolute pressure at its own exit [Pa]
    choked: bool  # whether it passes all it can at that inlet pressure


def find_expanding_steam(pressure: float) -> ExpandingSteam:
    """The constants of dry steam that expands from a pressure.

    pressure: absolute pressure of the dry steam [Pa], 1 kPa to 4 MPa.
    Returns: product of pressure and volume, limiting speed and viscosity [SI].
    Raises OutOfRange: if the pressure is outside the range.
    Source: IAPWS-IF97; IAPWS R12-08.
    """
    product = pressure * vapour_volume(pressure)
    return ExpandingSteam(product, sqrt(product), vapour_viscosity(pressure))


def find_flow(
    line: Line, steam: ExpandingSteam, *, pressure: float, outlet_pressure: float
) -> float:
    """Steady flow of a traced line between two pressures, without checks.

    Source: Isothermal (p v constant) flow with losses, textbook of gas dynamics; valves by IEC
    60534-2-1.
    """
    wanted = pressure * pressure

    def excess(square: float) -> float:
        flow = sqrt(square)
        reached = find_inlet_pressure(line, steam, flow=flow, outlet_pressure=outlet_pressure)
        return reached * reached - wanted

    ceiling = min(_flow_ceiling(segment, steam, pressure) for segment in line.segments)
    return sqrt(solve_rising(excess, 0.0, high=ceiling * ceiling))


def find_inlet_pressure(
    line: Line, steam: ExpandingSteam, *, flow: float, outlet_pressure: float
) -> float:
    """Pressure needed at the inlet to drive a flow to an outlet pressure, without checks.

    It rises smoothly with both, for every flow, choked or not: the form a network should solve on.

    Source: Isothermal (p v constant) flow with losses, textbook of gas dynamics; valves by IEC
    60534-2-1.
    """
    pressure = outlet_pressure
    if flow <= 0.0:
        return pressure
    for segment in reversed(line.segments):
        pressure = pass_up(segment, steam, flow=flow, outlet_pressure=pressure).pressure_in
    return pressure


def pass_up(
    segment: Segment, steam: ExpandingSteam, *, flow: float, outlet_pressure: float
) -> Passing:
    """State of the steam across one segment that passes a flow to an outlet pressure.

    segment: the segment.
    steam: the steam's constants.
    flow: mass flow [kg/s], above 0.
    outlet_pressure: absolute pressure beyond the segment [Pa].
    Returns: pressures before and at its exit [Pa], and whether it is choked.
    Source: Isothermal (p v constant) flow with losses, textbook of gas dynamics; valves by IEC
        60534-2-1.
    """
    thrust = flow * steam.limit
    sonic = thrust / segment.area
    outlet = sonic if sonic > outlet_pressure else outlet_pressure
    if segment.valve_area:
        wanted = thrust / (segment.valve_area * outlet)
        inlet, weight = _climb_valve(wanted, outlet, segment.valve_limit)
        return Passing(inlet, outlet, weight == 1.0)
    head = (sonic / outlet) ** 2
    loss = find_loss(segment, steam, flow=flow)
    ratio = 1.0 if loss < LEAST_LOSS else _squared_ratio(head, loss)
    return Passing(outlet * sqrt(ratio), outlet, head == 1.0)


def find_loss(segment: Segment, steam: ExpandingSteam, *, flow: float) -> float:
    """Loss coefficient of a segment at a flow, wall friction included.

    Source: Darcy's equation: K + f L/D.
    """
    if not segment.slenderness:
        return segment.loss
    reynolds = 4.0 * flow / (pi * segment.diameter * steam.viscosity)
    return segment.loss + friction_factor(reynolds, segment.roughness) * segment.slenderness


def require_pulsation(pulsation: float) -> None:
    """Refuse a pulsation factor no engine has.

    pulsation: mean square over square of mean flow, 1 to 10.
    Raises OutOfRange: if the factor is outside the range.
    Source: The mean square is never below the square of the mean; 10 is the project's own limit.
    """
    require_within("pulsation", pulsation, 1, 10)


def join_segments(line: Line, *, loss_factor: float = 1.0) -> Resistance:
    """The segments of a line from its outlet up, neighbours of one bore joined.

    line: the traced line.
    loss_factor: factor on every loss, above 0.
    Returns: the joined segments in climbing order [SI].
    Source: Isothermal flow with losses: in one bore both K and ln(p_in/p_out) add up.
    """
    joined: list[Segment] = []
    for segment in reversed(line.segments):
        if joined and _alike(joined[-1], segment):
            joined[-1] = _join(joined[-1], segment)
        else:
            joined.append(segment)
    return tuple(segment.scaled(loss_factor) for segment in joined)


def climb(
    segments: Resistance, flow: float, *, limit: float, viscosity: float, outlet: float
) -> tuple[float, float, float]:
    """Pressure before a resistance that passes a flow to an outlet pressure, and its slopes.

    The pressure depends on flow and outlet pressure as ln p rising by (1 - share) d ln(outlet) and
    (share + friction) d ln(flow).

    segments: the joined segments.
    flow: effective mass flow [kg/s], not below 0.
    limit: speed at which a plain bore chokes, the root of p v [m/s].
    viscosity: dynamic viscosity [Pa s].
    outlet: absolute pressure beyond the resistance [Pa].
    Returns: absolute pressure [Pa]; share, 0 (no loss) to 1 (choked); friction, the small part
        that comes of the friction factor changing with flow.
    Source: Isothermal (p v constant) flow with losses, textbook of gas dynamics; valves by IEC
        60534-2-1.
    """
    pressure, share, friction = outlet, 0.0, 0.0
    if flow <= 0.0:
        return pressure, share, friction
    thrust = flow * limit
    reach = 4.0 * flow / (pi * viscosity)
    for area, diameter, loss, slenderness, roughness, valve_area, valve_limit in segments:
        sonic = thrust / area
        if sonic > pressure:
            pressure, share, friction = sonic, 1.0, 0.0
        if valve_area:
            pressure, weight = _climb_valve(thrust / (valve_area * pressure), pressure, valve_limit)
            share += weight * (1.0 - share)
            friction *= 1.0 - weight
            continue
        drag = 0.0
        if slenderness:
            reynolds = reach / diameter
            factor = friction_factor(reynolds, roughness)
            drag = factor * slenderness
            loss += drag
            drag *= friction_power(reynolds, roughness, factor)
        if loss < LEAST_LOSS:
            continue
        head = sonic / pressure
        head *= head
        ratio = _squared_ratio(head, loss)
        pressure *= sqrt(ratio)
        gap = ratio - head
        weight = (ratio - 1.0) / gap
        share += weight * (1.0 - share)
        friction += 0.5 * head * drag / gap - weight * friction
    return pressure, share, friction


def _squared_ratio(head: float, loss: float) -> float:
    """t = (p_in/p_out)² from t = 1 + h (K + ln t), h = G² p v/p_out² at most 1, by Newton."""
    ratio = 1.0 + head * (loss + log(1.0 + head * (loss + log(1.0 + head * loss))))
    for _ in range(60):
        gap = ratio - head
        step = (ratio - 1.0 - head * (loss + log(ratio))) * ratio / gap
        ratio -= step
        if head * step * step < 1e-13 * gap:  # the next step would be below head step²/2 gap
            break
    return ratio


def _climb_valve(wanted: float, outlet: float, limit: float) -> tuple[float, float]:
    """Pressure before a valve, IEC 60534 turned round, and its weight on the flow.

    `wanted` is flow · root(p v) over N6 Kv p_out; r = root(x) solves r (1 - r²/3 limit) =
    wanted (1 - r²).
    """
    widest = sqrt(limit)
    if wanted >= 2.0 / 3.0 * widest / (1.0 - limit):
        return outlet * wanted / (2.0 / 3.0 * widest), 1.0
    root = wanted * (1.0 - wanted * wanted * (1.0 - 1.0 / (3.0 * limit)))
    if not 0.0 < root < widest:
        root = widest
    slope = 1.0
    for _ in range(60):
        square = root * root
        slope = 1.0 - square / limit + 2.0 * wanted * root
        step = (root - root * square / (3.0 * limit) - wanted * (1.0 - square)) / slope
        root -= step
        if step * step < 1e-13:
            break
    return outlet / (1.0 - root * root), 2.0 * root * wanted / slope


def _alike(one: Segment, other: Segment) -> bool:
    return (
        one.area == other.area
        and not one.valve_area
        and not other.valve_area
        and (not one.slenderness or not other.slenderness or one.roughness == other.roughness)
    )


def _join(one: Segment, other: Segment) -> Segment:
    return one._replace(
        loss=one.loss + other.loss,
        slenderness=one.slenderness + other.slenderness,
        roughness=one.roughness if one.slenderness else other.roughness,
    )


def _flow_ceiling(segment: Segment, steam: ExpandingSteam, pressure: float) -> float:
    """A little more than a segment can pass from a pressure, whatever its loss."""
    throat = segment.area
    if segment.valve_area:
        throat = segment.valve_area * 2.0 / 3.0 * sqrt(segment.valve_limit)
    return 1.0001 * throat * pressure / steam.limit
