"""A ruled table on a sheet: its columns as wide as what stands in them."""

from collections.abc import Sequence
from dataclasses import dataclass

from service.documents.drawing.sheet import LETTER_WIDTH, Pen, Point, Sheet, break_lines

HEIGHTS = (2.5, 2.2, 2.0)  # heights of lettering, the first that fits is taken [mm]

HEAD_LINE, HEAD_LETTERS = 3.6, 2.0
"""Height of a line of a table's head and of the letters in it [mm]."""

SIDE, LEADING = 1.2, 2.1
"""White beside a cell [mm]; pitch of its lines over the height of their letters."""


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
        fits = (height for height in HEIGHTS if sum(self._widths(height)) <= self.room)
        return next(fits, HEIGHTS[-1])

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
