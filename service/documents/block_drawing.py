"""The workshop drawing of a distribution block: two views and an end, two sections, a table of
holes and a title block, in first-angle projection on A3."""

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
    ROW_DROP,
    dimension_stations,
    draw_cross_section,
    draw_left_end,
    draw_long_section,
    draw_outside,
)
from service.documents.drawing.sheet import (
    Anchor,
    Pen,
    Point,
    Sheet,
    choose_scale,
    show_scale,
    text_width,
)
from service.documents.drawing.surroundings import (
    BORDER,
    FILING,
    TITLE_HEIGHT,
    TITLE_WIDTH,
    Column,
    DrawingTitle,
    Table,
    draw_title_block,
    write_notes,
)
from service.engineering.block import BlockPlan, Hole
from service.engineering.saying import Figure, fine, say
from service.quantities.wording import Measure, show_figure, show_nominal, word

PAPER = (420.0, 297.0)  # A3 lying down [mm]: ISO 5457

BESIDE, BETWEEN, NARROW, AFTER = 38.0, 54.0, 40.0, 34.0
"""Left of the views, between the views of a row, between those of its end, and right of them [mm].
"""

ABOVE_VIEW = 15.0  # room over a view for letters [mm]
LONGEST_SIZES = {"mm": "123.45", "in": "123.4 thou"}
"""What the figures under a view must find room for, by the unit of the sheet."""

NOTE_ROOM = 26.0  # for the notes over the title block [mm]

ALONG, ACROSS = "S", "T"  # letters of the two sections, clear of those of the holes

NEAR_LINE, FAR_LINE = 20.0, 29.0  # from a view to the dimension lines on its left [mm]


def draw_block(plan: BlockPlan, *, title: DrawingTitle, measure: Measure = Measure.METRIC) -> Sheet:
    """The drawing on its sheet, at the largest scale that fits; sizes in the measure."""
    sheet = Sheet(*PAPER, title=title.name, measure=measure)
    table = _list_holes(sheet, plan)
    strip = max(TITLE_HEIGHT + NOTE_ROOM, table.height + 3.0)
    sheet.scale = _choose_scale(plan, strip, below=_room_below(sheet))
    _draw_views(sheet, plan, bottom=BORDER + strip)
    table.draw(sheet, (FILING, BORDER))
    facts = _list_facts(sheet, plan)
    draw_title_block(sheet, title, facts=facts, notes=_list_tolerances(sheet))
    write_notes(sheet, _list_notes(sheet, plan))
    return sheet


def _room_below(sheet: Sheet) -> float:
    """Under a view, for running dimensions [mm]."""
    return ROW_DROP + 3.0 + text_width(LONGEST_SIZES[sheet.unit], 2.5)


def _choose_scale(plan: BlockPlan, strip: float, *, below: float) -> float:
    section = plan.section
    room = PAPER[0] - FILING - BORDER - BESIDE - BETWEEN
    height = PAPER[1] - 2 * BORDER - strip - 2 * (ABOVE_VIEW + below)
    tall = (section.height + max(section.width, section.height)) * MILLIMETRES
    first = (plan.length + 2 * section.width) * MILLIMETRES
    second = 2 * plan.length * MILLIMETRES
    return min(
        choose_scale(first, tall, room=(room - NARROW, height)),
        choose_scale(second, tall, room=(room - AFTER, height)),
    )


def _draw_views(sheet: Sheet, plan: BlockPlan, *, bottom: float) -> None:
    """Two rows: the front with the end and the section across; the plan with the section along."""
    cut = _choose_cut(plan)
    front, end, across, above, along = _place_views(sheet, plan, bottom=bottom, cut=cut)
    station = min(face_holes(plan), key=lambda hole: (hole.turns, hole.x)).x  # with least thread
    _draw_along(front)
    _draw_end(end)
    _draw_section_across(across, station)
    _draw_along(above)
    _draw_section_along(along)
    _mark_cut_along(front if cut is FROM_ABOVE else above)
    _mark_cut_across(front, station)


def _place_views(
    sheet: Sheet, plan: BlockPlan, *, bottom: float, cut: Outlook
) -> tuple[Frame, Frame, Frame, Frame, Frame]:
    """Front, end and section across; plan and section along."""
    size = MILLIMETRES * sheet.scale
    width, height, length = (
        side * size for side in (plan.section.width, plan.section.height, plan.length)
    )
    deep = height if cut is FROM_THE_FRONT else width
    lower = max(width, deep)
    below = _room_below(sheet)
    spare = (sheet.height - BORDER - bottom - height - lower) / 2 - ABOVE_VIEW - below
    used = BESIDE + BETWEEN + max(2 * length + AFTER, length + 2 * width + NARROW)
    left = FILING + BESIDE + max(0.0, (sheet.width - FILING - BORDER - used) / 2)
    first = sheet.height - BORDER - ABOVE_VIEW - spare / 2 - height
    second = first - below - spare - ABOVE_VIEW - lower
    right = left + length + BETWEEN
    return (
        Frame(sheet, plan, (left, first)),
        Frame(sheet, plan, (right, first)),
        Frame(sheet, plan, (right + width + NARROW, first)),
        Frame(sheet, plan, (left, second + (lower - width) / 2), FROM_ABOVE),
        Frame(sheet, plan, (right, second + (lower - deep) / 2), cut),
    )


