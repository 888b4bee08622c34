"""Quantities back to people: fixed units over the wire, workshop notation in the text."""

from contextlib import suppress
from fractions import Fraction
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.quantities import (
    Kind,
    QuantityError,
    describe,
    nearest_64th,
    nearest_drill_text,
    parse,
    show,
    show_minutes,
)
from service.quantities.kinds import TRAITS
from service.quantities.units import spellings

SHOWN = [
    ("7/32 in", Kind.LENGTH, 5.55625, "mm"),
    ("5.6 mm", Kind.LENGTH, 5.6, "mm"),
    ("60 psi", Kind.PRESSURE, 4.13685437590, "bar"),
    ("5 bar abs", Kind.PRESSURE, 3.98675, "bar"),
    ("5 bar abs", Kind.PRESSURE_ABSOLUTE, 5.0, "bar abs"),
    ("0.1 bar", Kind.PRESSURE_DIFFERENCE, 0.1, "bar"),
    ("59 degF", Kind.TEMPERATURE, 15.0, "degC"),
    ("18 degF", Kind.TEMPERATURE_DIFFERENCE, 10.0, "K"),
    ("10 rev/s", Kind.SPEED, 600.0, "rpm"),
    ("3.6 kg/h", Kind.MASS_FLOW, 60.0, "g/min"),
    ("1.2 kW", Kind.POWER, 1200.0, "W"),
    ("1h30", Kind.DURATION, 90.0, "min"),
    ("47 1/2 deg", Kind.ANGLE, 47.5, "deg"),
    ("1/2 l", Kind.VOLUME, 500.0, "ml"),
    ("1 lb", Kind.MASS, 453.59237, "g"),
    ("2 sq in", Kind.AREA, 1290.32, "mm2"),
    ("2 N m", Kind.TORQUE, 2.0, "N m"),
    ("20 N", Kind.FORCE, 20.0, "N"),
    ("25 m/s", Kind.VELOCITY, 25.0, "m/s"),
]


@pytest.mark.parametrize(("text", "kind", "value", "unit"), SHOWN)
def test_typed_quantity_goes_out_in_its_fixed_unit_with_its_own_text(text, kind, value, unit):
    shown = describe(parse(text, kind))

    assert shown == {"value": pytest.approx(value, rel=1e-11), "unit": unit, "text": text}


TEXTS = [
    (0.00555625, Kind.LENGTH, "7/32 in"),
    (0.03095625, Kind.LENGTH, "1 7/32 in"),
    (0.0254, Kind.LENGTH, "1 in"),
    (0.0056, Kind.LENGTH, "5.6 mm"),
    (0.005556, Kind.LENGTH, "5.556 mm"),
    (0.00055, Kind.LENGTH, "0.55 mm"),
    (0.0, Kind.LENGTH, "0 mm"),
    (-0.00005, Kind.LENGTH, "-0.05 mm"),
    (60 * 6894.757293168361, Kind.PRESSURE, "60 psi"),
    (4e5, Kind.PRESSURE, "4 bar"),
    (413_700.0, Kind.PRESSURE, "4.137 bar"),
    (-20_000.0, Kind.PRESSURE, "-0.2 bar"),
    (501_325.0, Kind.PRESSURE_ABSOLUTE, "5.013 bar abs"),
    (2 * 6894.757293168361, Kind.PRESSURE_DIFFERENCE, "2 psi"),
    (425.15, Kind.TEMPERATURE, "152 degC"),
    (1234.56 / 60, Kind.SPEED, "1235 rpm"),
    (0.0009512, Kind.MASS_FLOW, "57.07 g/min"),
    (0.000000012, Kind.POWER, "0.000000012 W"),
    (5400, Kind.DURATION, "1 h 30 min"),
]


@pytest.mark.parametrize(("value", "kind", "text"), TEXTS)
def test_bare_value_is_shown_in_workshop_notation(value, kind, text):
    assert describe(value, kind)["text"] == text


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("value", [nan, inf, -inf])
def test_value_that_is_not_finite_is_refused(kind, value):
    with pytest.raises(QuantityError, match="can be shown"):
        describe(value, kind)


@given(kind=st.sampled_from(Kind), value=st.floats(allow_nan=False, allow_infinity=False))
def test_any_finite_value_can_be_shown_or_is_refused(kind, value):
    with suppress(QuantityError):
        assert show(value, kind).isascii()


