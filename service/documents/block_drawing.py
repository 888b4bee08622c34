"""The workshop drawing of a distribution block, as SVG, DXF and PDF: two views and an end, two
sections, a table of holes and a title block, in first-angle projection on A3."""

from math import cos, degrees, pi, sin
from textwrap import wrap

from service.documents.block_outline import (
    FROM_ABOVE,
    FROM_THE_FRONT,
    MILLIMETRES,
    Frame,
    Outlook,
    face_holes,
    reach_of,
)
from service.documents.block_views import (
    dimension_stations,
    draw_cross_section,
    draw_left_end,
    draw_long_section,
    draw_outside,
    show_length,
)
from service.documents.drawing_sheet import Pen, Point, Sheet, shorten, text_width
from service.documents.drawing_title import (
    BORDER,
    FILING,
    TITLE_HEIGHT,
    TITLE_WIDTH,
    Column,
    DrawingTitle,
    draw_frame,
    draw_table,
    draw_title_block,
    measure_table,
)
from service.documents.drawing_writers import write_dxf, write_pdf, write_svg
from service.engineering.block import BlockPlan, Hole
from service.engineering.saying import mass, pressure
from service.quantities.wording import show_figure

__all__ = ["DrawingTitle", "draw_block", "draw_block_dxf", "draw_block_pdf", "draw_block_svg"]

PAPER = (420.0, 297.0)
"""A3 lying down [mm]: ISO 5457."""

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)
"""Of ISO 5455."""

BESIDE, BETWEEN, NARROW, AFTER = 38.0, 54.0, 40.0, 34.0
"""Left of the views, between the views of a row, between those of its end, and right of them [mm].
"""

ABOVE_VIEW, BELOW_VIEW = 15.0, 30.0
"""Room over a view for letters, and under it for running dimensions [mm]."""

NOTE, NOTE_STEP = 2.2, 4.4
"""Height of the lettering of notes, and from note to note [mm]."""

COLUMNS = (
    Column(("Hole", ""), 10.0),
    Column(("For", ""), 36.0),
    Column(("Face", ""), 22.0),
    Column(("x", "mm"), 15.0),
    Column(("y", "mm"), 14.5),
    Column(("z", "mm"), 14.5),
    Column(("Thread", ""), 31.0),
    Column(("Full", "thread mm"), 18.0),
    Column(("Tapping", "drill"), 20.0),
    Column(("Drill", "depth mm"), 17.0),
    Column(("Way drill", "x depth mm"), 32.0),
)

ALONG, ACROSS = "S", "T"
"""Letters of the two sections, clear of those of the holes."""

NEAR_LINE, FAR_LINE = 20.0, 29.0
"""From a view to the dimension lines on its left [mm]."""


TOLERANCES = (
    "Millimetres. Places ±0.1 from the datum, depths +0.2 / 0.",
    "Break outer edges 0.2; no burrs in the bore.",
)


def draw_block_svg(plan: BlockPlan, *, title: DrawingTitle) -> bytes:
    """The drawing as SVG, as large as the paper."""
    return write_svg(draw_block(plan, title=title))


def draw_block_dxf(plan: BlockPlan, *, title: DrawingTitle) -> bytes:
    """The drawing as DXF in millimetres, the block true to size."""
    return write_dxf(draw_block(plan, title=title))


def draw_block_pdf(plan: BlockPlan, *, title: DrawingTitle) -> bytes:
    """The drawing as a PDF of one A3 page."""
    return write_pdf(draw_block(plan, title=title))


def draw_block(plan: BlockPlan, *, title: DrawingTitle) -> Sheet:
    """The drawing on its sheet, at the largest scale that fits."""
    notes = _list_notes(plan)
    noted = TITLE_HEIGHT + len(notes) * NOTE_STEP + 3.0
    strip = max(noted, measure_table(len(plan.setting_out)) + 3.0)
    scale = _choose_scale(plan, strip)
    sheet = Sheet(*PAPER, scale=scale, title=f"{title.title} {title.number}".strip())
    draw_frame(sheet)
    _draw_views(sheet, plan, bottom=BORDER + strip)
    rows = [_table_row(hole) for hole in plan.setting_out]
    draw_table(sheet, COLUMNS, rows, corner=(FILING, BORDER))
    draw_title_block(sheet, title, facts=_list_facts(plan, scale), notes=TOLERANCES)
    _write_notes(sheet, notes)
    return sheet


