"""What a line of bores, valves and bends passes, or costs: the answer for a person.

The line runs from a chamber at rest to a chamber at rest; `elements` says how each part is counted,
`expanding_steam` how steam expands along it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import sqrt
from typing import Annotated

from service.engineering.constants import ATMOSPHERE, LEAST_FLOW, MOST_FLOW
from service.engineering.errors import NoSolution, require, require_within
from service.engineering.findings import Band, Finding, Working, worst_first
from service.engineering.saturation import LOWEST_PRESSURE, PROPERTY_SOURCE, require_pressure
from service.engineering.saying import Said, drop, length, say, velocity
from service.engineering.saying import flow as steam_flow
from service.engineering.saying import pressure as gauge
from service.engineering.solving import solve_rising
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.steam.engine import Acting
from service.engineering.steam.passages.elements import Element, Line, Segment, trace_line
from service.engineering.steam.passages.expanding_steam import (
    ExpandingSteam,
    find_expanding_steam,
    find_flow,
    find_inlet_pressure,
    find_loss,
    pass_up,
    require_pulsation,
)

ISOTHERMAL_SOURCE = "isothermal flow with losses, textbook of gas dynamics"
FLOW_FORMULA = (
    'p_"in"^2 - p_"out"^2 = phi (m/A)^2 p v (K + 2 ln(p_"in"/p_"out")) "at each part;"'
    ' m = N_6 K_v Y sqrt(x p_"in" rho_"in") "at valves"'
)
VALVE_SOURCE = "IEC 60534-2-1"
PRACTICE = "common practice"

QUICKEST = 40.0  # above it wet steam cuts and whistles [m/s]: mains 25 to 40 (common practice)
LARGEST_DROP = 0.10  # part of the gauge pressure a passage may cost: 5 to 10 % (common practice)

LOSS_SPREAD = 1.4  # either way on losses of small drilled passages: 40 % (common practice)


@dataclass(frozen=True, slots=True)
class ElementFlow:
    """The steam at one element of a line; pressures absolute."""

    element: Element
    pressure_in: Annotated[float, "Pa"]  # pressure before it
    pressure_out: Annotated[float, "Pa"]
    """Pressure at its own exit; above what follows when its exit is choked."""
    velocity: Annotated[float, "m/s"]  # at its exit, an effective value over the stroke's pulses
    mach: float  # velocity over that at which a plain bore chokes in this model, root(p v)
    choked: bool  # whether it passes all it can at that inlet pressure


@dataclass(frozen=True, slots=True)
class PassageFlow:
    """Steam passing a line; pressures absolute."""

    flow: Annotated[float, "kg/s"]  # mean mass flow
    flow_band: Annotated[Band, "kg/s"]  # the flow with losses 40 % higher, as reckoned, and lower
    pressure: Annotated[float, "Pa"]  # pressure at the inlet
    outlet_pressure: Annotated[float, "Pa"]  # pressure beyond the outlet
    outlet_band: Annotated[Band, "Pa"]
    """The outlet pressure with losses 40 % higher, as reckoned, and lower."""
    velocity: Annotated[float, "m/s"]  # highest velocity in the line
    choked: bool  # whether some element passes all it can
    elements: tuple[ElementFlow, ...]
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = CAUTIONS


def flow_through(
    elements: Iterable[Element] | Line,
    *,
    pressure: float,
    outlet_pressure: float,
    pulsation: float = 1.0,
) -> PassageFlow:
    """Steam that a line passes between two pressures.

    elements: the parts in the order steam meets them.
    pressure: absolute pressure of the dry steam at the inlet [Pa], 1 kPa to 4 MPa.
    outlet_pressure: absolute pressure at the outlet [Pa], below `pressure`.
    pulsation: mean square over square of mean flow, 1 (steady) to 10.
    Returns: flow, velocities and pressures element by element [SI].
    Raises OutOfRange: if a pressure, the pulsation or an element is outside its range.
    Source: Isothermal (p v constant) flow with losses, textbook of gas dynamics; valves by IEC
        60534-2-1.
    """
    line = trace_line(elements)
    steam = find_expanding_steam(pressure)
    require_pressure(outlet_pressure, field="outlet_pressure")
    require_pulsation(pulsation)
    require(outlet_pressure < pressure, "outlet_pressure", "The outlet must be below the inlet.")
    low, likely, high = (
        find_flow(softened, steam, pressure=pressure, outlet_pressure=outlet_pressure)
        / sqrt(pulsation)
        for softened in _soften(line)
    )
    outlet = Band(outlet_pressure, outlet_pressure, outlet_pressure)
    return _report(
        line, steam, pulsation, pressure=pressure, flow=Band(low, likely, high), outlet=outlet
    )


def pressure_after(
    elements: Iterable[Element] | Line, *, pressure: float, flow: float, pulsation: float = 1.0
) -> PassageFlow:
    """Pressure left after a line that carries a stated flow.

    elements: the parts in the order steam meets them.
    pressure: absolute pressure of the dry steam at the inlet [Pa], 1 kPa to 4 MPa.
    flow: mean mass flow [kg/s], above 0.
    pulsation: mean square over square of mean flow, 1 (steady) to 10.
    Returns: outlet pressure, velocities and pressures element by element [SI].
    Raises OutOfRange: if a pressure, the flow, the pulsation or an element is outside its range.
    Raises NoSolution: if the line cannot pass that flow at any outlet pressure.
    Source: Isothermal (p v constant) flow with losses, textbook of gas dynamics; valves by IEC
        60534-2-1.
    """
    line = trace_line(elements)
    steam = find_expanding_steam(pressure)
    require_pulsation(pulsation)
    require_within("flow", flow, LEAST_FLOW, MOST_FLOW, steam_flow)
    stiff, likely, easy = (
        _find_outlet(softened, steam, pressure=pressure, flow=flow * sqrt(pulsation))
        for softened in _soften(line)
    )
    if likely is None:
        most = find_flow(line, steam, pressure=pressure, outlet_pressure=LOWEST_PRESSURE)
        figure = steam_flow(most / sqrt(pulsation), "most")
        text = say("The line chokes: it passes at most ", figure, " at that pressure.")
        raise NoSolution(text, field="flow")
    outlet = Band(LOWEST_PRESSURE if stiff is None else stiff, likely, easy or likely)
    return _report(
        line, steam, pulsation, pressure=pressure, flow=Band(flow, flow, flow), outlet=outlet
    )


def find_pulsation(acting: Acting, cylinders: int) -> float:
    """How much more a pulsating demand costs in pressure than the same mean flow would.

    acting: whether one side of the piston takes steam or both.
    cylinders: cylinders on one supply, from 1; their cranks are taken as evenly set.
    Returns: mean square over square of mean flow.
    Raises OutOfRange: if there is no cylinder.
    Source: Demand as the sine of the crank angle: 1.23 for one double-acting cylinder and 2.47 for
        one single-acting, eased to 1.2 and 2.0 by the steam chest; near 1 for more (inference).
    """
    require(cylinders >= 1, "cylinders", "Give at least one cylinder.")
    if cylinders == 1:
        return 1.2 if acting == "double" else 2.0
    if cylinders == 2 and acting == "single":
        return 1.2
    return 1.05


def _find_outlet(
    line: Line, steam: ExpandingSteam, *, pressure: float, flow: float
) -> float | None:
    """The outlet pressure at which the line passes `flow`; None when it cannot at any."""

    def shortfall(outlet: float) -> float:
        return find_inlet_pressure(line, steam, flow=flow, outlet_pressure=outlet) - pressure

    if shortfall(LOWEST_PRESSURE) > 0:
        return None
    return solve_rising(shortfall, LOWEST_PRESSURE, high=pressure)


def _soften(line: Line) -> Iterator[Line]:
    """The line with every loss 40 % higher, as it is, and as much lower."""
    for factor in (LOSS_SPREAD, 1.0, 1 / LOSS_SPREAD):
        yield replace(line, segments=tuple(part.scaled(factor) for part in line.segments))


def _report(
    line: Line,
    steam: ExpandingSteam,
    pulsation: float,
    *,
    pressure: float,
    flow: Band,
    outlet: Band,
) -> PassageFlow:
    passed = _follow(line, steam, flow=flow.likely * sqrt(pulsation), outlet_pressure=outlet.likely)
    return PassageFlow(
        flow=flow.likely,
        flow_band=flow,
        pressure=pressure,
        outlet_pressure=outlet.likely,
        outlet_band=outlet,
        velocity=max(element.velocity for element in passed),
        choked=any(element.choked for element in passed),
        elements=passed,
        findings=worst_first(
            (
                *_find_choking(passed),
                *_find_haste(passed),
                _find_drop(pressure, outlet.likely),
                *_find_margin(outlet),
            )
        ),
        workings=_write_workings(line, steam, flow=flow.likely, pulsation=pulsation),
    )


def _follow(
    line: Line, steam: ExpandingSteam, *, flow: float, outlet_pressure: float
) -> tuple[ElementFlow, ...]:
    """The state of the steam at every element, in the order steam meets them."""
    found = []
    pressure = outlet_pressure
    for element, segment in zip(reversed(line.elements), reversed(line.segments), strict=True):
        passed = pass_up(segment, steam, flow=flow, outlet_pressure=pressure)
        pressure_in, pressure_out, choked = passed
        velocity = flow * steam.product / (segment.area * pressure_out)
        mach = velocity / steam.limit
        found.append(
            ElementFlow(
                element, pressure_in, pressure_out, velocity=velocity, mach=mach, choked=choked
            )
        )
        pressure = pressure_in
    return tuple(reversed(found))


def _write_workings(
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
        Working("m", FLOW_FORMULA, flow, "kg/s", f"{ISOTHERMAL_SOURCE}; {VALVE_SOURCE}"),
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
