"""A sign that plain text does not have is read as what a person means by it, or refused."""

from fractions import Fraction

import pytest

from service.quantities import Kind, QuantityError, parse, parse_drill, parse_thread

INCH = Fraction(254, 10000)
MM = Fraction(1, 1000)

READ = [
    ("·5 in", Fraction(1, 2) * INCH),
    ("0·25 in", Fraction(1, 4) * INCH),
    ("1⋅5 mm", Fraction(3, 2) * MM),
    ("∙5 mm", Fraction(1, 2) * MM),
    ("1\u03875 mm", Fraction(3, 2) * MM),  # the Greek sign that is the same as a middle dot
    ("1 ft ·5 in", Fraction(25, 2) * INCH),
    ("⅟16 in", Fraction(1, 16) * INCH),
    ("1⅟16 in", Fraction(17, 16) * INCH),
    ("1\u20444 in", Fraction(1, 4) * INCH),
    ("1\u22154 in", Fraction(1, 4) * INCH),
    ("1 7\u204432 in", Fraction(39, 32) * INCH),
    ("1\u00a07/32\u202fin", Fraction(39, 32) * INCH),
    ("2′ 6″", 30 * INCH),
    ("2’6”", 30 * INCH),
    ("1‑7/32 in", Fraction(39, 32) * INCH),
    ("1 ft + ·003 in", Fraction(12003, 1000) * INCH),
]
REFUSED = [
    "·½ in", "5· in", "5 · 5 in", "mm·5", "5 ft·6 in", "1·1/2 in", "1·5·5 in", "··5 in", "½·5 in",
    "5・5 in", "5･5 in", "5•5 in", "5‧5 in", "1\u200b5 mm", "1\u00ad5 mm", "1\u20605 mm",
    "1\ufeff5 mm", "\u202e5 mm", "5\u03025 mm", "5\u0338 mm", "5\u20dd mm", "٥ mm", "５ mm",
    "५ mm", "1٫5 mm", "1，5 mm", "1．5 mm", "1。5 mm", "1⎖5 mm", "10³ mm", "10⁻³ m", "5₀ mm",
    "1𝟓 mm", "⑤ mm", "Ⅴ mm", "五 mm", "1\u2009000 mm", "1\u202f000 mm", "1\u2007000 mm",
    "1 000 mm", "1\u00a0000 mm", "1'000 mm", "1’000″", "1'000\"", "1'005 in", "1 000/16 in",
    "1 200/500 in", "1\u00a0200/500 in", "1_000 mm", "1 −1/2 in", "5−3/8 in", "5 ft.6 in",
    "1 m.5 cm", "5 ft6.5.2 in", "±5 mm", "≈5 mm", "5 Mm", "－5 mm", "5´ 6 in", "↉ in", "½½ in",
    "½⁄2 in", "5½5 in", "1½/2 in", "⁷⁄₃₂5 in", "²⁄3 in", "1,5 mm", "1.000,5 mm", "5 ㎜", "5 ㍉",
    "5″″ 6 in", "5 mm²", "1:30 in", "1e3 mm", "5%", "5 ｍｍ", "5 мм", "5 rnm",
]  # fmt: skip


@pytest.mark.parametrize(("text", "metres"), READ)
def test_sign_is_read_as_a_person_means_it(text: str, metres: Fraction) -> None:
    assert parse(text, Kind.LENGTH).value == metres


@pytest.mark.parametrize("text", REFUSED)
def test_sign_that_may_mean_more_than_one_thing_is_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        parse(text, Kind.LENGTH)


@pytest.mark.parametrize(
    ("text", "kind"),
    [("5 Mg", Kind.MASS), ("5 Mbar", Kind.PRESSURE), ("5 Ml", Kind.VOLUME), ("5−3 degC",
     Kind.TEMPERATURE), ("1 h.30 min", Kind.DURATION), ("1 N·5 m", Kind.TORQUE)],
)  # fmt: skip
def test_other_kinds_refuse_what_may_mean_more_than_one_thing(text: str, kind: Kind) -> None:
    with pytest.raises(QuantityError):
        parse(text, kind)


@pytest.mark.parametrize("text", ["2 N·m", "2 N⋅m", "2 N∙m", "2·0 N·m"])
def test_dot_between_units_is_their_product(text: str) -> None:
    assert parse(text, Kind.TORQUE).value == 2


@pytest.mark.parametrize(
    "decimal",
    ["0.1234567890123456789012345678901234", "0.10000000000000000555111512312578",
     "12345678901234567890123456789012.5", ".000000000000000000000000000000000001"],
)  # fmt: skip
def test_decimal_of_any_length_is_read_exactly(decimal: str) -> None:
    value = Fraction(decimal)
    if value < 1000:
        assert parse(f"{decimal} m", Kind.LENGTH).value == value
    else:
        with pytest.raises(QuantityError, match="between 0 and 1000 m"):
            parse(f"{decimal} m", Kind.LENGTH)


def test_text_that_is_too_long_is_told_so() -> None:
    with pytest.raises(QuantityError, match="At most 40 characters"):
        parse(f"0.{'1' * 40} m", Kind.LENGTH)


@pytest.mark.parametrize(
    ("read", "text", "meant"),
    [
        (parse_thread, "M6 x 0,75", "M6 x 0.75"),
        (parse_thread, "6,3 mm x 0.6 mm 60 deg", "6.3 mm x 0.6 mm 60 deg"),
        (parse_drill, "5,6 mm", "5.6 mm"),
        (parse_drill, "1,5", "1.5"),
    ],
)
def test_comma_is_named_wherever_a_number_is_read(read, text: str, meant: str) -> None:
    with pytest.raises(QuantityError) as refusal:
        read(text)

    assert "comma" in str(refusal.value.message)
    assert meant in str(refusal.value.message)


def test_comma_between_the_parts_of_a_measured_thread_is_none_in_a_number() -> None:
    assert parse_thread("6.3 mm x 0.6 mm, 60 deg").major_diameter == pytest.approx(6.3e-3)


def test_point_may_lead_a_pitch() -> None:
    assert parse_thread("M6 x .75") == parse_thread("M6 x 0.75")
    assert parse_thread("M6x·75") == parse_thread("M6 x 0.75")
