"""What the steam loses between the inlet of the block and each of its ports, part by part.

The bore is a run from which every outlet takes its share, so that the flow falls along it. Steam
that enters by a face turns a corner and splits both ways.

The steam is marched up from the port to the inlet (see `steam.expansion`): a budget is kept when
the pressure wanted at the inlet is not above the one that is there.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf, pi, sqrt
from typing import Annotated, NamedTuple

from service.engineering.block.layout import Layout
from service.engineering.block.request import ENDS, BlockRequest, RunningCase
from service.engineering.block.ways import Tapping, Way
from service.engineering.errors import NoSolution
from service.engineering.findings import Band
from service.engineering.saturation import LOWEST_PRESSURE
from service.engineering.solving import solve_rising
from service.engineering.steam.passages import (
    LOSS_SPREAD,
    Bore,
    ExpandingSteam,
    Segment,
    corner_loss,
    pass_up,
    tee_branch_loss,
)

TOLERANCE = 1e-9  # part of the pressure to which a drop is found


@dataclass(frozen=True, slots=True)
class PortDrop:
    """What one port loses in one running case."""

    case: str
    port: int  # index of the port in the request's ports
    flow: Annotated[float, "kg/s"]  # steam the port passes
    drop: Annotated[Band, "Pa difference"]
    """Pressure lost from inlet to port, with losses 40 % lower, as reckoned and higher."""
    velocity: Annotated[float, "m/s"]  # highest velocity on the way


class Step(NamedTuple):
    """One part of a port's path, and what passes it."""

    segment: Segment
    carries: tuple[int, ...]  # ports, by index, whose steam passes it
    branch: float = 0.0  # way over bore where it branches off the bore; 0 if it does not
    run: tuple[int, ...] = ()  # ports whose steam passes the bore just before the branch


Path = tuple[Step, ...]  # from inlet to port, in the order steam meets them


def trace_paths(
    request: BlockRequest,
    tappings: Sequence[Tapping],
    ways: Sequence[Way],
    *,
    layout: Layout,
    bore: float,
) -> dict[int, Path]:
    """The path of the steam to every port but the inlet.

    A way is counted as long as its port needs, thread and all, whatever the bar: the bore that a
    budget asks for then does not depend on the bar.

    Source: Bore with sharp entry, square branches without recovery: Rennels and Hudson, Pipe
    Flow; TP-410.
    """
    plan = _Plan(request, tappings, ways, layout, bore)
    return {index: plan.trace(index) for index in range(1, len(request.ports))}


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


@dataclass(frozen=True, slots=True)
class _Plan:
    request: BlockRequest
    tappings: Sequence[Tapping]
    ways: Sequence[Way]
    layout: Layout
    bore: float

    def trace(self, index: int) -> Path:
        """The path to one port."""
        start, goal = self._station(0), self._station(index)
        side = self._ports_beyond(start, goal)
        steps = [*self._enter(side, goal), *self._run_along(start, goal)]
        if self._is_in_end(index):
            return (*steps, *self._leave_by_end(index))
        run = tuple(i for i in side if abs(self._station(i) - start) >= abs(goal - start))
        return (*steps, self._branch_off(index, run))

    def _enter(self, side: tuple[int, ...], goal: float) -> list[Step]:
        """Into the bore by the inlet: through its own narrower hole, or round a corner."""
        ports = tuple(range(1, len(self.request.ports)))
        if not self._is_in_end(0):
            way = Bore(self.ways[0].feed.diameter, self._way_length(0)).trace(inf)
            corner = Bore(self.bore, 0.0).trace(way.diameter)
            turned = corner._replace(loss=corner.loss + corner_loss(pi / 2))
            return [Step(way, ports), Step(turned, side)]
        tapping = self.tappings[0]
        width = min(self.bore, tapping.drill.diameter)
        depth = tapping.depth + tapping.lead if width < self.bore else 0.0
        return [Step(Bore(width, depth).trace(inf), ports)]

    def _run_along(self, start: float, goal: float) -> list[Step]:
        """The pieces of bore from station to station."""
        stops = sorted(
            {start, goal}
            | {x for x in self.layout.stations if min(start, goal) < x < max(start, goal)},
            reverse=goal < start,
        )
        return [
            Step(Bore(self.bore, abs(far - near)).trace(self.bore), self._carried(start, far))
            for near, far in pairwise(stops)
        ]

    def _carried(self, start: float, far: float) -> tuple[int, ...]:
        """Ports whose steam passes the piece of bore that ends at `far`."""
        return tuple(
            i
            for i in self._ports_beyond(start, far)
            if abs(self._station(i) - start) >= abs(far - start)
        )

    def _ports_beyond(self, start: float, goal: float) -> tuple[int, ...]:
        """Ports on the same side of the inlet as `goal`."""
        if goal >= start:
            return tuple(i for i in range(1, len(self.request.ports)) if self._station(i) >= start)
        return tuple(i for i in range(1, len(self.request.ports)) if self._station(i) < start)

    def _branch_off(self, index: int, run: tuple[int, ...]) -> Step:
        feed = self.ways[index].feed.diameter
        segment = Bore(feed, self._way_length(index)).trace(self.bore)
        return Step(segment, (index,), feed / self.bore, run)

    def _leave_by_end(self, index: int) -> list[Step]:
        tapping = self.tappings[index]
        if tapping.drill.diameter >= self.bore:
            return []
        segment = Bore(tapping.drill.diameter, tapping.depth + tapping.lead).trace(self.bore)
        return [Step(segment, (index,))]

    def _way_length(self, index: int) -> float:
        return self.ways[index].spent + self.tappings[index].depth - self.bore / 2

    def _station(self, index: int) -> float:
        return self.layout.stations[index]

    def _is_in_end(self, index: int) -> bool:
        return self.request.ports[index].place in ENDS
