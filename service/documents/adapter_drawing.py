"""A workshop drawing of an adapter: half in section, dimensioned, its operations in a table."""

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from math import sqrt, tan
from typing import Any
from xml.sax.saxutils import escape

from ezdxf import options, units  # type: ignore[attr-defined]
from ezdxf.addons.drawing import layout
from ezdxf.addons.drawing.config import BackgroundPolicy, ColorPolicy, Configuration
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.properties import RenderContext
from ezdxf.addons.drawing.svg import SVGBackend
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new as new_document

from service.engineering.threads.remedies import AdapterEnd, AdapterPlan
from service.quantities.wording import word

PAGE_WIDTH, PAGE_HEIGHT, MARGIN = 210.0, 297.0, 12.0
"""A4 upright, and its margin [mm]."""

VIEW_WIDTH, VIEW_HEIGHT = 130.0, 80.0
"""Paper that the view itself may take [mm]; dimensions stand around it."""

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2)
"""Scales of ISO 5455."""

AXIS = 188.0
"""Height of the adapter's axis on the page [mm]."""

TEXT, SMALL_TEXT, ROW = 3.0, 2.5, 5.0
"""Heights of lettering and pitch of the table's rows [mm]."""

DRILL_POINT = 1.0297
"""Half the 118 degree point of a twist drill [rad]."""

COLUMNS = (0.0, 8.0, 113.0, 172.0)
"""Where the columns of the table begin: number, operation, tool, minutes [mm]."""

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class AdapterDrawing:
    """The same drawing twice: for a drawing program and for the eye."""

    dxf: bytes
    svg: str


def draw_adapter(plan: AdapterPlan, *, title: str = "") -> AdapterDrawing:
    """Draw an adapter on an A4 sheet, end a on the left, with its table of operations.

    The same plan gives the same DXF to the byte. The SVG's hatching is laid by ezdxf at random
    within a micrometre of paper.
    """
    with _without_dates():
        return _draw(plan, title or _default_title(plan))


