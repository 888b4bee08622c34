"""The indicator diagram: mean pressure on the piston, and the steam the diagram accounts for.

Cut-off, clearance and exhaust closure are fractions of the stroke (clearance: of the swept volume).
"""

from math import log

from service.engineering.errors import require

MEAN_PRESSURE = "K (p_1 (e + (e + c) ln((1 + c)/(e + c))) - p_b (1 - x + (x + c) ln((x + c)/c)))"
WATER_RATE = "n V_s ((e + c)/v_1 - (x + c)/v_b)"

MEAN_PRESSURE_SOURCE = "hyperbolic expansion, textbook of mechanical engineering"
WATER_RATE_SOURCE = "water-rate method (mass at release less mass at compression), textbook"


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
