"""What may be written: how far each kind reaches, how long a text, how many figures and parts."""

import unicodedata
from fractions import Fraction

import pytest

from service.quantities import Kind, QuantityError, parse, parse_drill

INCH = Fraction(254, 10000)

HIGHEST = [
    # The limits as a refusal states them, and a millionth of the unit more.
    (Kind.LENGTH, "1000 m", "1000.000001 m"),
    (Kind.AREA, "100 m2", "100.000001 m2"),
    (Kind.VOLUME, "100 m3", "100.000001 m3"),
    (Kind.ANGLE, "3600 deg", "3600.000001 deg"),
    (Kind.MASS, "100000 kg", "100000.000001 kg"),
    (Kind.FORCE, "10000000 N", "10000000.000001 N"),
    (Kind.TORQUE, "1000000 N m", "1000000.000001 N m"),
    (Kind.PRESSURE, "1000 bar", "1000.000001 bar"),
    (Kind.PRESSURE, "1001.01325 bar abs", "1001.013251 bar abs"),
    (Kind.PRESSURE_ABSOLUTE, "1000 bar abs", "1000.000001 bar abs"),
    (Kind.PRESSURE_ABSOLUTE, "998.98675 bar g", "998.986751 bar g"),
    (Kind.PRESSURE_DIFFERENCE, "1000 bar", "1000.000001 bar"),
    (Kind.TEMPERATURE, "3000 K", "3000.000001 K"),
    (Kind.TEMPERATURE, "2726.85 degC", "2726.850001 degC"),
    (Kind.TEMPERATURE_DIFFERENCE, "3000 K", "3000.000001 K"),
    (Kind.SPEED, "1000000 rpm", "1000000.000001 rpm"),
    (Kind.VELOCITY, "10000 m/s", "10000.000001 m/s"),
    (Kind.MASS_FLOW, "1000 kg/s", "1000.000001 kg/s"),
    (Kind.POWER, "10000000 W", "10000000.000001 W"),
    (Kind.DURATION, "10000 h", "10000.000001 h"),
]
LOWEST = [
    (Kind.ANGLE, "-3600 deg", "-3600.000001 deg"),
    (Kind.PRESSURE, "-1.01325 bar", "-1.013251 bar"),
    (Kind.TEMPERATURE, "-273.15 degC", "-273.150001 degC"),
    (Kind.TEMPERATURE, "0 K", "-0.000001 K"),
    (Kind.TEMPERATURE, "-459.67 degF", "-459.670001 degF"),
    (Kind.TEMPERATURE_DIFFERENCE, "-3000 K", "-3000.000001 K"),
]


@pytest.mark.parametrize(("kind", "within", "beyond"), [*HIGHEST, *LOWEST])
def test_a_kind_reaches_to_its_limit_and_no_further(kind, within, beyond):
    assert parse(within, kind).text == within
    with pytest.raises(QuantityError):
        parse(beyond, kind)


def test_every_kind_has_its_limit_here():
    assert {kind for kind, _, _ in HIGHEST} == set(Kind)


BELOW_NOUGHT = {Kind.ANGLE, Kind.PRESSURE, Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE}
SMALL = {
    Kind.LENGTH: "mm", Kind.AREA: "mm2", Kind.VOLUME: "ml", Kind.ANGLE: "deg", Kind.MASS: "g",
    Kind.FORCE: "N", Kind.TORQUE: "N m", Kind.PRESSURE: "mbar", Kind.PRESSURE_ABSOLUTE: "mbar",
    Kind.PRESSURE_DIFFERENCE: "mbar", Kind.TEMPERATURE: "degC", Kind.TEMPERATURE_DIFFERENCE: "K",
    Kind.SPEED: "rpm", Kind.VELOCITY: "m/s", Kind.MASS_FLOW: "g/min", Kind.POWER: "W",
    Kind.DURATION: "min",
}  # fmt: skip


@pytest.mark.parametrize("kind", Kind)
def test_only_what_has_a_meaning_below_nought_may_be_negative(kind):
    assert parse(f"0 {SMALL[kind]}", kind)
    assert parse(f"+1 {SMALL[kind]}", kind).value == parse(f"1 {SMALL[kind]}", kind).value
    if kind in BELOW_NOUGHT:
        above, below = (parse(f"{sign}1 {SMALL[kind]}", kind).value for sign in "+-")
        assert above > below
    else:
        with pytest.raises(QuantityError):
            parse(f"-1 {SMALL[kind]}", kind)


def test_an_absolute_pressure_is_one_atmosphere_more_than_its_gauge():
    """101 325 Pa by convention (ISO 2533)."""
    assert parse("4 bar", Kind.PRESSURE).absolute == 501_325
    assert parse("5 bar abs", Kind.PRESSURE).absolute == 500_000
    assert parse("5 bar abs", Kind.PRESSURE).value == 398_675
    assert parse("5 bar", Kind.PRESSURE_ABSOLUTE).absolute == 500_000
    assert parse("4 bar g", Kind.PRESSURE_ABSOLUTE).absolute == 501_325


def padded(text, length):
    return text + " " * (length - len(text))


@pytest.mark.parametrize("read", [lambda text: parse(text, Kind.LENGTH), parse_drill])
def test_a_text_has_forty_characters_at_the_most(read):
    assert read(padded("5 mm", 40)).text == "5 mm"
    with pytest.raises(QuantityError):
        read(padded("5 mm", 41))