def _draw(plan: AdapterPlan, heading: str) -> AdapterDrawing:
    document = _new_document()
    sheet = _Sheet(document.modelspace(), plan, _choose_scale(plan))
    sheet.draw_section()
    sheet.draw_outside()
    sheet.draw_threads()
    sheet.draw_dimensions()
    _write_heading(sheet, heading)
    _write_table(sheet)
    return AdapterDrawing(dxf=_to_dxf(document), svg=_to_svg(document, heading))


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Draws one plan in paper millimetres; `space` is the model space it draws into."""

    space: Any
    plan: AdapterPlan
    scale: float

    @property
    def left(self) -> float:
        return PAGE_WIDTH / 2 - self.plan.total_length * self.size / 2

    @property
    def size(self) -> float:
        """Paper millimetres to a metre of metal."""
        return 1000 * self.scale

    @property
    def half_height(self) -> float:
        """Half the hexagon across its corners [m]."""
        return self.plan.stock_diameter / sqrt(3)

    def at(self, along: float, radius: float) -> Place:
        return (self.left + along * self.size, AXIS + radius * self.size)

    def mirrored(self, end: AdapterEnd, places: Sequence[Place]) -> list[Place]:
        """Places of an end counted from its own tip, as places on the adapter [m]."""
        if end is self.plan.end_a:
            return list(places)
        return [(self.plan.total_length - along, radius) for along, radius in places][::-1]

    def body(self) -> tuple[float, float]:
        a, b = self.plan.ends
        start = a.length if a.gender == "male" else 0.0
        end = self.plan.total_length - (b.length if b.gender == "male" else 0.0)
        return start, end

    def line(self, start: Place, end: Place, *, layer: str) -> None:
        self.space.add_line(self.at(*start), self.at(*end), dxfattribs={"layer": layer})

    def polyline(self, places: Sequence[Place], layer: str) -> None:
        points = [self.at(*place) for place in places]
        self.space.add_lwpolyline(points, dxfattribs={"layer": layer})

    def write(self, text: str, place: Place, *, height: float = SMALL_TEXT) -> None:
        entity = self.space.add_text(
            text, height=height, dxfattribs={"style": "LETTERING", "layer": "TEXT"}
        )
        entity.set_placement(place, align=TextEntityAlignment.LEFT)

    def outline(self) -> list[Place]:
        """The outside from end to end, above the axis [m]."""
        start, end = self.body()
        corner = self.half_height
        body = [(start, corner), (end, corner)]
        return [*self._stub(self.plan.end_a), *body, *self._stub(self.plan.end_b)]

    def _stub(self, end: AdapterEnd) -> list[Place]:
        if end.gender == "female":
            return []
        thread = end.thread
        large = thread.major_diameter / 2
        tip = large - thread.small_end_offset / 2
        bottom = tip - thread.external_depth
        chamfer = thread.external_depth
        places = [(0.0, bottom), (chamfer, tip)]
        if end.undercut_diameter is None:
            return self.mirrored(end, [*places, (end.length, large)])
        neck = end.undercut_diameter / 2
        shoulder = end.length - end.undercut_width
        places += [(shoulder, large), (shoulder, neck), (end.length, neck)]
        return self.mirrored(end, places)

    def inside(self) -> list[Place]:
        """The bore and the tapping holes from end to end, above the axis [m]."""
        bore, total = self.plan.bore / 2, self.plan.total_length
        a, b = self.plan.ends
        left = self._hole(a) if a.gender == "female" else [(0.0, bore)]
        right = self._hole(b) if b.gender == "female" else [(total, bore)]
        return [*left, *right]

    def _hole(self, end: AdapterEnd) -> list[Place]:
        hole, mouth = end.diameter / 2, end.thread.major_diameter / 2
        point = (hole - self.plan.bore / 2) / tan(DRILL_POINT)
        places = [
            (0.0, mouth),
            (mouth - hole, hole),
            (end.length, hole),
            (end.length + point, self.plan.bore / 2),
        ]
        return self.mirrored(end, places)

    def draw_section(self) -> None:
        """The half above the axis: cut metal, hatched."""
        outside, inside = self.outline(), self.inside()
        metal = [*outside, *reversed(inside)]
        self.polyline([*metal, metal[0]], "OUTLINE")
        hatch = self.space.add_hatch(dxfattribs={"layer": "HATCH"})
        hatch.set_pattern_fill("ANSI31", scale=0.6)
        hatch.paths.add_polyline_path([self.at(*place) for place in metal], is_closed=True)
        overrun = 0.004 / self.scale
        self.line((-overrun, 0.0), (self.plan.total_length + overrun, 0.0), layer="CENTRE")
        for along, radius in (inside[0], inside[-1]):
            self.line((along, 0.0), (along, radius), layer="OUTLINE")

    def draw_outside(self) -> None:
        """The half below the axis: the outside, its hexagon's edge and its shoulders."""
        outside = [(along, -radius) for along, radius in self.outline()]
        closed = [(0.0, 0.0), *outside, (self.plan.total_length, 0.0)]
        self.polyline(closed, "OUTLINE")
        start, end = self.body()
        edge = -self.half_height / 2
        self.line((start, edge), (end, edge), layer="OUTLINE")
        for along in (start, end):
            self.line((along, 0.0), (along, -self.half_height), layer="OUTLINE")

    def draw_threads(self) -> None:
        """The thin line of each thread: the bottom of a male, the major diameter of a female."""
        for end in self.plan.ends:
            thread = end.thread
            if end.gender == "male":
                start, depth, sides = thread.external_depth, -thread.external_depth, [1, -1]
            else:
                start, depth, sides = 0.0, 0.0, [1]
            at_tip = thread.major_diameter / 2 - thread.small_end_offset / 2 + depth
            at_end = at_tip + thread.taper / 2 * (end.thread_length - start)
            for side in sides:
                places = [(start, side * at_tip), (end.thread_length, side * at_end)]
                first, last = self.mirrored(end, places)
                self.line(first, last, layer="THIN")

    def draw_dimensions(self) -> None:
        """Lengths above, over-all below, and the diameters as notes with leaders."""
        start, end = self.body()
        top = self.half_height
        above = AXIS + top * self.size
        for side in self.plan.ends:
            for row, length in enumerate(sorted({side.thread_length, side.length})):
                first, last = self.mirrored(side, [(0.0, 0.0), (length, 0.0)])
                self._measure((first[0], top), (last[0], top), base=above + 9 * (row + 1))
        self._measure((start, top), (end, top), base=above + 27)
        bottom = AXIS - top * self.size
        self._measure((0.0, -top), (self.plan.total_length, -top), base=bottom - 9)
        for row, note in enumerate(_notes(self.plan)):
            self.write(note, (MARGIN + 4, bottom - 20 - row * ROW), height=TEXT)

    def _measure(self, first: Place, last: Place, *, base: float) -> None:
        dimension = self.space.add_linear_dim(
            base=(0, base),
            p1=self.at(*first),
            p2=self.at(*last),
            dimstyle="WORKSHOP",
            override={"dimlfac": 1 / self.scale},
            dxfattribs={"layer": "DIMENSION"},
        )
        dimension.render()


def _notes(plan: AdapterPlan) -> list[str]:
    notes = [
        f"Bar {plan.stock}, {plan.stock_diameter * 1000:.2f} across flats, {plan.material}.",
        f"Bore Ø{plan.bore * 1000:.2f} right through; part off at "
        f"{plan.parting_length * 1000:.1f}, bar used {plan.bar_length * 1000:.1f}.",
    ]
    for side, end in zip(("Left", "Right"), plan.ends, strict=True):
        length = f"{end.thread_length * 1000:.1f} full thread"
        if end.gender == "female":
            notes.append(
                f"{side}: female {end.thread.designation}, {length}; drill {word(end.drill)}, "
                f"{end.length * 1000:.1f} deep; wall {end.wall * 1000:.2f}."
            )
            continue
        neck = (
            f"; undercut Ø{end.undercut_diameter * 1000:.2f} × {end.undercut_width * 1000:.1f}"
            if end.undercut_diameter
            else "; taper 1 in 16 on diameter"
        )
        notes.append(
            f"{side}: male {end.thread.designation}, Ø{end.diameter * 1000:.2f}, {length}{neck}; "
            f"wall {end.wall * 1000:.2f}."
        )
    return notes


