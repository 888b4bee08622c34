"""What surrounds a drawing: the frame, the notes, the title block and ruled tables."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from service.documents.drawing.sheet import LETTER_WIDTH, Pen, Point, Sheet, break_lines, text_width
from service.documents.wording import show_day

FILING, BORDER = 20.0, 10.0  # margins, for filing on the left and elsewhere [mm]: ISO 5457

TITLE_WIDTH, TITLE_HEIGHT = 158.0, 60.0
"""Size of the title block [mm]; on a sheet that is little wider it takes the whole width."""

HEADING_ROOM, CELL = 16.0, 10.0  # height of the head of the title block, and of a row [mm]

CAPTION, FACT, HEADING = 1.8, 2.5, 4.5  # heights of lettering in the title block [mm]

NOTE, NOTE_STEP = 2.2, 4.4  # height of the lettering of notes, and from note to note [mm]
CAUTION = "Indicative, no certificate: the inspector's pressure is the limit."

TABLE_HEIGHTS = (2.5, 2.2, 2.0)  # of lettering in a table, the first that fits is taken [mm]

HEAD_LINE, HEAD_LETTERS = 3.6, 2.0
"""Height of a line of a table's head and of the letters in it [mm]."""

SIDE, LEADING = 1.2, 2.1
"""White beside a cell [mm]; pitch of its lines over the height of their letters."""


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
        sheet.letter(note, at, height=NOTE, room=_width_of(sheet) - 4.0)


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
    sheet.letter(title.workshop, (left + 2.0, top - 4.6), room=room)
    sheet.letter(title.title, (left + 2.0, top - 12.5), height=HEADING, room=room)
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
        sheet.letter(text, (x + 2.0, bottom + 2.0), height=FACT, room=width - 3.0)


@dataclass(frozen=True, slots=True)
class Column:
    """A column: the two lines of its head, how many letters it takes, over how many lines."""

    head: tuple[str, str]
    most: int = 40
    lines: int = 1
    stretches: bool = False  # whether it takes the room that the others leave


@dataclass(frozen=True, slots=True)
class Table:
    """A table ready to be drawn, no wider than its room [mm]."""

    columns: tuple[Column, ...]
    cells: tuple[tuple[tuple[str, ...], ...], ...]  # rows of cells of lines
    room: float

    @classmethod
    def lay_out(
        cls, columns: Sequence[Column], rows: Sequence[Sequence[str]], *, room: float
    ) -> "Table":
        """Break every cell into the lines of its column."""
        cells = (
            tuple(_break(text, column) for text, column in zip(row, columns, strict=True))
            for row in rows
        )
        return cls(tuple(columns), tuple(cells), room)

    @property
    def letters(self) -> float:
        """Height of the lettering [mm]."""
        fits = (height for height in TABLE_HEIGHTS if sum(self._widths(height)) <= self.room)
        return next(fits, TABLE_HEIGHTS[-1])

    @property
    def head(self) -> float:
        """Height of the head, of one line or of two [mm]."""
        return 1.8 + HEAD_LINE * (2 if any(column.head[1] for column in self.columns) else 1)

    @property
    def height(self) -> float:
        return self.head + sum(self._depths())

    def draw(self, sheet: Sheet, corner: Point) -> None:
        """The table by its lower left corner, its head on top."""
        (left, bottom), letters = corner, self.letters
        widths, top = self._widths(letters), bottom + self.height
        sheet.box(Pen.OUTLINE, corner, (sum(widths), self.height))
        sheet.line(Pen.OUTLINE, (left, top - self.head), (left + sum(widths), top - self.head))
        level = top - self.head
        for depth in self._depths()[:-1]:
            level -= depth
            sheet.line(Pen.DIMENSION, (left, level), (left + sum(widths), level))
        x = left
        for place, width in enumerate(widths):
            if place:
                sheet.line(Pen.DIMENSION, (x, bottom), (x, top))
            self._draw_column(sheet, place, (x + SIDE, top))
            x += width

    def _draw_column(self, sheet: Sheet, place: int, corner: Point) -> None:
        (x, top), letters = corner, self.letters
        for line, words in enumerate(self.columns[place].head):
            sheet.letter(words, (x, top - HEAD_LINE * (1 + line)), height=HEAD_LETTERS)
        level = top - self.head
        for row, depth in zip(self.cells, self._depths(), strict=True):
            for line, text in enumerate(row[place]):
                y = level - letters * (0.5 * LEADING + 0.5 + line * LEADING)
                sheet.letter(text, (x, y), height=letters)
            level -= depth

    def _widths(self, letters: float) -> list[float]:
        widths = []
        for place, column in enumerate(self.columns):
            most = max((len(line) for row in self.cells for line in row[place]), default=0)
            head = max(map(len, column.head)) * HEAD_LETTERS
            widths.append(max(most * letters, head) * LETTER_WIDTH + 2 * SIDE)
        for place, column in enumerate(self.columns):
            if column.stretches:
                widths[place] += max(self.room - sum(widths), 0.0)
        return widths

    def _depths(self) -> list[float]:
        return [max(map(len, row)) * self.letters * LEADING for row in self.cells]


def _break(text: str, column: Column) -> tuple[str, ...]:
    """The text over the lines of a column, an ellipsis where it was cut."""
    lines = break_lines(text, column.most) if column.lines > 1 else [text]
    kept = lines[: column.lines] or [""]
    if len(lines) > len(kept) or len(kept[-1]) > column.most:
        kept[-1] = kept[-1][: column.most - 1].rstrip() + "…"
    return tuple(kept)
