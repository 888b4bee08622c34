"""Drill sizes as they are written where a drill is meant."""

from fractions import Fraction

import pytest

from service.engineering.threads.catalogue import all_drills
from service.quantities import Kind, QuantityError, parse_drill

INCH = Fraction(254, 10000)

READ = [
    # Twist drill gauge and letter sizes as in Machinery's Handbook.
    ("No. 2", "0.2210"), ("#2", "0.2210"), ("no 2", "0.2210"), ("No.30", "0.1285"),
    ("number 30", "0.1285"), ("No. 80", "0.0135"), ("letter J", "0.277"), ("J", "0.277"),
    ("j", "0.277"), ("letter Q", "0.332"), ("Q drill", "0.332"), ("7/32 in", "0.21875"),
    ('7/32"', "0.21875"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "inches"), READ)
def test_drill_is_an_exact_length(text, inches):
    drill = parse_drill(text)

    assert drill.kind is Kind.LENGTH
    assert drill.value == Fraction(inches) * INCH
    assert drill.text == text


def test_metric_drill_is_an_exact_length():
    assert parse_drill("5.6 mm").value == Fraction(56, 10000)


def test_every_drill_of_the_tables_is_read_by_its_own_name():
    for drill in all_drills():
        assert parse_drill(drill.name).si == pytest.approx(drill.diameter, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("2", "write No. 2 or 2 mm"),
        ("7/32", "7/32' has no unit"),
        ("No. 81", "No. 1 to No. 80"),
        ("No. 0", "No. 1 to No. 80"),
        ("letter 5", "letter J"),
        ("M6", "letter J"),
        ("", "Nothing was written"),
        (30, "No. 2"),
        (None, "text is needed"),
    ],
)
def test_what_is_no_drill_is_refused_with_what_to_write(text, sentence):
    with pytest.raises(QuantityError) as refusal:
        parse_drill(text, field="drill")

    assert sentence in refusal.value.message
    assert refusal.value.field == "drill"
