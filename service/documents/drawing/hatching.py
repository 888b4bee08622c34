"""The lines of hatching, from a fixed origin, so that a drawing is the same each time."""

from collections import defaultdict
from collections.abc import Iterator
from math import cos, floor, radians, sin

from service.documents.drawing.sheet import Hatching, Point


def hatch_lines(hatching: Hatching) -> Iterator[tuple[Point, Point]]:
    """Every piece of line inside the boundary and outside the voids."""
    lean = radians(hatching.slope)
    along, across = (cos(lean), sin(lean)), (-sin(lean), cos(lean))
    crossings = defaultdict(list)
    for loop in (hatching.boundary, *hatching.voids):
        turned = [(_dot(point, along), _dot(point, across)) for point in loop]
        for start, end in zip(turned, (*turned[1:], turned[0]), strict=True):
            for row, place in _cross_rows(start, end, hatching.gap):
                crossings[row].append(place)
    for row, places in sorted(crossings.items()):
        ordered, level = sorted(places), row * hatching.gap
        for first, last in zip(ordered[::2], ordered[1::2], strict=True):
            yield _turn_back(first, level, along), _turn_back(last, level, along)


def _cross_rows(start: Point, end: Point, gap: float) -> Iterator[tuple[int, float]]:
    """The rows of hatching that an edge crosses, the lower end of it counted in."""
    (u, v), (other_u, other_v) = sorted((start, end), key=lambda point: point[1])
    for row in range(floor(v / gap), floor(other_v / gap) + 2):
        if v <= (level := row * gap) < other_v:
            yield row, u + (other_u - u) * (level - v) / (other_v - v)


def _dot(point: Point, way: Point) -> float:
    return point[0] * way[0] + point[1] * way[1]


def _turn_back(u: float, v: float, along: Point) -> Point:
    return u * along[0] - v * along[1], u * along[1] + v * along[0]
