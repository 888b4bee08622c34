"""The workshop drawing of a distribution block, as SVG, DXF and PDF: two views and an end, two
sections, a table of holes and a title block, in first-angle projection on A3."""

from math import cos, degrees, pi, sin

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
    LABEL,
    dimension_stations,
    draw_cross_section,
    draw_left_end,
    draw_long_section,
    draw_outside,
    show_length,
)
from service.documents.drawing_sheet import Pen, Point, Sheet
from service.documents.drawing_title import (
    BORDER,
    FILING,
    TITLE_HEIGHT,
    Column,
    DrawingTitle,
    draw_frame,
    draw_table,
    draw_title_block,
    measure_table,
)
from service.documents.drawing_writers import write_dxf, write_pdf, write_svg
from service.engineering.block.plan import BlockPlan
from service.engineering.block.setting_out import Hole

__all__ = ["DrawingTitle", "draw_block", "draw_block_dxf", "draw_block_pdf", "draw_block_svg"]

PAPER = (420.0, 297.0)
"""A3 lying down [mm]: ISO 5457."""

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)
"""Of ISO 5455."""

BESIDE, BETWEEN = 36.0, 56.0
"""Left of the views, and between the views of a row [mm]."""

ABOVE_VIEW, BELOW_VIEW = 15.0, 24.0
"""Room over a view for letters, and under it for running dimensions [mm]."""

COLUMNS = (
    Column(("Hole", ""), 10.0),
    Column(("For", ""), 39.0),
    Column(("Face", ""), 22.0),
    Column(("x", "mm"), 15.0),
    Column(("y", "mm"), 14.5),
    Column(("z", "mm"), 14.5),
    Column(("Thread", ""), 29.0),
    Column(("Full", "thread mm"), 18.0),
    Column(("Tapping", "drill"), 20.0),
    Column(("Drill", "depth mm"), 17.0),
    Column(("Way drill", "x depth mm"), 28.0),
)

ALONG, ACROSS = "S", "T"
"""Letters of the two sections, clear of those of the holes."""

NEAR_LINE, FAR_LINE = 20.0, 29.0
"""From a view to the dimension lines on its left [mm]."""


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
    strip = max(TITLE_HEIGHT, measure_table(len(plan.setting_out)) + 4.0)
    scale = _choose_scale(plan, strip)
    sheet = Sheet(*PAPER, scale=scale, title=f"{title.title} {title.number}".strip())
    draw_frame(sheet)
    _draw_views(sheet, plan, bottom=BORDER + strip)
    draw_table(
        sheet,
        COLUMNS,
        [_table_row(hole) for hole in plan.setting_out],
        corner=(FILING, BORDER),
    )
    draw_title_block(sheet, title, facts=_list_facts(plan, scale), notes=_tolerances())
    return sheet


def _choose_scale(plan: BlockPlan, strip: float) -> float:
    width, height = _room(strip)
    across = plan.length + plan.section.width
    tall = 2 * plan.section.height + plan.section.width
    for scale in SCALES:
        size = MILLIMETRES * scale
        if across * size <= width and tall * size <= height:
            return scale
    return SCALES[-1]


def _room(strip: float) -> Point:
    """What the views themselves may fill: width of a row, height of the three rows [mm]."""
    width = PAPER[0] - FILING - BORDER - BESIDE - BETWEEN - 14.0
    return width, PAPER[1] - 2 * BORDER - strip - 3 * (ABOVE_VIEW + BELOW_VIEW)


