"""The workshop drawing of an adapter: half in section, its operations in a table, upright on A4."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt, tan

from service.documents.drawing.sheet import Pen, Point, Sheet, choose_scale, show_scale
from service.documents.drawing.surroundings import (
    BORDER,
    FILING,
    TITLE_HEIGHT,
    Column,
    DrawingTitle,
    Table,
    draw_title_block,
    write_notes,
)
from service.engineering.saying import Figure, Said, fine, length, name, say
from service.engineering.threads.remedies import AdapterEnd, AdapterPlan
from service.quantities.wording import Measure, show_figure, show_fine, show_nominal, word

PAPER = (210.0, 297.0)  # A4 upright [mm]
BESIDE = 12.0  # least room at either side of the view [mm]

ABOVE, BELOW = 36.0, 14.0  # room for the dimensions over and under the view [mm]

FIRST_LINE, LINE_STEP = 8.0, 9.0
"""From the view to the nearest dimension line, and from one to the next [mm]."""

OVERRUN = 4.0  # how far the axis runs past the ends [mm]
DRILL_POINT = 1.0297  # half the 118 degree point of a twist drill [rad]


def draw_adapter(
    plan: AdapterPlan, *, title: DrawingTitle, measure: Measure = Measure.METRIC
) -> Sheet:
    """The drawing on its sheet, end a on the left, at the largest scale that fits."""
    sheet = Sheet(*PAPER, title=title.name, measure=measure)
    table = _list_operations(plan, measure)
    bottom = BORDER + TITLE_HEIGHT
    table.draw(sheet, (FILING, bottom))
    floor = write_notes(sheet, _list_notes(plan, measure), bottom=bottom + table.height)
    middle = _place_view(sheet, plan, floor + BELOW)
    draw_title_block(sheet, title, facts=_list_facts(sheet, plan), notes=[sheet.unit_note])
    _draw_view(_View(sheet, plan, middle))
    return sheet


def _place_view(sheet: Sheet, plan: AdapterPlan, floor: float) -> Point:
    """Choose the scale; the middle of the view on the paper."""
    roof = sheet.height - BORDER - ABOVE
    width = sheet.width - FILING - BORDER - 2 * BESIDE
    corners = 2e3 * plan.stock_diameter / sqrt(3)
    sheet.scale = choose_scale(1e3 * plan.total_length, corners, room=(width, roof - floor))
    return (FILING + sheet.width - BORDER) / 2, (floor + roof) / 2


@dataclass(frozen=True, slots=True)
class _View:
    """The adapter along its axis, in metres from its left end and from the axis."""

    sheet: Sheet
    plan: AdapterPlan
    middle: Point

    @property
    def corner(self) -> float:
        """Half the hexagon across its corners [m]."""
        return self.plan.stock_diameter / sqrt(3)

    @property
    def body(self) -> tuple[float, float]:
        """Where the hexagon begins and ends."""
        a, b = self.plan.ends
        start = a.length if a.gender == "male" else 0.0
        return start, self.plan.total_length - (b.length if b.gender == "male" else 0.0)

    def at(self, place: Point) -> Point:
        """A place on the paper."""
        size = 1e3 * self.sheet.scale
        along = place[0] - self.plan.total_length / 2
        return self.middle[0] + along * size, self.middle[1] + place[1] * size

    def mirrored(self, end: AdapterEnd, places: Sequence[Point]) -> list[Point]:
        """Places of an end counted from its own tip, as places on the adapter."""
        if end is self.plan.end_a:
            return list(places)
        return [(self.plan.total_length - along, radius) for along, radius in places][::-1]

    def line(self, pen: Pen, *places: Point) -> None:
        """A line through places."""
        self.sheet.line(pen, *map(self.at, places))


def _draw_view(view: _View) -> None:
    outside = _trace_outside(view)
    inside = [place for end in view.plan.ends for place in _trace_hole(view, end)]
    _draw_section(view, outside, inside)
    _draw_outside(view, outside)
    for end in view.plan.ends:
        _draw_thread(view, end)
    _draw_dimensions(view)


def _trace_outside(view: _View) -> list[Point]:
    """The outside from end to end, above the axis."""
    a, b = view.plan.ends
    body = [(along, view.corner) for along in view.body]
    return [*_trace_stub(view, a), *body, *_trace_stub(view, b)]


def _trace_stub(view: _View, end: AdapterEnd) -> list[Point]:
    if end.gender == "female":
        return []
    large, depth = end.thread.major_diameter / 2, end.thread.external_depth
    tip = large - end.thread.small_end_offset / 2
    places = [(0.0, tip - depth), (depth, tip)]
    if end.undercut_diameter is None:
        return view.mirrored(end, [*places, (end.length, large)])
    neck, shoulder = end.undercut_diameter / 2, end.length - end.undercut_width
    return view.mirrored(end, [*places, (shoulder, large), (shoulder, neck), (end.length, neck)])


def _trace_hole(view: _View, end: AdapterEnd) -> list[Point]:
    """The bore or the tapping hole at an end, above the axis."""
    bore = view.plan.bore / 2
    if end.gender == "male":
        return view.mirrored(end, [(0.0, bore)])
    hole, mouth = end.diameter / 2, end.thread.major_diameter / 2
    point = end.length + (hole - bore) / tan(DRILL_POINT)
    return view.mirrored(
        end, [(0.0, mouth), (mouth - hole, hole), (end.length, hole), (point, bore)]
    )


def _draw_section(view: _View, outside: list[Point], inside: list[Point]) -> None:
    """The half above the axis: cut metal, hatched."""
    metal = [view.at(place) for place in (*outside, *reversed(inside))]
    view.sheet.hatch(metal)
    view.sheet.loop(Pen.OUTLINE, metal)
    over, total = OVERRUN / 1e3 / view.sheet.scale, view.plan.total_length
    view.line(Pen.CENTRE, (-over, 0.0), (total + over, 0.0))
    for along, radius in inside:  # the edges behind the cut
        view.line(Pen.OUTLINE, (along, 0.0), (along, radius))


def _draw_outside(view: _View, outside: list[Point]) -> None:
    """The half below the axis: the outside, its hexagon's edge and its shoulders."""
    below = [(along, -radius) for along, radius in outside]
    places = [(0.0, 0.0), *below, (view.plan.total_length, 0.0)]
    view.sheet.loop(Pen.OUTLINE, [view.at(place) for place in places])
    start, end = view.body
    view.line(Pen.OUTLINE, (start, -view.corner / 2), (end, -view.corner / 2))
    for along in view.body:
        view.line(Pen.OUTLINE, (along, 0.0), (along, -view.corner))