def _choose_scale(plan: BlockPlan, strip: float) -> float:
    section = plan.section
    room = PAPER[0] - FILING - BORDER - BESIDE - BETWEEN
    height = PAPER[1] - 2 * BORDER - strip - 2 * (ABOVE_VIEW + BELOW_VIEW)
    tall = section.height + max(section.width, section.height)
    for scale in SCALES:
        size = MILLIMETRES * scale
        first = (plan.length + 2 * section.width) * size + NARROW
        second = 2 * plan.length * size + AFTER
        if max(first, second) <= room and tall * size <= height:
            return scale
    return SCALES[-1]


def _draw_views(sheet: Sheet, plan: BlockPlan, *, bottom: float) -> None:
    """Two rows: the front with the end and the section across; the plan with the section along."""
    cut, seen = _choose_cut(plan)
    front, above, middle, across = _place_views(sheet, plan, bottom=bottom, cut=cut)
    station = _cross_station(plan)
    _draw_front(sheet, front)
    _draw_end(sheet, Frame(plan, (middle[0], front.origin[1]), sheet.scale))
    _draw_section_across(sheet, Frame(plan, across, sheet.scale), station)
    _draw_above(sheet, above)
    _draw_section_along(sheet, Frame(plan, middle, sheet.scale), cut)
    _mark_cut_along(sheet, above if seen is FROM_ABOVE else front, seen)
    _mark_cut_across(sheet, front, station)


def _place_views(
    sheet: Sheet, plan: BlockPlan, *, bottom: float, cut: Outlook
) -> tuple[Frame, Frame, Point, Point]:
    """Frames of front and plan, and corners of the section along and of that across."""
    size = MILLIMETRES * sheet.scale
    width, height, length = (
        side * size for side in (plan.section.width, plan.section.height, plan.length)
    )
    deep = height if cut is FROM_THE_FRONT else width
    lower = max(width, deep)
    spare = (sheet.height - BORDER - bottom - height - lower) / 2 - ABOVE_VIEW - BELOW_VIEW
    used = BESIDE + BETWEEN + max(2 * length + AFTER, length + 2 * width + NARROW)
    left = FILING + BESIDE + max(0.0, (sheet.width - FILING - BORDER - used) / 2)
    first = sheet.height - BORDER - ABOVE_VIEW - spare / 2 - height
    second = first - BELOW_VIEW - spare - ABOVE_VIEW - lower
    right = left + length + BETWEEN
    return (
        Frame(plan, (left, first), sheet.scale),
        Frame(plan, (left, second + (lower - width) / 2), sheet.scale),
        (right, second + (lower - deep) / 2),
        (right + width + NARROW, first),
    )


def _choose_cut(plan: BlockPlan) -> tuple[Outlook, Outlook]:
    """The section along that shows most ports cut, and the view its plane is marked in."""
    upright = sum(hole.place in ("top", "bottom") for hole in face_holes(plan))
    if 2 * upright >= len(face_holes(plan)):
        return FROM_THE_FRONT, FROM_ABOVE
    return FROM_ABOVE, FROM_THE_FRONT


def _cross_station(plan: BlockPlan) -> float:
    """Where the section across is taken: at the port with least thread."""
    return min(face_holes(plan), key=lambda hole: (hole.turns, hole.x)).x


def _draw_front(sheet: Sheet, frame: Frame) -> None:
    draw_outside(sheet, frame, FROM_THE_FRONT)
    ports = frame.holes_in("front", "back")
    height = frame.plan.section.height
    (left, low), (_, high) = frame.place(0.0, 0.0), frame.place(0.0, height)
    text = show_length(height)
    sheet.measure((left, low), (left, high), along="y", line=left - FAR_LINE, text=text)
    _, middle = frame.place(0.0, height / 2)
    text = show_length(height / 2)
    sheet.measure((left, low), (left, middle), along="y", line=left - NEAR_LINE, text=text)
    _mark_datum(sheet, (left, low))
    if ports:
        dimension_stations(sheet, frame, ports)