def _draw_views(sheet: Sheet, plan: BlockPlan, *, bottom: float) -> None:
    size = MILLIMETRES * sheet.scale
    width, height, length = (
        plan.section.width * size,
        plan.section.height * size,
        plan.length * size,
    )
    cut, seen = _choose_cut(plan)
    deep = height if cut is FROM_THE_FRONT else width
    spare = (sheet.height - BORDER - bottom - height - width - deep) / 3 - ABOVE_VIEW - BELOW_VIEW
    left = FILING + BESIDE + max(0.0, (_room(0.0)[0] - length - width) / 3)
    right = left + length + BETWEEN
    first = sheet.height - BORDER - ABOVE_VIEW - spare / 2 - height
    second = first - BELOW_VIEW - spare - ABOVE_VIEW - width
    third = second - BELOW_VIEW - spare - ABOVE_VIEW - deep
    front = Frame(plan, (left, first), sheet.scale)
    above = Frame(plan, (left, second), sheet.scale)
    _draw_front(sheet, front)
    _draw_end(sheet, Frame(plan, (right, first), sheet.scale))
    _draw_above(sheet, above)
    _draw_section_along(sheet, Frame(plan, (left, third), sheet.scale), cut)
    station = _cross_station(plan, cut)
    _draw_section_across(sheet, Frame(plan, (right, third), sheet.scale), station)
    _mark_cut_along(sheet, above if seen is FROM_ABOVE else front, seen)
    _mark_cut_across(sheet, front, station)
    _write_notes(sheet, plan, (right - 14.0, second + width + 4.0))


def _choose_cut(plan: BlockPlan) -> tuple[Outlook, Outlook]:
    """The section along that shows most ports cut, and the view its plane is marked in."""
    upright = sum(hole.place in ("top", "bottom") for hole in face_holes(plan))
    if 2 * upright >= len(face_holes(plan)):
        return FROM_THE_FRONT, FROM_ABOVE
    return FROM_ABOVE, FROM_THE_FRONT


def _cross_station(plan: BlockPlan, cut: Outlook) -> float:
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
    plan, breadth = frame.plan, frame.breadth(cut)
    x, y = frame.place(plan.length / 2, 0.0)
    sheet.letter(f"{ALONG}–{ALONG}", (x, y - 19.0), height=LABEL, anchor="middle")
    _measure_depths(sheet, frame, cut, breadth)
    _measure_ends(sheet, frame)
    _point_at_bore(sheet, frame, breadth)


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
        sheet.measure(zero, (across[0], bottom), along="x", line=bottom - 8.0, text=text)


def _point_at_bore(sheet: Sheet, frame: Frame, breadth: float) -> None:
    """A leader to the wall of the bore, with its size."""
    plan = frame.plan
    bore = plan.setting_out[-1]
    gap = _widest_gap(plan)
    tip = frame.place(gap, breadth / 2 - plan.bore / 2)
    _, bottom = frame.place(0.0, 0.0)
    elbow = tip[0] + 5.0, bottom - 10.0
    sheet.line(Pen.DIMENSION, tip, elbow, (elbow[0] + 2.0, elbow[1]))
    lean = ((tip[0] - elbow[0]) / 40.0, (tip[1] - elbow[1]) / 40.0)
    reach = 2.5 / (lean[0] ** 2 + lean[1] ** 2) ** 0.5
    back = tip[0] - lean[0] * reach, tip[1] - lean[1] * reach
    aside = (-lean[1] * reach / 6, lean[0] * reach / 6)
    sheet.fill(
        tip,
        (back[0] + aside[0], back[1] + aside[1]),
        (back[0] - aside[0], back[1] - aside[1]),
    )
    through = bore.drilled_depth >= plan.length - 1e-9
    depth = "right through" if through else f"{show_length(bore.drilled_depth)} deep"
    text = f"{bore.letter}: ⌀{show_length(plan.bore)} {depth}"
    sheet.letter(text, (elbow[0] + 3.0, elbow[1] - 1.2))


def _widest_gap(plan: BlockPlan) -> float:
    """The middle of the widest stretch of bore between two ports [m]."""
    stations = sorted({hole.x for hole in face_holes(plan)} | {plan.bore_start, plan.bore_end})
    first, second = max(
        zip(stations, stations[1:], strict=False), key=lambda pair: pair[1] - pair[0]
    )
    return (first + second) / 2


