"""Writing a drawn sheet as SVG, DXF or PDF.

The SVG is as large as the paper. The DXF is drawn true to size, the sheet around it scaled to suit,
so that a length picked off it is the real one.
"""

import io
from html import escape
from math import cos, radians, sin
from typing import Any

from ezdxf import filemanagement, units
from ezdxf.enums import TextEntityAlignment
from ezdxf.lldxf.const import VALID_DXF_LINEWEIGHTS

from service.documents.drawing_sheet import (
    Arc,
    Dimension,
    Filled,
    Hatching,
    Label,
    Lettering,
    Line,
    Mark,
    Pen,
    Point,
    Sheet,
    text_width,
)
from service.documents.typesetting import typeset

FONT = "DejaVu Sans Mono"
"""The lettering; the typesetter carries it, and elsewhere any font of one width will do."""

CAPITAL = 0.729
"""Height of its capitals over its size."""

ARROW = 2.5
"""Length of an arrow head [mm]."""

HALO = 0.9
"""Twice the white that a label keeps around it [mm]."""

HATCH_GAP = 1.8
"""Between the lines of hatching [mm]."""

TEXT_GAP = 0.8
"""Between a dimension line and its figure, and where an extension line begins [mm]."""

OVERRUN = 1.5
"""How far an extension line runs past the dimension line [mm]."""


def write_svg(sheet: Sheet) -> bytes:
    """The sheet as SVG, black on white, one unit a millimetre."""
    size = f"{_show(sheet.width)}mm", f"{_show(sheet.height)}mm"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0]}" height="{size[1]}"'
        f' viewBox="0 0 {_show(sheet.width)} {_show(sheet.height)}" role="img">',
        f"<title>{escape(_plain(sheet.title))}</title>",
        _svg_styles(),
        f'<rect width="{_show(sheet.width)}" height="{_show(sheet.height)}" fill="#fff"/>',
        *(_svg_mark(mark, sheet.height) for mark in _letters_last(sheet.marks)),
        "</svg>",
    ]
    return "\n".join(parts).encode()


def write_pdf(sheet: Sheet) -> bytes:
    """The sheet as a PDF of one page, as large as the paper."""
    return typeset(
        "drawing.typ",
        data={"title": _plain(sheet.title), "width": sheet.width, "height": sheet.height},
        pictures={"drawing.svg": write_svg(sheet)},
    )


def write_dxf(sheet: Sheet) -> bytes:
    """The sheet as DXF R2010 in millimetres, the part true to size."""
    paper = 1 / sheet.scale
    document = filemanagement.new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    _prepare_layers(document, paper)
    _prepare_dimensions(document, paper)
    space = document.modelspace()
    for mark in sheet.marks:
        _dxf_mark(space, mark, paper)
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8")


def _svg_styles() -> str:
    rules = [
        f".{pen.layer}{{stroke-width:{_show(pen.width)}"
        + (f";stroke-dasharray:{' '.join(map(_show, pen.dashes))}" if pen.dashes else "")
        + "}"
        for pen in Pen
    ]
    gap = _show(HATCH_GAP)
    return (
        "<style>path,circle{fill:none;stroke:#000;stroke-linecap:butt;stroke-linejoin:round}"
        f"text{{font-family:'{FONT}',monospace;fill:#000;white-space:pre}}"
        f".label{{paint-order:stroke;stroke:#fff;stroke-width:{_show(HALO)};stroke-linejoin:round}}"
        f".cut-metal{{fill:url(#metal);fill-rule:evenodd;stroke:none}}.black{{fill:#000;stroke:none}}"
        f"{''.join(rules)}</style>"
        f'<defs><pattern id="metal" width="{gap}" height="{gap}" patternUnits="userSpaceOnUse"'
        f' patternTransform="rotate(45)"><path class="hatch" d="M{_show(HATCH_GAP / 2)} 0V{gap}"/>'
        "</pattern></defs>"
    )


def _letters_last(marks: list[Mark]) -> list[Mark]:
    """The marks in order, lettering after the lines that it must stay clear of."""
    return sorted(marks, key=lambda mark: isinstance(mark, Lettering))


