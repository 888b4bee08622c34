"""A drawn sheet as a file: SVG itself, PDF from the SVG, and DXF.

On paper it is black on white and true to size, on screen in the page's ink. A picture for the
screen has attributes only, so that it holds where a page forbids styles; its style sheet
matters where the file is looked at by itself.
"""

from collections import defaultdict
from collections.abc import Iterator
from html import escape
from itertools import groupby
from math import cos, floor, radians, sin
from typing import Literal, get_args

from service.documents.drawing.sheet import (
    Arc,
    Dimension,
    Filled,
    Hatching,
    Label,
    Lettering,
    Line,
    Pen,
    Point,
    Sheet,
    draw_dimension,
)
from service.documents.typesetting import typeset

Ending = Literal["svg", "dxf", "pdf"]
ENDINGS: tuple[Ending, ...] = get_args(Ending)

FONT = "font-family=\"'DejaVu Sans Mono',monospace\""
"""The lettering; the typesetter carries it, and elsewhere any font of one width will do."""

CAPITAL = 0.729  # height of its capitals over its size
HALO = 0.9  # twice the white that a label keeps around it [mm]
PIXELS = 4  # to a millimetre on screen

Drawn = Line | Arc | Hatching | Filled | Lettering

ALONE = (
    "<style>.drawn{max-width:100%;height:auto}"
    "svg.drawn:root{--sheet:#fff;--no:#9e1239;color:#15222c;background:#fff}"
    "@media screen and (prefers-color-scheme:dark){"
    "svg.drawn:root{--sheet:#152637;--no:#ff9fb0;color:#e8eef2;background:#152637}}</style>"
)


def write_sheet(sheet: Sheet, ending: Ending) -> bytes:
    """The sheet in one of the formats; the same sheet gives the same bytes."""
    if ending == "dxf":
        # The library costs a third of a second and 20 MB: loaded for a DXF only.
        from service.documents.drawing.dxf import write_dxf

        return write_dxf(sheet)
    return write_svg(sheet).encode() if ending == "svg" else _write_pdf(sheet)


def _write_pdf(sheet: Sheet) -> bytes:
    return typeset(
        "drawing.typ",
        data={"title": plain_text(sheet.title), "width": sheet.width, "height": sheet.height},
        pictures={"drawing.svg": write_svg(sheet).encode()},
    )


def write_svg(sheet: Sheet) -> str:
    """The sheet as SVG, one unit a millimetre."""
    title = escape(plain_text(sheet.title))
    about = f"<desc>{escape(plain_text(sheet.about))}</desc>" if sheet.about else ""
    body = "\n".join(_write_groups(sheet))
    return f"{_open(sheet, title)}<title>{title}</title>{about}{_ground(sheet)}\n{body}\n</svg>"