def _draw_section_across(sheet: Sheet, frame: Frame, station: float) -> None:
    draw_cross_section(sheet, frame, station)
    x, y = frame.place(frame.plan.section.width / 2, 0.0)
    sheet.letter(f"{ACROSS}–{ACROSS}", (x, y - 19.0), height=LABEL, anchor="middle")


def _mark_cut_along(sheet: Sheet, frame: Frame, outlook: Outlook) -> None:
    """Where the section along is cut, and which way it is looked at: into the block from its nearer side."""
    middle = frame.breadth(outlook) / 2
    for place, away in ((0.0, -1.0), (frame.plan.length, 1.0)):
        x, y = frame.place(place, middle)
        start, end = x + away * 4.0, x + away * 9.0
        sheet.line(Pen.OUTLINE, (start, y), (end, y))
        up = 1.0 if outlook is FROM_ABOVE else -1.0
        _draw_sight(sheet, (end, y), (0.0, up))
        at = (end + away * 1.5, y - 1.0)
        sheet.letter(ALONG, at, height=LABEL, anchor="end" if away < 0 else "start")


def _mark_cut_across(sheet: Sheet, frame: Frame, station: float) -> None:
    """Where the section across is cut: looked at from the left end."""
    height = frame.plan.section.height
    for place, away in ((0.0, -1.0), (height, 1.0)):
        x, y = frame.place(station, place)
        start = y + away * (8.0 if away > 0 else 3.0)
        end = start + away * 5.0
        sheet.line(Pen.OUTLINE, (x, start), (x, end))
        _draw_sight(sheet, (x, end), (1.0, 0.0))
        sheet.letter(
            ACROSS, (x - 1.5, end - (2.5 if away > 0 else 0.5)), height=LABEL, anchor="end"
        )


def _draw_sight(sheet: Sheet, start: Point, way: Point) -> None:
    tip = start[0] + way[0] * 6.0, start[1] + way[1] * 6.0
    back = tip[0] - way[0] * 3.0, tip[1] - way[1] * 3.0
    sheet.line(Pen.THIN, start, back)
    sheet.fill(
        tip,
        (back[0] - way[1] * 0.8, back[1] + way[0] * 0.8),
        (back[0] + way[1] * 0.8, back[1] - way[0] * 0.8),
    )


def _write_notes(sheet: Sheet, plan: BlockPlan, corner: Point) -> None:
    for count, note in enumerate(_list_notes(plan)):
        sheet.letter(note, (corner[0], corner[1] - count * 5.0), height=2.2)


def _list_notes(plan: BlockPlan) -> list[str]:
    flats = sorted({hole.flat for hole in plan.setting_out if hole.flat})
    notes = [
        "Set out from one corner, the datum:",
        "x from the left end, y from the front,",
        "z from the bottom." if not flats else "z from the bottom, to where they touch the bar.",
        "Depths are of the full diameter, without the point.",
    ]
    if flats:
        sizes = ", ".join(show_length(flat) for flat in flats)
        notes.append(f"Mill flats {sizes} square first; depths from the flat.")
    notes += [
        f"{hole.letter}: fitting points {degrees(hole.pointing):.0f} deg, clockwise from the right"
        " end, seen from outside."
        for hole in plan.setting_out
        if hole.pointing is not None
    ]
    return notes


def _tolerances() -> list[str]:
    return [
        "Millimetres. Places ±0.1 from the datum, depths +0.2 / 0.",
        "Break outer edges 0.2; no burrs in the bore.",
    ]


def _list_facts(plan: BlockPlan, scale: float) -> list[tuple[str, str]]:
    written = f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"
    length = show_length(plan.length)
    return [
        ("Material", plan.request.material),
        ("Bar", plan.section.name),
        ("Finished length, mass", f"{length} mm, {plan.mass * 1e3:.0f} g"),
        ("Scale, paper", f"{written}, A3"),
        ("Planned for", f"{(plan.request.pressure - 101325) / 1e5:.2f} bar gauge"),
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
