"""The path of the steam from the inlet of the block to each port, part by part.

The bore is a run from which every outlet takes its share, so that the flow falls along it. Steam
that enters by a face turns a corner and splits both ways.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf, pi
from typing import NamedTuple

from service.engineering.block.layout import Layout
from service.engineering.block.request import ENDS, BlockRequest
from service.engineering.block.ways import Tapping, Way
from service.engineering.steam.passages import Bore, Segment, corner_loss


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
            Step(
                Bore(self.bore, abs(far - near)).trace(self.bore),
                self._carried(start, far),
            )
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
