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


WIRE_UNITS: dict[Unit, tuple[str, Fraction]] = {
    "m": ("mm", Fraction(1000)), "m2": ("mm2", Fraction(10**6)), "m3": ("ml", Fraction(10**6)),
    "Pa": ("bar abs", Fraction(1, 10**5)), "Pa gauge": ("bar", Fraction(1, 10**5)),
    "Pa difference": ("bar", Fraction(1, 10**5)), "Pa stress": ("MPa", Fraction(1, 10**6)),
    "1/s": ("rpm", Fraction(60)), "kg/s": ("g/min", Fraction(60000)), "kg": ("g", Fraction(1000)),
    "J/kg": ("kJ/kg", Fraction(1, 1000)), "J/kg/K": ("kJ/kg/K", Fraction(1, 1000)),
    "K": ("degC", Fraction(1)), "K difference": ("K", Fraction(1)), "s": ("min", Fraction(1, 60)),
    "rad": ("deg", 1 / DEGREE),
}  # fmt: skip
"""Unit over the wire, and factor; a temperature is then counted from the ice point. A unit not
listed goes out as it is: m3/kg, kg/s/m2, W, W/m, J, m/s, N, N m, kg/m3, Pa s, 1."""


def to_wire_unit(value: float, unit: Unit) -> tuple[float, str]:
    """A value in an engineering unit as (value, unit) over the wire, to twelve figures."""
    name, factor = WIRE_UNITS.get(unit, (str(unit), Fraction(1)))
    if name == unit:
        return value, name
    shift = float(-ICE_POINT) if unit == "K" else 0.0
    return float(f"{value * float(factor) + shift:.12g}"), name
