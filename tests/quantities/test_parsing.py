"""Workshop notation is read exactly."""

from fractions import Fraction
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.quantities import STANDARD_ATMOSPHERE, Kind, Quantity, parse

INCH = Fraction(254, 10000)
MM = Fraction(1, 1000)

LENGTHS = [
    ("7/32 in", Fraction(889, 160) * MM),
    ("1 7/32 in", Fraction(39, 32) * INCH),
    ("1-7/32 in", Fraction(39, 32) * INCH),
    ("1 1/2 in", Fraction(3, 2) * INCH),
    ("1-1/2 in", Fraction(3, 2) * INCH),
    ("1½ in", Fraction(3, 2) * INCH),
    ("3½ in", Fraction(7, 2) * INCH),
    ("½in", Fraction(1, 2) * INCH),
    ("7⁄32 in", Fraction(7, 32) * INCH),
    ("⁷⁄₃₂ in", Fraction(7, 32) * INCH),
    ("1⁷⁄₃₂ in", Fraction(39, 32) * INCH),
    ("⅟16 in", Fraction(1, 16) * INCH),
    ('1/4"', Fraction(1, 4) * INCH),
    ('6"', 6 * INCH),
    ('3 7/32"', Fraction(103, 32) * INCH),
    ("3 7/32″", Fraction(103, 32) * INCH),
    ("3 7/32''", Fraction(103, 32) * INCH),
    ("6'", 72 * INCH),
    ("7/32in.", Fraction(7, 32) * INCH),
    ("7/32 inch", Fraction(7, 32) * INCH),
    ("2 inches", 2 * INCH),
    (" 7 / 32  in ", Fraction(7, 32) * INCH),
    ("1 ft 2 1/2 in", Fraction(29, 2) * INCH),
    ("10 ft 6 in", 126 * INCH),
    ("10'6\"", 126 * INCH),
    ("1/4 in + 3 thou", Fraction(253, 1000) * INCH),
    ("12 thou", Fraction(12, 1000) * INCH),
    ("10 mm", 10 * MM),
    ("0.5 mm", Fraction(1, 2) * MM),
    (".5 mm", Fraction(1, 2) * MM),
    ("2.5 cm", 25 * MM),
    ("1 m 20 cm", 1200 * MM),
    ("40 µm", Fraction(4, 100) * MM),
    ("40 μm", Fraction(4, 100) * MM),
    ("40 microns", Fraction(4, 100) * MM),
    ("5 MM", 5 * MM),
]

