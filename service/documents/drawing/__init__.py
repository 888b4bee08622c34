"""The one drawing engine: shapes on a sheet, written as SVG, DXF or PDF."""

from service.documents.drawing.axes import Axes, draw_marker, part_labels, round_step, widen_range
from service.documents.drawing.sheet import (
    WAYS,
    Anchor,
    Filled,
    Hatching,
    Label,
    Pen,
    Point,
    Sheet,
    break_lines,
    choose_scale,
    shorten,
    show_scale,
    text_width,
)
from service.documents.drawing.svg import write_svg
from service.documents.drawing.table import Column, Table
from service.documents.drawing.title_block import (
    BORDER,
    FILING,
    TITLE_HEIGHT,
    TITLE_WIDTH,
    DrawingTitle,
    draw_title_block,
    write_notes,
)
from service.documents.drawing.writing import ENDINGS, Ending, write_sheet

__all__ = [
    "BORDER", "ENDINGS", "FILING", "TITLE_HEIGHT", "TITLE_WIDTH", "WAYS", "Anchor", "Axes",
    "Column", "DrawingTitle", "Ending", "Filled", "Hatching", "Label", "Pen", "Point", "Sheet",
    "Table", "break_lines", "choose_scale", "draw_marker", "draw_title_block", "part_labels",
    "round_step", "shorten", "show_scale", "text_width", "widen_range", "write_notes",
    "write_sheet", "write_svg",
]  # fmt: skip
