"""The shape of a distribution block in its views: outside, voids, and the metal between them.

All points are metres in the view: along the block and across it, or, in a section across, from
back to front and upwards.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import asin, cos, pi, sin, sqrt

from service.documents.drawing import Point
from service.engineering.block import ENDS, POINT_SLOPE, BlockPlan, Hole

MILLIMETRES = 1e3
NEAR = 1e-6
"""Lengths closer than this are one [m]."""

FINENESS = 144
"""Points to a full circle where one is drawn as a row of points."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """Which faces a view along the block shows, and where."""

    towards: str
    away: str
    upper: str
    lower: str

    @property
    def edges(self) -> tuple[tuple[str, float], tuple[str, float]]:
        """The faces seen as edges, and on which side of the middle each lies."""
        return (self.upper, 1.0), (self.lower, -1.0)


FROM_THE_FRONT = Outlook("front", "back", "top", "bottom")
FROM_ABOVE = Outlook("top", "bottom", "back", "front")


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a view lies on the paper; `origin` is its lower left corner [mm]."""

    plan: BlockPlan
    origin: Point
    scale: float

    def place(self, along: float, across: float) -> Point:
        """A point of the view [m] on the paper [mm]."""
        size = MILLIMETRES * self.scale
        return self.origin[0] + along * size, self.origin[1] + across * size

    def size(self, length: float) -> float:
        """A length of the block [m] on paper [mm]."""
        return length * MILLIMETRES * self.scale

    def holes_in(self, *places: str) -> list[Hole]:
        """The tapped holes in some faces or ends, from left to right."""
        holes = [hole for hole in self.plan.setting_out if hole.thread and hole.place in places]
        return sorted(holes, key=lambda hole: hole.x)

    def breadth(self, outlook: Outlook) -> float:
        """Size of the block across a view [m]."""
        section = self.plan.section
        return section.height if outlook.upper == "top" else section.width


@dataclass(frozen=True, slots=True)
class Wall:
    """One side of a void in a section along the block."""

    edge: tuple[Point, ...]
    """From the bore outwards."""
    corner: tuple[Point, ...] = ()
    """Further points on the way to the outside that are no edges of the void."""


@dataclass(frozen=True, slots=True)
class Cut:
    """What a section along the block shows on one side of the bore."""

    walls: tuple[Wall, ...]
    metal: tuple[tuple[Point, ...], ...]

    @property
    def bore_lines(self) -> Iterator[tuple[Point, Point]]:
        """The bore's own edge, between one void and the next."""
        starts, ends = self.walls[0::2], self.walls[1::2]
        return ((one.edge[0], other.edge[0]) for one, other in zip(starts, ends, strict=True))


def face_holes(plan: BlockPlan) -> list[Hole]:
    """The tapped holes that are not in an end."""
    return [hole for hole in plan.setting_out if hole.thread and hole.place not in ENDS]


def reach_of(hole: Hole) -> float:
    """From the middle of the bore to the face of a hole [m]."""
    return hole.feed_depth if hole.feed else hole.drilled_depth


def profile_of(hole: Hole, radius: float) -> list[Point]:
    """One side of a port's hole, from the bore out: (from the hole's axis, from the bore's)."""
    wide, reach = hole.drill.diameter / 2, reach_of(hole)
    if hole.feed is None:
        return [(wide, sqrt(radius**2 - wide**2)), (wide, reach)]
    narrow, shoulder = hole.feed.diameter / 2, reach - hole.drilled_depth
    return [
        (narrow, sqrt(radius**2 - narrow**2)),
        (narrow, shoulder - (wide - narrow) * POINT_SLOPE),
        (wide, shoulder),
        (wide, reach),
    ]


def crown_profile(hole: Hole, radius: float) -> list[Point]:
    """As `profile_of`, in the plane along the bore, where it ends on the bore's crown."""
    (first, _), *rest = profile_of(hole, radius)
    return [(first, radius), *rest]


def outline_along(frame: Frame, outlook: Outlook) -> list[Point]:
    """The outside along the block, notched where a flat is milled on a round bar."""
    upper, lower = (_edge_along(frame, face, side=side) for face, side in edges_of(frame, outlook))
    return [*upper, *reversed(lower)]


def edges_of(frame: Frame, outlook: Outlook) -> tuple[tuple[str, float], ...]:
    """The faces seen as edges, each with its distance from the middle, signed [m]."""
    middle = frame.breadth(outlook) / 2
    return tuple((face, side * middle) for face, side in outlook.edges)


def cut_along(frame: Frame, outlook: Outlook, *, side: float) -> Cut:
    """The section along the bore, on the upper (1) or lower (-1) side of it."""
    face = outlook.upper if side > 0 else outlook.lower
    middle = frame.breadth(outlook) / 2
    outside = middle + side * middle
    walls = [_end_wall(frame, "left end", middle=middle, side=side)]
    for hole in frame.holes_in(face):
        walls += _port_walls(frame, hole, middle=middle, side=side)
    walls.append(_end_wall(frame, "right end", middle=middle, side=side))
    pieces = zip(walls[0::2], walls[1::2], strict=True)
    return Cut(tuple(walls), tuple(_piece(one, other, outside) for one, other in pieces))


