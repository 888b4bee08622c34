"""A passage put into words: each element's state, what to beware of, and the arithmetic."""

from dataclasses import dataclass
from math import sqrt

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band, Finding, Working, worst_first
from service.engineering.saturation import LOWEST_PRESSURE, PROPERTY_SOURCE
from service.engineering.steam.passages.elements import Element, Line, Segment
from service.engineering.steam.passages.expanding_steam import ExpandingSteam, find_loss, pass_up
from service.engineering.steam.wording import difference_text, gauge_text, length_text

ISOTHERMAL_SOURCE = "isothermal flow with losses, textbook of gas dynamics"
VALVE_SOURCE = "IEC 60534-2-1"
PRACTICE = "common practice"

QUICKEST = 40.0
"""Velocity above which wet steam cuts and whistles [m/s]: mains 25 to 40 (common practice)."""

LARGEST_DROP = 0.10
"""Part of the gauge pressure a passage may cost: 5 to 10 % (common practice)."""


@dataclass(frozen=True, slots=True)
class ElementFlow:
    """The steam at one element of a line; pressures absolute."""

    element: Element
    pressure_in: float
    """Pressure before it [Pa]."""
    pressure_out: float
    """Pressure at its own exit [Pa]; above what follows when its exit is choked."""
    velocity: float
    """Velocity at its exit [m/s], mean over the stroke's pulses as an effective value."""
    mach: float
    """Velocity over that at which a plain bore chokes in this model, root(p v)."""
    choked: bool
    """Whether it passes all it can at that inlet pressure."""


def follow_line(
    line: Line, steam: ExpandingSteam, *, flow: float, outlet_pressure: float
) -> tuple[ElementFlow, ...]:
    """The state of the steam at every element, in the order steam meets them."""
    found = []
    pressure = outlet_pressure
    for element, segment in zip(reversed(line.elements), reversed(line.segments), strict=True):
        passed = pass_up(segment, steam, flow=flow, outlet_pressure=pressure)
        velocity = flow * steam.product / (segment.area * passed.pressure_out)
        found.append(
            ElementFlow(
                element,
                passed.pressure_in,
                passed.pressure_out,
                velocity,
                velocity / steam.limit,
                passed.choked,
            )
        )
        pressure = passed.pressure_in
    return tuple(reversed(found))


def find_passage_faults(
    passed: tuple[ElementFlow, ...], *, pressure: float, outlet: Band
) -> tuple[Finding, ...]:
    """What a fitter should be told about a line.

    Source: Common practice; the limits stand at the head of the module.
    """
    return worst_first(
        (
            *_find_choking(passed),
            *_find_haste(passed),
            *_find_drop(pressure, outlet.likely),
            *_find_margin(outlet),
        )
    )


def write_passage_workings(
    line: Line, steam: ExpandingSteam, *, flow: float, pulsation: float
) -> tuple[Working, ...]:
    """The arithmetic of a line, from steam to flow."""
    effective = flow * sqrt(pulsation)
    parts = [
        _write_element(number, element, segment, steam, effective)
        for number, (element, segment) in enumerate(
            zip(line.elements, line.segments, strict=True), start=1
        )
    ]
    return (
        Working("p v", "p0 v_g(p0)", steam.product, "J/kg", PROPERTY_SOURCE),
        Working("mu", "mu_g(p0)", steam.viscosity, "Pa s", "IAPWS R12-08"),
        Working("phi", "mean of m² / (mean of m)²", pulsation, "1", "inference"),
        *parts,
        Working(
            "m",
            "p_in² - p_out² = phi (m/A)² p v [K + 2 ln(p_in/p_out)] at each part;"
            " valves m = N6 Kv Y root(x p_in rho_in)",
            flow,
            "kg/s",
            f"{ISOTHERMAL_SOURCE}; {VALVE_SOURCE}",
        ),
    )


def _write_element(
    number: int, element: Element, segment: Segment, steam: ExpandingSteam, flow: float
) -> Working:
    name = f"{element.kind.replace('_', ' ')} {length_text(element.diameter)}"
    if segment.valve_area:
        formula = f"Fk xT of the {name}: x at which it chokes, Y = 1 - x/(3 Fk xT)"
        return Working(f"x{number}", formula, segment.valve_limit, "1", VALVE_SOURCE)
    formula = f"K + f L/D of the {name}, on its own velocity head"
    return Working(f"K{number}", formula, find_loss(segment, steam, flow=flow), "1", element.source)


def _find_choking(passed: tuple[ElementFlow, ...]) -> list[Finding]:
    return [
        Finding(
            "caution",
            "choked",
            f"The {_place(number, state)} is choked: a lower pressure beyond it brings no more"
            " steam. Open it out if more is wanted.",
            state.pressure_out,
            None,
            "Pa",
            VALVE_SOURCE if "valve" in state.element.kind else ISOTHERMAL_SOURCE,
        )
        for number, state in enumerate(passed, start=1)
        if state.choked
    ]


def _find_haste(passed: tuple[ElementFlow, ...]) -> list[Finding]:
    number, state = max(enumerate(passed, start=1), key=lambda pair: pair[1].velocity)
    if state.velocity <= QUICKEST:
        return []
    text = (
        f"Steam runs at {state.velocity:.0f} m/s in the {_place(number, state)};"
        f" {QUICKEST:.0f} m/s is quick enough for wet steam."
    )
    return [Finding("caution", "quick_steam", text, state.velocity, QUICKEST, "m/s", PRACTICE)]


def _find_drop(pressure: float, outlet_pressure: float) -> list[Finding]:
    drop = pressure - outlet_pressure
    limit = LARGEST_DROP * max(pressure - ATMOSPHERE, 0.0)
    if drop <= limit:
        text = f"The line costs {difference_text(drop)} of {gauge_text(pressure)}."
        return [Finding("ok", "small_drop", text, drop, limit, "Pa difference", PRACTICE)]
    text = (
        f"The line costs {difference_text(drop)} of {gauge_text(pressure)};"
        f" keep it under {difference_text(limit)}, a tenth."
    )
    return [Finding("caution", "large_drop", text, drop, limit, "Pa difference", PRACTICE)]


def _find_margin(outlet: Band) -> list[Finding]:
    if outlet.low > LOWEST_PRESSURE or outlet.likely <= LOWEST_PRESSURE:
        return []
    text = "With losses 40 % higher than reckoned the line would choke short of this flow."
    return [Finding("caution", "near_choking", text, source=PRACTICE)]


def _place(number: int, state: ElementFlow) -> str:
    kind = state.element.kind.replace("_", " ")
    return f"{kind} of {length_text(state.element.diameter)} (part {number})"