def _choose_cut(plan: BlockPlan) -> Outlook:
    """The section along that shows most ports cut."""
    holes = face_holes(plan)
    upright = sum(hole.place in ("top", "bottom") for hole in holes)
    return FROM_THE_FRONT if 2 * upright >= len(holes) else FROM_ABOVE


def _draw_along(frame: Frame) -> None:
    """The outside with its sizes; the length stands under the view from above in any case."""
    draw_outside(frame)
    _measure_breadth(frame)
    ports = frame.holes_in(frame.outlook.towards, frame.outlook.away)
    if ports or frame.outlook is FROM_ABOVE:
        dimension_stations(frame, ports)


def _measure_breadth(frame: Frame) -> None:
    """Size across a view and half of it, on its left, from the datum."""
    middle = frame.middle
    corner = left, _ = frame.place(0.0, 0.0)
    for across, away in ((2 * middle, FAR_LINE), (middle, NEAR_LINE)):
        frame.sheet.dimension(corner, frame.place(0.0, across), along="y", line=left - away)
    _mark_datum(frame.sheet, corner)


def _mark_datum(sheet: Sheet, corner: Point) -> None:
    """The corner from which everything is set out: a disc, two quarters of it black."""
    x, y = corner
    radius = 1.6
    sheet.arc(Pen.DIMENSION, corner, radius)
    for turn in (0.0, pi):
        rim = [turn + pi / 2 * step / 8 for step in range(9)]
        sheet.fill(corner, *((x + radius * cos(a), y + radius * sin(a)) for a in rim))
    sheet.letter("datum", (x - 2.4, y - 3.4), height=2.0, anchor="end")


def _draw_end(frame: Frame) -> None:
    draw_left_end(frame)
    x, y = frame.place(frame.plan.section.width / 2, frame.plan.section.height)
    frame.sheet.letter("left end", (x, y + 5.0), anchor="middle")


def _draw_section_along(frame: Frame) -> None:
    draw_long_section(frame)
    plan = frame.plan
    bore = plan.setting_out[-1]
    through = bore.drilled_depth >= plan.length - 1e-9
    depth = "right through" if through else f"{frame.sheet.show_size(bore.drilled_depth)} deep"
    x, y = frame.place(plan.length / 2, 0.0)
    frame.sheet.label(f"{ALONG}–{ALONG}", (x, y - 24.0), anchor="middle")
    words = f"bore {bore.letter}: ⌀{frame.sheet.show_size(plan.bore)}, {depth}"
    frame.sheet.letter(words, (x, y - 29.5), anchor="middle")
    _measure_depths(frame)
    _measure_ends(frame)


def _measure_depths(frame: Frame) -> None:
    """Depths of the last port that is cut, to the right of the section."""
    holes = frame.holes_in(frame.outlook.upper)
    if not holes:
        return
    hole = holes[-1]
    face = frame.middle + reach_of(hole)
    right, _ = frame.place(frame.plan.length, 0.0)
    end_room = 9.0 if frame.holes_in("right end") else 0.0
    for count, depth in enumerate(sorted({hole.full_thread, hole.drilled_depth})):
        first = frame.place(hole.x + hole.radius, face)
        second = frame.place(hole.x + hole.radius, face - depth)
        line = right + end_room + 8.0 + count * 9.0
        frame.sheet.dimension(first, second, along="y", line=line)


def _measure_ends(frame: Frame) -> None:
    """How deep the ends are drilled for their threads, under the section."""
    plan = frame.plan
    _, bottom = frame.place(0.0, 0.0)
    for hole in frame.holes_in("left end", "right end"):
        deep = hole.drilled_depth if hole.place == "left end" else plan.length - hole.drilled_depth
        across = frame.place(deep, plan.section.height / 2)
        zero = frame.place(0.0 if hole.place == "left end" else plan.length, 0.0)
        frame.sheet.dimension(zero, (across[0], bottom), along="x", line=bottom - 13.0)


def _draw_section_across(frame: Frame, station: float) -> None:
    draw_cross_section(frame, station)
    x, y = frame.place(frame.plan.section.width / 2, 0.0)
    frame.sheet.label(f"{ACROSS}–{ACROSS}", (x, y - 12.0), anchor="middle")


