"""The views of a distribution block: outside, end, and the two sections, drawn on a sheet."""

from collections.abc import Callable, Sequence
from math import cos, sin, sqrt

from service.documents.block_outline import (
    NEAR,
    Frame,
    Outlook,
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
from service.documents.drawing import Pen, Point, Sheet
from service.engineering.block import ENDS, Hole

LABEL = 3.5  # height of the letters of holes and sections [mm]
ROW_DROP = 17.0  # from the edge of a view to its running dimensions [mm]
LETTER_STEP = 3.6  # least distance between two figures of running dimensions [mm]
CURVE = 24  # points of the curve in which a cross hole meets the bore

At = Callable[[float, float], Point]
"""From a hole's axis and from the middle of the bore [m] to a place on the paper."""


def draw_outside(sheet: Sheet, frame: Frame, outlook: Outlook) -> None:
    """The outside along the block, with what is hidden dashed."""
    plan, middle = frame.plan, frame.breadth(outlook) / 2
    sheet.loop(Pen.OUTLINE, [frame.place(*point) for point in outline_along(frame, outlook)])
    _draw_axis(sheet, frame, middle)
    for across in (middle - plan.bore / 2, middle + plan.bore / 2):
        sheet.line(
            Pen.HIDDEN, frame.place(plan.bore_start, across), frame.place(plan.bore_end, across)
        )
    for hole in frame.holes_in(*ENDS):
        _draw_end_hole(sheet, frame, hole, middle=middle, pens=(Pen.HIDDEN, Pen.HIDDEN))
    for face, side in outlook.edges:
        for hole in frame.holes_in(face):
            at = _along(frame, hole, middle=middle, side=side)
            _draw_hidden_port(sheet, frame, hole, at)
            _label_edge(sheet, frame, hole, middle=middle, side=side)
    for hole in frame.holes_in(outlook.away):
        _draw_hidden_mouth(sheet, frame, hole, middle)
        _label_beside(sheet, frame, hole, across=middle, side=-1.0)
    for hole in frame.holes_in(outlook.towards):
        _draw_flat(sheet, frame, hole, middle)
        _draw_mouth(sheet, frame, hole, centre=frame.place(hole.x, middle))
        _label_beside(sheet, frame, hole, across=middle, side=1.0)


def draw_left_end(sheet: Sheet, frame: Frame) -> None:
    """The left end as seen from the left: the front face on the right."""
    plan = frame.plan
    half = plan.section.width / 2, plan.section.height / 2
    centre = frame.place(*half)
    sheet.loop(Pen.OUTLINE, [frame.place(*point) for point in outline_across(plan, [])])
    for hole in face_holes(plan):
        if hole.flat:
            at, level = _across(frame, hole), reach_of(hole)
            sheet.line(Pen.HIDDEN, at(-hole.flat / 2, level), at(hole.flat / 2, level))
    ports = frame.holes_in("left end")
    sheet.arc(Pen.OUTLINE if ports else Pen.HIDDEN, centre, frame.size(plan.bore / 2))
    sheet.cross(centre, frame.size(max(half)))
    for hole in ports:
        _draw_mouth(sheet, frame, hole, centre=centre)
        _label_beside(sheet, frame, hole, across=half[1], along=half[0], side=1.0)


def draw_long_section(sheet: Sheet, frame: Frame, outlook: Outlook) -> None:
    """Cut along the middle, the half towards the viewer taken away."""
    middle = frame.breadth(outlook) / 2
    outside = [frame.place(*point) for point in outline_along(frame, outlook)]
    _draw_cut(sheet, outside, [frame.place(*point) for point in void_along(frame, outlook)])
    for face, side in outlook.edges:
        for hole in frame.holes_in(face):
            at = _along(frame, hole, middle=middle, side=side)
            _draw_cut_thread(sheet, frame, hole, at)
            _draw_meeting(sheet, frame, hole, at)
            _draw_port_axis(sheet, frame, hole, at)
            _label_edge(sheet, frame, hole, middle=middle, side=side)
    for hole in frame.holes_in(*ENDS):
        _draw_end_hole(sheet, frame, hole, middle=middle, pens=(Pen.OUTLINE, Pen.THIN))
        _label_end(sheet, frame, hole, middle)
    for hole in frame.holes_in(outlook.away):
        way = hole.feed or hole.drill
        sheet.arc(Pen.OUTLINE, frame.place(hole.x, middle), frame.size(way.diameter / 2))
    _draw_axis(sheet, frame, middle)


def draw_cross_section(sheet: Sheet, frame: Frame, station: float) -> None:
    """Cut across at a port, seen from the left end."""
    plan = frame.plan
    holes = [hole for hole in face_holes(plan) if abs(hole.x - station) < NEAR]
    half = plan.section.width / 2, plan.section.height / 2
    void = [frame.place(half[0] + u, half[1] + v) for u, v in void_across(holes, plan.bore / 2)]
    outside = [frame.place(*point) for point in outline_across(plan, holes)]
    _draw_cut(sheet, outside, void)
    for hole in holes:
        _draw_cut_thread(sheet, frame, hole, _across(frame, hole))
    sheet.cross(frame.place(*half), frame.size(max(half)))


def dimension_stations(sheet: Sheet, frame: Frame, holes: Sequence[Hole]) -> None:
    """Running dimensions from the left end, below a view."""
    length = frame.plan.length
    stations = sorted({round(hole.x, 7) for hole in holes} | {round(length, 7)})
    (start, bottom), (end, _) = frame.place(0.0, 0.0), frame.place(length, 0.0)
    row = frame.origin[1] - ROW_DROP
    sheet.line(Pen.DIMENSION, (start, bottom - 0.8), (start, row - 1.8))
    sheet.line(Pen.DIMENSION, (start, row), (end, row))
    sheet.arc(Pen.DIMENSION, (start, row), 0.9)
    sheet.letter("0", (start + 0.9, row - 2.6), anchor="end", turn=90.0)
    taken = start
    for station in stations:
        x, _ = frame.place(station, 0.0)
        taken = max(x, taken + LETTER_STEP)
        sheet.line(Pen.DIMENSION, (x, bottom - 0.8), (x, row), (taken, row - 1.8))
        sheet.fill((x, row), (x - 2.5, row + 0.42), (x - 2.5, row - 0.42))
        figure = (taken + 0.9, row - 2.6)
        sheet.letter(sheet.show_size(station), figure, anchor="end", turn=90.0)


def _along(frame: Frame, hole: Hole, *, middle: float, side: float) -> At:
    """Where places of a hole lie in a view along the block."""
    return lambda u, v: frame.place(hole.x + u, middle + side * v)


def _across(frame: Frame, hole: Hole) -> At:
    """Where places of a hole lie in the view of the left end."""
    section = frame.plan.section

    def at(u: float, v: float) -> Point:
        x, y = turn_out((u, v), hole.place)
        return frame.place(section.width / 2 + x, section.height / 2 + y)

    return at


def _draw_cut(sheet: Sheet, outside: Sequence[Point], void: Sequence[Point]) -> None:
    sheet.hatch(outside, void)
    sheet.loop(Pen.OUTLINE, outside)
    sheet.loop(Pen.OUTLINE, void)


def _draw_cut_thread(sheet: Sheet, frame: Frame, hole: Hole, at: At) -> None:
    """The thread of a cut port, and the rims of the hole behind the cut."""
    _draw_thread(sheet, hole, at, reach=reach_of(hole), pens=(Pen.OUTLINE, Pen.THIN))
    for u, v in profile_of(hole, frame.plan.bore / 2)[1:-1]:
        sheet.line(Pen.OUTLINE, at(-u, v), at(u, v))


def _draw_thread(sheet: Sheet, hole: Hole, at: At, *, reach: float, pens: tuple[Pen, Pen]) -> None:
    """A thread from the side: where it ends in the first pen, its major diameter in the second."""
    end = reach - hole.full_thread
    for sign in (1.0, -1.0):
        inner, outer = sign * hole.drill.diameter / 2, sign * hole.radius
        sheet.line(pens[1], at(outer, reach), at(outer, end))
        sheet.line(pens[0], at(inner, end), at(outer, end))


def _draw_meeting(sheet: Sheet, frame: Frame, hole: Hole, at: At) -> None:
    """The curve in which a cross hole meets the bore, behind the cut."""
    radius, narrow = frame.plan.bore / 2, (hole.feed or hole.drill).diameter / 2
    steps = ((2 * step / CURVE - 1) * narrow for step in range(CURVE + 1))
    sheet.line(Pen.THIN, *(at(u, sqrt(radius**2 - narrow**2 + u**2)) for u in steps))


def _draw_hidden_port(sheet: Sheet, frame: Frame, hole: Hole, at: At) -> None:
    profile = crown_profile(hole, frame.plan.bore / 2)
    for sign in (1.0, -1.0):
        sheet.line(Pen.HIDDEN, *(at(sign * u, v) for u, v in profile))
    if hole.feed:
        wide, shoulder = profile[2]
        sheet.line(Pen.HIDDEN, at(-wide, shoulder), at(wide, shoulder))
    _draw_port_axis(sheet, frame, hole, at)


def _draw_hidden_mouth(sheet: Sheet, frame: Frame, hole: Hole, middle: float) -> None:
    centre = frame.place(hole.x, middle)
    sheet.arc(Pen.HIDDEN, centre, frame.size(hole.drill.diameter / 2))
    sheet.cross(centre, frame.size(hole.radius))


def _draw_mouth(sheet: Sheet, frame: Frame, hole: Hole, *, centre: Point) -> None:
    """A tapped hole seen along its axis: three quarters of a thin circle mark the thread."""
    sheet.arc(Pen.OUTLINE, centre, frame.size(hole.drill.diameter / 2))
    sheet.arc(Pen.THIN, centre, frame.size(hole.radius), start=100.0, end=370.0)
    if hole.feed:
        sheet.arc(Pen.OUTLINE, centre, frame.size(hole.feed.diameter / 2))
    sheet.cross(centre, frame.size(hole.radius))
    if hole.pointing is not None:
        _draw_pointer(sheet, centre, frame.size(hole.radius), angle=-hole.pointing)


def _draw_pointer(sheet: Sheet, centre: Point, radius: float, *, angle: float) -> None:
    """An arrow where the fitting is to point."""

    def at(distance: float, aside: float = 0.0) -> Point:
        return (
            centre[0] + cos(angle) * distance - sin(angle) * aside,
            centre[1] + sin(angle) * distance + cos(angle) * aside,
        )

    sheet.line(Pen.OUTLINE, at(radius + 0.8), at(radius + 5.5))
    sheet.fill(at(radius + 7.5), at(radius + 4.5, 1.0), at(radius + 4.5, -1.0))


def _draw_end_hole(
    sheet: Sheet, frame: Frame, hole: Hole, *, middle: float, pens: tuple[Pen, Pen]
) -> None:
    """An end's tapping hole and thread, in the pens given for the hole and for the thread."""
    zero, inward = (0.0, 1.0) if hole.place == "left end" else (frame.plan.length, -1.0)
    minor, deep = hole.drill.diameter / 2, hole.drilled_depth

    def at(u: float, v: float) -> Point:
        return frame.place(zero + inward * (deep - v), middle + u)

    _draw_thread(sheet, hole, at, reach=deep, pens=pens)
    for sign in (1.0, -1.0):
        sheet.line(pens[0], at(sign * minor, deep), at(sign * minor, 0.0))
    if hole.drill.diameter > frame.plan.bore + NEAR:
        sheet.line(pens[0], at(-minor, 0.0), at(minor, 0.0))


def _draw_flat(sheet: Sheet, frame: Frame, hole: Hole, middle: float) -> None:
    """The square flat of a round bar, seen from above it."""
    if not hole.flat:
        return
    left, right = max(hole.x - hole.flat / 2, 0.0), min(hole.x + hole.flat / 2, frame.plan.length)
    corner = frame.place(left, middle - hole.flat / 2)
    sheet.box(Pen.OUTLINE, corner, (frame.size(right - left), frame.size(hole.flat)))


def _draw_axis(sheet: Sheet, frame: Frame, middle: float) -> None:
    (left, y), (right, _) = frame.place(0.0, middle), frame.place(frame.plan.length, middle)
    sheet.line(Pen.CENTRE, (left - 3.0, y), (right + 3.0, y))


def _draw_port_axis(sheet: Sheet, frame: Frame, hole: Hole, at: At) -> None:
    over = 2.0 / frame.size(1.0)
    sheet.line(Pen.CENTRE, at(0.0, reach_of(hole) + over), at(0.0, -over))


def _label_edge(sheet: Sheet, frame: Frame, hole: Hole, *, middle: float, side: float) -> None:
    x, y = frame.place(hole.x, middle + side * middle)
    rise = 3.0 if side > 0 else -3.0 - LABEL
    sheet.label(hole.letter, (x, y + rise), anchor="middle")


def _label_beside(
    sheet: Sheet,
    frame: Frame,
    hole: Hole,
    *,
    across: float,
    side: float,
    along: float | None = None,
) -> None:
    """The letter of a hole seen face on: right above it, or right below where it is hidden."""
    x, y = frame.place(hole.x if along is None else along, across)
    out = frame.size(hole.radius) * sqrt(0.5) + 0.8
    drop = 0.0 if side > 0 else LABEL
    sheet.label(hole.letter, (x + out, y + side * out - drop))


def _label_end(sheet: Sheet, frame: Frame, hole: Hole, middle: float) -> None:
    is_left = hole.place == "left end"
    x, y = frame.place(0.0 if is_left else frame.plan.length, middle)
    at = (x - 4.5 if is_left else x + 4.5, y - LABEL / 2)
    sheet.label(hole.letter, at, anchor="end" if is_left else "start")