def _default_title(plan: AdapterPlan) -> str:
    first, second = (f"{end.thread.designation} {end.gender}" for end in plan.ends)
    return f"Adapter: {first} to {second}"


def _choose_scale(plan: AdapterPlan) -> float:
    """The largest scale of ISO 5455 at which the view fits its place."""
    length = plan.total_length * 1000
    height = 2 * plan.stock_diameter / sqrt(3) * 1000
    for scale in SCALES:
        if length * scale <= VIEW_WIDTH and height * scale <= VIEW_HEIGHT:
            return scale
    return SCALES[-1]


def _write_heading(sheet: _Sheet, title: str) -> None:
    plan = sheet.plan
    _frame(sheet, MARGIN, bottom=MARGIN, right=PAGE_WIDTH - MARGIN, top=PAGE_HEIGHT - MARGIN)
    top = PAGE_HEIGHT - MARGIN
    sheet.write(title, (MARGIN + 4, top - 9), height=5)
    ratio = f"{sheet.scale:g}:1" if sheet.scale >= 1 else f"1:{1 / sheet.scale:g}"
    facts = (
        f"Scale {ratio}. Millimetres. Upper half in section. Mass {plan.mass * 1000:.1f} g. "
        f"{plan.minutes:.0f} minutes."
    )
    sheet.write(facts, (MARGIN + 4, top - 16), height=TEXT)


def _write_table(sheet: _Sheet) -> None:
    """The operations in bench order, from the foot of the page upwards as far as they need."""
    steps = sheet.plan.operations
    top = MARGIN + 4 + (len(steps) + 1) * ROW
    heading = ("No.", "Operation", "Tool", "Min")
    rows = [heading, *((str(s.number), word(s.text), s.tool, f"{s.minutes:.0f}") for s in steps)]
    for row, cells in enumerate(rows):
        y = top - row * ROW
        for column, cell in zip(COLUMNS, cells, strict=True):
            sheet.write(cell, (MARGIN + 4 + column, y - 3.4), height=SMALL_TEXT)
        _rule(sheet, MARGIN, right=PAGE_WIDTH - MARGIN, y=y - ROW + 0.2)
    _rule(sheet, MARGIN, right=PAGE_WIDTH - MARGIN, y=top + 0.2)


def _rule(sheet: _Sheet, left: float, *, right: float, y: float) -> None:
    sheet.space.add_line((left, y), (right, y), dxfattribs={"layer": "THIN"})


def _frame(sheet: _Sheet, left: float, *, bottom: float, right: float, top: float) -> None:
    corners = [(left, bottom), (right, bottom), (right, top), (left, top)]
    sheet.space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "OUTLINE"})


@contextmanager
def _without_dates() -> Iterator[None]:
    """Keep the time of day and random marks out of what ezdxf writes."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _new_document() -> Any:
    document = new_document("R2010", setup=True)
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 3.5
    document.styles.new("LETTERING", dxfattribs={"font": "DejaVuSans.ttf"})
    for name, weight in (
        ("OUTLINE", 50),
        ("THIN", 18),
        ("HATCH", 18),
        ("CENTRE", 18),
        ("DIMENSION", 18),
        ("TEXT", 25),
    ):
        document.layers.add(name, lineweight=weight)
    document.layers.get("CENTRE").dxf.linetype = "CENTER"
    _add_dimension_style(document)
    return document


def _add_dimension_style(document: Any) -> None:
    style = document.dimstyles.duplicate_entry("EZDXF", "WORKSHOP")
    for name, value in {
        "dimtxt": SMALL_TEXT,
        "dimasz": 2.5,
        "dimexo": 0.8,
        "dimexe": 1.2,
        "dimgap": 0.8,
        "dimtad": 1,
        "dimdec": 2,
        "dimzin": 8,
        "dimblk": "",
        "dimtxsty": "LETTERING",
    }.items():
        setattr(style.dxf, name, value)


def _to_dxf(document: Any) -> bytes:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")


def _to_svg(document: Any, title: str) -> str:
    backend = SVGBackend()
    configuration = Configuration(
        background_policy=BackgroundPolicy.WHITE,
        color_policy=ColorPolicy.BLACK,
        min_lineweight=0.18,
    )
    Frontend(RenderContext(document), backend, config=configuration).draw_layout(
        document.modelspace()
    )
    page = layout.Page(PAGE_WIDTH, PAGE_HEIGHT, layout.Units.mm, layout.Margins.all(0))
    drawn = backend.get_string(page, settings=layout.Settings(fit_page=False, scale=1.0))
    return drawn.replace("<defs>", f"<title>{escape(title)}</title><defs>", 1)
