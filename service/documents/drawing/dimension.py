"""A dimension taken apart into lines, arrow heads and its figure."""

from service.documents.drawing.sheet import (
    Dimension,
    Filled,
    Label,
    Lettering,
    Line,
    Pen,
    Point,
    text_width,
)

ARROW = 2.5  # length of an arrow head [mm]
FIGURE = 2.5  # height of its figure [mm]
TEXT_GAP = 0.8  # between a dimension line and its figure, and where an extension line begins [mm]
OVERRUN = 1.5  # how far an extension line runs past the dimension line [mm]


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
