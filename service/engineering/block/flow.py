"""What the steam loses between the inlet of the block and each of its ports.

The steam is marched up from the port to the inlet (see `steam.expansion`): a budget is kept when
the pressure wanted at the inlet is not above the one that is there.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt

from service.engineering.block.paths import Path, Step
from service.engineering.block.request import BlockRequest, RunningCase
from service.engineering.errors import NoSolution
from service.engineering.findings import Band
from service.engineering.saturation import LOWEST_PRESSURE
from service.engineering.solving import solve_rising
from service.engineering.steam.passages import (
    LOSS_SPREAD,
    ExpandingSteam,
    Segment,
    pass_up,
    tee_branch_loss,
)

TOLERANCE = 1e-9  # part of the pressure to which a drop is found


@dataclass(frozen=True, slots=True)
class PortDrop:
    """What one port loses in one running case."""

    case: str
    port: int  # index of the port in the request's ports
    flow: float  # steam the port passes [kg/s]
    drop: Band
    """Pressure lost from inlet to port, with losses 40 % lower, as reckoned and higher [Pa]."""
    velocity: float  # highest velocity on the way [m/s]


def keeps_budget(request: BlockRequest, paths: dict[int, Path], *, steam: ExpandingSteam) -> bool:
    """Whether no port loses more than the budget in any running case."""
    floor = request.pressure - request.drop_budget
    return all(
        _wanted_at_inlet(stream.parts, steam, floor) <= request.pressure
        for stream in _list_streams(request, paths)
    )


def find_worst_drop(
    request: BlockRequest, paths: dict[int, Path], *, steam: ExpandingSteam
) -> PortDrop:
    """The drop of the port that loses most, over all running cases."""
    floor = request.pressure - request.drop_budget
    worst = max(
        _list_streams(request, paths),
        key=lambda stream: _wanted_at_inlet(stream.parts, steam, floor),
    )
    return _find_drop(request, worst, steam)


def find_drops(
    request: BlockRequest, paths: dict[int, Path], *, steam: ExpandingSteam
) -> tuple[PortDrop, ...]:
    """The drop of every port in every running case in which it passes steam."""
    return tuple(_find_drop(request, stream, steam) for stream in _list_streams(request, paths))


Parts = tuple[tuple[Segment, float], ...]
"""Segments with the steam that passes each [kg/s], from a port back to the inlet."""


@dataclass(frozen=True, slots=True)
class _Stream:
    """The steam of one port in one running case, and what it passes."""

    case: str
    port: int
    flow: float  # effective value, the swing of the demand in it [kg/s]
    parts: Parts


def _list_streams(request: BlockRequest, paths: dict[int, Path]) -> Iterator[_Stream]:
    for case in request.cases:
        flows = _effective_flows(request, case)
        for port, path in paths.items():
            if flows[port] > 0:
                parts = tuple(_fill(step, flows) for step in reversed(path))
                yield _Stream(case.name, port, flows[port], parts)


def _effective_flows(request: BlockRequest, case: RunningCase) -> tuple[float, ...]:
    """Effective flow of every port [kg/s], the inlet's place left at 0."""
    swing = sqrt(request.pulsation)
    ends = case.ends or (0.0,) * len(request.ends)
    return (0.0, *(flow * swing for flow in (*case.outlets, *ends)))


def _fill(step: Step, flows: Sequence[float]) -> tuple[Segment, float]:
    """A step at the flows there are: a branch's loss depends on its share of the run."""
    flow = sum([flows[port] for port in step.carries])
    if not step.branch:
        return step.segment, flow
    share = flow / sum([flows[port] for port in step.run])
    loss = tee_branch_loss(step.branch, share) + 1.0
    return step.segment._replace(loss=loss), flow


def _wanted_at_inlet(parts: Parts, steam: ExpandingSteam, outlet_pressure: float) -> float:
    """Pressure wanted at the inlet for a port to have a stated pressure [Pa]."""
    pressure = outlet_pressure
    for segment, flow in parts:
        pressure = pass_up(segment, steam, flow=flow, outlet_pressure=pressure).pressure_in
    return pressure


def _find_drop(request: BlockRequest, stream: _Stream, steam: ExpandingSteam) -> PortDrop:
    low, likely, high = (
        _solve_outlet(_soften(stream.parts, factor), steam, request.pressure)
        for factor in (1 / LOSS_SPREAD, 1.0, LOSS_SPREAD)
    )
    return PortDrop(
        case=stream.case,
        port=stream.port,
        flow=stream.flow / sqrt(request.pulsation),
        drop=Band(request.pressure - low, request.pressure - likely, request.pressure - high),
        velocity=_find_velocity(stream.parts, steam, likely),
    )


def _soften(parts: Parts, factor: float) -> Parts:
    """The parts with every loss greater or smaller by a factor."""
    return tuple(
        (
            segment._replace(loss=segment.loss * factor, slenderness=segment.slenderness * factor),
            flow,
        )
        for segment, flow in parts
    )


def _solve_outlet(parts: Parts, steam: ExpandingSteam, inlet: float) -> float:
    """Pressure left at the port [Pa]; the lowest there is where the path cannot pass the steam."""

    def excess(outlet: float) -> float:
        return _wanted_at_inlet(parts, steam, outlet) - inlet

    try:
        return solve_rising(excess, LOWEST_PRESSURE, high=inlet, tolerance=TOLERANCE)
    except NoSolution:
        return LOWEST_PRESSURE


def _find_velocity(parts: Parts, steam: ExpandingSteam, outlet_pressure: float) -> float:
    """The highest velocity on the way [m/s]."""
    pressure, highest = outlet_pressure, 0.0
    for segment, flow in parts:
        passed = pass_up(segment, steam, flow=flow, outlet_pressure=pressure)
        highest = max(highest, flow * steam.product / (segment.area * passed.pressure_out))
        pressure = passed.pressure_in
    return highest
