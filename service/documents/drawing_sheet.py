"""A sheet of paper with a drawing on it: lines, arcs, hatching, lettering and dimensions.

Places are millimetres on the paper from its lower left corner; what stands on it is written as
SVG or DXF by `drawing_writers`. Lettering is of one width a letter, so its length is known.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Literal

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

LETTER_WIDTH = 0.826
"""Width of a letter over the height of a capital, of the lettering used."""


class Pen(Enum):
    """The kinds of line of ISO 128: width [mm], and dashes and gaps [mm]."""

    OUTLINE = ("outline", 0.5, ())
    THIN = ("thin", 0.25, ())
    HIDDEN = ("hidden", 0.25, (3.0, 1.0))
    CENTRE = ("centre", 0.18, (7.0, 1.0, 0.6, 1.0))
    CUT = ("cut", 0.35, (7.0, 1.0, 0.6, 1.0))
    HATCH = ("hatch", 0.18, ())
    DIMENSION = ("dimension", 0.18, ())
    FRAME = ("frame", 0.7, ())
    TEXT = ("text", 0.25, ())

    def __init__(self, layer: str, width: float, dashes: tuple[float, ...]) -> None:
        self.layer = layer
        self.width = width
        self.dashes = dashes


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points; closed ones end where they began."""

    pen: Pen
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Arc:
    """A circle, or the part of it anticlockwise from `start` to `end` [deg]."""

    pen: Pen
    centre: Point
    radius: float
    start: float = 0.0
    end: float = 360.0


@dataclass(frozen=True, slots=True)
class Hatching:
    """Cut metal: lines at 45 degrees inside a boundary and outside the voids in it."""

    boundary: tuple[Point, ...]
    voids: tuple[tuple[Point, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Filled:
    """A black shape: an arrow head, a datum mark."""

    boundary: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Lettering:
    """A line of text; `height` is that of a capital [mm], `turn` anticlockwise [deg]."""

    text: str
    at: Point
    height: float = 2.5
    anchor: Anchor = "start"
    turn: float = 0.0


@dataclass(frozen=True, slots=True)
class Label(Lettering):
    """The letter of a hole or a section: it stands clear of the lines it lies on."""

    height: float = 3.5


@dataclass(frozen=True, slots=True)
class Dimension:
    """The distance between two points along x or y; `line` is where the dimension line lies."""

    first: Point
    second: Point
    along: Literal["x", "y"]
    line: float
    text: str


Mark = Line | Arc | Hatching | Filled | Lettering | Dimension


@dataclass(slots=True)
class Sheet:
    """What is drawn so far."""

    width: float
    height: float
    scale: float
    """Size on paper over true size."""
    title: str
    marks: list[Mark] = field(default_factory=list)

    def line(self, pen: Pen, *points: Point) -> None:
        """A line through points."""
        self.marks.append(Line(pen, points))

    def loop(self, pen: Pen, points: Sequence[Point]) -> None:
        """A closed line."""
        self.marks.append(Line(pen, tuple(points), closed=True))

    def box(self, pen: Pen, corner: Point, size: Point) -> None:
        """A rectangle by its lower left corner."""
        (x, y), (width, height) = corner, size
        self.loop(pen, ((x, y), (x + width, y), (x + width, y + height), (x, y + height)))

    def circle(self, pen: Pen, centre: Point, radius: float) -> None:
        """A whole circle."""
        self.marks.append(Arc(pen, centre, radius))

    def arc(self, pen: Pen, centre: Point, radius: float, *, start: float, end: float) -> None:
        """Part of a circle, anticlockwise [deg]."""
        self.marks.append(Arc(pen, centre, radius, start, end))

    def hatch(self, boundary: Sequence[Point], *voids: Sequence[Point]) -> None:
        """Cut metal, with what is open in it."""
        self.marks.append(Hatching(tuple(boundary), tuple(map(tuple, voids))))

    def fill(self, *boundary: Point) -> None:
        """A black shape."""
        self.marks.append(Filled(boundary))

    def letter(
        self,
        text: str,
        at: Point,
        *,
        height: float = 2.5,
        anchor: Anchor = "start",
        turn: float = 0.0,
    ) -> None:
        """A line of text on its baseline."""
        self.marks.append(Lettering(text, at, height, anchor, turn))

    def label(self, text: str, at: Point, *, anchor: Anchor = "start") -> None:
        """The letter of a hole or a section."""
        self.marks.append(Label(text, at, anchor=anchor))

    def measure(
        self, first: Point, second: Point, *, along: Literal["x", "y"], line: float, text: str
    ) -> None:
        """A dimension."""
        self.marks.append(Dimension(first, second, along, line, text))

    def cross(self, centre: Point, reach: float) -> None:
        """Centre lines through a hole, a little past it."""
        (x, y), arm = centre, reach + 2.0
        self.line(Pen.CENTRE, (x - arm, y), (x + arm, y))
        self.line(Pen.CENTRE, (x, y - arm), (x, y + arm))


def text_width(text: str, height: float) -> float:
    """How long a line of text is on paper [mm]."""
    return len(text) * height * LETTER_WIDTH


def shorten(text: str, *, room: float, height: float) -> str:
    """The text, cut to what fits into `room` [mm], an ellipsis where it was cut."""
    letters = int(room / (height * LETTER_WIDTH))
    return text if len(text) <= letters else text[: max(letters - 1, 0)].rstrip() + "…"
