"""Every unit spelling that is understood, per kind of quantity, with its exact value in SI.

The same letters mean different things in different fields: `m` is metres in a length and minutes in
a duration. A bare `pt`, `pint`, `gal` or `fl oz` is imperial; US measures say so. `hp` is the
imperial horsepower, `Btu` the international table unit, `cwt` the hundredweight of 112 lb.

Spellings are matched without regard to capitals, except those that hold a capital here. The sizes
are those of pint's registry, in exact fractions; it is asked for the names below and for nothing
else, and what people write never reaches it.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Literal

from pint import UnitRegistry

from service.quantities.kinds import DEGREE, ICE_POINT, PI, Kind

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


@cache
def spellings(kind: Kind) -> dict[str, Unit]:
    """The units of one kind by spelling; lower case but where the capital matters."""
    table: dict[str, Unit] = {}
    for names, unit in _TABLES[kind]():
        for name in names.split(", "):
            table[name] = table[name.replace("2", "^2").replace("3", "^3")] = unit
    return table


Row = tuple[str, Unit]


def _lengths() -> Iterator[Row]:
    yield "um, micron, microns, micrometre, micrometres", Unit(Fraction(1, 10**6), "metric")
    yield "mm, mms, millimetre, millimetres, millimeter, millimeters", _metric(Fraction(1, 1000))
    yield "cm, cms, centimetre, centimetres, centimeter, centimeters", _metric(Fraction(1, 100))
    yield "m, metre, metres, meter, meters", _metric(Fraction(1))
    yield "thou, thous", Unit(INCH / 1000, "inch")
    yield 'in, ins, inch, inches, "', Unit(INCH, "inch")
    yield "ft, foot, feet, '", Unit(FOOT, "inch")


def _areas() -> Iterator[Row]:
    yield "mm2, sq mm, square mm", Unit(Fraction(1, 10**6))
    yield "cm2, sq cm, square cm", Unit(Fraction(1, 10**4))
    yield "m2, sq m, square m", Unit(Fraction(1))
    yield "in2, sq in, sq ins, sq inch, square in, square inch, square inches", Unit(INCH**2)
    yield "ft2, sq ft, square ft, square foot, square feet", Unit(FOOT**2)


def _volumes() -> Iterator[Row]:
    yield "mm3, cu mm", Unit(Fraction(1, 10**9))
    yield (
        "ml, cc, cm3, cu cm, millilitre, millilitres, milliliter, milliliters",
        _metric(Fraction(1, 10**6)),
    )
    yield "cl, centilitre, centilitres", _metric(Fraction(1, 10**5))
    yield "l, litre, litres, liter, liters, dm3", _metric(Fraction(1, 1000))
    yield "m3, cu m, cubic metre, cubic metres", Unit(Fraction(1))
    yield "in3, cu in, cu ins, cubic in, cubic inch, cubic inches", Unit(INCH**3)
    yield "ft3, cu ft, cubic foot, cubic feet", Unit(FOOT**3)
    yield from _liquids(("", "imp ", "imperial ", "uk "), "imperial", IMPERIAL_GALLON, 160)
    yield from _liquids(("us ", "u s "), "us", US_GALLON, 128)


def _liquids(prefixes: Iterable[str], system: str, gallon: Fraction, ounces: int) -> Iterator[Row]:
    measures = (
        (("fl oz", "floz", "fluid ounce", "fluid ounces"), gallon / ounces),
        (("pt", "pts", "pint", "pints"), gallon / 8),
        (("qt", "quart", "quarts"), gallon / 4),
        (("gal", "gals", "gallon", "gallons"), gallon),
    )
    for names, scale in measures:
        yield _join(prefixes, names), Unit(scale, system)


def _angles() -> Iterator[Row]:
    yield "deg, degs, degree, degrees", Unit(DEGREE, "arc")
    yield "', arcmin, min, minute, minutes", Unit(DEGREE / 60, "arc")
    yield "rad, radian, radians", Unit(Fraction(1))
    yield "turn, turns, rev, revs", Unit(2 * PI)


_MASSES = (
    ("mg, milligram, milligrams", Unit(Fraction(1, 10**6), "metric")),
    ("g, gm, gms, gram, grams, gramme, grammes", Unit(Fraction(1, 1000), "metric")),
    ("kg, kgs, kilo, kilos, kilogram, kilograms", Unit(Fraction(1), "metric")),
    ("oz, ozs, ounce, ounces", Unit(OUNCE, "pound")),
    ("lb, lbs, pound, pounds", Unit(POUND, "pound")),
    ("cwt, hundredweight", Unit(HUNDREDWEIGHT, "pound")),
)

_TIMES = (
    ("s, sec, secs, second, seconds", Unit(Fraction(1), "clock")),
    ("m, min, mins, minute, minutes", Unit(Fraction(60), "clock")),
    ("h, hr, hrs, hour, hours", Unit(Fraction(3600), "clock")),
)


def _mass_flows() -> Iterator[Row]:
    for masses, mass in _MASSES:
        for times, time in _TIMES:
            heads = [f"{name}/" for name in masses.split(", ")]
            yield _join(heads, times.split(", ")), Unit(mass.scale / time.scale)


def _forces() -> Iterator[Row]:
    yield "n, newton, newtons", Unit(Fraction(1))
    yield "kn", Unit(Fraction(1000))
    yield "lbf, lb f", Unit(POUND_FORCE)
    yield "kgf", Unit(KILOGRAM_FORCE)


def _torques() -> Iterator[Row]:
    yield "n m, nm, newton metre, newton metres", Unit(Fraction(1))
    yield "n cm, ncm", Unit(Fraction(1, 100))
    yield "n mm, nmm", Unit(Fraction(1, 1000))
    yield "kgf m, kg m", Unit(KILOGRAM_FORCE)
    yield "kgf cm, kg cm", Unit(KILOGRAM_FORCE / 100)
    yield "lbf ft, lb ft, ft lb, ft lbf, ft lbs, lbs ft", Unit(POUND_FORCE * FOOT)
    yield "lbf in, lb in, in lb, in lbf, in lbs, lbs in", Unit(POUND_FORCE * INCH)
    yield "ozf in, oz in, in oz, in ozf", Unit(OUNCE_FORCE * INCH)


_PRESSURES = (
    (("pa",), Fraction(1)),
    (("mbar", "hpa"), Fraction(100)),
    (("kpa",), Fraction(1000)),
    (("bar", "bars"), Fraction(10**5)),
    (("MPa",), Fraction(10**6)),
    (("atm",), Fraction(101325)),
    (("kgf/cm2", "kg/cm2"), KILOGRAM_FORCE * 10**4),
    (("psi", "p s i", "lb/in2", "lbf/in2", "lb/sq in", "lbf/sq in", "lb/square inch"), PSI),
)

_REFERENCES: tuple[tuple[Reference, tuple[str, ...]], ...] = (
    ("none", ("",)),
    ("gauge", ("g", " g", "(g)", " (g)", " gauge", " (gauge)")),
    ("absolute", ("a", " a", "(a)", " (a)", " abs", "(abs)", " (abs)", " absolute")),
)


def _pressures() -> Iterator[Row]:
    for names, scale in _PRESSURES:
        for reference, endings in _REFERENCES:
            yield _join(names, endings), Unit(scale, reference=reference)


def _temperatures() -> Iterator[Row]:
    yield "c, degc, deg c, celsius, degree c, degrees c", Unit(Fraction(1), zero=ICE_POINT)
    fahrenheit = Unit(RANKINE, zero=ICE_POINT - 32 * RANKINE)
    yield "f, degf, deg f, fahrenheit, degree f, degrees f", fahrenheit
    yield "k, kelvin", Unit(Fraction(1))


def _temperature_differences() -> Iterator[Row]:
    yield "k, kelvin, c, degc, deg c, celsius", Unit(Fraction(1))
    yield "f, degf, deg f, fahrenheit", Unit(RANKINE)


def _speeds() -> Iterator[Row]:
    turns = ("rev/", "revs/", "r/", "revolutions/", "turns/")
    yield "rpm, r p m", Unit(Fraction(1, 60))
    yield _join(turns, ("min", "minute", "m")), Unit(Fraction(1, 60))
    yield "rps", Unit(Fraction(1))
    yield _join(turns, ("s", "sec", "second")), Unit(Fraction(1))
    yield _join(turns, ("h", "hr", "hour")), Unit(Fraction(1, 3600))


def _velocities() -> Iterator[Row]:
    yield "m/s, m/sec", Unit(Fraction(1))
    yield "mm/s, mm/sec", Unit(Fraction(1, 1000))
    yield "m/min", Unit(Fraction(1, 60))
    yield "ft/s, ft/sec", Unit(FOOT)
    yield "ft/min", Unit(FOOT / 60)


def _powers() -> Iterator[Row]:
    yield "w, watt, watts", Unit(Fraction(1))
    yield "kw, kilowatt, kilowatts", Unit(Fraction(1000))
    yield "hp, horsepower, ihp, bhp", Unit(HORSEPOWER)
    yield "btu/h, btu/hr, btu/hour", Unit(BTU / 3600)
    yield "btu/min", Unit(BTU / 60)


def _metric(scale: Fraction) -> Unit:
    return Unit(scale, "metric")


def _join(heads: Iterable[str], tails: Iterable[str]) -> str:
    tails = tuple(tails)
    return ", ".join(head + tail for head in heads for tail in tails)


_TABLES: dict[Kind, Callable[[], Iterable[Row]]] = {
    Kind.LENGTH: _lengths,
    Kind.AREA: _areas,
    Kind.VOLUME: _volumes,
    Kind.ANGLE: _angles,
    Kind.MASS: lambda: _MASSES,
    Kind.FORCE: _forces,
    Kind.TORQUE: _torques,
    Kind.PRESSURE: _pressures,
    Kind.PRESSURE_ABSOLUTE: _pressures,
    Kind.PRESSURE_DIFFERENCE: _pressures,
    Kind.TEMPERATURE: _temperatures,
    Kind.TEMPERATURE_DIFFERENCE: _temperature_differences,
    Kind.SPEED: _speeds,
    Kind.VELOCITY: _velocities,
    Kind.MASS_FLOW: _mass_flows,
    Kind.POWER: _powers,
    Kind.DURATION: lambda: _TIMES,
}


def list_units(kind: Kind) -> list[str]:
    """The first spelling of each unit of a kind, for a description."""
    firsts: dict[Unit, str] = {}
    for names, unit in _TABLES[kind]():
        firsts.setdefault(unit, names.split(", ")[0])
    return list(firsts.values())