def _draw_thread(view: _View, end: AdapterEnd) -> None:
    """The thin line of a thread: the bottom of a male, the major diameter of a female."""
    thread = end.thread
    if end.gender == "male":
        start, depth, other = thread.external_depth, -thread.external_depth, -1
    else:
        start, depth, other = 0.0, 0.0, 1
    at_tip = (thread.major_diameter - thread.small_end_offset) / 2 + depth
    at_end = at_tip + thread.taper / 2 * (end.thread_length - start)
    for side in {1, other}:
        places = [(start, side * at_tip), (end.thread_length, side * at_end)]
        view.line(Pen.THIN, *view.mirrored(end, places))


def _draw_dimensions(view: _View) -> None:
    """Lengths of ends and hexagon above, over-all below."""
    rows = [sorted({end.thread_length, end.length}) for end in view.plan.ends]
    _, above = view.at((0.0, view.corner))
    for end, lengths in zip(view.plan.ends, rows, strict=True):
        for row, size in enumerate(lengths):
            places = view.mirrored(end, [(0.0, view.corner), (size, view.corner)])
            before = end is view.plan.end_a
            _measure(view, places, line=above + FIRST_LINE + row * LINE_STEP, before=before)
    body = [(along, view.corner) for along in view.body]
    _measure(view, body, line=above + FIRST_LINE + max(map(len, rows)) * LINE_STEP)
    whole = [(along, -view.corner) for along in (0.0, view.plan.total_length)]
    _, below = view.at(whole[0])
    _measure(view, whole, line=below - FIRST_LINE)


def _measure(view: _View, places: Sequence[Point], *, line: float, before: bool = False) -> None:
    first, last = map(view.at, places)
    view.sheet.dimension(first, last, along="x", line=line, before=before)


def _list_notes(plan: AdapterPlan, measure: Measure) -> list[str]:
    bar = say(
        "Upper half in section. Bar ", name(plan.stock), ", ", length(plan.stock_diameter),
        " across flats. Bore ⌀", length(plan.bore), " right through; part off at ",
        length(plan.parting_length), ", bar used ", length(plan.bar_length), ".",
    )  # fmt: skip
    sides = zip(("Left", "Right"), plan.ends, strict=True)
    return [word(said, measure) for said in (bar, *(_note_end(*side) for side in sides))]


def _note_end(side: str, end: AdapterEnd) -> Said:
    thread = say(
        f"{side}: {end.gender} ", name(end.thread.designation), ", ", length(end.thread_length),
        " full thread",
    )  # fmt: skip
    wall = say("; wall ", fine(end.wall), ".")
    if end.gender == "female":
        return say(thread, "; drill ", end.drill, ", ", length(end.length), " deep", wall)
    if end.undercut_diameter is None:
        return say(thread, ", ⌀", fine(end.diameter), "; taper 1 in 16 on diameter", wall)
    neck = say("; undercut ⌀", fine(end.undercut_diameter), " × ", length(end.undercut_width))
    return say(thread, ", ⌀", fine(end.diameter), neck, wall)


def _list_facts(sheet: Sheet, plan: AdapterPlan) -> list[tuple[str, str]]:
    mass = show_figure(Figure("mass", plan.mass), sheet.measure)
    return [
        ("Material", plan.material),
        ("Bar", plan.stock),
        ("Over all, mass", f"{show_nominal(plan.total_length, sheet.measure)}, {mass}"),
        ("Scale, paper", f"{show_scale(sheet.scale)}, A4"),
        ("Standard time", f"{plan.minutes:.0f} min"),
        ("Thinnest wall", show_fine(plan.wall_least, sheet.measure)),
    ]


def _list_operations(plan: AdapterPlan, measure: Measure) -> Table:
    columns = (
        Column(("No.", "")),
        Column(("Operation", ""), most=56, lines=4, stretches=True),
        Column(("Tool", ""), most=31, lines=2),
        Column(("Min", "")),
    )
    rows = [
        (str(step.number), word(step.text, measure), step.tool, f"{step.minutes:.0f}")
        for step in plan.operations
    ]
    return Table.lay_out(columns, rows, room=PAPER[0] - FILING - BORDER)
