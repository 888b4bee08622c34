"""Bar that fittings are made from: hexagon sizes and the weight of the metals."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from service.engineering.data_files import need_number, read_table, read_unit
from service.engineering.errors import NoSolution, require
from service.engineering.findings import Finding
from service.engineering.kit import Bar
from service.engineering.materials import find_material
from service.engineering.saying import length as nominal
from service.engineering.saying import name, say

ROUNDING = 1e-6  # how much a bar may measure under what is wanted [m]


@dataclass(frozen=True, slots=True)
class HexagonBar:
    """Hexagon bar of the table; size across flats in metres."""

    name: str
    size: float
    source: str


def choose_hexagon(
    least: float, *, metal: str = "", length: float = 0.0, stock: Iterable[Bar] | None = None
) -> tuple[HexagonBar, tuple[Finding, ...]]:
    """The smallest hexagon bar that is large and long enough, of the rack before the table."""
    if stock is None:
        return _of_the_table(least), ()
    on_hand = [
        HexagonBar(bar.name, bar.width, "the bars on hand")
        for bar in stock
        if bar.shape == "hexagon" and bar.metal == metal and bar.length >= length
        if bar.width >= least - ROUNDING
    ]
    if on_hand:
        return min(on_hand, key=lambda bar: bar.size), ()
    wanted = _of_the_table(least)
    text = say(
        "No hexagon bar on hand will do: ", nominal(length, "length"), " of ",
        name(wanted.name, "bar"), " ", name(metal), " is wanted.",
    )  # fmt: skip
    found = Finding("caution", "no-bar-on-hand", text, source="the bars on hand")
    return wanted, (found,)


def _of_the_table(least: float) -> HexagonBar:
    require(least > 0, "least", "The bar must be above 0 across flats.")
    for bar in hexagon_bars():
        if bar.size >= least - ROUNDING:
            return bar
    wide = say("No hexagon bar of the table is ", nominal(least), " across flats: ")
    raise NoSolution(say(*wide, "choose smaller threads or a smaller bore."), field="bore")


def density_of(material: str) -> float:
    """Density of a bar metal.

    material: the metal.
    Returns: density [kg/m3].
    Raises UnknownMaterial: a metal that is not in the table of materials.
    Raises NoSolution: a metal of which no density is tabled.
    Source: `bar_metals.csv`.
    """
    metal = find_material(material).name
    densities = _read_densities()
    if metal not in densities:
        raise NoSolution(f"No density is tabled for {metal}.", field="material")
    return densities[metal]


@cache
def hexagon_bars() -> tuple[HexagonBar, ...]:
    """Every hexagon bar of the table.

    Returns: by rising size across flats [m].
    Source: Each row of `hexagon_bars.csv` names its own.
    """
    bars = (
        HexagonBar(row["name"], need_number(row, "size", scale=read_unit(row)), row["source"])
        for row in read_table("hexagon_bars.csv")
    )
    return tuple(sorted(bars, key=lambda bar: bar.size))


@cache
def _read_densities() -> dict[str, float]:
    return {row["material"]: need_number(row, "density") for row in read_table("bar_metals.csv")}
