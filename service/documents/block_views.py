"""The views of a distribution block: outside, end, and the two sections, drawn on a sheet."""

from collections.abc import Callable, Sequence
from math import cos, sin, sqrt

from service.documents.block_outline import (
    NEAR,
    Frame,
    crown_profile,
    face_holes,
    outline_across,
    outline_along,
    profile_of,
    reach_of,
    turn_out,
    void_across,
    void_along,
)
from service.documents.drawing.sheet import Pen, Point, Sheet
from service.engineering.block import ENDS, Hole

LABEL = 3.5  # height of the letters of holes and sections [mm]
ROW_DROP = 17.0  # from the edge of a view to its running dimensions [mm]
LETTER_STEP = 3.6  # least distance between two figures of running dimensions [mm]
CURVE = 24  # points of the curve in which a cross hole meets the bore

At = Callable[[float, float], Point]
"""From a hole's axis and from the middle of the bore [m] to a place on the paper."""


def draw_outside(frame: Frame) -> None:
    """The outside along the block, with what is hidden dashed."""
    plan = frame.plan
    frame.sheet.loop(Pen.OUTLINE, frame.place_all(outline_along(frame)))
    _draw_axis(frame)
    for across in (frame.middle - plan.bore / 2, frame.middle + plan.bore / 2):
        frame.line(Pen.HIDDEN, (plan.bore_start, across), (plan.bore_end, across))
    for hole in frame.holes_in(*ENDS):
        _draw_end_hole(frame, hole, pens=(Pen.HIDDEN, Pen.HIDDEN))
    for face, side in frame.outlook.edges:
        for hole in frame.holes_in(face):
            at = _along(frame, hole, side)
            _draw_hidden_port(frame, hole, at)
            _label_edge(frame, hole, side)
    for hole in frame.holes_in(frame.outlook.away):
        centre = frame.place(hole.x, frame.middle)
        frame.circle(Pen.HIDDEN, centre, hole.drill.diameter)
        frame.sheet.cross(centre, frame.size(hole.radius))
        _label_beside(frame, hole, centre, side=-1.0)
    for hole in frame.holes_in(frame.outlook.towards):
        _draw_flat(frame, hole)
        _draw_mouth(frame, hole, frame.place(hole.x, frame.middle))


def draw_left_end(frame: Frame) -> None:
    """The left end as seen from the left: the front face on the right."""
    plan, half = frame.plan, frame.half
    centre = frame.place(*half)
    frame.sheet.loop(Pen.OUTLINE, frame.place_all(outline_across(plan, [])))
    for hole in face_holes(plan):
        if hole.flat:
            at, level = _across(frame, hole), reach_of(hole)
            frame.sheet.line(Pen.HIDDEN, at(-hole.flat / 2, level), at(hole.flat / 2, level))
    ports = frame.holes_in("left end")
    frame.circle(Pen.OUTLINE if ports else Pen.HIDDEN, centre, plan.bore)
    frame.sheet.cross(centre, frame.size(max(half)))
    for hole in ports:
        _draw_mouth(frame, hole, centre)


def draw_long_section(frame: Frame) -> None:
    """Cut along the middle, the half towards the viewer taken away."""
    outside, void = outline_along(frame), void_along(frame)
    _draw_cut(frame.sheet, frame.place_all(outside), frame.place_all(void))
    for face, side in frame.outlook.edges:
        for hole in frame.holes_in(face):
            at = _along(frame, hole, side)
            _draw_cut_thread(frame, hole, at)
            _draw_meeting(frame, hole, at)
            _draw_port_axis(frame, hole, at)
            _label_edge(frame, hole, side)
    for hole in frame.holes_in(*ENDS):
        _draw_end_hole(frame, hole, pens=(Pen.OUTLINE, Pen.THIN))
        _label_end(frame, hole)
    for hole in frame.holes_in(frame.outlook.away):
        way = hole.feed or hole.drill
        frame.circle(Pen.OUTLINE, frame.place(hole.x, frame.middle), way.diameter)
    _draw_axis(frame)