def typed(kind):
    """Quantities of the kind as people write them, in every unit it may have."""
    numbers = st.one_of(
        st.integers(0, 999).map(str),
        st.builds("{}.{:03d}".format, st.integers(0, 999), st.integers(0, 999)),
        st.builds("{} {}/64".format, st.integers(0, 99), st.integers(0, 63)),
    )
    texts = st.builds("{} {}".format, numbers, st.sampled_from(usable_units(kind)))
    return texts.filter(lambda text: is_within_limits(text, kind)).map(
        lambda text: parse(text, kind)
    )


def usable_units(kind):
    """A pressure difference is neither gauge nor absolute."""
    return sorted(
        name
        for name, unit in spellings(kind).items()
        if kind is not Kind.PRESSURE_DIFFERENCE or unit.reference == "none"
    )


def is_within_limits(text, kind):
    try:
        parse(text, kind)
    except QuantityError as refusal:
        if "must lie" not in refusal.message:
            raise
        return False
    return True


@given(st.data(), st.sampled_from(Kind))
def test_what_is_shown_is_read_again_as_the_same_value(data, kind):
    quantity = data.draw(typed(kind))
    again = parse(show(quantity.value, kind), kind)

    assert abs(again.value - quantity.value) <= display_rounding(quantity.value, kind)


def display_rounding(value, kind):
    """Half a unit of the last place shown: a micrometre, a hundredth minute, or four figures."""
    if kind is Kind.LENGTH:
        return Fraction(1, 2 * 10**6)
    if kind is Kind.DURATION:
        return Fraction(60, 200)
    traits = TRAITS[kind]
    number = abs((value - traits.zero) / traits.scale)
    return max(number * Fraction(6, 10000), Fraction(1, 10**9)) * traits.scale


@given(st.data(), st.sampled_from(Kind))
def test_what_is_shown_is_shown_the_same_when_read_again(data, kind):
    quantity = data.draw(typed(kind))
    text = show(quantity.value, kind)

    assert show(parse(text, kind).value, kind) == text


@given(st.integers(1, 6400))
def test_sixty_fourths_are_shown_as_fractions_and_come_back_exactly(count):
    length = Fraction(count, 64) * Fraction(254, 10000)

    assert parse(show(float(length), Kind.LENGTH), Kind.LENGTH).value == length


@pytest.mark.parametrize(
    ("metres", "text"),
    [
        (0.0056, "7/32 in"),
        (0.0254, "1 in"),
        (0.031, "1 7/32 in"),
        (0.0, "0 in"),
        (0.006, "15/64 in"),
    ],
)
def test_nearest_64th(metres, text):
    assert nearest_64th(metres) == text


@pytest.mark.parametrize(
    ("metres", "text"),
    [(0.0055562, "7/32 in"), (0.00561, "No. 2"), (0.0056, "5.6 mm"), (0.007036, "letter J")],
)
def test_nearest_drill_text(metres, text):
    assert nearest_drill_text(metres) == text


@pytest.mark.parametrize("show_length", [nearest_64th, nearest_drill_text])
@pytest.mark.parametrize("length", [-0.001, nan, inf])
def test_impossible_lengths_have_no_nearest_size(show_length, length):
    with pytest.raises(QuantityError, match="can be shown"):
        show_length(length)


def test_no_drill_makes_a_hole_of_no_diameter():
    with pytest.raises(QuantityError, match=r"5\.6 mm"):
        nearest_drill_text(0)


@pytest.mark.parametrize(
    ("minutes", "text"),
    [(90, "1 h 30 min"), (0, "0 min"), (45, "45 min"), (60, "1 h"), (90.25, "1 h 30.25 min"),
     (119.9999, "2 h"), (0.5, "0.5 min"), (6000, "100 h")],
)  # fmt: skip
def test_minutes_are_shown_as_hours_and_minutes(minutes, text):
    assert show_minutes(minutes) == text


@pytest.mark.parametrize("minutes", [-1, nan, inf])
def test_impossible_minutes_are_refused(minutes):
    with pytest.raises(QuantityError, match="minutes"):
        show_minutes(minutes)


@given(st.integers(0, 600_000))
def test_shown_minutes_are_read_again_exactly(minutes):
    assert parse(show_minutes(minutes), Kind.DURATION).value == 60 * minutes


@pytest.mark.parametrize("value", [Fraction(10) ** 400, 1e308, float("inf"), float("nan"), 10**400])
def test_a_value_that_no_float_holds_is_refused(value):
    with pytest.raises(QuantityError, match="that can be shown"):
        describe(value, Kind.LENGTH)