def _draw_above(sheet: Sheet, frame: Frame) -> None:
    draw_outside(sheet, frame, FROM_ABOVE)
    width = frame.plan.section.width
    (left, low), (_, high) = frame.place(0.0, 0.0), frame.place(0.0, width)
    sheet.measure(
        (left, low), (left, high), along="y", line=left - FAR_LINE, text=show_length(width)
    )
    _, middle = frame.place(0.0, width / 2)
    text = show_length(width / 2)
    sheet.measure((left, low), (left, middle), along="y", line=left - NEAR_LINE, text=text)
    dimension_stations(sheet, frame, frame.holes_in("top", "bottom"))
    _mark_datum(sheet, (left, low))


def _mark_datum(sheet: Sheet, corner: Point) -> None:
    """The corner from which everything is set out: a disc, two quarters of it black."""
    x, y = corner
    radius = 1.6
    sheet.circle(Pen.DIMENSION, corner, radius)
    for turn in (0.0, pi):
        rim = [turn + pi / 2 * step / 8 for step in range(9)]
        sheet.fill(corner, *((x + radius * cos(a), y + radius * sin(a)) for a in rim))
    sheet.letter("datum", (x - 2.4, y - 3.4), height=2.0, anchor="end")


def _draw_end(sheet: Sheet, frame: Frame) -> None:
    draw_left_end(sheet, frame)
    x, y = frame.place(frame.plan.section.width / 2, frame.plan.section.height)
    sheet.letter("left end", (x, y + 5.0), anchor="middle")


def _draw_section_along(sheet: Sheet, frame: Frame, cut: Outlook) -> None:
    draw_long_section(sheet, frame, cut)
    plan = frame.plan
    bore = plan.setting_out[-1]
    through = bore.drilled_depth >= plan.length - 1e-9
    depth = "right through" if through else f"{show_length(bore.drilled_depth)} deep"
    x, y = frame.place(plan.length / 2, 0.0)
    sheet.label(f"{ALONG}–{ALONG}", (x, y - 24.0), anchor="middle")
    words = f"bore {bore.letter}: ⌀{show_length(plan.bore)}, {depth}"
    sheet.letter(words, (x, y - 29.5), anchor="middle")
    _measure_depths(sheet, frame, cut, frame.breadth(cut))
    _measure_ends(sheet, frame)


def _measure_depths(sheet: Sheet, frame: Frame, cut: Outlook, breadth: float) -> None:
    """Depths of the last port that is cut, to the right of the section."""
    holes = frame.holes_in(cut.upper)
    if not holes:
        return
    hole = holes[-1]
    face = breadth / 2 + reach_of(hole)
    right, _ = frame.place(frame.plan.length, 0.0)
    end_room = 9.0 if frame.holes_in("right end") else 0.0
    for count, depth in enumerate(sorted({hole.full_thread, hole.drilled_depth})):
        first = frame.place(hole.x + hole.radius, face)
        second = frame.place(hole.x + hole.radius, face - depth)
        line = right + end_room + 8.0 + count * 9.0
        sheet.measure(first, second, along="y", line=line, text=show_length(depth))


def _measure_ends(sheet: Sheet, frame: Frame) -> None:
    """How deep the ends are drilled for their threads, under the section."""
    plan = frame.plan
    _, bottom = frame.place(0.0, 0.0)
    for hole in frame.holes_in("left end", "right end"):
        deep = hole.drilled_depth if hole.place == "left end" else plan.length - hole.drilled_depth
        across = frame.place(deep, plan.section.height / 2)
        zero = frame.place(0.0 if hole.place == "left end" else plan.length, 0.0)
        text = show_length(hole.drilled_depth)
        sheet.measure(zero, (across[0], bottom), along="x", line=bottom - 13.0, text=text)


def _draw_section_across(sheet: Sheet, frame: Frame, station: float) -> None:
    draw_cross_section(sheet, frame, station)
    x, y = frame.place(frame.plan.section.width / 2, 0.0)
    sheet.label(f"{ACROSS}–{ACROSS}", (x, y - 12.0), anchor="middle")


