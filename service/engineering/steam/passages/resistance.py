"""A traced line made quick for a network: neighbours of one bore joined, and slopes given along.

Between two parts of the same bore the flow never chokes, and their losses and logarithms add up
exactly; so they count as one. The slopes only steer a solver: no answer rests on them.
"""

from math import log, pi, sqrt

from service.engineering.steam.passages.elements import Line, Segment
from service.engineering.steam.passages.losses import LAMINAR_LIMIT, friction_factor

Resistance = tuple[Segment, ...]
"""Segments in climbing order: the last one steam meets stands first."""

LEAST_LOSS = 1e-9
"""Loss coefficient below which a part costs nothing; choked, it would divide by nothing."""


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
    return tuple(_soften(segment, loss_factor) for segment in joined)


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
            drag = friction_factor(reynolds, roughness) * slenderness
            loss += drag
            drag *= -1.0 if reynolds < LAMINAR_LIMIT else -0.25
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


def _soften(segment: Segment, factor: float) -> Segment:
    return segment._replace(
        loss=segment.loss * factor,
        slenderness=segment.slenderness * factor,
        valve_area=segment.valve_area / sqrt(factor),
    )
