"""Exact numbers as the workshop writes them: 3, 0.5, .5, 7/32, 1 7/32, 1-7/32."""

import re
from decimal import Decimal
from fractions import Fraction

from service.quantities.errors import QuantityError

NUMBER = (
    r"(?:(?:(?P<whole>[0-9]{1,9})(?P<join>[ -]))?(?P<over>[0-9]{1,5})/(?P<under>[0-9]{1,5})"
    r"|(?P<decimal>[0-9]{1,40}(?:\.[0-9]{1,40})?|(?<![0-9A-WYZa-wyz.'\"])\.[0-9]{1,40}))(?![0-9./])"
)
"""Pattern of one number. Every part is bounded, so the exact value stays small; a decimal may fill
any text that is read. A point after a word may be its full stop: `5 ft.6 in` is refused.
"""

A_NUMBER = re.compile(NUMBER)


def read_number(text: str) -> Fraction | None:
    """The exact value of a text that is one number and nothing else; None if it is not."""
    found = A_NUMBER.fullmatch(text)
    return None if found is None else value_of(found)


def value_of(found: re.Match[str]) -> Fraction:
    """The exact value of a match of `NUMBER`."""
    if found["decimal"] is not None:
        return Fraction(found["decimal"])
    over, under = int(found["over"]), int(found["under"])
    if under == 0:
        raise QuantityError(f"{over}/0 has nothing below the line: write a fraction such as 7/32.")
    if found["whole"] is None:
        return Fraction(over, under)
    if found["join"] == " " and len(found["over"]) == 3:  # 1 200/500: of twelve hundred?
        raise QuantityError(
            f"{found['whole']} {found['over']}/{under} may have thousands set apart: "
            f"write {found['whole']}-{over}/{under}, or a decimal."
        )
    whole = int(found["whole"])
    if over >= under:
        raise QuantityError(
            f"{whole} {over}/{under} is not a mixed number: "
            f"write {show_mixed(whole + Fraction(over, under))}."
        )
    return whole + Fraction(over, under)


def show_mixed(value: Fraction) -> str:
    """A number of zero or more as a reduced mixed fraction: 39/32 is `1 7/32`."""
    whole, rest = divmod(value, 1)
    if rest == 0:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def show_decimal(value: Fraction | float, *, places: int) -> str:
    """A number to at most so many decimal places, trailing zeros trimmed, never an exponent."""
    if isinstance(value, float):  # rounds as the fraction would, half to even, and much faster
        text = f"{value:.{places}f}"
        text = text.rstrip("0").rstrip(".") if places else text
        return "0" if text == "-0" else text
    scaled = round(Fraction(value) * 10**places)
    whole, rest = divmod(abs(scaled), 10**places)
    sign = "-" if scaled < 0 else ""
    decimals = f"{rest:0{places}d}".rstrip("0") if places else ""
    return f"{sign}{whole}.{decimals}" if decimals else f"{sign}{whole}"


def show_four_figures(value: float) -> str:
    """A number to four significant figures, every figure before the point kept, no exponent."""
    if value == 0:
        return "0"
    places = 3 - Decimal(value).adjusted()
    return show_decimal(value, places=min(max(places, 0), 9))