def _mark_cut_along(sheet: Sheet, frame: Frame, outlook: Outlook) -> None:
    """Where the section along is cut, and which way it is looked at."""
    middle = frame.breadth(outlook) / 2
    for place, away in ((0.0, -1.0), (frame.plan.length, 1.0)):
        x, y = frame.place(place, middle)
        start, end = x + away * 4.0, x + away * 9.0
        sheet.line(Pen.OUTLINE, (start, y), (end, y))
        up = 1.0 if outlook is FROM_ABOVE else -1.0
        _draw_sight(sheet, (end, y), (0.0, up))
        at = (end + away * 1.5, y - 1.0)
        sheet.label(ALONG, at, anchor="end" if away < 0 else "start")


def _mark_cut_across(sheet: Sheet, frame: Frame, station: float) -> None:
    """Where the section across is cut: looked at from the left end."""
    height = frame.plan.section.height
    for place, away in ((0.0, -1.0), (height, 1.0)):
        x, y = frame.place(station, place)
        start = y + away * 8.0
        end = start + away * 5.0
        sheet.line(Pen.OUTLINE, (x, start), (x, end))
        _draw_sight(sheet, (x, end), (1.0, 0.0))
        sheet.label(ACROSS, (x - 1.5, end - (2.5 if away > 0 else 0.5)), anchor="end")


def _draw_sight(sheet: Sheet, start: Point, way: Point) -> None:
    tip = start[0] + way[0] * 6.0, start[1] + way[1] * 6.0
    back = tip[0] - way[0] * 3.0, tip[1] - way[1] * 3.0
    sheet.line(Pen.THIN, start, back)
    sheet.fill(
        tip,
        (back[0] - way[1] * 0.8, back[1] + way[0] * 0.8),
        (back[0] + way[1] * 0.8, back[1] - way[0] * 0.8),
    )


def _write_notes(sheet: Sheet, notes: list[str]) -> None:
    """Above the title block, the last note lowest."""
    left, bottom = sheet.width - BORDER - TITLE_WIDTH, BORDER + TITLE_HEIGHT + 3.0
    for count, note in enumerate(reversed(notes)):
        at = left + 2.0, bottom + count * NOTE_STEP
        sheet.letter(shorten(note, room=TITLE_WIDTH - 4.0, height=NOTE), at, height=NOTE)


def _list_notes(plan: BlockPlan) -> list[str]:
    flats = sorted({hole.flat for hole in plan.setting_out if hole.flat})
    notes = [
        "Set out from one corner, the datum: x from the left end, y from the front,",
        "z from the bottom. Depths are of the full diameter, from the face or flat.",
    ]
    if flats:
        sizes = ", ".join(show_length(flat) for flat in flats)
        notes.append(f"Round: y, z from planes that touch it; mill flats {sizes} square first.")
    pointing = [
        f"{hole.letter} {degrees(hole.pointing):.0f}"
        for hole in plan.setting_out
        if hole.pointing is not None
    ]
    if pointing:
        told = f"Fittings point, deg clockwise from right seen from outside: {', '.join(pointing)}"
        notes += wrap(told, int((TITLE_WIDTH - 4.0) / text_width("m", NOTE)))
    return notes


def _list_facts(plan: BlockPlan, scale: float) -> list[tuple[str, str]]:
    written = f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"
    length = show_length(plan.length)
    return [
        ("Material", plan.request.material),
        ("Bar", plan.section.name),
        ("Finished length, mass", f"{length} mm, {show_figure(mass(plan.mass))}"),
        ("Scale, paper", f"{written}, A3"),
        ("Planned for", f"{show_figure(pressure(plan.request.pressure))} gauge"),
        ("Thinnest wall", f"{show_length(plan.wall_least)} mm"),
    ]


def _table_row(hole: Hole) -> tuple[str, ...]:
    way = f"{hole.feed.name} x {show_length(hole.feed_depth)}" if hole.feed else "-"
    return (
        hole.letter,
        hole.name or hole.purpose,
        hole.place,
        show_length(hole.x),
        show_length(hole.y),
        show_length(hole.z),
        hole.thread.designation if hole.thread else "-",
        show_length(hole.full_thread) if hole.thread else "-",
        hole.drill.name,
        show_length(hole.drilled_depth),
        way,
    )
