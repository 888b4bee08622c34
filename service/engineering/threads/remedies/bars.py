"""Bar that fittings are made from: hexagon sizes and the weight of the metals."""

from dataclasses import dataclass
from functools import cache

from service.engineering.data_files import need_number, read_table, read_unit
from service.engineering.errors import NoSolution, require
from service.engineering.materials import find_material
from service.engineering.saying import length, say


@dataclass(frozen=True, slots=True)
class HexagonBar:
    """Hexagon bar of the table; size across flats in metres."""

    name: str
    size: float
    source: str


def choose_hexagon(least: float) -> HexagonBar:
    """The smallest hexagon bar of the table that is large enough."""
    require(least > 0, "least", "The bar must be above 0 across flats.")
    for bar in _read_hexagons():
        if bar.size >= least - 1e-6:
            return bar
    raise NoSolution(say("No hexagon bar of the table is ", length(least), " across flats."))


def density_of(material: str) -> float:
    """Density of a bar metal.

    Parameters
    ----------
    material : str
        The metal.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    UnknownMaterial
        A metal that is not in the table of materials.
    NoSolution
        A metal of which no density is tabled.

    Source
    ------
    `bar_metals.csv`.
    """
    name = find_material(material).name
    densities = _read_densities()
    if name not in densities:
        raise NoSolution(f"No density is tabled for {name}.", field="material")
    return densities[name]


@cache
def _read_hexagons() -> tuple[HexagonBar, ...]:
    bars = (
        HexagonBar(row["name"], need_number(row, "size", scale=read_unit(row)), row["source"])
        for row in read_table("hexagon_bars.csv")
    )
    return tuple(sorted(bars, key=lambda bar: bar.size))


@cache
def _read_densities() -> dict[str, float]:
    return {row["material"]: need_number(row, "density") for row in read_table("bar_metals.csv")}