def draw_cross_section(frame: Frame, station: float) -> None:
    """Cut across at a port, seen from the left end."""
    plan = frame.plan
    holes = [hole for hole in face_holes(plan) if abs(hole.x - station) < NEAR]
    x, y = frame.half
    void = frame.place_all((x + u, y + v) for u, v in void_across(holes, plan.bore / 2))
    _draw_cut(frame.sheet, frame.place_all(outline_across(plan, holes)), void)
    for hole in holes:
        _draw_cut_thread(frame, hole, _across(frame, hole))
    frame.sheet.cross(frame.place(x, y), frame.size(max(x, y)))


def dimension_stations(frame: Frame, holes: Sequence[Hole]) -> None:
    """Running dimensions from the left end, below a view."""
    length = frame.plan.length
    stations = sorted({round(hole.x, 7) for hole in holes} | {round(length, 7)})
    (start, bottom), (end, _) = frame.place(0.0, 0.0), frame.place(length, 0.0)
    row = frame.origin[1] - ROW_DROP
    frame.sheet.line(Pen.DIMENSION, (start, bottom - 0.8), (start, row - 1.8))
    frame.sheet.line(Pen.DIMENSION, (start, row), (end, row))
    frame.sheet.arc(Pen.DIMENSION, (start, row), 0.9)
    frame.sheet.letter("0", (start + 0.9, row - 2.6), anchor="end", turn=90.0)
    taken = start
    for station in stations:
        x, _ = frame.place(station, 0.0)
        taken = max(x, taken + LETTER_STEP)
        frame.sheet.line(Pen.DIMENSION, (x, bottom - 0.8), (x, row), (taken, row - 1.8))
        frame.sheet.fill((x, row), (x - 2.5, row + 0.42), (x - 2.5, row - 0.42))
        figure = (taken + 0.9, row - 2.6)
        frame.sheet.letter(frame.sheet.show_size(station), figure, anchor="end", turn=90.0)


def _along(frame: Frame, hole: Hole, side: float) -> At:
    """Where places of a hole lie in a view along the block."""
    return lambda u, v: frame.place(hole.x + u, frame.middle + side * v)


def _across(frame: Frame, hole: Hole) -> At:
    """Where places of a hole lie in the view of the left end."""

    def at(u: float, v: float) -> Point:
        x, y = turn_out((u, v), hole.place)
        return frame.place(frame.half[0] + x, frame.half[1] + y)

    return at


def _draw_cut(sheet: Sheet, outside: Sequence[Point], void: Sequence[Point]) -> None:
    sheet.hatch(outside, void)
    sheet.loop(Pen.OUTLINE, outside)
    sheet.loop(Pen.OUTLINE, void)


def _draw_cut_thread(frame: Frame, hole: Hole, at: At) -> None:
    """The thread of a cut port, and the rims of the hole behind the cut."""
    _draw_thread(frame.sheet, hole, at, reach=reach_of(hole), pens=(Pen.OUTLINE, Pen.THIN))
    for u, v in profile_of(hole, frame.plan.bore / 2)[1:-1]:
        frame.sheet.line(Pen.OUTLINE, at(-u, v), at(u, v))


def _draw_thread(sheet: Sheet, hole: Hole, at: At, *, reach: float, pens: tuple[Pen, Pen]) -> None:
    """A thread from the side: where it ends in the first pen, its major diameter in the second."""
    end = reach - hole.full_thread
    for sign in (1.0, -1.0):
        inner, outer = sign * hole.drill.diameter / 2, sign * hole.radius
        sheet.line(pens[1], at(outer, reach), at(outer, end))
        sheet.line(pens[0], at(inner, end), at(outer, end))


def _draw_meeting(frame: Frame, hole: Hole, at: At) -> None:
    """The curve in which a cross hole meets the bore, behind the cut."""
    radius, narrow = frame.plan.bore / 2, (hole.feed or hole.drill).diameter / 2
    steps = ((2 * step / CURVE - 1) * narrow for step in range(CURVE + 1))
    frame.sheet.line(Pen.THIN, *(at(u, sqrt(radius**2 - narrow**2 + u**2)) for u in steps))


def _draw_hidden_port(frame: Frame, hole: Hole, at: At) -> None:
    profile = crown_profile(hole, frame.plan.bore / 2)
    for sign in (1.0, -1.0):
        frame.sheet.line(Pen.HIDDEN, *(at(sign * u, v) for u, v in profile))
    if hole.feed:
        wide, shoulder = profile[2]
        frame.sheet.line(Pen.HIDDEN, at(-wide, shoulder), at(wide, shoulder))
    _draw_port_axis(frame, hole, at)


