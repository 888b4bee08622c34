"""The shape of a distribution block in its views: outside, voids, and the metal between them.

All points are metres in the view: along the block and across it, or, in a section across, from
back to front and upwards.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import asin, cos, pi, sin, sqrt

from service.documents.drawing.sheet import Pen, Point, Sheet
from service.engineering.block import ENDS, POINT_SLOPE, BlockPlan, Hole

MILLIMETRES = 1e3
NEAR = 1e-6  # lengths closer than this are one [m]
FINENESS = 144  # points to a full circle where one is drawn as a row of points


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
    """A view on its sheet; `origin` is its lower left corner [mm]."""

    sheet: Sheet
    plan: BlockPlan
    origin: Point
    outlook: Outlook = FROM_THE_FRONT  # of views along the block

    @property
    def middle(self) -> float:
        """From an edge of the view along the block to the axis of the bore [m]."""
        section = self.plan.section
        return (section.height if self.outlook.upper == "top" else section.width) / 2

    @property
    def half(self) -> Point:
        """The axis of the bore in a view of the end [m]."""
        return self.plan.section.width / 2, self.plan.section.height / 2

    def place(self, along: float, across: float) -> Point:
        """A point of the view [m] on the paper [mm]."""
        size = MILLIMETRES * self.sheet.scale
        return self.origin[0] + along * size, self.origin[1] + across * size

    def place_all(self, points: Iterable[Point]) -> list[Point]:
        """Points of the view [m] on the paper [mm]."""
        return [self.place(*point) for point in points]

    def size(self, length: float) -> float:
        """A length of the block [m] on paper [mm]."""
        return length * MILLIMETRES * self.sheet.scale

    def line(self, pen: Pen, *points: Point) -> None:
        """A line through points of the view [m]."""
        self.sheet.line(pen, *self.place_all(points))

    def circle(self, pen: Pen, centre: Point, diameter: float) -> None:
        """A circle of a diameter [m] about a place on the paper."""
        self.sheet.arc(pen, centre, self.size(diameter / 2))

    def holes_in(self, *places: str) -> list[Hole]:
        """The tapped holes in some faces or ends, from left to right."""
        holes = [hole for hole in self.plan.setting_out if hole.thread and hole.place in places]
        return sorted(holes, key=lambda hole: hole.x)


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


def outline_along(frame: Frame) -> list[Point]:
    """The outside along the block, notched where a flat is milled on a round bar."""
    edges = frame.outlook.edges
    upper, lower = (_edge_along(frame, face, side=side * frame.middle) for face, side in edges)
    return [*upper, *reversed(lower)]


def void_along(frame: Frame) -> list[Point]:
    """The bore, the ports and the ends that the section along it lays open, as one outline."""
    upper, lower = (
        [(x, frame.middle + side * v) for x, v in _walls_along(frame, face)]
        for face, side in frame.outlook.edges
    )
    return [*upper, *reversed(lower)]


def _walls_along(frame: Frame, face: str) -> list[Point]:
    """The walls on one side of the bore from left to right: along, and from the middle."""
    radius = frame.plan.bore / 2
    walls = _end_wall(frame.plan, frame.holes_in("left end"), zero=0.0, stop=frame.plan.bore_start)
    for hole in frame.holes_in(face):
        profile = crown_profile(hole, radius)
        walls += [(hole.x - u, v) for u, v in profile]
        walls += [(hole.x + u, v) for u, v in reversed(profile)]
    length, stop = frame.plan.length, frame.plan.bore_end
    right = _end_wall(frame.plan, frame.holes_in("right end"), zero=length, stop=stop)
    return [*walls, *reversed(right)]


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
        right = profile_of(hole, radius)
        around = [*right, *((-u, v) for u, v in reversed(right))]
        points += [turn_out(point, hole.place) for point in around]
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


def _end_wall(plan: BlockPlan, holes: list[Hole], *, zero: float, stop: float) -> list[Point]:
    """The wall of an end's hole from outside in, or the blind end of the bore."""
    radius, inward = plan.bore / 2, -1.0 if zero else 1.0
    if not holes:
        return [(stop - inward * radius * POINT_SLOPE, 0.0), (stop, radius)]
    hole, wide = holes[0], holes[0].drill.diameter / 2
    if wide < radius - NEAR:
        point = stop - inward * (radius - wide) * POINT_SLOPE
        return [(zero, wide), (point, wide), (stop, radius)]
    deep = zero + inward * hole.drilled_depth
    return [(zero, wide), (deep, wide), (deep + inward * (wide - radius) * POINT_SLOPE, radius)]