def _mark_cut_along(frame: Frame) -> None:
    """Where the section along is cut, and which way it is looked at."""
    up = 1.0 if frame.outlook is FROM_ABOVE else -1.0
    for place, away in ((0.0, -1.0), (frame.plan.length, 1.0)):
        x, y = frame.place(place, frame.middle)
        _draw_sight(frame.sheet, (x + away * 4.0, y), (x + away * 9.0, y), (0.0, up))
        anchor: Anchor = "end" if away < 0 else "start"
        frame.sheet.label(ALONG, (x + away * 10.5, y - 1.0), anchor=anchor)


def _mark_cut_across(frame: Frame, station: float) -> None:
    """Where the section across is cut: looked at from the left end."""
    for place, away in ((0.0, -1.0), (frame.plan.section.height, 1.0)):
        x, y = frame.place(station, place)
        end = y + away * 13.0
        _draw_sight(frame.sheet, (x, y + away * 8.0), (x, end), (1.0, 0.0))
        frame.sheet.label(ACROSS, (x - 1.5, end - (2.5 if away > 0 else 0.5)), anchor="end")


def _draw_sight(sheet: Sheet, start: Point, end: Point, way: Point) -> None:
    """One end of the plane of a section, with an arrow the way it is looked at."""
    back, tip = ((end[0] + way[0] * far, end[1] + way[1] * far) for far in (3.0, 6.0))
    sheet.line(Pen.OUTLINE, start, end)
    sheet.line(Pen.THIN, end, back)
    aside = way[1] * 0.8, way[0] * 0.8
    sheet.fill(
        tip, (back[0] - aside[0], back[1] + aside[1]), (back[0] + aside[0], back[1] - aside[1])
    )


def _list_notes(sheet: Sheet, plan: BlockPlan) -> list[str]:
    flats = sorted({hole.flat for hole in plan.setting_out if hole.flat})
    notes = [
        "Set out from one corner, the datum: x from the left end, y from the front, z from the"
        " bottom. Depths are of the full diameter, from the face or flat."
    ]
    if flats:
        sizes = ", ".join(map(sheet.show_size, flats))
        notes.append(f"Round: y, z from planes that touch it; mill flats {sizes} square first.")
    pointing = [
        f"{hole.letter} {degrees(hole.pointing):.0f}"
        for hole in plan.setting_out
        if hole.pointing is not None
    ]
    if pointing:
        told = f"Fittings point, deg clockwise from right seen from outside: {', '.join(pointing)}"
        notes.append(told)
    return notes


def _list_tolerances(sheet: Sheet) -> list[str]:
    places = say(" Places ±", fine(1e-4), " from the datum, depths +", fine(2e-4), " / 0.")
    edges = say("Break outer edges ", fine(2e-4), "; no burrs in the bore.")
    return [sheet.unit_note + word(places, sheet.measure), word(edges, sheet.measure)]


def _list_facts(sheet: Sheet, plan: BlockPlan) -> list[tuple[str, str]]:
    length, wall = (show_nominal(size, sheet.measure) for size in (plan.length, plan.wall_least))
    mass, pressure = (
        show_figure(figure, sheet.measure)
        for figure in (Figure("mass", plan.mass), Figure("pressure", plan.request.pressure))
    )
    return [
        ("Material", plan.request.material),
        ("Bar", plan.section.name),
        ("Finished length, mass", f"{length}, {mass}"),
        ("Scale, paper", f"{show_scale(sheet.scale)}, A3"),
        ("Planned for", f"{pressure} gauge"),
        ("Thinnest wall", wall),
    ]


def _list_holes(sheet: Sheet, plan: BlockPlan) -> Table:
    unit = sheet.unit
    columns = (
        Column(("Hole", "")),
        Column(("For", ""), most=16),
        Column(("Face", "")),
        *(Column((axis, unit)) for axis in "xyz"),
        Column(("Thread", ""), most=16),
        Column(("Full", f"thread {unit}")),
        Column(("Tapping", "drill"), most=14),
        Column(("Drill", f"depth {unit}")),
        Column(("Way drill", f"x depth {unit}"), most=22),
    )
    rows = [_table_row(sheet, hole) for hole in plan.setting_out]
    return Table.lay_out(columns, rows, room=PAPER[0] - FILING - BORDER - TITLE_WIDTH - 2.0)


def _table_row(sheet: Sheet, hole: Hole) -> tuple[str, ...]:
    show = sheet.show_size
    return (
        hole.letter,
        word(hole.name or hole.purpose, sheet.measure),
        hole.place,
        show(hole.x),
        show(hole.y),
        show(hole.z),
        hole.thread.designation if hole.thread else "-",
        show(hole.full_thread) if hole.thread else "-",
        hole.drill.name,
        show(hole.drilled_depth),
        f"{hole.feed.name} x {show(hole.feed_depth)}" if hole.feed else "-",
    )
