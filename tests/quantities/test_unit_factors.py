"""Every unit in the tables: the factors against their definitions, the rest against pint, exactly.

What is built of the factors (`lbf in`, `oz/min`) is checked by asking pint for the whole unit.
"""

import sys
from contextlib import suppress
from fractions import Fraction
from functools import cache
from pathlib import Path

import pint
import pytest
from pint import UnitRegistry

from service.quantities import Kind, QuantityError, parse, parse_drill, parse_thread, units
from service.quantities.units import spellings
from tests.quantities.hostile import HOSTILE

INCH = Fraction("0.0254")  # yard of 0.9144 m and pound of 0.45359237 kg: the agreement of 1959
POUND = Fraction("0.45359237")
GRAVITY = Fraction("9.80665")  # conventional value, third CGPM, 1901

DEFINITIONS = {
    "INCH": INCH,
    "FOOT": 12 * INCH,
    "POUND": POUND,
    "OUNCE": POUND / 16,
    "HUNDREDWEIGHT": 112 * POUND,
    "POUND_FORCE": POUND * GRAVITY,
    "OUNCE_FORCE": POUND * GRAVITY / 16,
    "KILOGRAM_FORCE": GRAVITY,
    "PSI": POUND * GRAVITY / INCH**2,
    "HORSEPOWER": 550 * 12 * INCH * POUND * GRAVITY,  # 550 foot-pounds a second, by definition
    "BTU": Fraction("4186.8") * POUND * Fraction(5, 9),  # international table, London 1956
    "IMPERIAL_GALLON": Fraction("0.00454609"),  # Units of Measurement Regulations 1995
    "US_GALLON": 231 * INCH**3,  # 231 cubic inches, by definition
    "RANKINE": Fraction(5, 9),
}


@pytest.mark.parametrize("name", DEFINITIONS)
def test_a_factor_is_exactly_what_it_is_defined_to_be(name):
    factor = getattr(units, name)

    assert isinstance(factor, Fraction)
    assert factor == DEFINITIONS[name]


def test_every_factor_has_its_definition_here():
    factors = {
        name
        for name, value in vars(units).items()
        if isinstance(value, Fraction) and not name.startswith("_")
    }

    assert factors - {"DEGREE", "ICE_POINT", "PI"} == set(DEFINITIONS)


def test_what_people_write_never_reaches_pint():
    """Every function that is called while texts are read, hostile ones too, is looked at."""
    library = str(Path(pint.__file__).parent)
    reached = set()

    def note(frame, event, argument):
        if event == "call" and frame.f_code.co_filename.startswith(library):
            reached.add(frame.f_code.co_qualname)

    def read_everything():
        for text in (*HOSTILE, "5 mm", "1 lb 4 oz", "60 psi", "1/4 x 40 ME", "No. 2", "meter**2"):
            for read in (parse_drill, parse_thread, *(partial_parse(kind) for kind in Kind)):
                with suppress(QuantityError):
                    read(text)

    sys.setprofile(note)
    try:
        read_everything()
        assert reached == set()
        UnitRegistry()  # the watch would have seen it
        assert reached
    finally:
        sys.setprofile(None)


def partial_parse(kind):
    return lambda text: parse(text, kind)


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
