"""Every unit in the tables against the definitions of the pint library, exactly.

pint is the outside authority here: it is given unit names from this file, never text from a user.
"""

from fractions import Fraction
from functools import cache

import pytest
from pint import UnitRegistry

from service.quantities import Kind
from service.quantities.units import spellings

SI = {
    Kind.LENGTH: "meter",
    Kind.AREA: "meter**2",
    Kind.VOLUME: "meter**3",
    Kind.ANGLE: "radian",
    Kind.MASS: "kilogram",
    Kind.FORCE: "newton",
    Kind.TORQUE: "newton * meter",
    Kind.PRESSURE: "pascal",
    Kind.TEMPERATURE: "kelvin",
    Kind.TEMPERATURE_DIFFERENCE: "delta_degree_Celsius",
    Kind.SPEED: "turn / second",
    Kind.VELOCITY: "meter / second",
    Kind.MASS_FLOW: "kilogram / second",
    Kind.POWER: "watt",
    Kind.DURATION: "second",
}

NAMES = {
    Kind.LENGTH: {
        "mm": "millimeter", "cm": "centimeter", "m": "meter", "um": "micrometer",
        "in": "inch", "ft": "foot", "thou": "thou",
    },
    Kind.AREA: {
        "mm2": "millimeter**2", "cm2": "centimeter**2", "m2": "meter**2",
        "sq in": "inch**2", "sq ft": "foot**2",
    },
    Kind.VOLUME: {
        "mm3": "millimeter**3", "ml": "milliliter", "cl": "centiliter", "l": "liter",
        "m3": "meter**3", "cu in": "inch**3", "cu ft": "foot**3",
        "fl oz": "imperial_fluid_ounce", "pt": "imperial_pint", "qt": "imperial_quart",
        "gal": "imperial_gallon", "us fl oz": "fluid_ounce", "us pt": "pint", "us qt": "quart",
        "us gal": "gallon",
    },
    Kind.ANGLE: {"deg": "degree", "min": "arcminute", "rad": "radian", "turn": "turn"},
    Kind.MASS: {
        "mg": "milligram", "g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound",
        "cwt": "long_hundredweight",
    },
    Kind.FORCE: {
        "n": "newton", "kn": "kilonewton", "lbf": "force_pound", "kgf": "kilogram_force",
    },
    Kind.TORQUE: {
        "n m": "newton * meter", "n cm": "newton * centimeter", "n mm": "newton * millimeter",
        "kgf m": "kilogram_force * meter", "kgf cm": "kilogram_force * centimeter",
        "lbf ft": "force_pound * foot", "lbf in": "force_pound * inch",
        "ozf in": "force_ounce * inch",
    },
    Kind.PRESSURE: {
        "pa": "pascal", "mbar": "millibar", "kpa": "kilopascal", "bar": "bar",
        "MPa": "megapascal", "atm": "standard_atmosphere", "psi": "force_pound / inch**2",
        "kgf/cm2": "kilogram_force / centimeter**2",
    },
    Kind.TEMPERATURE: {"degc": "degree_Celsius", "degf": "degree_Fahrenheit", "k": "kelvin"},
    Kind.TEMPERATURE_DIFFERENCE: {
        "k": "delta_degree_Celsius", "degf": "delta_degree_Fahrenheit",
    },
    Kind.SPEED: {
        "rpm": "turn / minute", "rps": "turn / second", "rev/h": "turn / hour",
    },
    Kind.VELOCITY: {
        "m/s": "meter / second", "mm/s": "millimeter / second", "m/min": "meter / minute",
        "ft/s": "foot / second", "ft/min": "foot / minute",
    },
    Kind.MASS_FLOW: {
        f"{mass}/{time}": f"{mass_name} / {time_name}"
        for mass, mass_name in (
            ("mg", "milligram"), ("g", "gram"), ("kg", "kilogram"), ("oz", "ounce"),
            ("lb", "pound"), ("cwt", "long_hundredweight"),
        )
        for time, time_name in (("s", "second"), ("min", "minute"), ("h", "hour"))
    },
    Kind.POWER: {
        "w": "watt", "kw": "kilowatt", "hp": "horsepower",
        "btu/h": "Btu_it / hour", "btu/min": "Btu_it / minute",
    },
    Kind.DURATION: {"s": "second", "min": "minute", "h": "hour"},
}  # fmt: skip

CASES = [
    (kind, spelling, name) for kind, names in NAMES.items() for spelling, name in names.items()
]


@cache
def registry() -> UnitRegistry:
    return UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize(("kind", "spelling", "name"), CASES)
def test_unit_has_the_size_that_pint_gives_it(kind, spelling, name):
    unit = spellings(kind)[spelling]
    one, nought = (
        Fraction(registry().Quantity(Fraction(count), name).to(SI[kind]).magnitude)
        for count in (1, 0)
    )

    if kind is Kind.ANGLE:
        assert float(unit.scale) == float(one)
    else:
        assert unit.scale + unit.zero == one
        assert unit.zero == nought


@pytest.mark.parametrize("kind", NAMES)
def test_every_unit_of_the_kind_is_among_those_checked(kind):
    units = spellings(kind)
    checked = {units[spelling].scale for spelling in NAMES[kind]}

    assert {unit.scale for unit in units.values()} == checked


def test_absolute_and_difference_pressures_have_the_units_of_gauge_pressures():
    assert spellings(Kind.PRESSURE_ABSOLUTE) == spellings(Kind.PRESSURE)
    assert spellings(Kind.PRESSURE_DIFFERENCE) == spellings(Kind.PRESSURE)


@pytest.mark.parametrize("kind", Kind)
def test_no_two_units_share_a_spelling(kind):
    seen: set[str] = set()
    for spelling in spellings(kind):
        assert spelling.lower() not in seen
        seen.add(spelling.lower())
