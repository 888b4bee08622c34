"""Bar that a block can be cut from."""

from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from math import pi, sqrt
from typing import Annotated, Literal, cast

from service.engineering.data_files import Row, need_number, read_table, read_unit
from service.engineering.errors import UnknownName, require
from service.engineering.materials import find_material
from service.engineering.saying import length, say

Shape = Literal["square", "rectangle", "round"]

FACING_ALLOWANCE = 0.002  # left on the length for facing both ends [m]; common practice

LEAST_BAR, LARGEST_BAR = 0.003, 0.2  # bars that a block is planned in, across [m]
BAR_SIZES = say("A bar is ", length(LEAST_BAR, "least"), " to ", length(LARGEST_BAR), " across.")


@dataclass(frozen=True, slots=True)
class Section:
    """A bar as it lies: square, rectangle or round; lengths in metres."""

    name: str
    shape: Shape
    width: Annotated[float, "m"]  # from front to back; the diameter of a round
    height: Annotated[float, "m"]  # from bottom to top; the diameter of a round
    unit: Literal["in", "mm"] = "mm"  # what the bar is sized in, and so how it is set out
    materials: tuple[str, ...] = ()
    """Metals it is commonly kept in; none named: whatever is asked for."""
    source: str = "as given"
    left: float | None = None  # what is left of the bar; None: as much as is wanted

    def __post_init__(self) -> None:
        for field, size in (("width", self.width), ("height", self.height)):
            require(LEAST_BAR <= size <= LARGEST_BAR, field, BAR_SIZES)
        require(
            self.shape == "rectangle" or self.width == self.height,
            "height",
            "A square or round bar is as high as it is wide.",
        )

    @property
    def area(self) -> Annotated[float, "m2"]:
        """Area of the section."""
        full = self.width * self.height
        return full * pi / 4 if self.shape == "round" else full

    def turned(self) -> "Section":
        """The same bar on its other side."""
        return replace(self, width=self.height, height=self.width)

    def reach(self, place: str, across: float) -> float:
        """From the middle to a face [m]; on a round, to a flat `across` [m] wide."""
        if self.shape == "round":
            return sqrt(max(self.width**2 - across**2, 0.0)) / 2
        return (self.height if place in ("top", "bottom") else self.width) / 2

    def breadth(self, place: str) -> float:
        """Width of a face [m]; of an end, its lesser side."""
        if place in ("top", "bottom"):
            return self.width
        return self.height if place in ("front", "back") else min(self.width, self.height)


@cache
def stock_sections() -> tuple[Section, ...]:
    """Every bar of the table of stock, in table order.

    Returns: squares, rectangles and rounds, inch and metric; sizes [m].
    Source: Each row of `stock_sections.csv` names its own.
    """
    return tuple(_read_section(row) for row in read_table("stock_sections.csv"))


def sections_in(material: str) -> tuple[Section, ...]:
    """The bars of the table of stock that a metal is commonly kept in."""
    name = find_material(material).name
    return tuple(section for section in stock_sections() if name in section.materials)


def find_section(name: str) -> Section:
    """Look a bar up by name.

    name: such as `5/8 in square`, `15 x 20 mm`, `20 mm round`.
    Returns: the bar; sizes [m].
    Raises UnknownName: the table has none of that name; names the nearest.
    Source: As `stock_sections`.
    """
    known = {section.name: section for section in stock_sections()}
    if name in known:
        return known[name]
    nearest = tuple(get_close_matches(name[:60], known, n=3, cutoff=0.4))
    raise UnknownName(name, nearest, kind="bar", field="sections")


def _read_section(row: Row) -> Section:
    unit = read_unit(row)
    return Section(
        name=row["name"],
        shape=cast(Shape, row["shape"]),
        width=need_number(row, "width", scale=unit),
        height=need_number(row, "height", scale=unit),
        unit=cast(Literal["in", "mm"], row["unit"]),
        materials=tuple(row["materials"].split(";")),
        source=row["source"],
    )
