"""Quantities back to people: the wire form with its fixed unit, and the text in a measure."""

from fractions import Fraction
from math import isfinite

from service.engineering.constants import ATMOSPHERE
from service.engineering.saying import Figure
from service.engineering.threads.catalogue import nearest_drill
from service.quantities.errors import QuantityError
from service.quantities.kinds import TRAITS, Kind, nearest_float
from service.quantities.numbers import show_mixed
from service.quantities.quantity import Quantity
from service.quantities.units import INCH
from service.quantities.wire import Shown
from service.quantities.wording import Measure, show_figure

SIXTY_FOURTH = INCH / 64


def describe(
    quantity: Quantity | Fraction | float,
    kind: Kind | str | None = None,
    measure: Measure = Measure.METRIC,
    *,
    fine: bool = False,
) -> Shown:
    """The wire form of a quantity, or of a value in SI of the given kind.

    A quantity keeps the text it was typed as, in every measure. A pressure is gauge pascals unless
    the kind says otherwise; `fine` is a length read with a micrometer. Raises `QuantityError` for a
    value that is not finite.
    """
    if isinstance(quantity, Quantity):
        traits = TRAITS[quantity.kind]
        return Shown(value=traits.to_wire(quantity.value), unit=traits.unit, text=quantity.text)
    if kind is None:
        raise TypeError("a bare value needs its kind")
    traits = TRAITS[Kind(kind)]
    number = traits.to_wire(quantity)  # which refuses before the text would
    text = show(quantity, kind, measure, fine=fine)
    return Shown(value=number, unit=traits.unit, text=text)


def show(
    value: Fraction | float,
    kind: Kind | str,
    measure: Measure = Measure.METRIC,
    *,
    fine: bool = False,
) -> str:
    """A value in SI as it reads in a measure."""
    kind = Kind(kind)
    number = value if isinstance(value, float) else nearest_float(value)
    if kind is Kind.PRESSURE:
        number += ATMOSPHERE
    figure = "fine" if fine and kind is Kind.LENGTH else TRAITS[kind].figure
    text = show_figure(Figure(figure, number), measure)
    return f"{text} abs" if kind is Kind.PRESSURE_ABSOLUTE else text


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


def _require_size(length: Fraction | float) -> None:
    if not isfinite(length) or length < 0:
        raise QuantityError(f"{length} is not a length that can be shown.")
