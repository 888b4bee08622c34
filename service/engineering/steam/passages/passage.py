"""What a line of bores, valves and bends passes, or costs: the answer for a person.

The line runs from a chamber at rest to a
chamber at rest; `elements` says how each part is counted, `expansion` how steam expands along it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import sqrt

from service.engineering.errors import NoSolution, require
from service.engineering.findings import Band, Finding, Working
from service.engineering.saturation import LOWEST_PRESSURE, require_pressure
from service.engineering.saying import flow as steam_flow
from service.engineering.saying import say
from service.engineering.solving import solve_rising
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.steam.engine import Acting
from service.engineering.steam.passages.elements import Element, Line, trace_line
from service.engineering.steam.passages.expanding_steam import (
    ExpandingSteam,
    find_expanding_steam,
    find_flow,
    find_inlet_pressure,
    require_pulsation,
)
from service.engineering.steam.passages.passage_findings import (
    ElementFlow,
    find_passage_faults,
    follow_line,
    write_passage_workings,
)

LOSS_SPREAD = 1.4
"""Factor either way on loss coefficients of small drilled passages: 40 % (common practice)."""


@dataclass(frozen=True, slots=True)
class PassageFlow:
    """Steam passing a line; pressures absolute."""

    flow: float  # mean mass flow [kg/s]
    flow_band: Band  # the flow with losses 40 % higher, as reckoned, and lower [kg/s]
    pressure: float  # pressure at the inlet [Pa]
    outlet_pressure: float  # pressure beyond the outlet [Pa]
    outlet_band: Band  # the outlet pressure with losses 40 % higher, as reckoned, and lower [Pa]
    velocity: float  # highest velocity in the line [m/s]
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
    elements: Iterable[Element] | Line,
    *,
    pressure: float,
    flow: float,
    pulsation: float = 1.0,
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
    require(flow > 0, "flow", "The flow must be above 0.")
    stiff, likely, easy = (
        _find_outlet(softened, steam, pressure=pressure, flow=flow * sqrt(pulsation))
        for softened in _soften(line)
    )
    if likely is None:
        most = find_flow(line, steam, pressure=pressure, outlet_pressure=LOWEST_PRESSURE)
        raise NoSolution(
            say(
                "The line chokes: it passes at most ",
                (steam_flow(most / sqrt(pulsation), "most"), " at that pressure."),
            ),
            field="flow",
        )
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


def _soften(line: Line) -> tuple[Line, Line, Line]:
    """The line with every loss 40 % higher, as it is, and as much lower."""
    return _scale_losses(line, LOSS_SPREAD), line, _scale_losses(line, 1 / LOSS_SPREAD)


def _scale_losses(line: Line, factor: float) -> Line:
    segments = tuple(
        segment._replace(
            loss=segment.loss * factor,
            slenderness=segment.slenderness * factor,
            valve_area=segment.valve_area / sqrt(factor),
        )
        for segment in line.segments
    )
    return replace(line, segments=segments)


def _report(
    line: Line,
    steam: ExpandingSteam,
    pulsation: float,
    *,
    pressure: float,
    flow: Band,
    outlet: Band,
) -> PassageFlow:
    passed = follow_line(
        line, steam, flow=flow.likely * sqrt(pulsation), outlet_pressure=outlet.likely
    )
    return PassageFlow(
        flow=flow.likely,
        flow_band=flow,
        pressure=pressure,
        outlet_pressure=outlet.likely,
        outlet_band=outlet,
        velocity=max(element.velocity for element in passed),
        choked=any(element.choked for element in passed),
        elements=passed,
        findings=find_passage_faults(passed, pressure=pressure, outlet=outlet),
        workings=write_passage_workings(line, steam, flow=flow.likely, pulsation=pulsation),
    )
