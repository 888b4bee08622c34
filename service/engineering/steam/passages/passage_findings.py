"""Each element's state in a passage, what to beware of, and the arithmetic."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band, Finding, Working, worst_first
from service.engineering.saturation import LOWEST_PRESSURE, PROPERTY_SOURCE
from service.engineering.saying import Said, drop, length, say, velocity
from service.engineering.saying import pressure as gauge
from service.engineering.steam.passages.elements import Element, Line, Segment
from service.engineering.steam.passages.expanding_steam import ExpandingSteam, find_loss, pass_up

ISOTHERMAL_SOURCE = "isothermal flow with losses, textbook of gas dynamics"
FLOW_FORMULA = (
    'p_"in"^2 - p_"out"^2 = phi (m/A)^2 p v (K + 2 ln(p_"in"/p_"out")) "at each part;"'
    ' m = N_6 K_v Y sqrt(x p_"in" rho_"in") "at valves"'
)
VALVE_SOURCE = "IEC 60534-2-1"
PRACTICE = "common practice"

QUICKEST = 40.0
"""Velocity above which wet steam cuts and whistles [m/s]: mains 25 to 40 (common practice)."""

LARGEST_DROP = 0.10  # part of the gauge pressure a passage may cost: 5 to 10 % (common practice)


@dataclass(frozen=True, slots=True)
class ElementFlow:
    """The steam at one element of a line; pressures absolute."""

    element: Element
    pressure_in: float  # pressure before it [Pa]
    pressure_out: float  # pressure at its own exit [Pa]; above what follows when its exit is choked
    velocity: float
    """Velocity at its exit [m/s], mean over the stroke's pulses as an effective value."""
    mach: float  # velocity over that at which a plain bore chokes in this model, root(p v)
    choked: bool  # whether it passes all it can at that inlet pressure


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
            _find_drop(pressure, outlet.likely),
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
        Working("p v", "p_0 v_g (p_0)", steam.product, "J/kg", PROPERTY_SOURCE),
        Working("mu", "mu_g (p_0)", steam.viscosity, "Pa s", "IAPWS R12-08"),
        Working("phi", '("mean of" m^2)/("mean of" m)^2', pulsation, "1", "inference"),
        *parts,
        Working(
            "m",
            FLOW_FORMULA,
            flow,
            "kg/s",
            f"{ISOTHERMAL_SOURCE}; {VALVE_SOURCE}",
        ),
    )


def _write_element(
    number: int, element: Element, segment: Segment, steam: ExpandingSteam, flow: float
) -> Working:
    kind = element.kind.replace("_", " ")
    if segment.valve_area:
        formula = f'F_k x_T "of the {kind}: x at which it chokes," Y = 1 - x/(3 F_k x_T)'
        return Working(f"x_{number}", formula, segment.valve_limit, "1", VALVE_SOURCE)
    formula = f'K + (f L)/D "of the {kind}, on its own velocity head"'
    loss = find_loss(segment, steam, flow=flow)
    return Working(f"K_{number}", formula, loss, "1", element.source)


def _find_choking(passed: tuple[ElementFlow, ...]) -> Iterator[Finding]:
    for number, state in enumerate(passed, start=1):
        if not state.choked:
            continue
        text = say(
            ("The ", _place(number, state), " is choked: a lower pressure beyond it brings no"),
            " more steam. Open it out if more is wanted.",
        )
        source = VALVE_SOURCE if "valve" in state.element.kind else ISOTHERMAL_SOURCE
        reading = state.pressure_out - ATMOSPHERE
        yield Finding("caution", "choked", text, reading, None, "Pa gauge", source)


def _find_haste(passed: tuple[ElementFlow, ...]) -> Iterator[Finding]:
    number, state = max(enumerate(passed, start=1), key=lambda pair: pair[1].velocity)
    if state.velocity <= QUICKEST:
        return
    text = say(
        ("Steam runs at ", velocity(state.velocity), " in the ", _place(number, state), "; "),
        (velocity(QUICKEST, "quickest"), " is quick enough for wet steam."),
    )
    yield Finding("caution", "quick-steam", text, state.velocity, QUICKEST, "m/s", PRACTICE)


def _find_drop(inlet: float, outlet: float) -> Finding:
    cost = inlet - outlet
    limit = LARGEST_DROP * max(inlet - ATMOSPHERE, 0.0)
    text = say("The line costs ", drop(cost), " of ", gauge(inlet))
    if cost <= limit:
        text = say(text, ".")
        return Finding("ok", "small-drop", text, cost, limit, "Pa difference", PRACTICE)
    text = say(text, "; keep it under ", drop(limit, "limit"), ", a tenth.")
    return Finding("caution", "large-drop", text, cost, limit, "Pa difference", PRACTICE)


def _find_margin(outlet: Band) -> Iterator[Finding]:
    if outlet.low <= LOWEST_PRESSURE < outlet.likely:
        text = say("With losses 40 % higher than reckoned the line would choke short of this flow.")
        yield Finding("caution", "near-choking", text, source=PRACTICE)


def _place(number: int, state: ElementFlow) -> Said:
    kind = state.element.kind.replace("_", " ")
    return say(f"{kind} of ", length(state.element.diameter, "bore"), f" (part {number})")
