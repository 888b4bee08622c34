"""Sentences made of their parts, in the measure of the workshop or the one asked for.

The one place where engineering's figures become words. Pressures are written as a gauge shows
them. Lengths in inches: a nominal length is a 64th where it is one to within 0.02 mm; everything
else is thou to one decimal. What has a name of its own (a drill, a thread, a bar) keeps it in every
measure.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import floor, isfinite, log10, pi

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

LONG_RUN = 3 * float(FOOT)
"""A length above this is written in feet [m]."""

LARGE_AREA = 0.1
"""An area from this is written in square metres or feet [m2]."""


class Measure(StrEnum):
    """The measure that texts are written in."""

    METRIC = "metric"
    IMPERIAL = "imperial"
    US = "us"


@dataclass(frozen=True, slots=True)
class Writing:
    """How one kind of figure is written: its unit, and how many figures are worth showing."""

    unit: str
    scale: float
    """One such unit in SI."""
    figures: int = 3
    places: int = 2
    """Decimal places at the most."""
    zero: float = 0.0
    """The SI value at which the unit reads nought."""

    def write(self, value: float) -> str:
        """The value with its unit; one too small to show is `under` the least that is shown."""
        number = (value - self.zero) / self.scale
        places = self._places_of(number)
        text = show_decimal(number, places=places)
        if text == "0" and abs(number) > _NOTHING:
            least = show_decimal(10.0**-places, places=places)
            text = f"under {least}" if number > 0 else "0"
        return f"{text} {self.unit}".rstrip()

    def _places_of(self, number: float) -> int:
        exponent = floor(log10(abs(number))) if number else 0
        return min(max(self.figures - 1 - exponent, 0), self.places)


_NOTHING = 1e-12
"""What is smaller came of rounding."""


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
    return Shown(value=value, unit=unit, text=show_figure(figure, measure))


def show_nominal(metres: float, measure: Measure = Measure.METRIC) -> str:
    """A nominal length: `15.9 mm`; in inches a 64th where it is one, else thou; feet for a run."""
    if measure is Measure.METRIC:
        return (_MILLIMETRES if metres < 10.0 else _METRES).write(metres)
    if metres > LONG_RUN:
        return _FEET.write(metres)
    sixty_fourths = round(metres / _SIXTY_FOURTH)
    if sixty_fourths > 0 and abs(metres - sixty_fourths * _SIXTY_FOURTH) <= NOMINAL_TOLERANCE:
        return f"{show_mixed(Fraction(sixty_fourths, 64))} in"
    return show_fine(metres, measure)


def show_fine(metres: float, measure: Measure = Measure.METRIC) -> str:
    """A measured length: `6.28 mm`, `0.043 mm`; in inches `247.2 thou`, over one `1.3125 in`."""
    if measure is Measure.METRIC:
        return (_MILLIMETRES if abs(metres) >= 1e-3 else _MICRONS).write(metres)
    return (_INCHES if abs(metres) >= float(INCH) else _THOU).write(metres)


def _show_area(square_metres: float, measure: Measure) -> str:
    if square_metres < LARGE_AREA:
        return _WRITINGS[measure]["area"].write(square_metres)
    return (_SQUARE_METRES if measure is Measure.METRIC else _SQUARE_FEET).write(square_metres)


def _show_power(watts: float, _: Measure) -> str:
    return (_WATTS if abs(watts) < 1e4 else _KILOWATTS).write(watts)


def _show_mass(kilograms: float, measure: Measure) -> str:
    if measure is Measure.METRIC:
        return (_KILOGRAMS if kilograms >= 1.0 else _GRAMS).write(kilograms)
    return (_POUNDS if kilograms >= float(POUND) else _OUNCES).write(kilograms)


def _show_volume(cubic_metres: float, measure: Measure) -> str:
    if measure is Measure.METRIC:
        return _MILLILITRES.write(cubic_metres)
    if measure is Measure.US:
        return _US_OUNCES.write(cubic_metres)
    return (_PINTS if cubic_metres >= _PINTS.scale else _FLUID_OUNCES).write(cubic_metres)


def _show_duration(seconds: float, _: Measure) -> str:
    if seconds < 120.0:
        return _SECONDS.write(seconds)
    minutes = round(seconds / 60.0)
    hours, rest = divmod(minutes, 60)
    parts = [f"{hours} h"] if hours else []
    return " ".join([*parts, f"{rest} min"] if rest or not hours else parts)


def _show_share(part: float, _: Measure) -> str:
    """A percentage that never rounds to the whole unless it is the whole."""
    percent = part * 100.0
    near_whole = 99.0 < percent < 100.0
    places = 1 if abs(percent) < 10.0 or near_whole else 0
    text = show_decimal(min(percent, 99.9) if near_whole else percent, places=places)
    if text == "0" and percent > _NOTHING:
        text = "under 0.1"
    return f"{text} %"


def _show_turns(turns: float, _: Measure) -> str:
    return f"{turns + 0.0:.1f}"


def _show_count(number: float, _: Measure) -> str:
    return str(int(number))


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
    "count": _show_count,
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

_EVERYWHERE: dict[FigureKind, Writing] = {
    "speed": Writing("rpm", 1 / 60, places=1),
    "angle": Writing("deg", pi / 180, figures=4, places=2),
    "number": Writing("", 1.0, places=3),
}
_METRIC: dict[FigureKind, Writing] = {
    **_EVERYWHERE,
    "pressure": Writing("bar", 1e5, zero=ATMOSPHERE),
    "drop": Writing("bar", 1e5, places=3),
    "stress": Writing("MPa", 1e6, places=1),
    "area": Writing("mm2", 1e-6),
    "force": Writing("N", 1.0, places=1),
    "torque": Writing("N m", 1.0),
    "flow": Writing("g/min", 1 / 60_000, places=1),
    "velocity": Writing("m/s", 1.0, places=1),
    "heat_loss": Writing("W/m", 1.0, places=1),
    "temperature": Writing("degC", 1.0, places=1, zero=CELSIUS),
    "rise": Writing("K", 1.0, places=1),
}
_IMPERIAL: dict[FigureKind, Writing] = {
    **_METRIC,
    "pressure": Writing("psi", float(PSI), places=1, zero=ATMOSPHERE),
    "drop": Writing("psi", float(PSI)),
    "stress": Writing("psi", float(PSI), places=0),
    "area": Writing("sq in", float(INCH) ** 2, places=5),
    "force": Writing("lbf", float(POUND_FORCE), places=1),
    "torque": Writing("lbf in", float(POUND_FORCE * INCH), places=1),
    "flow": Writing("oz/min", float(OUNCE) / 60),
    "velocity": Writing("ft/s", float(FOOT), places=1),
    "heat_loss": Writing("W/ft", 1 / float(FOOT), places=1),
}
_US: dict[FigureKind, Writing] = {
    **_IMPERIAL,
    "temperature": Writing("degF", float(RANKINE), places=1, zero=CELSIUS - 32 * float(RANKINE)),
    "rise": Writing("degF", float(RANKINE), places=1),
}
_WRITINGS = {Measure.METRIC: _METRIC, Measure.IMPERIAL: _IMPERIAL, Measure.US: _US}
