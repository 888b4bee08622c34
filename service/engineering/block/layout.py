"""Where the ports lie along the block, and how long it must be."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Literal

from service.engineering.block.request import ENDS, BlockRequest, End, Port
from service.engineering.block.ways import POINT_SLOPE, Tapping, Way
from service.engineering.constants import INCH
from service.engineering.errors import NoSolution
from service.engineering.saying import length, say

GRIDS = {"in": INCH / 32, "mm": 0.0005}
"""Steps in which a block of inch or metric bar is set out [m]: 1/32 in, 1/2 mm."""

RUN_PAST = 0.0005  # how far a blind bore runs past the last way [m]; common practice
ROUNDING = 1e-9  # length below which a difference is arithmetic [m]
OPPOSITE = {"top": "bottom", "bottom": "top", "front": "back", "back": "front"}


@dataclass(frozen=True, slots=True)
class Layout:
    """Places along the block from its left end; lengths in metres."""

    length: float
    stations: tuple[float, ...]
    """Where each port's hole stands, in the order of the request's ports; 0 or the length for an
    end."""
    bored_from: End
    bore_start: float  # where the bore begins, on the left
    bore_end: float  # where it ends at full diameter, on the right


def lay_out(
    request: BlockRequest,
    tappings: Sequence[Tapping],
    ways: Sequence[Way],
    *,
    bore: float,
    unit: Literal["in", "mm"],
) -> Layout:
    """Place the ports as close as their threads, shoulders and handwheels let them.

    Source: Geometry; steps of 1/32 in or 1/2 mm, common practice.
    """
    board = _Board(request, tappings, ways, bore, GRIDS[unit])
    bored_from = board.choose_boring_end()
    places = board.place_ports()
    length = board.find_length(places)
    stations = tuple(
        length if port.place == "right end" else places.get(index, 0.0)
        for index, port in enumerate(request.ports)
    )
    start, end = board.find_bore(places, length)
    return Layout(length, stations, bored_from, start, end)


@dataclass(frozen=True, slots=True)
class _Board:
    """The ports while they are being placed."""

    request: BlockRequest
    tappings: Sequence[Tapping]
    ways: Sequence[Way]
    bore: float
    grid: float

    def choose_boring_end(self) -> End:
        """The end with the wider tapping hole; of two alike the inlet's."""
        holes = {
            tapping.port.place: tapping.drill.diameter
            for tapping in reversed(self.tappings)
            if tapping.port.place in ENDS
        }
        end = max(
            (end for end in ENDS if end in holes),
            key=lambda end: (holes[end], end == self.request.inlet.place),
        )
        if holes[end] < self.bore - ROUNDING:
            passes = say(
                ("A bore of ", length(self.bore, "bore"), " does not pass the tapping holes of"),
                (" the ends: the wider is ", length(holes[end], "wider"), "."),
            )
            raise NoSolution(passes, field="ends")
        return end

    def place_ports(self) -> dict[int, float]:
        """Stations of the ports in the faces, by index; each as far left as it will go."""
        placed: dict[int, float] = {}
        for index in self._placing_order():
            start = self._snap(self._margin(index, "left end"))
            options = [start, *(self._snap(x + self._gap(i, index)) for i, x in placed.items())]
            placed[index] = min(
                x for x in options if x >= start and self._is_clear(x, index, placed)
            )
        return placed

    def find_length(self, placed: dict[int, float]) -> float:
        """The shortest block that leaves every port its margin on the right."""
        return self._snap(max(x + self._margin(index, "right end") for index, x in placed.items()))

    def find_bore(self, placed: dict[int, float], length: float) -> tuple[float, float]:
        """Where the bore begins and ends: right through where an end's hole lets it."""
        first = min(x - self._half_way(index) for index, x in placed.items()) - RUN_PAST
        last = max(x + self._half_way(index) for index, x in placed.items()) + RUN_PAST
        start = 0.0 if self._lets_bore_through("left end") else first
        return start, length if self._lets_bore_through("right end") else last

    def _placing_order(self) -> list[int]:
        """The ports in the faces as asked for, an inlet among them in the middle."""
        order = list(range(1, len(self.request.outlets) + 1))
        if self.request.inlet.place not in ENDS:
            order.insert(len(order) // 2, 0)
        return order

    def _is_clear(self, x: float, index: int, placed: dict[int, float]) -> bool:
        return all(
            (x - there if self._is_same_face(i, index) else abs(x - there))
            >= self._gap(i, index) - ROUNDING
            for i, there in placed.items()
        )

    def _is_same_face(self, first: int, second: int) -> bool:
        return self._port(first).place == self._port(second).place

    def _gap(self, first: int, second: int) -> float:
        """Least distance along the block between two ports in its faces."""
        one, other = self._port(first), self._port(second)
        if OPPOSITE[str(one.place)] == other.place:
            return 0.0
        walls = one.radius + self.request.least_wall + other.radius
        if one.place != other.place:
            return walls
        shoulders = (one.shoulder + other.shoulder) / 2
        return max(walls, shoulders, ((one.spacing or 0.0) + (other.spacing or 0.0)) / 2)

    def _margin(self, index: int, end: End) -> float:
        """Least distance from an end of the block to a port in a face."""
        port, wall = self._port(index), self.request.least_wall
        threaded = self._end_depth(end)
        margin = max(threaded + port.radius + wall, port.shoulder / 2)
        if self._lets_bore_through(end):
            return margin
        blind = self._half_way(index) + RUN_PAST + self.bore / 2 * POINT_SLOPE
        return max(margin, blind + (threaded or wall))

    def _end_depth(self, end: End) -> float:
        """How deep an end is drilled for its thread; 0 for a blank end."""
        tapping = self._in_end(end)
        return tapping.depth + tapping.lead if tapping else 0.0

    def _lets_bore_through(self, end: End) -> bool:
        tapping = self._in_end(end)
        return tapping is not None and tapping.drill.diameter >= self.bore - ROUNDING

    def _in_end(self, end: End) -> Tapping | None:
        return next((each for each in self.tappings if each.port.place == end), None)

    def _half_way(self, index: int) -> float:
        return self.ways[index].feed.diameter / 2

    def _port(self, index: int) -> Port:
        return self.tappings[index].port

    def _snap(self, length: float) -> float:
        return ceil((length - ROUNDING) / self.grid) * self.grid