def plain_text(text: str) -> str:
    """The text without control characters, which no drawing format bears."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _open(sheet: Sheet, title: str) -> str:
    width, height = _show(sheet.width), _show(sheet.height)
    size = f'width="{width}mm" height="{height}mm"'
    if sheet.on_screen:
        size = (
            f'class="drawn" width="{_show(sheet.width * PIXELS)}"'
            f' height="{_show(sheet.height * PIXELS)}"'
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {width} {height}"'
        f' role="img" aria-label="{title}">'
    )


def _ground(sheet: Sheet) -> str:
    if sheet.on_screen:
        return ALONE
    return f'<rect width="{_show(sheet.width)}" height="{_show(sheet.height)}" fill="#fff"/>'


def _write_groups(sheet: Sheet) -> Iterator[str]:
    """The marks by how they are drawn: hatching lowest, fouls over lines, letters over all."""
    marks: list[Drawn] = []
    for mark in sheet.marks:
        marks += draw_dimension(mark) if isinstance(mark, Dimension) else [mark]
    for _, group in groupby(sorted(marks, key=_rank), key=_rank):
        same = list(group)
        yield f"<g {_style(same[0], sheet)}>"
        yield from (_write_mark(mark, sheet.height) for mark in same)
        yield "</g>"


_PENS = list(Pen)


def _rank(mark: Drawn) -> tuple[int, int]:
    match mark:
        case Hatching():
            return 0, 0
        case Filled():
            return (3 if mark.fouls else 1), 0
        case Line() | Arc():
            return 2, _PENS.index(mark.pen)
        case Lettering():
            return 4, int(isinstance(mark, Label))


def _style(mark: Drawn, sheet: Sheet) -> str:
    ink, paper, foul = (
        ("currentColor", "var(--sheet,#fff)", "var(--no,#9e1239)")
        if sheet.on_screen
        else ("#000", "#fff", "#000")
    )
    match mark:
        case Filled():
            edge = f' stroke="{foul}" stroke-width="0.3"' if mark.fouls else ""
            return f'fill="{foul if mark.fouls else ink}"{edge}'
        case Label():
            halo = f'stroke="{paper}" stroke-width="{HALO}" stroke-linejoin="round"'
            return f'fill="{ink}" paint-order="stroke" {halo} {FONT}'
        case Lettering():
            return f'fill="{ink}" {FONT}'
        case Hatching():
            return f'fill="none" stroke="{ink}" stroke-width="{Pen.HATCH.width}"'
    dashes = " ".join(map(_show, mark.pen.dashes))
    return f'fill="none" stroke="{ink}" stroke-width="{mark.pen.width}" stroke-linejoin="round"' + (
        f' stroke-dasharray="{dashes}"' if dashes else ""
    )


def _write_mark(mark: Drawn, height: float) -> str:
    match mark:
        case Line():
            return f'<path d="{_path(mark.points, height)}{"Z" if mark.closed else ""}"/>'
        case Arc():
            return _write_arc(mark, height)
        case Hatching():
            lines = "".join(_path(line, height) for line in hatch_lines(mark))
            return f'<path d="{lines}"/>' if lines else ""
        case Filled():
            return f'<path d="{_path(mark.boundary, height)}Z"/>'
        case Lettering():
            return _write_text(mark, height)


def hatch_lines(hatching: Hatching) -> Iterator[tuple[Point, Point]]:
    """Every piece of line inside the boundary and outside the voids, from a fixed origin."""
    lean = radians(hatching.slope)
    along, across = (cos(lean), sin(lean)), (-sin(lean), cos(lean))
    crossings = defaultdict(list)
    for loop in (hatching.boundary, *hatching.voids):
        turned = [(_dot(point, along), _dot(point, across)) for point in loop]
        for start, end in zip(turned, (*turned[1:], turned[0]), strict=True):
            for row, place in _cross_rows(start, end, hatching.gap):
                crossings[row].append(place)
    for row, places in sorted(crossings.items()):
        ordered, level = sorted(places), row * hatching.gap
        for first, last in zip(ordered[::2], ordered[1::2], strict=True):
            yield _turn_back(first, level, along), _turn_back(last, level, along)


def _cross_rows(start: Point, end: Point, gap: float) -> Iterator[tuple[int, float]]:
    """The rows of hatching that an edge crosses, the lower end of it counted in."""
    (u, v), (other_u, other_v) = sorted((start, end), key=lambda point: point[1])
    for row in range(floor(v / gap), floor(other_v / gap) + 2):
        if v <= (level := row * gap) < other_v:
            yield row, u + (other_u - u) * (level - v) / (other_v - v)


def _dot(point: Point, way: Point) -> float:
    return point[0] * way[0] + point[1] * way[1]


def _turn_back(u: float, v: float, along: Point) -> Point:
    return u * along[0] - v * along[1], u * along[1] + v * along[0]


def _path(points: tuple[Point, ...], height: float) -> str:
    return "M" + "L".join(f"{_show(x)} {_show(height - y)}" for x, y in points)


def _write_arc(arc: Arc, height: float) -> str:
    x, y, radius = arc.centre[0], height - arc.centre[1], _show(arc.radius)
    if arc.end - arc.start >= 360:
        return f'<circle cx="{_show(x)}" cy="{_show(y)}" r="{radius}"/>'
    start, end = (
        f"{_show(x + arc.radius * cos(radians(angle)))}"
        f" {_show(y - arc.radius * sin(radians(angle)))}"
        for angle in (arc.start, arc.end)
    )
    large = int(arc.end - arc.start > 180)
    return f'<path d="M{start}A{radius} {radius} 0 {large} 0 {end}"/>'


def _write_text(text: Lettering, height: float) -> str:
    x, y = _show(text.at[0]), _show(height - text.at[1])
    anchor = f' text-anchor="{text.anchor}"' if text.anchor != "start" else ""
    turned = f' transform="rotate({_show(-text.turn)} {x} {y})"' if text.turn else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{_show(text.height / CAPITAL)}"{anchor}{turned}>'
        f"{escape(plain_text(text.text))}</text>"
    )


def _show(number: float) -> str:
    """A number to a thousandth of a millimetre, without idle zeros."""
    text = f"{number:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
