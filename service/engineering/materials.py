"""Metals that fittings are made of: strength on the low side, and how they take a tap."""

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, cached_property
from typing import Literal, cast

from service.engineering.constants import MEGAPASCAL
from service.engineering.data_files import need_number, read_table
from service.engineering.errors import UnknownMaterial

Tapping = Literal["soft", "steel", "tough"]

SHEAR_SHARE = 0.577  # shear strength over tensile strength: von Mises, 1 / sqrt 3


@dataclass(frozen=True)  # no slots: what follows from the table is reckoned once
class Material:
    """A metal; strengths in pascals."""

    name: str
    tensile_strength: float  # least tensile strength, cold [Pa]
    hot_share: float  # share of the strength that is left in steam at 200 degC
    tapping: Tapping
    description: str
    source: str

    @cached_property
    def steam_strength(self) -> float:
        """Tensile strength reckoned on in steam [Pa]."""
        return self.tensile_strength * self.hot_share

    @cached_property
    def shear_strength(self) -> float:
        """Shear strength reckoned on in steam [Pa]."""
        return SHEAR_SHARE * self.steam_strength


@cache
def materials() -> tuple[Material, ...]:
    """Every metal of the table.

    Returns: in table order; strengths [Pa].
    Source: Each row of `materials.csv` names its own; the shares kept hot are from memory.
    """
    return tuple(
        Material(
            name=row["name"],
            tensile_strength=need_number(row, "tensile_strength", scale=MEGAPASCAL),
            hot_share=need_number(row, "hot_share"),
            tapping=cast(Tapping, row["tapping"]),
            description=row["description"],
            source=row["source"],
        )
        for row in read_table("materials.csv")
    )


def find_material(name: str) -> Material:
    """Look a metal up by name.

    name: such as `brass`, `gunmetal`, `mild steel`; capitals do not matter.
    Returns: its strengths [Pa].
    Raises UnknownMaterial: the table has none of that name; names the nearest.
    Source: As `materials`.
    """
    known = {material.name: material for material in materials()}
    wanted = name.casefold()
    if wanted in known:
        return known[wanted]
    raise UnknownMaterial(name, tuple(get_close_matches(wanted[:60], known, n=3, cutoff=0.4)))


def take_material(material: Material | str) -> Material:
    """The material itself, looked up where only its name is given.

    material: a material or its name.
    Returns: its strengths [Pa].
    Raises UnknownMaterial: a name that is not in the table.
    Source: As `materials`.
    """
    return find_material(material) if isinstance(material, str) else material
