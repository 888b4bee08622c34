"""Quantities back to people: the wire form with its fixed unit, and workshop notation."""

from fractions import Fraction
from math import isfinite
from typing import TypedDict

from service.engineering.threads.catalogue import nearest_drill
from service.quantities.errors import QuantityError
from service.quantities.kinds import TRAITS, Kind, Traits
from service.quantities.numbers import show_decimal, show_four_figures, show_mixed
from service.quantities.quantity import Quantity
from service.quantities.units import INCH, PSI

SIXTY_FOURTH = INCH / 64
_SIXTY_FOURTH = float(SIXTY_FOURTH)
LONGEST_IN_INCHES = 1000
"""No longer length is shown as a fraction of an inch [m]."""

NEAR_ENOUGH = 1e-7
"""How far from a sixty-fourth a length may be and still be called one [m]."""

WHOLE_PSI = Fraction(1, 1000)
"""How far from a whole psi a pressure may be and still be called one [psi]."""

PRESSURES = {Kind.PRESSURE, Kind.PRESSURE_DIFFERENCE}


class Shown(TypedDict):
    """A quantity as it goes over the wire."""

    value: float
    unit: str
    text: str


def describe(quantity: Quantity | Fraction | float, kind: Kind | str | None = None) -> Shown:
    """The wire form of a quantity, or of a value in SI of the given kind.

    A quantity keeps the text it was typed as. A pressure is gauge pascals unless the kind says
    otherwise. Raises `QuantityError` for a value that is not finite.
    """
    if isinstance(quantity, Quantity):
        traits = TRAITS[quantity.kind]
        return Shown(value=traits.to_wire(quantity.value), unit=traits.unit, text=quantity.text)
    if kind is None:
        raise TypeError("a bare value needs its kind")
    traits = TRAITS[Kind(kind)]
    number = traits.to_wire(quantity)
    return Shown(value=number, unit=traits.unit, text=_show(quantity, number, traits, Kind(kind)))


def show(value: Fraction | float, kind: Kind | str) -> str:
    """A value in SI in workshop notation; reading it gives the value back as far as it shows."""
    kind = Kind(kind)
    traits = TRAITS[kind]
    return _show(value, traits.to_wire(value), traits, kind)


def _show(value: Fraction | float, number: float, traits: Traits, kind: Kind) -> str:
    if kind is Kind.LENGTH:
        return _show_length(value)
    if kind is Kind.DURATION:
        return show_minutes(number)
    if kind in PRESSURES:
        return _show_pressure(Fraction(value), number)
    return f"{show_four_figures(number)} {traits.unit}"


def nearest_64th(length: Fraction | float) -> str:
    """A length in metres to the nearest 1/64 in: 0.0056 is `7/32 in`."""
    _require_size(length)
    return f"{show_mixed(round(Fraction(length) / SIXTY_FOURTH) * Fraction(1, 64))} in"


def nearest_drill_text(length: Fraction | float) -> str:
    """The name of the drill nearest to a diameter in metres: `7/32 in`, `No. 2`, `5.6 mm`."""
    _require_size(length)
    if length == 0:
        raise QuantityError("A hole of no diameter has no drill: write e.g. 5.6 mm.")
    return nearest_drill(float(length)).name


def show_minutes(minutes: float) -> str:
    """Minutes as hours and minutes: 90 is `1 h 30 min`; hundredths of a minute are kept."""
    if not isfinite(minutes) or minutes < 0:
        raise QuantityError(f"{minutes} is not a number of minutes that can be shown.")
    hours, rest = divmod(Fraction(show_decimal(minutes, places=2)), 60)
    parts = [f"{hours} h"] if hours else []
    if rest or not hours:
        parts.append(f"{show_decimal(rest, places=2)} min")
    return " ".join(parts)


def _show_length(length: Fraction | float) -> str:
    in_inches = length < LONGEST_IN_INCHES
    sixty_fourths = round(length / _SIXTY_FOURTH) if in_inches else 0
    if sixty_fourths > 0 and abs(length - sixty_fourths * _SIXTY_FOURTH) <= NEAR_ENOUGH:
        return f"{show_mixed(Fraction(sixty_fourths, 64))} in"
    return f"{show_decimal(length * 1000, places=3)} mm"


def _show_pressure(pascals: Fraction, bar: float) -> str:
    """Whole psi where it is whole psi and not a round number of bar; else bar."""
    psi = round(pascals / PSI)
    is_round = Fraction(show_decimal(bar, places=2)) * 10**5 == pascals
    if psi > 0 and not is_round and abs(pascals / PSI - psi) <= WHOLE_PSI:
        return f"{psi} psi"
    return f"{show_four_figures(bar)} bar"


def _require_size(length: Fraction | float) -> None:
    if not isfinite(length) or length < 0:
        raise QuantityError(f"{length} is not a length that can be shown.")
