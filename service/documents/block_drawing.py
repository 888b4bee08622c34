"""The workshop drawing of a distribution block, as SVG, DXF and PDF: two views, an end, two
sections, a table of holes and a title block, in first-angle projection on A3."""

import datetime as dt
from dataclasses import dataclass
from math import degrees

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
from service.documents.drawing_title import DrawingTitle, Strip, draw_strip, measure_strip
from service.documents.drawing_writers import write_dxf, write_pdf, write_svg
from service.engineering.block.plan import BlockPlan
from service.engineering.block.setting_out import Hole

__all__ = ["DrawingTitle", "draw_block", "draw_block_dxf", "draw_block_pdf", "draw_block_svg"]

PAPER = (420.0, 297.0)
"""A3 lying down [mm]: ISO 5457."""

LEFT, BORDER = 20.0, 10.0
"""Margins: for filing on the left, and elsewhere [mm]: ISO 5457."""

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)
"""Of ISO 5455."""

BESIDE, BETWEEN = 34.0, 46.0
"""Left of the views for dimensions, and between the views of a row [mm]."""

ABOVE_VIEW, BELOW_VIEW = 13.0, 23.0
"""Room over a view for its letters, and under it for its dimensions [mm]."""


def draw_block_svg(plan: BlockPlan, *, title: DrawingTitle) -> bytes:
    """The drawing as SVG, as large as the paper."""
    return write_svg(draw_block(plan, title=title))


def draw_block_dxf(plan: BlockPlan, *, title: DrawingTitle) -> bytes:
    """The drawing as DXF in millimetres, the block true to size."""
    return write_dxf(draw_block(plan, title=title))


def draw_block_pdf(plan: BlockPlan, *, title: DrawingTitle) -> bytes:
    """The drawing as a PDF of one A3 page."""
    return write_pdf(draw_block(plan, title=title))