def outline_across(plan: BlockPlan, holes: list[Hole]) -> list[Point]:
    """The outside of the section, cut by the flats of the holes in it."""
    width, height = plan.section.width, plan.section.height
    if plan.section.shape != "round":
        return [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    radius = width / 2
    points = []
    for step in range(FINENESS):
        angle = 2 * pi * step / FINENESS
        reach = min([radius, *_reaches_along(angle, holes)])
        points.append((radius + reach * cos(angle), radius + reach * sin(angle)))
    return points


def void_across(holes: list[Hole], radius: float) -> list[Point]:
    """The bore and the ports that meet it, as one outline about the middle, anticlockwise."""
    doors = {hole.place: asin(profile_of(hole, radius)[0][0] / radius) for hole in holes}
    points: list[Point] = []
    at = doors.get("front", 0.0)
    for hole in sorted(holes, key=lambda hole: _facing(hole.place)):
        facing, half = _facing(hole.place), doors[hole.place]
        points += _arc_points(radius, at, facing - half)
        points += [turn_out(point, hole.place) for point in _around(profile_of(hole, radius))]
        at = facing + half
    return [*points, *_arc_points(radius, at, 2 * pi)]


def turn_out(point: Point, place: str) -> Point:
    """A point of a hole's own profile (aside, outward), in the view of the left end."""
    u, v = point
    angle = _facing(place) - pi / 2
    return u * cos(angle) - v * sin(angle), u * sin(angle) + v * cos(angle)


def _facing(place: str) -> float:
    """Which way a face looks in the view of the left end, anticlockwise from the right [rad].

    The front lies a full turn on, so that a walk round the bore from 0 meets it last.
    """
    return {"top": pi / 2, "back": pi, "bottom": 3 * pi / 2, "front": 2 * pi}[place]


def _around(profile: list[Point]) -> list[Point]:
    """A port's profile anticlockwise: out on the right, back on the left."""
    return [*profile, *((-u, v) for u, v in reversed(profile))]


def _reaches_along(angle: float, holes: list[Hole]) -> Iterator[float]:
    """How far the flats of some holes let a ray from the middle go [m]."""
    for hole in holes:
        lean = cos(angle - _facing(hole.place))
        if lean > NEAR:
            yield reach_of(hole) / lean


def _arc_points(radius: float, start: float, end: float) -> list[Point]:
    if end <= start:
        return []
    count = max(int((end - start) / (2 * pi) * FINENESS), 1)
    angles = (start + (end - start) * step / count for step in range(count + 1))
    return [(radius * cos(angle), radius * sin(angle)) for angle in angles]


def _edge_along(frame: Frame, face: str, *, side: float) -> list[Point]:
    """One edge of the outside from left to right; `side` is its distance from the middle."""
    middle, length = abs(side), frame.plan.length
    points: list[Point] = [(0.0, middle + side)]
    for hole in frame.holes_in(face):
        if not hole.flat:
            continue
        deep = middle + reach_of(hole) * (1 if side > 0 else -1)
        left = max(hole.x - hole.flat / 2, points[-1][0])
        right = min(hole.x + hole.flat / 2, length)
        points += [(left, middle + side), (left, deep), (right, deep), (right, middle + side)]
    return [*points, (length, middle + side)]


def _port_walls(frame: Frame, hole: Hole, *, middle: float, side: float) -> list[Wall]:
    profile = crown_profile(hole, frame.plan.bore / 2)
    walls = []
    for sign in (-1.0, 1.0):
        edge = tuple((hole.x + sign * u, middle + side * v) for u, v in profile)
        stop = min(max(hole.x + sign * hole.flat / 2, 0.0), frame.plan.length)
        walls.append(Wall(edge, ((stop, edge[-1][1]),) if hole.flat else ()))
    return walls


def _end_wall(frame: Frame, end: str, *, middle: float, side: float) -> Wall:
    """The wall of an end's hole, or the blind end of the bore."""
    plan, radius = frame.plan, frame.plan.bore / 2
    zero, inward = (0.0, 1.0) if end == "left end" else (plan.length, -1.0)
    stop = plan.bore_start if end == "left end" else plan.bore_end
    hole = next(iter(frame.holes_in(end)), None)
    if hole is None:
        points = [(stop, radius), (stop - inward * radius * POINT_SLOPE, 0.0)]
        corner = [(zero, 0.0), (zero, middle)]
    else:
        points = _end_profile(hole, radius, zero=zero, inward=inward, stop=stop)
        corner = [(zero, middle)]
    return Wall(
        tuple((x, middle + side * v) for x, v in points),
        tuple((x, middle + side * v) for x, v in corner),
    )


def _end_profile(
    hole: Hole, radius: float, *, zero: float, inward: float, stop: float
) -> list[Point]:
    wide = hole.drill.diameter / 2
    if wide < radius - NEAR:
        return [(stop, radius), (stop - inward * (radius - wide) * POINT_SLOPE, wide), (zero, wide)]
    deep = zero + inward * hole.drilled_depth
    return [(deep + inward * (wide - radius) * POINT_SLOPE, radius), (deep, wide), (zero, wide)]


def _piece(left: Wall, right: Wall, outside: float) -> tuple[Point, ...]:
    """The metal between one void and the next, up to the outside."""
    start = [*left.edge, *left.corner]
    stop = [*right.edge, *right.corner]
    top = [(start[-1][0], outside), (stop[-1][0], outside)]
    is_clear = stop[-1][0] - start[-1][0] > NEAR
    return (*start, *(top if is_clear else []), *reversed(stop))
