"""Steam expanding along a line with p v constant: plain floats, quick enough for a solver.

Throttled dry steam superheats a little and keeps p v to 0.3 %, so each segment obeys
G² p v (K + 2 ln(p_in/p_out)) = p_in² - p_out². Against real steam a choked line then reads low, so
safe: by 2 % where K is 11, 5 % where it is 2, 12 % for a bare nozzle (K 1). The equations are
marched *up* the line, from the outlet: in that direction they have an answer for every flow, choked
or not, and the inlet pressure they give rises smoothly (its slope has no step at choking) with flow
and with outlet pressure.
"""

from math import log, pi, sqrt
from typing import NamedTuple

from service.engineering.errors import require_within
from service.engineering.solving import solve_rising
from service.engineering.steam.passages.elements import Line, Segment
from service.engineering.steam.passages.losses import friction_factor
from service.engineering.steam.properties import vapour_viscosity, vapour_volume

SLIGHTEST_LOSS = 1e-12  # loss coefficient below which an element is no hindrance


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
    segments, wanted = line.segments, pressure * pressure

    def excess(square: float) -> float:
        reached = march_up(segments, steam, flow=sqrt(square), outlet_pressure=outlet_pressure)
        return reached * reached - wanted

    ceiling = min(_flow_ceiling(segment, steam, pressure) for segment in segments)
    return sqrt(solve_rising(excess, 0.0, high=ceiling * ceiling))


def find_inlet_pressure(
    line: Line, steam: ExpandingSteam, *, flow: float, outlet_pressure: float
) -> float:
    """Pressure needed at the inlet to drive a flow to an outlet pressure, without checks.

    It rises smoothly with both, for every flow, choked or not: the form a network should solve on.

    Source: Isothermal (p v constant) flow with losses, textbook of gas dynamics; valves by IEC
    60534-2-1.
    """
    return march_up(line.segments, steam, flow=flow, outlet_pressure=outlet_pressure)


def march_up(
    segments: tuple[Segment, ...],
    steam: ExpandingSteam,
    *,
    flow: float,
    outlet_pressure: float,
) -> float:
    """Pressure before a row of segments that pass a flow to an outlet pressure."""
    pressure = outlet_pressure
    if flow <= 0.0:
        return pressure
    for segment in reversed(segments):
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
    sonic = flow / segment.area * steam.limit
    exit_pressure = sonic if sonic > outlet_pressure else outlet_pressure
    if segment.valve_area:
        return _pass_valve(segment, flow * steam.limit, exit_pressure)
    head = (sonic / exit_pressure) ** 2
    loss = find_loss(segment, steam, flow=flow)
    return Passing(exit_pressure * sqrt(_squared_ratio(head, loss)), exit_pressure, head == 1.0)


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


def _squared_ratio(head: float, loss: float) -> float:
    """t = (p_in/p_out)² from t = 1 + h (K + ln t), h = G² p v/p_out² at most 1, by Newton."""
    if loss < SLIGHTEST_LOSS:
        return 1.0
    ratio = 1.0 + head * (loss + log(1.0 + head * loss) + sqrt(SLIGHTEST_LOSS))
    for _ in range(60):
        step = (ratio - 1.0 - head * (loss + log(ratio))) / (1.0 - head / ratio)
        ratio -= step
        if -1e-14 * ratio < step < 1e-14 * ratio:
            break
    return ratio


def _pass_valve(segment: Segment, thrust: float, outlet_pressure: float) -> Passing:
    """IEC 60534 turned round: the inlet pressure for flow · root(p v) = N6 Kv p1 Y root(x)."""
    limit = segment.valve_limit
    widest = sqrt(limit)
    wanted = thrust / (segment.valve_area * outlet_pressure)
    if wanted >= 2.0 / 3.0 * widest / (1.0 - limit):
        inlet_pressure = thrust / (segment.valve_area * 2.0 / 3.0 * widest)
        return Passing(inlet_pressure, outlet_pressure, True)
    root = min(wanted, widest)
    for _ in range(60):
        square = root * root
        residual = root - root * square / (3.0 * limit) - wanted * (1.0 - square)
        step = residual / (1.0 - square / limit + 2.0 * wanted * root)
        root -= step
        if -1e-15 < step < 1e-15:
            break
    return Passing(outlet_pressure / (1.0 - root * root), outlet_pressure, False)


def _flow_ceiling(segment: Segment, steam: ExpandingSteam, pressure: float) -> float:
    """A little more than a segment can pass from a pressure, whatever its loss."""
    throat = segment.area
    if segment.valve_area:
        throat = segment.valve_area * 2.0 / 3.0 * sqrt(segment.valve_limit)
    return 1.0001 * throat * pressure / steam.limit
