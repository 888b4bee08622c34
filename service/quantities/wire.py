"""The SI units of engineering findings and workings, as the workshop reads them."""

from fractions import Fraction
from typing import TypedDict

from service.engineering.findings import Unit
from service.quantities.kinds import DEGREE, ICE_POINT


class Shown(TypedDict):
    """A quantity as it goes over the wire."""

    value: float
    unit: str
    text: str


_ONE = Fraction(1)
_NOUGHT = Fraction(0)

WIRE_UNITS: dict[Unit, tuple[str, Fraction, Fraction]] = {
    "m": ("mm", Fraction(1000), _NOUGHT),
    "m2": ("mm2", Fraction(10**6), _NOUGHT),
    "m3": ("ml", Fraction(10**6), _NOUGHT),
    "Pa": ("bar abs", Fraction(1, 10**5), _NOUGHT),
    "Pa gauge": ("bar", Fraction(1, 10**5), _NOUGHT),
    "Pa difference": ("bar", Fraction(1, 10**5), _NOUGHT),
    "Pa stress": ("MPa", Fraction(1, 10**6), _NOUGHT),
    "1/s": ("rpm", Fraction(60), _NOUGHT),
    "kg/s": ("g/min", Fraction(60000), _NOUGHT),
    "kg": ("g", Fraction(1000), _NOUGHT),
    "J/kg": ("kJ/kg", Fraction(1, 1000), _NOUGHT),
    "J/kg/K": ("kJ/kg/K", Fraction(1, 1000), _NOUGHT),
    "K": ("degC", _ONE, -ICE_POINT),
    "K difference": ("K", _ONE, _NOUGHT),
    "s": ("min", Fraction(1, 60), _NOUGHT),
    "rad": ("deg", 1 / DEGREE, _NOUGHT),
}
"""Unit over the wire, factor, and what is then added. A unit not listed goes out as it is:
m3/kg, kg/s/m2, W, W/m, J, m/s, N, N m, kg/m3, Pa s, 1."""


def to_wire_unit(value: float, unit: Unit) -> tuple[float, str]:
    """A value in an engineering unit as (value, unit) over the wire, to twelve figures."""
    name, factor, shift = WIRE_UNITS.get(unit, (str(unit), _ONE, _NOUGHT))
    if name == unit:
        return value, name
    return float(f"{value * float(factor) + float(shift):.12g}"), name
