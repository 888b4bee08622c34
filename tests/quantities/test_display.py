"""Quantities back to people: fixed units over the wire, the text in the measure asked for."""

from fractions import Fraction
from math import inf, nan, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.quantities import (
    Kind,
    Measure,
    QuantityError,
    describe,
    nearest_64th,
    nearest_drill_text,
    parse,
    show,
)
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


@pytest.mark.parametrize("measure", Measure)
@pytest.mark.parametrize(("text", "kind", "value", "unit"), SHOWN)
def test_typed_quantity_goes_out_in_its_fixed_unit_with_its_own_text(
    text, kind, value, unit, measure
):
    shown = describe(parse(text, kind), measure=measure)

    assert shown == {"value": pytest.approx(value, rel=1e-11), "unit": unit, "text": text}


PSI = 6894.757293168361  # 0.45359237 kg x 9.80665 m/s2 over 0.0254 m squared

TEXTS = [
    # value in SI, kind, and the text in metric, imperial and US measure
    (0.00555625, Kind.LENGTH, "5.56 mm", "7/32 in", "7/32 in"),
    (0.03095625, Kind.LENGTH, "30.96 mm", "1 7/32 in", "1 7/32 in"),
    (0.0254, Kind.LENGTH, "25.4 mm", "1 in", "1 in"),
    (0.0058, Kind.LENGTH, "5.8 mm", "228.3 thou", "228.3 thou"),
    (0.0, Kind.LENGTH, "0 mm", "0 thou", "0 thou"),
    (-0.00005, Kind.LENGTH, "-0.05 mm", "-2 thou", "-2 thou"),
    (1.0, Kind.LENGTH, "1000 mm", "3.28 ft", "3.28 ft"),
    (60 * PSI, Kind.PRESSURE, "4.14 bar", "60 psi", "60 psi"),
    (4e5, Kind.PRESSURE, "4 bar", "58 psi", "58 psi"),
    (-20_000.0, Kind.PRESSURE, "-0.2 bar", "-2.9 psi", "-2.9 psi"),
    (501_325.0, Kind.PRESSURE_ABSOLUTE, "5.01 bar abs", "72.7 psi abs", "72.7 psi abs"),
    (2 * PSI, Kind.PRESSURE_DIFFERENCE, "0.138 bar", "2 psi", "2 psi"),
    (425.15, Kind.TEMPERATURE, "152 degC", "152 degC", "306 degF"),
    (10.0, Kind.TEMPERATURE_DIFFERENCE, "10 K", "10 K", "18 degF"),
    (1234.56 / 60, Kind.SPEED, "1235 rpm", "1235 rpm", "1235 rpm"),
    (0.0009512, Kind.MASS_FLOW, "57.1 g/min", "57.1 g/min", "2.01 oz/min"),
    (0.000000012, Kind.POWER, "under 0.1 W", "under 0.1 W", "under 0.1 W"),
    (5400, Kind.DURATION, "1 h 30 min", "1 h 30 min", "1 h 30 min"),
    (0.00056826125, Kind.VOLUME, "568 ml", "1 pint", "19.2 US fl oz"),
    (0.25, Kind.MASS, "250 g", "8.82 oz", "8.82 oz"),
    (100.0, Kind.FORCE, "100 N", "22.5 lbf", "22.5 lbf"),
    (1.0, Kind.TORQUE, "1 N m", "8.85 lbf in", "8.85 lbf in"),
    (1e-4, Kind.AREA, "100 mm2", "0.155 sq in", "0.155 sq in"),
    (25.0, Kind.VELOCITY, "25 m/s", "82 ft/s", "82 ft/s"),
    (pi / 9, Kind.ANGLE, "20 deg", "20 deg", "20 deg"),
]


@pytest.mark.parametrize(("value", "kind", "metric", "imperial", "us"), TEXTS)
def test_bare_value_is_shown_in_the_measure_asked_for(value, kind, metric, imperial, us):
    assert describe(value, kind)["text"] == metric
    assert [describe(value, kind, one)["text"] for one in Measure] == [metric, imperial, us]
    assert show(Fraction(value), kind, Measure.US) == us


def test_every_kind_is_shown_here():
    assert {row[1] for row in TEXTS} == set(Kind)


def test_a_fine_length_is_never_a_sixty_fourth():
    length = Fraction(7, 32) * Fraction("0.0254")

    assert show(length, Kind.LENGTH, Measure.IMPERIAL) == "7/32 in"
    assert show(length, Kind.LENGTH, Measure.IMPERIAL, fine=True) == "218.8 thou"
    assert show(0.0000434, Kind.LENGTH, fine=True) == "0.043 mm"


def test_a_bare_value_needs_its_kind():
    with pytest.raises(TypeError):
        describe(4e5)


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("value", [nan, inf, -inf])
def test_value_that_is_not_finite_is_refused(kind, value):
    with pytest.raises(QuantityError, match="can be shown"):
        describe(value, kind)


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


@given(st.data(), st.sampled_from(Kind), st.sampled_from(Measure))
def test_what_is_shown_is_shown_the_same_when_read_again(data, kind, measure):
    quantity = data.draw(typed(kind))
    text = show(quantity.value, kind, measure)
    # To the last digit shown a full vacuum is -14.7 psi, and absolute zero -460 degF: beyond it.
    if not text.startswith("under ") and text not in {"-14.7 psi", "-460 degF"}:
        assert show(parse(text, kind).value, kind, measure) == text


@given(st.integers(1, 36 * 64))
def test_sixty_fourths_are_shown_as_fractions_and_come_back_exactly(count):
    length = Fraction(count, 64) * Fraction(254, 10000)
    text = show(float(length), Kind.LENGTH, Measure.IMPERIAL)

    assert parse(text, Kind.LENGTH).value == length


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


@pytest.mark.parametrize("value", [Fraction(10) ** 400, 1e308, float("inf"), float("nan"), 10**400])
def test_a_value_that_no_float_holds_is_refused(value):
    for put in (describe, show):
        with pytest.raises(QuantityError, match="that can be shown"):
            put(value, Kind.LENGTH)


@pytest.mark.parametrize("third", [1 / 3, Fraction(1, 3)])
def test_a_figure_goes_over_the_wire_to_twelve_figures(third):
    assert describe(third, Kind.LENGTH)["value"] == 333.333333333
    assert describe(third, Kind.POWER)["value"] == 0.333333333333
    assert describe(third * 60 - Fraction(27315, 100), Kind.TEMPERATURE_DIFFERENCE)["value"] == (
        -253.15
    )


def test_the_nearest_sixty_fourth_changes_half_way():
    """7/32 in and 15/64 in: half way is 29/128 in, which no rounding may favour by a hair."""
    half_way = Fraction(29, 128) * Fraction(254, 10000)
    hair = Fraction(1, 10**9)

    assert nearest_64th(half_way - hair) == "7/32 in"
    assert nearest_64th(half_way + hair) == "15/64 in"
    assert nearest_64th(Fraction(1, 128) * Fraction(254, 10000) - hair) == "0 in"
    assert nearest_64th(Fraction(1, 128) * Fraction(254, 10000) + hair) == "1/64 in"
    assert nearest_64th(1.0) == "39 3/8 in"  # 39.370 in


def test_nought_has_a_sixty_fourth_but_no_drill():
    assert nearest_64th(0) == "0 in"
    for nothing in (0, 0.0, -1e-9):
        with pytest.raises(QuantityError):
            nearest_drill_text(nothing)
    assert nearest_drill_text(1e-9)
    with pytest.raises(QuantityError):
        nearest_64th(-1e-9)