def _svg_mark(mark: Mark, height: float) -> str:
    if isinstance(mark, Line):
        path = _svg_path(mark.points, height) + ("Z" if mark.closed else "")
        return f'<path class="{mark.pen.layer}" d="{path}"/>'
    if isinstance(mark, Arc):
        return _svg_arc(mark, height)
    if isinstance(mark, Hatching):
        loops = "".join(f"{_svg_path(loop, height)}Z" for loop in (mark.boundary, *mark.voids))
        return f'<path class="cut-metal" d="{loops}"/>'
    if isinstance(mark, Filled):
        return f'<path class="black" d="{_svg_path(mark.boundary, height)}Z"/>'
    if isinstance(mark, Lettering):
        return _svg_text(mark, height)
    return "\n".join(_svg_mark(part, height) for part in draw_dimension(mark))


def _svg_path(points: tuple[Point, ...], height: float) -> str:
    return "M" + "L".join(f"{_show(x)} {_show(height - y)}" for x, y in points)


def _svg_arc(arc: Arc, height: float) -> str:
    x, y = arc.centre
    kind, radius = arc.pen.layer, _show(arc.radius)
    if arc.end - arc.start >= 360:
        return f'<circle class="{kind}" cx="{_show(x)}" cy="{_show(height - y)}" r="{radius}"/>'
    start, end = (
        f"{_show(x + arc.radius * cos(radians(angle)))}"
        f" {_show(height - y - arc.radius * sin(radians(angle)))}"
        for angle in (arc.start, arc.end)
    )
    large = int(arc.end - arc.start > 180)
    return f'<path class="{kind}" d="M{start}A{radius} {radius} 0 {large} 0 {end}"/>'


def _svg_text(text: Lettering, height: float) -> str:
    x, y = _show(text.at[0]), _show(height - text.at[1])
    turned = f' transform="rotate({_show(-text.turn)} {x} {y})"' if text.turn else ""
    kind = ' class="label"' if isinstance(text, Label) else ""
    return (
        f'<text{kind} x="{x}" y="{y}" font-size="{_show(text.height / CAPITAL)}"'
        f' text-anchor="{text.anchor}"{turned}>{escape(_plain(text.text))}</text>'
    )


def draw_dimension(mark: Dimension) -> list[Line | Filled | Lettering]:
    """A dimension as lines, arrow heads and its figure, which stands above the line."""
    swap = mark.along == "y"
    (a, from_a), (b, from_b) = sorted(
        (point[::-1] if swap else point) for point in (mark.first, mark.second)
    )
    level = mark.line
    parts: list[tuple[Point, ...]] = [
        _extension(a, from_a, level),
        _extension(b, from_b, level),
    ]
    is_tight = b - a < 2 * ARROW + 1.0
    wide = text_width(mark.text, 2.5)
    if is_tight:
        reach = 2 * ARROW + (wide if wide > b - a - 1 else 0.0)
        parts += [((a - 2 * ARROW, level), (a, level)), ((b, level), (b + reach, level))]
    parts.append(((a, level), (b, level)))
    outward = 1.0 if is_tight else -1.0
    heads = [_arrow(a, level, outward), _arrow(b, level, -outward)]
    outside = wide > b - a - 1
    middle = b + 2 * ARROW + wide / 2 if outside and is_tight else (a + b) / 2
    if outside and not is_tight:
        parts.append(((b, level), (b + wide + 2.0, level)))
        middle = b + 1.5 + wide / 2
    return [
        *(Line(Pen.DIMENSION, _swapped(part, swap)) for part in parts),
        *(Filled(_swapped(head, swap)) for head in heads),
        _figure(mark.text, middle, level, swap=swap),
    ]


def _figure(text: str, middle: float, level: float, *, swap: bool) -> Lettering:
    if swap:
        return Lettering(text, (level - TEXT_GAP, middle), anchor="middle", turn=90.0)
    return Lettering(text, (middle, level + TEXT_GAP), anchor="middle")


def _extension(place: float, begin: float, level: float) -> tuple[Point, ...]:
    away = 1.0 if level > begin else -1.0
    return (place, begin + away * TEXT_GAP), (place, level + away * OVERRUN)


def _arrow(place: float, level: float, outward: float) -> tuple[Point, ...]:
    """An arrow head with its point at `place`, its tail on the side of -`outward`."""
    back = place - outward * ARROW
    return (place, level), (back, level + ARROW / 6), (back, level - ARROW / 6)


