"""The setting-out table: where every hole lies from the one datum corner, and how deep it goes.

The datum is the corner of the left end, the front face and the bottom: x runs along the block, y
from front to back, z upwards. A round bar is set out from the planes that touch it there.
"""

from dataclasses import dataclass
from math import acos, floor, pi, sqrt
from string import ascii_uppercase
from typing import Annotated

from service.engineering.block.layout import ROUNDING
from service.engineering.block.request import ENDS, FACES, PLUG, BlockRequest, Place, Port
from service.engineering.block.sizing import Fit
from service.engineering.block.stock import Section
from service.engineering.block.ways import POINT_SLOPE, Tapping, Way
from service.engineering.threads.catalogue import Drill, Thread

DEPTH_STEP = 0.0001  # step in which depths of thread are given [m]; common practice


@dataclass(frozen=True, slots=True)
class Hole:
    """One row of the table; lengths in metres, angles in radians."""

    letter: str
    purpose: str  # inlet, outlet, end port, plug or bore
    name: str  # what is screwed in; blank for none
    place: Place
    x: Annotated[float, "m"]
    y: Annotated[float, "m"]
    z: Annotated[float, "m"]  # where the axis leaves its face, from the datum corner
    thread: Thread | None  # None for the bore
    drill: Drill  # tapping drill; of the bore its own
    drilled_depth: Annotated[float, "m"]
    """Of the tapping drill at full diameter, from the face (of a round bar from its flat)."""
    full_thread: Annotated[float, "m"] = 0.0
    """To cut, and the longest male that goes in; 0 for the bore."""
    feed: Drill | None = None
    """The narrower drill down to the bore; None where the tapping drill runs right in."""
    feed_depth: Annotated[float, "m"] = 0.0
    """Of that drill, from the face to the middle of the bore; 0 where there is none."""
    breakthrough: Annotated[float, "rad"] | None = None
    """Angle at which the hole meets the wall of the bore; None in an end."""
    flat: Annotated[float, "m"] = 0.0  # width of the flat to mill on a round bar first; 0 for none
    pointing: Annotated[float, "rad"] | None = None
    """Where the fitting is to point, clockwise from the right end, seen from outside."""

    @property
    def turns(self) -> float:
        return self.full_thread / self.thread.pitch if self.thread else 0.0

    @property
    def radius(self) -> float:
        """Half of what the hole takes of the metal: the thread's major, or the bore [m]."""
        return (self.thread.major_diameter if self.thread else self.drill.diameter) / 2


@dataclass(frozen=True, slots=True)
class Wall:
    """Metal left between two things [m]."""

    between: str
    thickness: Annotated[float, "m"]


def set_out(fit: Fit, request: BlockRequest, tappings: tuple[Tapping, ...]) -> tuple[Hole, ...]:
    """The setting-out table of a block."""
    layout, ways = fit.boring.layout, fit.boring.ways
    ports = [
        _make_hole(fit, request, letter, tapping=tapping, way=way, x=x)
        for letter, tapping, way, x in zip(
            ascii_uppercase, tappings, ways, layout.stations, strict=False
        )
    ]
    return (*ports, _make_bore(fit, ascii_uppercase[len(ports)]))


def list_walls(fit: Fit, holes: tuple[Hole, ...]) -> tuple[Wall, ...]:
    """Every wall that the ports and the bore leave."""
    crossing = [hole for hole in holes if hole.place in FACES]
    walls = [
        *_walls_of_bore(fit, holes),
        *(wall for hole in crossing for wall in _walls_of_port(fit, hole, holes)),
        *_walls_between(crossing),
        *_walls_of_ends(fit, holes),
    ]
    return tuple(sorted(walls, key=lambda wall: wall.thickness))


def weigh_block(fit: Fit, holes: tuple[Hole, ...], *, density: float) -> float:
    """Mass of the finished block, empty."""
    section, layout, bore = fit.section, fit.boring.layout, fit.boring.bore
    volume = section.area * layout.length
    volume -= pi / 4 * bore**2 * (layout.bore_end - layout.bore_start)
    volume -= sum(_drilled_volume(fit, hole) for hole in holes if hole.thread)
    volume -= sum(_flat_volume(section, hole) for hole in holes if hole.flat)
    return volume * density


def _make_hole(
    fit: Fit, request: BlockRequest, letter: str, *, tapping: Tapping, way: Way, x: float
) -> Hole:
    port = tapping.port
    place: Place = port.place or "top"
    in_end = place in ENDS
    across = tapping.across(request.least_wall)
    reach = fit.section.reach(place, across)
    full = tapping.depth if in_end else _full_thread(tapping, way.room(reach))
    is_stepped = way.is_stepped and not in_end
    drilled = full + tapping.lead if is_stepped or in_end else reach
    y, z = _leave_face(fit.section, place, reach)
    return Hole(
        letter=letter,
        purpose=_purpose(port, request),
        name=port.name,
        place=place,
        x=x,
        y=y,
        z=z,
        thread=port.thread,
        drill=tapping.drill,
        drilled_depth=drilled,
        full_thread=full,
        feed=way.feed if is_stepped else None,
        feed_depth=reach if is_stepped else 0.0,
        breakthrough=None if in_end else way.breakthrough,
        flat=across if fit.section.shape == "round" and not in_end else 0.0,
        pointing=port.pointing,
    )


