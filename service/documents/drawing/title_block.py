"""What surrounds a drawing: the frame, the notes and the title block."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from service.documents.drawing.sheet import Pen, Point, Sheet, break_lines, shorten, text_width
from service.documents.wording import show_day

FILING, BORDER = 20.0, 10.0  # margins, for filing on the left and elsewhere [mm]: ISO 5457

TITLE_WIDTH, TITLE_HEIGHT = 158.0, 60.0
"""Size of the title block [mm]; on a sheet that is little wider it takes the whole width."""

HEADING_ROOM, CELL = 16.0, 10.0  # height of the head of the title block, and of a row [mm]

CAPTION, FACT, HEADING = 1.8, 2.5, 4.5  # heights of lettering in the title block [mm]

NOTE, NOTE_STEP = 2.2, 4.4  # height of the lettering of notes, and from note to note [mm]
CAUTION = "Indicative, no certificate: the inspector's pressure is the limit."


@dataclass(frozen=True, slots=True)
class DrawingTitle:
    """What the drawing is called, and whose it is; blank for what is not known."""

    title: str
    workshop: str = ""
    number: str = ""  # drawing number
    reference: str = ""  # the commission
    drawn_on: dt.date | None = None

    @property
    def name(self) -> str:
        return f"{self.title} {self.number}".strip()


def draw_title_block(
    sheet: Sheet, title: DrawingTitle, *, facts: Sequence[tuple[str, str]], notes: Sequence[str]
) -> None:
    """The frame of ISO 5457 and the title block in its corner; `facts` are a caption and a text."""
    framed = sheet.width - FILING - BORDER, sheet.height - 2 * BORDER
    sheet.box(Pen.FRAME, (FILING, BORDER), framed)
    left, top = _left_of(sheet), BORDER + TITLE_HEIGHT
    sheet.box(Pen.FRAME, (left, BORDER), (_width_of(sheet), TITLE_HEIGHT))
    _draw_heading(sheet, title, (left, top))
    drawn = show_day(title.drawn_on) if title.drawn_on else ""
    rows = [
        [("Commission", title.reference), ("Drawing number", title.number), ("Drawn", drawn)],
        *[list(facts[place : place + 3]) for place in range(0, len(facts), 3)],
    ]
    for count, row in enumerate(rows):
        _draw_row(sheet, row, (left, top - HEADING_ROOM - (count + 1) * CELL))
    for count, note in enumerate(reversed((*notes, CAUTION))):
        at = left + 2.0, BORDER + 1.7 + count * 4.1
        sheet.letter(shorten(note, room=_width_of(sheet) - 4.0, height=NOTE), at, height=NOTE)


def write_notes(sheet: Sheet, notes: Sequence[str], *, bottom: float | None = None) -> float:
    """The notes, the last lowest, over the title block or what stands there; their top [mm]."""
    left, room = _left_of(sheet) + 2.0, _width_of(sheet) - 4.0
    letters = int(room / text_width("m", NOTE))
    lines = [line for note in notes for line in break_lines(note, letters)]
    low = (BORDER + TITLE_HEIGHT if bottom is None else bottom) + 3.0
    for count, line in enumerate(reversed(lines)):
        sheet.letter(line, (left, low + count * NOTE_STEP), height=NOTE)
    return low + len(lines) * NOTE_STEP


def _width_of(sheet: Sheet) -> float:
    framed = sheet.width - FILING - BORDER
    return TITLE_WIDTH if framed > 1.5 * TITLE_WIDTH else framed


def _left_of(sheet: Sheet) -> float:
    return sheet.width - BORDER - _width_of(sheet)


def _draw_heading(sheet: Sheet, title: DrawingTitle, corner: Point) -> None:
    left, top = corner
    width = _width_of(sheet)
    room = width - 36.0
    sheet.letter(shorten(title.workshop, room=room, height=FACT), (left + 2.0, top - 4.6))
    words = shorten(title.title, room=room, height=HEADING)
    sheet.letter(words, (left + 2.0, top - 12.5), height=HEADING)
    symbol = left + width - 32.0
    sheet.line(Pen.THIN, (symbol, top), (symbol, top - HEADING_ROOM))
    middle = symbol + 16.0
    sheet.letter("First-angle projection", (middle, top - 3.2), height=1.5, anchor="middle")
    _draw_projection_symbol(sheet, (middle + 1.0, top - 9.6))


def _draw_projection_symbol(sheet: Sheet, centre: Point) -> None:
    """The symbol of first-angle projection, ISO 5456-2: the cone, and its small end to the right
    of it as seen from the left."""
    x, y = centre
    small, large, left, right = 1.5, 3.0, x - 11.0, x - 3.0
    cone = ((left, y - small), (right, y - large), (right, y + large), (left, y + small))
    sheet.loop(Pen.OUTLINE, cone)
    round_x = x + 5.5
    sheet.arc(Pen.OUTLINE, (round_x, y), small)
    sheet.arc(Pen.OUTLINE, (round_x, y), large)
    sheet.line(Pen.CENTRE, (left - 1.5, y), (right + 1.5, y))
    sheet.cross((round_x, y), large - 0.5)


def _draw_row(sheet: Sheet, row: Sequence[tuple[str, str]], corner: Point) -> None:
    (left, bottom), whole = corner, _width_of(sheet)
    sheet.line(Pen.THIN, (left, bottom + CELL), (left + whole, bottom + CELL))
    sheet.line(Pen.THIN, (left, bottom), (left + whole, bottom))
    width = whole / len(row)
    for place, (caption, text) in enumerate(row):
        x = left + place * width
        if place:
            sheet.line(Pen.THIN, (x, bottom), (x, bottom + CELL))
        sheet.letter(caption, (x + 2.0, bottom + CELL - 3.0), height=CAPTION)
        words = shorten(text, room=width - 3.0, height=FACT)
        sheet.letter(words, (x + 2.0, bottom + 2.0), height=FACT)
