"""What surrounds a drawing: the frame, the title block with the projection symbol, tables."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from service.documents.drawing_sheet import Pen, Point, Sheet, shorten
from service.documents.wording import show_day

FILING, BORDER = 20.0, 10.0
"""Margins, for filing on the left and elsewhere [mm]: ISO 5457."""

TITLE_WIDTH, TITLE_HEIGHT = 158.0, 60.0
"""Size of the title block [mm]."""

CELL = 10.0
"""Height of a row of the title block [mm]."""

CAPTION, FACT, HEADING = 1.8, 2.5, 4.5
"""Heights of lettering in the title block [mm]."""

ROW, HEAD = 5.6, 9.0
"""Heights of a row and of the head of a table [mm]."""

CAUTION = "Indicative, no certificate: the inspector's pressure is the limit."


@dataclass(frozen=True, slots=True)
class DrawingTitle:
    """What the drawing is called, and whose it is; blank for what is not known."""

    title: str = "Distribution block"
    workshop: str = ""
    number: str = ""
    """Drawing number."""
    reference: str = ""
    """The commission."""
    drawn_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: the two lines of its head, and its width [mm]."""

    head: tuple[str, str]
    width: float


def draw_frame(sheet: Sheet) -> None:
    """The frame of ISO 5457."""
    size = sheet.width - FILING - BORDER, sheet.height - 2 * BORDER
    sheet.box(Pen.FRAME, (FILING, BORDER), size)


def draw_title_block(
    sheet: Sheet, title: DrawingTitle, *, facts: Sequence[tuple[str, str]], notes: Sequence[str]
) -> None:
    """The title block in the lower right corner; `facts` are a caption and a text each."""
    left, bottom = sheet.width - BORDER - TITLE_WIDTH, BORDER
    sheet.box(Pen.FRAME, (left, bottom), (TITLE_WIDTH, TITLE_HEIGHT))
    top = bottom + TITLE_HEIGHT
    _draw_heading(sheet, title, (left, top))
    drawn = show_day(title.drawn_on) if title.drawn_on else ""
    rows = [
        [("Commission", title.reference), ("Drawing number", title.number), ("Drawn", drawn)],
        *[list(facts[place : place + 3]) for place in range(0, len(facts), 3)],
    ]
    for count, row in enumerate(rows):
        _draw_row(sheet, row, (left, top - 16.0 - (count + 1) * CELL))
    for count, note in enumerate((*notes, CAUTION)):
        at = left + 2.0, bottom + 1.7 + (len(notes) - count) * 4.1
        sheet.letter(shorten(note, room=TITLE_WIDTH - 4.0, height=2.2), at, height=2.2)


def draw_table(
    sheet: Sheet,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    *,
    corner: Point,
) -> None:
    """A table by its lower left corner, its head on top."""
    left, bottom = corner
    width = sum(column.width for column in columns)
    height = measure_table(len(rows))
    top = bottom + height
    sheet.box(Pen.OUTLINE, corner, (width, height))
    sheet.line(Pen.OUTLINE, (left, top - HEAD), (left + width, top - HEAD))
    for place in range(1, len(rows)):
        y = top - HEAD - place * ROW
        sheet.line(Pen.DIMENSION, (left, y), (left + width, y))
    x = left
    for place, column in enumerate(columns):
        if place:
            sheet.line(Pen.DIMENSION, (x, bottom), (x, top))
        for line, words in enumerate(column.head):
            sheet.letter(words, (x + 1.5, top - 3.6 - 3.6 * line), height=2.0)
        for count, row in enumerate(rows):
            y = top - HEAD - count * ROW - ROW / 2 - FACT / 2
            text = shorten(row[place], room=column.width - 2.5, height=FACT)
            sheet.letter(text, (x + 1.5, y), height=FACT)
        x += column.width


def measure_table(rows: int) -> float:
    """How high a table of so many rows is [mm]."""
    return HEAD + rows * ROW


def draw_projection_symbol(sheet: Sheet, centre: Point) -> None:
    """The symbol of first-angle projection, ISO 5456-2: the cone, and its small end to the right
    of it as seen from the left."""
    x, y = centre
    small, large, half = 1.5, 3.0, 4.0
    cone = ((x - 11.0, y - small), (x - 11.0 + 2 * half, y - large))
    (left, _), (right, _) = cone
    sheet.loop(
        Pen.OUTLINE,
        ((left, y - small), (right, y - large), (right, y + large), (left, y + small)),
    )
    round_centre = (x + 5.5, y)
    sheet.circle(Pen.OUTLINE, round_centre, small)
    sheet.circle(Pen.OUTLINE, round_centre, large)
    sheet.line(Pen.CENTRE, (left - 1.5, y), (right + 1.5, y))
    sheet.line(Pen.CENTRE, (round_centre[0] - 4.5, y), (round_centre[0] + 4.5, y))
    sheet.line(Pen.CENTRE, (round_centre[0], y - 4.5), (round_centre[0], y + 4.5))


def _draw_heading(sheet: Sheet, title: DrawingTitle, corner: Point) -> None:
    left, top = corner
    room = TITLE_WIDTH - 36.0
    sheet.letter(shorten(title.workshop, room=room, height=FACT), (left + 2.0, top - 4.6))
    words = shorten(title.title, room=room, height=HEADING)
    sheet.letter(words, (left + 2.0, top - 12.5), height=HEADING)
    symbol = left + TITLE_WIDTH - 32.0
    sheet.line(Pen.THIN, (symbol, top), (symbol, top - 16.0))
    caption = "First-angle projection"
    middle = symbol + 16.0
    sheet.letter(caption, (middle, top - 3.2), height=1.5, anchor="middle")
    draw_projection_symbol(sheet, (middle + 1.0, top - 9.6))


def _draw_row(sheet: Sheet, row: Sequence[tuple[str, str]], corner: Point) -> None:
    left, bottom = corner
    sheet.line(Pen.THIN, (left, bottom + CELL), (left + TITLE_WIDTH, bottom + CELL))
    sheet.line(Pen.THIN, (left, bottom), (left + TITLE_WIDTH, bottom))
    width = TITLE_WIDTH / len(row)
    for place, (caption, text) in enumerate(row):
        x = left + place * width
        if place:
            sheet.line(Pen.THIN, (x, bottom), (x, bottom + CELL))
        sheet.letter(caption, (x + 2.0, bottom + CELL - 3.0), height=CAPTION)
        words = shorten(text, room=width - 3.0, height=FACT)
        sheet.letter(words, (x + 2.0, bottom + 2.0), height=FACT)