def _full_thread(tapping: Tapping, room: float) -> float:
    """What there is room for up to one diameter, in whole steps of the depth stop [m]."""
    steps = floor((min(tapping.depth, room) + ROUNDING) / DEPTH_STEP) * DEPTH_STEP
    return max(steps, tapping.engagement)


def _purpose(port: Port, request: BlockRequest) -> str:
    if port is request.inlet:
        return "inlet"
    if port.place not in ENDS:
        return "outlet"
    return "plug" if port.name == PLUG else "end port"


def _make_bore(fit: Fit, letter: str) -> Hole:
    boring, section = fit.boring, fit.section
    layout = boring.layout
    from_left = layout.bored_from == "left end"
    return Hole(
        letter=letter,
        purpose="bore",
        name="",
        place=layout.bored_from,
        x=0.0 if from_left else layout.length,
        y=section.width / 2,
        z=section.height / 2,
        thread=None,
        drill=boring.drill,
        drilled_depth=layout.bore_end if from_left else layout.length - layout.bore_start,
    )


def _leave_face(section: Section, place: Place, reach: float) -> tuple[float, float]:
    y, z = section.width / 2, section.height / 2
    return {
        "top": (y, z + reach),
        "bottom": (y, z - reach),
        "front": (y - reach, z),
        "back": (y + reach, z),
    }.get(place, (y, z))


def _reaches(fit: Fit, holes: tuple[Hole, ...]) -> dict[str, float]:
    """From the middle to each face, or to the deepest flat there [m]."""
    section = fit.section
    return {
        face: min(
            [section.reach(face, 0.0)]
            + [section.reach(face, hole.flat) for hole in holes if hole.place == face]
        )
        for face in FACES
    }


def _walls_of_bore(fit: Fit, holes: tuple[Hole, ...]) -> list[Wall]:
    letter, radius = holes[-1].letter, fit.boring.bore / 2
    walls = [
        Wall(f"bore {letter} and the {face}", reach - radius)
        for face, reach in _reaches(fit, holes).items()
    ]
    layout, point = fit.boring.layout, radius * POINT_SLOPE
    in_ends = {hole.place for hole in holes if hole.thread}
    if "left end" not in in_ends:
        walls.append(Wall(f"bore {letter} and the left end", layout.bore_start - point))
    if "right end" not in in_ends:
        left = layout.length - layout.bore_end - point
        walls.append(Wall(f"bore {letter} and the right end", left))
    return walls


def _walls_of_port(fit: Fit, hole: Hole, holes: tuple[Hole, ...]) -> list[Wall]:
    breadth = hole.flat or fit.section.breadth(hole.place)
    length = fit.boring.layout.length
    depths = {each.place: each.drilled_depth for each in holes if each.thread}
    threads = {each.place: each.letter for each in holes if each.thread}
    walls = [Wall(f"{hole.letter} and the sides of its face", breadth / 2 - hole.radius)]
    for end, distance in (("left end", hole.x), ("right end", length - hole.x)):
        if end in depths:
            gap = distance - hole.radius - depths[end]
            walls.append(Wall(f"{hole.letter} and the bottom of {threads[end]}", gap))
        else:
            walls.append(Wall(f"{hole.letter} and the {end}", distance - hole.radius))
    return walls


def _walls_between(crossing: list[Hole]) -> list[Wall]:
    opposite = ({"top", "bottom"}, {"front", "back"})
    return [
        Wall(f"{one.letter} and {other.letter}", abs(one.x - other.x) - one.radius - other.radius)
        for place, one in enumerate(crossing)
        for other in crossing[place + 1 :]
        if {one.place, other.place} not in opposite
    ]


def _walls_of_ends(fit: Fit, holes: tuple[Hole, ...]) -> list[Wall]:
    reach = min(_reaches(fit, holes).values())
    return [
        Wall(f"{hole.letter} and the faces", reach - hole.radius)
        for hole in holes
        if hole.thread and hole.place in ENDS
    ]


def _drilled_volume(fit: Fit, hole: Hole) -> float:
    """Metal that a port's holes take beyond the bore [m3]."""
    bore = fit.boring.bore
    wide, deep = hole.drill.diameter, hole.drilled_depth
    if hole.place in ENDS:
        return pi / 4 * max(wide**2 - bore**2, 0.0) * deep
    if hole.feed is None:
        return pi / 4 * wide**2 * (deep - bore / 2)
    narrow = hole.feed.diameter
    return pi / 4 * (wide**2 * deep + narrow**2 * (hole.feed_depth - bore / 2 - deep))


def _flat_volume(section: Section, hole: Hole) -> float:
    """Metal milled off a round bar for one square flat [m3]."""
    radius, half = section.width / 2, hole.flat / 2
    down = sqrt(radius**2 - half**2)
    return (radius**2 * acos(down / radius) - half * down) * hole.flat
