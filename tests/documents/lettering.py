"""Where the lettering of a sheet lies, to see that none is on another and none is off the sheet."""

from itertools import combinations

from service.documents.drawing.sheet import Dimension, Lettering, Sheet, draw_dimension, text_width

Box = tuple[float, float, float, float]


def all_lettering(sheet: Sheet) -> list[Lettering]:
    """Every line of text, the figures of dimensions too."""
    parts = [
        part
        for mark in sheet.marks
        for part in (draw_dimension(mark) if isinstance(mark, Dimension) else [mark])
    ]
    return [part for part in parts if isinstance(part, Lettering) and part.text]


def text_box(mark: Lettering) -> Box:
    """Left, bottom, right and top of a line of text [mm]."""
    (x, y), wide = mark.at, text_width(mark.text, mark.height)
    back = {"start": 0.0, "middle": wide / 2, "end": wide}[mark.anchor]
    if mark.turn:
        return x - mark.height, y - back, x, y - back + wide
    return x - back, y, x - back + wide, y + mark.height


def overlapping(sheet: Sheet) -> list[tuple[str, str]]:
    """Pairs of texts that lie on one another."""
    boxes = [(mark.text, text_box(mark)) for mark in all_lettering(sheet)]
    return [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if _meet(one, other)]


def outside(sheet: Sheet, left: float, bottom: float, right: float, top: float) -> list[str]:
    """Texts that leave a frame, given by what it leaves free at each side [mm]."""
    found = []
    for mark in all_lettering(sheet):
        x, y, far, high = text_box(mark)
        if min(x - left, y - bottom, sheet.width - right - far, sheet.height - top - high) < 0:
            found.append(mark.text)
    return found


def _meet(one: Box, other: Box) -> bool:
    return (
        min(one[2], other[2]) - max(one[0], other[0]) > 0.1
        and min(one[3], other[3]) - max(one[1], other[1]) > 0.1
    )
