"""Every unit spelling that is understood, per kind of quantity, with its exact value in SI.

The same letters mean different things in different fields: `m` is metres in a length and minutes in
a duration. A bare `pt`, `pint`, `gal` or `fl oz` is imperial; US measures say so. `hp` is the
imperial horsepower, `Btu` the international table unit, `cwt` the hundredweight of 112 lb.

Spellings are matched without regard to capitals, except those that hold a capital in `units.csv`.
The sizes are those of pint's registry, in exact fractions; it is asked for the names below and for
nothing else, and what people write never reaches it.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import product
from math import prod
from typing import Literal

from pint import UnitRegistry

from service.quantities.kinds import DEGREE, Kind, read_own_table

_ONE = Fraction(1)
_size = UnitRegistry(non_int_type=Fraction).convert

INCH = _size(_ONE, "inch", "meter")
FOOT = _size(_ONE, "foot", "meter")
OUNCE = _size(_ONE, "ounce", "kilogram")
POUND = _size(_ONE, "pound", "kilogram")
HUNDREDWEIGHT = _size(_ONE, "long_hundredweight", "kilogram")
OUNCE_FORCE = _size(_ONE, "force_ounce", "newton")
POUND_FORCE = _size(_ONE, "force_pound", "newton")
KILOGRAM_FORCE = _size(_ONE, "kilogram_force", "newton")
PSI = _size(_ONE, "force_pound / inch**2", "pascal")
HORSEPOWER = _size(_ONE, "horsepower", "watt")
BTU = _size(_ONE, "Btu_it", "joule")
"""The international table unit; pint's plain `Btu` is another, of 1055.056 J."""
IMPERIAL_GALLON = _size(_ONE, "imperial_gallon", "meter**3")
US_GALLON = _size(_ONE, "gallon", "meter**3")
RANKINE = _size(_ONE, "delta_degree_Fahrenheit", "kelvin")

del _size  # the registry goes with it: no request needs its megabytes

_SIZES = {
    "inch": INCH, "foot": FOOT, "ounce": OUNCE, "pound": POUND, "hundredweight": HUNDREDWEIGHT,
    "ounce_force": OUNCE_FORCE, "pound_force": POUND_FORCE, "kilogram_force": KILOGRAM_FORCE,
    "psi": PSI, "horsepower": HORSEPOWER, "btu": BTU, "imperial_gallon": IMPERIAL_GALLON,
    "us_gallon": US_GALLON, "rankine": RANKINE, "degree": DEGREE,
}  # fmt: skip
"""What `units.csv` calls the sizes that are more than a number."""

Reference = Literal["none", "gauge", "absolute"]


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: `scale` of it in SI, `zero` the SI value at which it reads nought.

    Units of one `system` may be added in falling order (1 ft 2 in); those without one never.
    `reference` says what a pressure is measured from, where the spelling says so.
    """

    scale: Fraction
    system: str = ""
    zero: Fraction = Fraction(0)
    reference: Reference = "none"


Row = tuple[list[str], Unit]

_REFERENCES: dict[Reference, str] = {
    "none": "",
    "gauge": "{g| g|(g)| (g)| gauge| (gauge)}",
    "absolute": "{a| a|(a)| (a)| abs|(abs)| (abs)| absolute}",
}
"""What ends a unit of pressure that says what it is measured from."""


@cache
def spellings(kind: Kind) -> dict[str, Unit]:
    """The units of one kind by spelling; lower case but where the capital matters."""
    table: dict[str, Unit] = {}
    for names, unit in _rows_of(kind):
        for name in names:
            table[name] = table[name.replace("2", "^2").replace("3", "^3")] = unit
    return table


def list_units(kind: Kind) -> list[str]:
    """The first spelling of each unit of a kind, for a description."""
    firsts: dict[Unit, str] = {}
    for names, unit in _rows_of(kind):
        firsts.setdefault(unit, names[0])
    return list(firsts.values())


def _rows_of(kind: Kind) -> list[Row]:
    if kind is Kind.MASS_FLOW:
        return [
            ([f"{mass}/{time}" for mass in masses for time in times], Unit(one.scale / other.scale))
            for masses, one in _ROWS[Kind.MASS]
            for times, other in _ROWS[Kind.DURATION]
        ]
    pressures = (Kind.PRESSURE_ABSOLUTE, Kind.PRESSURE_DIFFERENCE)
    return _ROWS[Kind.PRESSURE if kind in pressures else kind]


def _read_rows() -> Iterator[tuple[Kind, Row]]:
    for row in read_own_table("units.csv"):
        kind, pattern = Kind(row["kind"]), row["spellings"]
        scale = prod(map(_read_factor, row["size"].split()), start=_ONE)
        zero = Fraction(row["zero"] or 0)
        for reference, ending in _REFERENCES.items():
            if ending and kind is not Kind.PRESSURE:
                break
            names = _spell(f"{{{pattern}}}{ending}" if ending else pattern)
            yield kind, (names, Unit(scale, row["system"], zero, reference))


def _read_factor(text: str) -> Fraction:
    return _SIZES.get(text) or Fraction(text)


def _spell(pattern: str) -> list[str]:
    """Every spelling of a pattern; one without braces is a single list of choices."""
    parts = re.findall(r"[^{}]+", pattern)
    return ["".join(choice) for choice in product(*(part.split("|") for part in parts))]


_ROWS: dict[Kind, list[Row]] = {}
for _kind, _row in _read_rows():
    _ROWS.setdefault(_kind, []).append(_row)
