"""A sheet with a drawing on it: lines, arcs, hatching, lettering and dimensions.

Places are millimetres on the sheet from its lower left corner. Lettering is of one width a letter,
so its length is known before it is set.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from textwrap import wrap
from typing import Literal

from service.quantities.wording import Measure, show_nominal

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

LETTER_WIDTH = 0.826  # width of a letter over the height of a capital, of the lettering used
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:mm|thou|in|ft|bar|psi|deg)\b)")

ARROW, FIGURE = 2.5, 2.5  # length of an arrow head, and height of the figure of a dimension [mm]
TEXT_GAP = 0.8  # between a dimension line and its figure, and where an extension line begins [mm]
OVERRUN = 1.5  # how far an extension line runs past the dimension line [mm]

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)  # of ISO 5455


class Pen(Enum):
    """The kinds of line of ISO 128: width [mm], and dashes and gaps [mm]."""

    OUTLINE = ("outline", 0.5, ())
    THIN = ("thin", 0.25, ())
    HIDDEN = ("hidden", 0.25, (3.0, 1.0))
    CENTRE = ("centre", 0.18, (7.0, 1.0, 0.6, 1.0))
    HATCH = ("hatch", 0.18, ())
    DIMENSION = ("dimension", 0.18, ())
    FRAME = ("frame", 0.7, ())
    TEXT = ("text", 0.25, ())
    DASHED = ("dashed", 0.5, (2.4, 1.1))
    DOTTED = ("dotted", 0.5, (0.6, 0.8))
    CHAINED = ("chained", 0.5, (3.2, 0.8, 0.6, 0.8))
    TWICE_CHAINED = ("twice-chained", 0.5, (1.6, 0.7, 0.4, 0.7, 0.4, 0.7))

    def __init__(self, layer: str, width: float, dashes: tuple[float, ...]) -> None:
        self.layer = layer
        self.width = width
        self.dashes = dashes


WAYS = (Pen.OUTLINE, Pen.DASHED, Pen.DOTTED, Pen.CHAINED, Pen.TWICE_CHAINED)
"""Pens of one width, the plainest first: they part lines where colour cannot."""


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
    """Cut metal: lines inside a boundary and outside the voids in it; `slope` in degrees."""

    boundary: tuple[Point, ...]
    voids: tuple[tuple[Point, ...], ...] = ()
    gap: float = 1.8
    slope: float = 45.0


@dataclass(frozen=True, slots=True)
class Filled:
    """A solid shape: an arrow head, a datum mark; one that fouls has its own colour on screen."""

    boundary: tuple[Point, ...]
    fouls: bool = False


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
    """A name that stands clear of the lines it lies on."""

    height: float = 3.5


@dataclass(frozen=True, slots=True)
class Dimension:
    """The distance between two points along x or y; `line` is where the dimension line lies."""

    first: Point
    second: Point
    along: Literal["x", "y"]
    line: float
    text: str
    before: bool = False
    """Where a figure too long for its place goes: before the first arrow or after the last."""


Mark = Line | Arc | Hatching | Filled | Lettering | Dimension


@dataclass(slots=True)
class Sheet:
    """What is drawn so far; one for the screen takes its ink from the page it stands on."""

    width: float
    height: float
    title: str
    scale: float = 1.0  # size on paper over true size
    measure: Measure = Measure.METRIC
    about: str = ""  # what it shows, for those who cannot see it
    on_screen: bool = False
    marks: list[Mark] = field(default_factory=list)

    @property
    def unit(self) -> str:
        """The unit of lengths that stand without one."""
        return "mm" if self.measure is Measure.METRIC else "in"

    @property
    def unit_note(self) -> str:
        return "Millimetres." if self.unit == "mm" else "Inches, or thou where said."

    def show_size(self, length: float) -> str:
        """A length [m] without the unit of the sheet: `15.88`, `5/8`, but `247.2 thou`."""
        text = show_nominal(length, self.measure).removesuffix(f" {self.unit}")
        return "0" if text == "0 thou" else text

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

    def arc(
        self, pen: Pen, centre: Point, radius: float, start: float = 0.0, end: float = 360.0
    ) -> None:
        """A circle, or the part of it from `start` anticlockwise to `end` [deg]."""
        self.marks.append(Arc(pen, centre, radius, start, end))

    def hatch(self, boundary: Sequence[Point], *voids: Sequence[Point]) -> None:
        """Cut metal, with what is open in it."""
        self.marks.append(Hatching(tuple(boundary), tuple(map(tuple, voids))))

    def fill(self, *boundary: Point) -> None:
        """A solid shape."""
        self.marks.append(Filled(boundary))

    def letter(
        self,
        text: str,
        at: Point,
        *,
        height: float = 2.5,
        anchor: Anchor = "start",
        turn: float = 0.0,
        room: float | None = None,
    ) -> None:
        """A line of text on its baseline, cut to its room; nothing where there is none."""
        if room is not None:
            text = shorten(text, room=room, height=height)
        if text:
            self.marks.append(Lettering(text, at, height, anchor, turn))

    def label(self, text: str, at: Point, *, anchor: Anchor = "start") -> None:
        """A name that stands clear of the lines it lies on."""
        self.marks.append(Label(text, at, anchor=anchor))

    def dimension(
        self,
        first: Point,
        second: Point,
        *,
        along: Literal["x", "y"],
        line: float,
        before: bool = False,
    ) -> None:
        """A dimension; its figure is the true length of what is drawn."""
        axis = 0 if along == "x" else 1
        text = self.show_size(abs(second[axis] - first[axis]) / self.scale / 1e3)
        self.marks.append(Dimension(first, second, along, line, text, before))

    def cross(self, centre: Point, reach: float) -> None:
        """Centre lines through a hole, a little past it."""
        (x, y), arm = centre, reach + 2.0
        self.line(Pen.CENTRE, (x - arm, y), (x + arm, y))
        self.line(Pen.CENTRE, (x, y - arm), (x, y + arm))


def choose_scale(width: float, height: float, *, room: Point) -> float:
    """The largest scale of ISO 5455 at which what is so wide and high [mm] fits its room."""
    fits = (scale for scale in SCALES if width * scale <= room[0] and height * scale <= room[1])
    return next(fits, SCALES[-1])


def show_scale(scale: float) -> str:
    """`2 : 1`, `1 : 5`."""
    return f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"


def text_width(text: str, height: float) -> float:
    """How long a line of text is on paper [mm]."""
    return len(text) * height * LETTER_WIDTH


def break_lines(text: str, letters: int) -> list[str]:
    """The text in lines of so many letters; a figure keeps its unit."""
    lines = wrap(_BEFORE_UNIT.sub("\u00a0", text), letters)
    return [line.replace("\u00a0", " ") for line in lines]


def shorten(text: str, *, room: float, height: float) -> str:
    """The text, cut to what fits into `room` [mm], an ellipsis where it was cut."""
    letters = int(room / (height * LETTER_WIDTH) + 1e-9)
    return text if len(text) <= letters else text[: max(letters - 1, 0)].rstrip() + "…"


def draw_dimension(mark: Dimension) -> list[Line | Filled | Lettering]:
    """A dimension as lines, arrow heads and its figure, which stands above the line."""
    swap, level = mark.along == "y", mark.line
    (a, from_a), (b, from_b) = sorted(
        (point[::-1] if swap else point) for point in (mark.first, mark.second)
    )
    tail = 2 * ARROW if b - a < 2 * ARROW + 1.0 else 0.0  # arrows from outside
    wide = text_width(mark.text, FIGURE)
    outside = wide > b - a - 1
    reach = tail + (wide + 2.0 if outside else 0.0)
    start, end = (a - reach, b + tail) if mark.before else (a - tail, b + reach)
    middle = (a + b) / 2
    if outside:
        away = tail + 1.0 + wide / 2
        middle = a - away if mark.before else b + away
    parts = (_extension(a, from_a, level), _extension(b, from_b, level),
             ((start, level), (end, level)))  # fmt: skip
    outward = 1.0 if tail else -1.0
    heads = (_arrow(a, level, outward), _arrow(b, level, -outward))
    return [
        *(Line(Pen.DIMENSION, _swapped(part, swap)) for part in parts),
        *(Filled(_swapped(head, swap)) for head in heads),
        _figure(mark.text, middle, level, swap=swap),
    ]


def _figure(text: str, middle: float, level: float, *, swap: bool) -> Label:
    if swap:
        return Label(text, (level - TEXT_GAP, middle), FIGURE, "middle", 90.0)
    return Label(text, (middle, level + TEXT_GAP), FIGURE, "middle")


def _extension(place: float, begin: float, level: float) -> tuple[Point, ...]:
    away = 1.0 if level > begin else -1.0
    return (place, begin + away * TEXT_GAP), (place, level + away * OVERRUN)


def _arrow(place: float, level: float, outward: float) -> tuple[Point, ...]:
    """An arrow head with its point at `place`, its tail on the side of -`outward`."""
    back = place - outward * ARROW
    return (place, level), (back, level + ARROW / 6), (back, level - ARROW / 6)


def _swapped(points: tuple[Point, ...], swap: bool) -> tuple[Point, ...]:
    return tuple((y, x) for x, y in points) if swap else points
