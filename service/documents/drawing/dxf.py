"""A drawn sheet as DXF: the part true to size, the sheet around it scaled to suit.

So a length picked off it is the real one.
"""

import io
from typing import Any

from ezdxf import filemanagement, options, units  # type: ignore[attr-defined]
from ezdxf.enums import TextEntityAlignment
from ezdxf.lldxf.const import VALID_DXF_LINEWEIGHTS

from service.documents.drawing.sheet import (
    ARROW,
    FIGURE,
    OVERRUN,
    TEXT_GAP,
    Arc,
    Dimension,
    Filled,
    Hatching,
    Lettering,
    Line,
    Mark,
    Pen,
    Point,
    Sheet,
    draw_dimension,
)
from service.documents.drawing.writing import plain_text

options.write_fixed_meta_data_for_testing = True  # no time of day, no random marks: same bytes

PATTERN, PATTERN_SLOPE, PATTERN_GAP = "ANSI31", 45.0, 3.175
"""The pattern of hatching, and how its lines lean [deg] and stand apart [mm] of themselves."""

ALIGNMENTS = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}


def write_dxf(sheet: Sheet) -> bytes:
    """The sheet as DXF R2010 in millimetres."""
    paper = 1 / sheet.scale
    document = filemanagement.new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    _prepare_layers(document, paper)
    _prepare_dimensions(document, paper)
    space = document.modelspace()
    for mark in sheet.marks:
        _draw_mark(space, mark, paper)
    for kind in sorted(document.entitydb.dxf_types_in_use()):  # the library goes through a set
        document.classes.add_class(kind)
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8")


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
    document.dimstyles.add("WORKSHOP", dxfattribs={
        "dimtxsty": "LETTERING", "dimtxt": FIGURE, "dimasz": ARROW, "dimexo": TEXT_GAP,
        "dimexe": OVERRUN, "dimgap": TEXT_GAP, "dimtad": 1, "dimdec": 2, "dimzin": 8,
        "dimscale": paper,
    })  # fmt: skip


def _draw_mark(space: Any, mark: Mark, paper: float) -> None:
    match mark:
        case Line():
            points = [_scaled(point, paper) for point in mark.points]
            space.add_lwpolyline(points, close=mark.closed, dxfattribs=_on(mark.pen))
        case Arc():
            _draw_arc(space, mark, paper)
        case Hatching():
            hatch = space.add_hatch(dxfattribs=_on(Pen.HATCH))
            scale, angle = mark.gap / PATTERN_GAP * paper, mark.slope - PATTERN_SLOPE
            hatch.set_pattern_fill(PATTERN, scale=scale, angle=angle)
            for loop in (mark.boundary, *mark.voids):
                hatch.paths.add_polyline_path([_scaled(point, paper) for point in loop])
        case Filled():
            solid = space.add_hatch(dxfattribs=_on(Pen.DIMENSION))
            solid.paths.add_polyline_path([_scaled(point, paper) for point in mark.boundary])
        case Lettering():
            _draw_text(space, mark, paper)
        case Dimension():
            _draw_dimension(space, mark, paper)


def _draw_arc(space: Any, arc: Arc, paper: float) -> None:
    centre, radius = _scaled(arc.centre, paper), arc.radius * paper
    if arc.end - arc.start >= 360:
        space.add_circle(centre, radius, dxfattribs=_on(arc.pen))
    else:
        space.add_arc(centre, radius, arc.start, arc.end, dxfattribs=_on(arc.pen))


def _draw_text(space: Any, text: Lettering, paper: float) -> None:
    written = space.add_text(
        plain_text(text.text),
        height=text.height * paper,
        rotation=text.turn,
        dxfattribs={**_on(Pen.TEXT), "style": "LETTERING"},
    )
    written.set_placement(_scaled(text.at, paper), align=ALIGNMENTS[text.anchor])


def _draw_dimension(space: Any, mark: Dimension, paper: float) -> None:
    (x, y), swap = mark.first, mark.along == "y"
    base = (mark.line, y) if swap else (x, mark.line)
    (figure,) = (part for part in draw_dimension(mark) if isinstance(part, Lettering))
    (left, low), half = figure.at, FIGURE / 2
    space.add_linear_dim(
        base=_scaled(base, paper),
        p1=_scaled(mark.first, paper),
        p2=_scaled(mark.second, paper),
        angle=90 if swap else 0,
        text=plain_text(mark.text),
        location=_scaled((left - half, low) if swap else (left, low + half), paper),
        dimstyle="WORKSHOP",
        dxfattribs=_on(Pen.DIMENSION),
    ).render()


def _on(pen: Pen) -> dict[str, str]:
    return {"layer": pen.layer.upper()}


def _scaled(point: Point, paper: float) -> Point:
    return point[0] * paper, point[1] * paper
