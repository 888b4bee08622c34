"""Sentences made of their parts, in the measure of the workshop or the one asked for.

The one place where engineering's figures become words. Pressures are written as a gauge shows
them. Lengths in inches: a nominal length is a 64th where it is one to within 0.02 mm; all else is
in thou to one decimal, from an inch on in inches to four. What has a name of its own (a drill, a
thread, a bar) keeps it in every measure.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import copysign, floor, isfinite, log10, pi

from service.engineering.constants import ATMOSPHERE, CELSIUS
from service.engineering.findings import Unit
from service.engineering.saying import Figure, FigureKind, Said
from service.quantities.errors import QuantityError
from service.quantities.numbers import show_decimal, show_mixed
from service.quantities.units import (
    FOOT,
    IMPERIAL_GALLON,
    INCH,
    OUNCE,
    POUND,
    POUND_FORCE,
    PSI,
    RANKINE,
    US_GALLON,
)
from service.quantities.wire import Shown, to_wire_unit

NOMINAL_TOLERANCE = 20e-6
"""How far from a sixty-fourth a nominal length may lie and still be called one [m]."""

LONG_RUN = 3 * float(FOOT)  # A length above this is written in feet [m]
LARGE_AREA = 0.1  # an area from this is written in square metres or feet [m2]


class Measure(StrEnum):
    """The measure that texts are written in."""

    METRIC = "metric"
    IMPERIAL = "imperial"
    US = "us"


@dataclass(frozen=True, slots=True)
class Writing:
    """How one kind of figure is written: its unit, and how many figures are worth showing."""

    unit: str
    scale: float  # one such unit in SI
    figures: int = 3
    places: int = 2  # decimal places at the most
    zero: float = 0.0  # the SI value at which the unit reads nought
    names_least: bool = True
    """Whether what is too small to show is `under` the least shown; false where nought is a mark on
    a scale and not nothing, as of a temperature."""

    def write(self, value: float) -> str:
        """The value with its unit."""
        number = self._number_of(value)
        places = self._places_of(number)
        text = show_decimal(number, places=places)
        if text == "0" and self.names_least and number > _NOTHING:
            text = f"under {show_decimal(10.0**-places, places=places)}"
        return f"{text} {self.unit}".rstrip()

    def count(self, value: float) -> float:
        """How many of the unit, rounded as they are written."""
        number = self._number_of(value)
        return round(number, self._places_of(number))

    def _number_of(self, value: float) -> float:
        number = (value - self.zero) / self.scale
        if not isfinite(number):
            raise QuantityError(f"{value} is not a figure that can be shown.")
        return number

    def _places_of(self, number: float) -> int:
        exponent = floor(log10(abs(number))) if number else 0
        return min(max(self.figures - 1 - exponent, 0), self.places)


_NOTHING = 1e-12  # what is smaller, in the unit that is written, came of rounding


def word(said: Said | str, measure: Measure = Measure.METRIC) -> str:
    """A sentence in words; the figures in it as `show_figure` writes them."""
    if isinstance(said, str):
        return said
    return "".join(part if isinstance(part, str) else show_figure(part, measure) for part in said)


def show_figure(figure: Figure, measure: Measure = Measure.METRIC) -> str:
    """One figure with its unit in a measure; a name as it stands."""
    if isinstance(figure.value, str):
        return figure.value
    if not isfinite(figure.value):
        raise QuantityError(f"{figure.value} is not a figure that can be shown.")
    own = _OWN.get(figure.kind)
    if own is not None:
        return own(figure.value, measure)
    return _WRITINGS[measure][figure.kind].write(figure.value)


def convert_figure(figure: Figure, measure: Measure = Measure.METRIC) -> tuple[float, str]:
    """One figure as a bare number, not rounded, and the unit of it: one unit a kind and measure."""
    writing = _BARE[measure].get(figure.kind) or _WRITINGS[measure][figure.kind]
    return (float(figure.value) - writing.zero) / writing.scale, writing.unit


def figures_in(said: Said | str) -> Iterable[tuple[str, Figure]]:
    """The figures of a sentence by name: as they are called, else by their kind, then numbered."""
    seen: dict[str, int] = {}
    for part in said:
        if isinstance(part, str) or part.kind == "name":
            continue
        called = part.called or part.kind
        seen[called] = seen.get(called, 0) + 1
        yield (called if seen[called] == 1 else f"{called}_{seen[called]}"), part


def describe_figure(figure: Figure, measure: Measure = Measure.METRIC) -> Shown:
    """One figure as it goes over the wire: value and unchanging unit, and text in a measure."""
    gauge = ATMOSPHERE if figure.kind == "pressure" else 0.0
    value, unit = to_wire_unit(float(figure.value) - gauge, _UNITS[figure.kind])
    if not isfinite(value):
        raise QuantityError(f"{figure.value} is not a figure that can be shown.")
    return Shown(value=value, unit=unit, text=show_figure(figure, measure))


def show_nominal(metres: float, measure: Measure = Measure.METRIC) -> str:
    """A nominal length: `15.88 mm`; in inches a 64th where it is one, else thou; feet for a run."""
    if measure is Measure.METRIC:
        return _write_as_large(metres, _MILLIMETRES, 10_000, _METRES)
    if abs(metres) > LONG_RUN:
        return _FEET.write(metres)
    sixty_fourths = round(metres / _SIXTY_FOURTH)
    if sixty_fourths > 0 and abs(metres - sixty_fourths * _SIXTY_FOURTH) <= NOMINAL_TOLERANCE:
        return f"{show_mixed(Fraction(sixty_fourths, 64))} in"
    return show_fine(metres, measure)


def show_fine(metres: float, measure: Measure = Measure.METRIC) -> str:
    """A measured length: `6.28 mm`, `0.043 mm`; in inches `247.2 thou`, over one `1.3125 in`."""
    if measure is Measure.METRIC:
        return _write_as_large(metres, _MICRONS, 1, _MILLIMETRES)
    return _write_as_large(metres, _THOU, 1000, _INCHES)


def _write_as_large(value: float, small: Writing, limit: float, large: Writing) -> str:
    """In the smaller unit, until that would be written as `limit` of them."""
    return (small if abs(small.count(value)) < limit else large).write(value)


def _show_area(square_metres: float, measure: Measure) -> str:
    if abs(square_metres) < LARGE_AREA:
        return _WRITINGS[measure]["area"].write(square_metres)
    return (_SQUARE_METRES if measure is Measure.METRIC else _SQUARE_FEET).write(square_metres)


def _show_power(watts: float, _: Measure) -> str:
    return _write_as_large(watts, _WATTS, 10_000, _KILOWATTS)


def _show_mass(kilograms: float, measure: Measure) -> str:
    if measure is Measure.METRIC:
        return _write_as_large(kilograms, _GRAMS, 1000, _KILOGRAMS)
    return _write_as_large(kilograms, _OUNCES, 16, _POUNDS)


def _show_volume(cubic_metres: float, measure: Measure) -> str:
    if measure is Measure.METRIC:
        return _MILLILITRES.write(cubic_metres)
    if measure is Measure.US:
        return _US_OUNCES.write(cubic_metres)
    return _write_as_large(cubic_metres, _FLUID_OUNCES, 20, _PINTS)


def _show_duration(seconds: float, _: Measure) -> str:
    if _SECONDS.count(seconds) < 120:
        return _SECONDS.write(seconds)
    hours, minutes = divmod(round(seconds / 60), 60)
    parts = [f"{hours} h"] if hours else []
    return " ".join([*parts, f"{minutes} min"] if minutes or not hours else parts)


def _show_share(part: float, _: Measure) -> str:
    """A percentage that is never rounded to the whole, or to nothing, unless it is that."""
    percent = _PERCENT.count(part)
    if percent == 0 and abs(part) > _NOTHING:
        return "under 0.1 %" if part > 0 else "over -0.1 %"
    if 0.99 < abs(part) < 1.01 and abs(abs(part) - 1) > _NOTHING:
        percent = copysign(_near_whole(abs(part) * 100), part)
    return f"{show_decimal(percent, places=1)} %"


def _near_whole(percent: float) -> float:
    return min(round(percent, 1), 99.9) if percent < 100 else max(round(percent, 1), 100.1)


def _show_turns(turns: float, _: Measure) -> str:
    """To a tenth, which is written of a whole number too."""
    if _NOTHING < turns < 0.05:
        return "under 0.1"
    return f"{turns:.1f}".replace("-0.0", "0.0")


_OWN: dict[FigureKind, Callable[[float, Measure], str]] = {
    "length": show_nominal,
    "fine": show_fine,
    "area": _show_area,
    "power": _show_power,
    "mass": _show_mass,
    "volume": _show_volume,
    "duration": _show_duration,
    "share": _show_share,
    "turns": _show_turns,
    "count": lambda number, _: str(round(number)),
}

_UNITS: dict[FigureKind, Unit] = {
    "length": "m", "fine": "m", "area": "m2", "volume": "m3", "mass": "kg", "force": "N",
    "torque": "N m", "pressure": "Pa gauge", "drop": "Pa difference", "stress": "Pa stress",
    "temperature": "K", "rise": "K difference", "speed": "1/s", "velocity": "m/s", "flow": "kg/s",
    "power": "W", "heat_loss": "W/m", "angle": "rad", "duration": "s", "share": "1", "turns": "1",
    "number": "1", "count": "1",
}  # fmt: skip
"""The unit of engineering that each kind of figure is held in."""

_SIXTY_FOURTH = float(INCH) / 64
_MILLIMETRES = Writing("mm", 1e-3, figures=6)
_METRES = Writing("m", 1.0)
_MICRONS = Writing("mm", 1e-3, places=3)
_INCHES = Writing("in", float(INCH), figures=6, places=4)
_THOU = Writing("thou", float(INCH) / 1000, figures=5, places=1)
_FEET = Writing("ft", float(FOOT), figures=5)
_SQUARE_METRES = Writing("m2", 1.0)
_SQUARE_FEET = Writing("sq ft", float(FOOT) ** 2)
_WATTS = Writing("W", 1.0, places=1)
_KILOWATTS = Writing("kW", 1e3)
_GRAMS = Writing("g", 1e-3, places=1)
_KILOGRAMS = Writing("kg", 1.0)
_OUNCES = Writing("oz", float(OUNCE))
_POUNDS = Writing("lb", float(POUND))
_MILLILITRES = Writing("ml", 1e-6, places=1)
_FLUID_OUNCES = Writing("fl oz", float(IMPERIAL_GALLON / 160))
_PINTS = Writing("pint", float(IMPERIAL_GALLON / 8))
_US_OUNCES = Writing("US fl oz", float(US_GALLON / 128))
_SECONDS = Writing("s", 1.0, places=1)
_PERCENT = Writing("%", 0.01, figures=2, places=1)

_METRIC: dict[FigureKind, Writing] = {
    "speed": Writing("rpm", 1 / 60, places=1),
    "angle": Writing("deg", pi / 180, figures=4, places=2),
    "number": Writing("", 1.0, places=3),
    "pressure": Writing("bar", 1e5, zero=ATMOSPHERE),
    "drop": Writing("bar", 1e5, places=3),
    "stress": Writing("MPa", 1e6, places=1),
    "area": Writing("mm2", 1e-6),
    "force": Writing("N", 1.0, places=1),
    "torque": Writing("N m", 1.0, places=3),
    "flow": Writing("g/min", 1 / 60_000, places=1),
    "velocity": Writing("m/s", 1.0, places=1),
    "heat_loss": Writing("W/m", 1.0, places=1),
    "temperature": Writing("degC", 1.0, places=1, zero=CELSIUS, names_least=False),
    "rise": Writing("K", 1.0, places=1),
}
_IMPERIAL: dict[FigureKind, Writing] = {
    **_METRIC,
    "pressure": Writing("psi", float(PSI), places=1, zero=ATMOSPHERE),
    "drop": Writing("psi", float(PSI)),
    "stress": Writing("psi", float(PSI), places=0),
    "area": Writing("sq in", float(INCH) ** 2, places=5),
    "force": Writing("lbf", float(POUND_FORCE), places=1),
    "torque": Writing("lbf in", float(POUND_FORCE * INCH)),
    "velocity": Writing("ft/s", float(FOOT), places=1),
    "heat_loss": Writing("W/ft", 1 / float(FOOT), places=1),
}
_US: dict[FigureKind, Writing] = {
    **_IMPERIAL,
    "flow": Writing("oz/min", float(OUNCE) / 60),
    "temperature": Writing(
        "degF", float(RANKINE), places=1, zero=CELSIUS - 32 * float(RANKINE), names_least=False
    ),
    "rise": Writing("degF", float(RANKINE), places=1),
}
_WRITINGS = {Measure.METRIC: _METRIC, Measure.IMPERIAL: _IMPERIAL, Measure.US: _US}
_INCH: dict[FigureKind, Writing] = {
    "length": _INCHES, "fine": _INCHES, "mass": _OUNCES, "power": _WATTS
}  # fmt: skip
_BARE: dict[Measure, dict[FigureKind, Writing]] = {
    Measure.METRIC: {
        "length": _MILLIMETRES, "fine": _MILLIMETRES, "mass": _GRAMS, "volume": _MILLILITRES,
        "power": _WATTS,
    },
    Measure.IMPERIAL: {**_INCH, "volume": _FLUID_OUNCES},
    Measure.US: {**_INCH, "volume": _US_OUNCES},
}  # fmt: skip
"""The one unit of a kind that is otherwise written in several."""
