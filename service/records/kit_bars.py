"""Bar as a workshop names it: by a name of the tables, or by its shape and size."""

import re
from typing import Literal

from service.engineering.block import stock_sections
from service.engineering.kit import Bar, BarShape
from service.engineering.threads.remedies import hexagon_bars
from service.quantities import Kind, parse

WANTED = "Write 5/8 in square, 20 mm round, 3/8 in hexagon or 15 x 20 mm."
THINNEST, THICKEST = 0.003, 0.2  # across [m]
_SHAPED = re.compile(r"(?P<size>.+) (?P<shape>square|round|hexagon)", re.IGNORECASE)
_RECTANGLE = re.compile(r"(?P<width>.+?) ?x ?(?P<height>.+?) ?(?P<unit>in|mm|\")", re.IGNORECASE)


def read_bar(text: str, *, metal: str, length: float) -> Bar:
    """The bar that a text names; its sizes and length in metres."""
    name = " ".join(text.split())
    shape, width, height, unit = _of_the_tables(name) or _of_its_own_size(name)
    if not (min(width, height) >= THINNEST and max(width, height) <= THICKEST):
        raise ValueError("A bar is 3 to 200 mm across.")
    return Bar(name, shape, width, height, unit, metal, length)


Found = tuple[BarShape, float, float, Literal["in", "mm"]]


def _of_the_tables(name: str) -> Found | None:
    for section in stock_sections():
        if section.name.lower() == name.lower():
            return section.shape, section.width, section.height, section.unit
    for bar in hexagon_bars():
        if bar.name.lower() == name.lower():
            return "hexagon", bar.size, bar.size, _unit_of(name)
    return None


def _of_its_own_size(name: str) -> Found:
    if found := _SHAPED.fullmatch(name):
        size = parse(found["size"], Kind.LENGTH).si
        shape: BarShape = found["shape"].lower()  # type: ignore[assignment]
        return shape, size, size, _unit_of(found["size"])
    if found := _RECTANGLE.fullmatch(name):
        width, height = (
            parse(f"{found[side]} {found['unit']}", Kind.LENGTH).si for side in ("width", "height")
        )
        return "rectangle", width, height, _unit_of(name)
    raise ValueError(f"{name!r} is no bar. {WANTED}")


def _unit_of(text: str) -> Literal["in", "mm"]:
    return "mm" if "mm" in text.lower() else "in"