OTHERS = [
    ("60 psi", Kind.PRESSURE, Fraction("413685.437590101672002")),
    ("4.1 bar g", Kind.PRESSURE, 410_000),
    ("4.1 barg", Kind.PRESSURE, 410_000),
    ("4 bar (gauge)", Kind.PRESSURE, 400_000),
    ("400 kPa", Kind.PRESSURE, 400_000),
    ("0.4 MPa", Kind.PRESSURE, 400_000),
    ("4 kgf/cm2", Kind.PRESSURE, Fraction("392266")),
    ("5 bar abs", Kind.PRESSURE, 500_000 - 101_325),
    ("5 bara", Kind.PRESSURE, 500_000 - 101_325),
    ("-0.5 bar", Kind.PRESSURE, -50_000),
    ("5 bar abs", Kind.PRESSURE_ABSOLUTE, 500_000),
    ("5 bar", Kind.PRESSURE_ABSOLUTE, 500_000),
    ("4 bar g", Kind.PRESSURE_ABSOLUTE, 501_325),
    ("0.1 bar", Kind.PRESSURE_DIFFERENCE, 10_000),
    ("15 degC", Kind.TEMPERATURE, Fraction("288.15")),
    ("20°C", Kind.TEMPERATURE, Fraction("293.15")),
    ("20 ° C", Kind.TEMPERATURE, Fraction("293.15")),
    ("20 ℃", Kind.TEMPERATURE, Fraction("293.15")),
    ("-5 deg C", Kind.TEMPERATURE, Fraction("268.15")),
    ("−5 C", Kind.TEMPERATURE, Fraction("268.15")),
    ("59 degF", Kind.TEMPERATURE, Fraction("288.15")),
    ("212 F", Kind.TEMPERATURE, Fraction("373.15")),
    ("300 K", Kind.TEMPERATURE, 300),
    ("18 degF", Kind.TEMPERATURE_DIFFERENCE, 10),
    ("600 rpm", Kind.SPEED, 10),
    ("600 r.p.m.", Kind.SPEED, 10),
    ("600 rev/min", Kind.SPEED, 10),
    ("600 revs per minute", Kind.SPEED, 10),
    ("10 rev/s", Kind.SPEED, 10),
    ("57 g/min", Kind.MASS_FLOW, Fraction(57, 60_000)),
    ("57 g per min", Kind.MASS_FLOW, Fraction(57, 60_000)),
    ("3.6 kg/h", Kind.MASS_FLOW, Fraction(1, 1000)),
    ("2 g/s", Kind.MASS_FLOW, Fraction(2, 1000)),
    ("8 lb/h", Kind.MASS_FLOW, 8 * Fraction(45359237, 10**8) / 3600),
    ("2 oz/min", Kind.MASS_FLOW, 2 * Fraction(45359237, 10**8) / 16 / 60),
    ("500 W", Kind.POWER, 500),
    ("1.2 kW", Kind.POWER, 1200),
    ("1h30", Kind.DURATION, 5400),
    ("1h30m", Kind.DURATION, 5400),
    ("1 h 30 min", Kind.DURATION, 5400),
    ("1h 30min", Kind.DURATION, 5400),
    ("1 hr 30", Kind.DURATION, 5400),
    ("90 min", Kind.DURATION, 5400),
    ("90 mins", Kind.DURATION, 5400),
    ("1:30", Kind.DURATION, 5400),
    ("0:45", Kind.DURATION, 2700),
    ("1 1/2 h", Kind.DURATION, 5400),
    ("1½ h", Kind.DURATION, 5400),
    ("2.5 hours", Kind.DURATION, 9000),
    ("5 m", Kind.DURATION, 300),
    ("30 s", Kind.DURATION, 30),
    ("250 ml", Kind.VOLUME, Fraction(250, 10**6)),
    ("250 cc", Kind.VOLUME, Fraction(250, 10**6)),
    ("250 cm³", Kind.VOLUME, Fraction(250, 10**6)),
    ("0.5 l", Kind.VOLUME, Fraction(1, 2000)),
    ("1 pint", Kind.VOLUME, Fraction("0.00056826125")),
    ("1 pt", Kind.VOLUME, Fraction("0.00056826125")),
    ("1 US pint", Kind.VOLUME, Fraction("0.000473176473")),
    ("1 gal", Kind.VOLUME, Fraction("0.00454609")),
    ("1 U.S. gal", Kind.VOLUME, Fraction("0.003785411784")),
    ("8 fl. oz.", Kind.VOLUME, Fraction("0.00454609") / 20),
    ("450 g", Kind.MASS, Fraction(45, 100)),
    ("1 lb 4 oz", Kind.MASS, Fraction(45359237, 10**8) * Fraction(5, 4)),
    ("1 cwt", Kind.MASS, Fraction("50.80234544")),
    ("12 mm2", Kind.AREA, Fraction(12, 10**6)),
    ("12 mm²", Kind.AREA, Fraction(12, 10**6)),
    ("2 sq in", Kind.AREA, 2 * INCH**2),
    ("2 sq. in.", Kind.AREA, 2 * INCH**2),
    ("2 in2", Kind.AREA, 2 * INCH**2),
    ("2 in^2", Kind.AREA, 2 * INCH**2),
    ("60 lb/in²", Kind.PRESSURE, Fraction("413685.437590101672002")),
    ("60 lb/sq. in.", Kind.PRESSURE, Fraction("413685.437590101672002")),
    ("2 N m", Kind.TORQUE, 2),
    ("2 Nm", Kind.TORQUE, 2),
    ("2 N·m", Kind.TORQUE, 2),
    ("10 in-lb", Kind.TORQUE, 10 * Fraction("1.1298482902761670") / 10),
    ("20 N", Kind.FORCE, 20),
    ("25 m/s", Kind.VELOCITY, 25),
]