def _draw_mouth(frame: Frame, hole: Hole, centre: Point) -> None:
    """A tapped hole seen along its axis: three quarters of a thin circle mark the thread."""
    frame.circle(Pen.OUTLINE, centre, hole.drill.diameter)
    frame.sheet.arc(Pen.THIN, centre, frame.size(hole.radius), start=100.0, end=370.0)
    if hole.feed:
        frame.circle(Pen.OUTLINE, centre, hole.feed.diameter)
    frame.sheet.cross(centre, frame.size(hole.radius))
    if hole.pointing is not None:
        _draw_pointer(frame.sheet, centre, frame.size(hole.radius), angle=-hole.pointing)
    _label_beside(frame, hole, centre)


def _draw_pointer(sheet: Sheet, centre: Point, radius: float, *, angle: float) -> None:

    def at(distance: float, aside: float = 0.0) -> Point:
        return (
            centre[0] + cos(angle) * distance - sin(angle) * aside,
            centre[1] + sin(angle) * distance + cos(angle) * aside,
        )

    sheet.line(Pen.OUTLINE, at(radius + 0.8), at(radius + 5.5))
    sheet.fill(at(radius + 7.5), at(radius + 4.5, 1.0), at(radius + 4.5, -1.0))


def _draw_end_hole(frame: Frame, hole: Hole, pens: tuple[Pen, Pen]) -> None:
    """An end's tapping hole and thread, in the pens given for the hole and for the thread."""
    zero, inward = (0.0, 1.0) if hole.place == "left end" else (frame.plan.length, -1.0)
    minor, deep = hole.drill.diameter / 2, hole.drilled_depth

    def at(u: float, v: float) -> Point:
        return frame.place(zero + inward * (deep - v), frame.middle + u)

    _draw_thread(frame.sheet, hole, at, reach=deep, pens=pens)
    for sign in (1.0, -1.0):
        frame.sheet.line(pens[0], at(sign * minor, deep), at(sign * minor, 0.0))
    if hole.drill.diameter > frame.plan.bore + NEAR:
        frame.sheet.line(pens[0], at(-minor, 0.0), at(minor, 0.0))


def _draw_flat(frame: Frame, hole: Hole) -> None:
    """The square flat of a round bar, seen from above it."""
    if not hole.flat:
        return
    left, right = max(hole.x - hole.flat / 2, 0.0), min(hole.x + hole.flat / 2, frame.plan.length)
    corner = frame.place(left, frame.middle - hole.flat / 2)
    frame.sheet.box(Pen.OUTLINE, corner, (frame.size(right - left), frame.size(hole.flat)))


def _draw_axis(frame: Frame) -> None:
    ends = ((along, frame.middle) for along in (0.0, frame.plan.length))
    (left, y), (right, _) = frame.place_all(ends)
    frame.sheet.line(Pen.CENTRE, (left - 3.0, y), (right + 3.0, y))


def _draw_port_axis(frame: Frame, hole: Hole, at: At) -> None:
    over = 2.0 / frame.size(1.0)
    frame.sheet.line(Pen.CENTRE, at(0.0, reach_of(hole) + over), at(0.0, -over))


def _label_edge(frame: Frame, hole: Hole, side: float) -> None:
    x, y = frame.place(hole.x, frame.middle + side * frame.middle)
    rise = 3.0 if side > 0 else -3.0 - LABEL
    frame.sheet.label(hole.letter, (x, y + rise), anchor="middle")


def _label_beside(frame: Frame, hole: Hole, centre: Point, side: float = 1.0) -> None:
    """The letter of a hole seen face on: right above it, or right below where it is hidden."""
    out = frame.size(hole.radius) * sqrt(0.5) + 0.8
    drop = 0.0 if side > 0 else LABEL
    frame.sheet.label(hole.letter, (centre[0] + out, centre[1] + side * out - drop))


def _label_end(frame: Frame, hole: Hole) -> None:
    is_left = hole.place == "left end"
    x, y = frame.place(0.0 if is_left else frame.plan.length, frame.middle)
    at = (x - 4.5 if is_left else x + 4.5, y - LABEL / 2)
    frame.sheet.label(hole.letter, at, anchor="end" if is_left else "start")