FIGURES = [
    ("99999/2 um", "100000/2 um"),  # five above the line
    ("1/99999 in", "1/100000 in"),  # and five below it
    ("123456789 1/2 um", "0001234567 1/2 um"),  # ten, of which none is too much
]


@pytest.mark.parametrize(("short", "long"), FIGURES)
def test_a_number_has_so_many_figures_and_no_more(short, long):
    assert parse(short, Kind.LENGTH).value > 0
    with pytest.raises(QuantityError):
        parse(long, Kind.LENGTH)


def test_the_fraction_of_a_mixed_number_is_below_one():
    assert parse("1 63/64 in", Kind.LENGTH).value == Fraction(127, 64) * INCH
    assert parse("64/64 in", Kind.LENGTH).value == INCH
    assert parse("39/32 in", Kind.LENGTH).value == Fraction(39, 32) * INCH
    for text in ("1 64/64 in", "1 65/64 in", "1/0 in", "0/0 in"):
        with pytest.raises(QuantityError):
            parse(text, Kind.LENGTH)


def test_nought_of_anything_is_nought():
    assert parse("0/64 in", Kind.LENGTH).value == 0
    assert parse("2 0/64 in", Kind.LENGTH).value == 2 * INCH


def test_a_sum_has_three_parts_at_the_most():
    assert parse("1 m 2 cm 3 mm", Kind.LENGTH).value == Fraction("1.023")
    assert parse("1 h 30 min 15 s", Kind.DURATION).value == 5415
    with pytest.raises(QuantityError):
        parse("1 m 2 cm 3 mm 4 um", Kind.LENGTH)


def test_the_smaller_part_stays_below_one_of_the_larger():
    assert parse("1 ft 11 63/64 in", Kind.LENGTH).value == Fraction(1535, 64) * INCH
    assert parse("1 lb 15.9 oz", Kind.MASS).value > parse("1 lb 15 oz", Kind.MASS).value
    assert parse("1 h 59.9 min", Kind.DURATION).value == 7194
    for text, kind in (
        ("1 ft 12 in", Kind.LENGTH), ("1 lb 16 oz", Kind.MASS), ("1 h 60 min", Kind.DURATION)
    ):  # fmt: skip
        with pytest.raises(QuantityError):
            parse(text, kind)


def test_a_part_that_is_added_with_a_plus_may_be_of_any_size():
    assert parse("1 ft + 14 in", Kind.LENGTH).value == 26 * INCH
    assert parse("1/2 in + 3 thou", Kind.LENGTH).value == Fraction(503, 1000) * INCH


@pytest.mark.parametrize(
    ("text", "minutes"), [("0:00", 0), ("0:59", 59), ("1h59", 119), ("9999:59", 599_999)]
)
def test_hours_and_minutes_run_to_fifty_nine(text, minutes):
    assert parse(text, Kind.DURATION).value == 60 * minutes


@pytest.mark.parametrize("text", ["0:60", "1h60", "1:5", "1:005", "10000:00"])
def test_what_is_no_clock_reading_is_refused(text):
    with pytest.raises(QuantityError):
        parse(text, Kind.DURATION)


VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"


@pytest.mark.parametrize("sign", VULGAR)
def test_a_fraction_in_one_character_is_worth_what_unicode_says(sign):
    worth = Fraction(unicodedata.numeric(sign)).limit_denominator(10)

    assert parse(f"{sign} in", Kind.LENGTH).value == worth * INCH
    assert parse(f"3{sign} in", Kind.LENGTH).value == (3 + worth) * INCH


@pytest.mark.parametrize("digit", range(1, 10))
def test_a_raised_and_a_lowered_figure_is_worth_what_unicode_says(digit):
    raised = next(sign for sign in "¹²³⁴⁵⁶⁷⁸⁹" if unicodedata.digit(sign) == digit)
    lowered = next(sign for sign in "₁₂₃₄₅₆₇₈₉" if unicodedata.digit(sign) == digit)

    assert parse(f"{raised}⁄₉ in", Kind.LENGTH).value == Fraction(digit, 9) * INCH
    assert parse(f"¹⁄{lowered} in", Kind.LENGTH).value == Fraction(1, digit) * INCH
    assert parse(f"¹⁰⁄{lowered}₀ in", Kind.LENGTH).value == Fraction(1, digit) * INCH


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("1\u20131/2 in", "1-1/2 in"), ("\u22125 degC", "-5 degC"), ("5\u00a0mm", "5 mm"),
        ("5\u2009mm", "5 mm"), ("6\u2033", '6"'), ("6\u201d", '6"'), ("6\u2032", "6'"),
        ("6\u2019", "6'"), ("20\u00b0C", "20 degC"), ("20\u00baC", "20 degC"),
        ("20 \u2109", "20 degF"), ("40 \u00b5m", "40 um"), ("40 \u03bcm", "40 um"),
        ("2 N\u00b7m", "2 N m"), ("2 N\u22c5m", "2 N m"), ("7\u221532 in", "7/32 in"),
    ],
)  # fmt: skip
def test_the_signs_of_the_trade_mean_their_plain_fellows(text, plain):
    kind = next(
        kind
        for unit, kind in (("deg", Kind.TEMPERATURE), ("N m", Kind.TORQUE), ("", Kind.LENGTH))
        if unit in plain
    )
    assert parse(text, kind).value == parse(plain, kind).value