def _swapped(points: tuple[Point, ...], swap: bool) -> tuple[Point, ...]:
    return tuple((y, x) for x, y in points) if swap else points


def _prepare_layers(document: Any, paper: float) -> None:
    document.styles.add("LETTERING", font="DejaVuSansMono.ttf")
    for pen in Pen:
        linetype = "Continuous"
        if pen.dashes:
            linetype = f"{pen.layer.upper()}_LINE"
            signed = [length * paper * (-1) ** place for place, length in enumerate(pen.dashes)]
            document.linetypes.add(linetype, [sum(map(abs, signed)), *signed])
        weight = min(VALID_DXF_LINEWEIGHTS, key=lambda each: abs(each - pen.width * 100))
        document.layers.add(pen.layer.upper(), linetype=linetype, lineweight=weight)


def _prepare_dimensions(document: Any, paper: float) -> None:
    style = document.dimstyles.add("WORKSHOP")
    style.dxf.dimtxsty = "LETTERING"
    style.dxf.dimtxt = 2.5
    style.dxf.dimasz = ARROW
    style.dxf.dimexo = TEXT_GAP
    style.dxf.dimexe = OVERRUN
    style.dxf.dimgap = TEXT_GAP
    style.dxf.dimtad = 1
    style.dxf.dimdec = 2
    style.dxf.dimzin = 8
    style.dxf.dimscale = paper


def _dxf_mark(space: Any, mark: Mark, paper: float) -> None:
    if isinstance(mark, Line):
        points = [_scaled(point, paper) for point in mark.points]
        space.add_lwpolyline(points, close=mark.closed, dxfattribs=_on(mark.pen))
    elif isinstance(mark, Arc):
        _dxf_arc(space, mark, paper)
    elif isinstance(mark, Hatching):
        hatch = space.add_hatch(dxfattribs=_on(Pen.HATCH))
        hatch.set_pattern_fill("ANSI31", scale=HATCH_GAP / 3.175 * paper)
        for loop in (mark.boundary, *mark.voids):
            hatch.paths.add_polyline_path([_scaled(point, paper) for point in loop])
    elif isinstance(mark, Filled):
        solid = space.add_hatch(dxfattribs=_on(Pen.DIMENSION))
        solid.paths.add_polyline_path([_scaled(point, paper) for point in mark.boundary])
    elif isinstance(mark, Lettering):
        _dxf_text(space, mark, paper)
    else:
        _dxf_dimension(space, mark, paper)


def _dxf_arc(space: Any, arc: Arc, paper: float) -> None:
    centre, radius = _scaled(arc.centre, paper), arc.radius * paper
    if arc.end - arc.start >= 360:
        space.add_circle(centre, radius, dxfattribs=_on(arc.pen))
    else:
        space.add_arc(centre, radius, arc.start, arc.end, dxfattribs=_on(arc.pen))


def _dxf_text(space: Any, text: Lettering, paper: float) -> None:
    places = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    written = space.add_text(
        _plain(text.text),
        height=text.height * paper,
        rotation=text.turn,
        dxfattribs={**_on(Pen.TEXT), "style": "LETTERING"},
    )
    written.set_placement(_scaled(text.at, paper), align=places[text.anchor])


def _dxf_dimension(space: Any, mark: Dimension, paper: float) -> None:
    (x, y), swap = mark.first, mark.along == "y"
    base = (mark.line, y) if swap else (x, mark.line)
    space.add_linear_dim(
        base=_scaled(base, paper),
        p1=_scaled(mark.first, paper),
        p2=_scaled(mark.second, paper),
        angle=90 if swap else 0,
        text=_plain(mark.text),
        dimstyle="WORKSHOP",
        dxfattribs=_on(Pen.DIMENSION),
    ).render()


def _on(pen: Pen) -> dict[str, str]:
    return {"layer": pen.layer.upper()}


def _scaled(point: Point, paper: float) -> Point:
    return point[0] * paper, point[1] * paper


def _plain(text: str) -> str:
    """The text without control characters, which no drawing format bears."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _show(number: float) -> str:
    """A number to a thousandth of a millimetre, without idle zeros."""
    text = f"{number:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