@pytest.mark.parametrize(("text", "metres"), LENGTHS)
def test_length_is_read_exactly(text, metres):
    assert parse(text, Kind.LENGTH).value == metres


@pytest.mark.parametrize(("text", "kind", "value"), OTHERS)
def test_quantity_is_read_as_its_kind_means_it(text, kind, value):
    assert float(parse(text, kind).value) == pytest.approx(float(value), rel=1e-14)


@pytest.mark.parametrize(
    ("text", "radians"),
    [("90 deg", pi / 2), ("90°", pi / 2), ("47.5 deg", pi * 47.5 / 180), ("1 turn", 2 * pi),
     ("47°30'", pi * 47.5 / 180), ("-20 deg", -pi / 9), ("1 rad", 1.0)],
)  # fmt: skip
def test_angle_is_in_radians(text, radians):
    assert parse(text, Kind.ANGLE).si == pytest.approx(radians, rel=1e-15)


def test_gauge_pressure_adds_one_atmosphere_to_be_absolute():
    pressure = parse("4 bar", Kind.PRESSURE)

    assert pressure.si == 400_000
    assert pressure.absolute == 400_000 + float(STANDARD_ATMOSPHERE)


@pytest.mark.parametrize("text", ["75 psia", "75 psi abs", "75 psi absolute", "75 PSIA"])
def test_absolute_pressure_in_a_gauge_field_is_the_same_pressure(text):
    assert parse(text, Kind.PRESSURE).absolute == pytest.approx(75 * 6894.757293168361)


def test_a_length_has_no_absolute_value():
    with pytest.raises(TypeError, match="no absolute"):
        _ = parse("5 mm", Kind.LENGTH).absolute


def test_text_is_kept_as_typed_but_trimmed():
    assert parse("  1½ in ", "length") == Quantity(Kind.LENGTH, Fraction("0.0381"), "1½ in")


def test_the_same_letter_means_what_its_field_means():
    assert parse("5 m", Kind.LENGTH).value == 5
    assert parse("5 m", Kind.DURATION).value == 300


@given(
    feet=st.integers(1, 400),
    inches=st.integers(0, 11),
    over=st.integers(0, 63),
    thou=st.integers(1, 999),
)
def test_sums_are_exact(feet, inches, over, thou):
    foot_and_inch = parse(f"{feet} ft {inches} {over}/64 in", Kind.LENGTH)
    inch_and_thou = parse(f"{inches} in {thou} thou", Kind.LENGTH)

    assert foot_and_inch.value == (12 * feet + inches + Fraction(over, 64)) * INCH
    assert inch_and_thou.value == (inches + Fraction(thou, 1000)) * INCH


@given(hours=st.integers(0, 9999), minutes=st.integers(0, 59))
def test_every_way_of_writing_hours_and_minutes_agrees(hours, minutes):
    ways = [f"{hours}h{minutes:02}", f"{hours}:{minutes:02}", f"{hours} h {minutes} min"]

    assert {parse(way, Kind.DURATION).value for way in ways} == {3600 * hours + 60 * minutes}


@given(whole=st.integers(0, 999), under=st.integers(2, 100), data=st.data())
def test_mixed_numbers_are_exact_however_they_are_joined(whole, under, data):
    over = data.draw(st.integers(0, under - 1))
    inches = (whole + Fraction(over, under)) * INCH

    assert parse(f"{whole} {over}/{under} in", Kind.LENGTH).value == inches
    assert parse(f'{whole}-{over}/{under}"', Kind.LENGTH).value == inches
    assert parse(f"{whole} {over}⁄{under} in", Kind.LENGTH).value == inches
