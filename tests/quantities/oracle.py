"""What a quantity says, read a second time by other means: a walk along the text, sign by sign.

It shares with the service the table of units and of limits, which other tests hold to published
figures, and nothing else: no pattern, no rewriting of signs, no arithmetic.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from itertools import pairwise

from service.quantities.kinds import STANDARD_ATMOSPHERE, TRAITS, Kind
from service.quantities.units import Unit, spellings

DIGITS, LETTERS = set("0123456789"), set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
SIMPLE = {
    "\u00a0": " ", "\u2002": " ", "\u2003": " ", "\u2007": " ", "\u2009": " ", "\u200a": " ",
    "\u202f": " ", "\u2044": "/", "\u2215": "/", "\u2010": "-", "\u2011": "-", "\u2012": "-",
    "\u2013": "-", "\u2014": "-", "\u2033": '"', "\u201c": '"', "\u201d": '"', "\u201e": '"',
    "\u2032": "'", "\u2018": "'", "\u2019": "'", "\u00b0": "deg", "\u00ba": "deg",
    "\u02da": "deg", "\u2103": "degC", "\u2109": "degF", "\u00b5": "u", "\u03bc": "u",
    "\u00d7": "x", "\u2715": "x",
}  # fmt: skip
THIN = {"\u2007", "\u2009", "\u200a", "\u202f"}
DOTS = {"\u00b7", "\u0387", "\u2219", "\u22c5"}
PARTS = {
    "¼": (1, 4), "½": (1, 2), "¾": (3, 4), "⅐": (1, 7), "⅑": (1, 9), "⅒": (1, 10), "⅓": (1, 3),
    "⅔": (2, 3), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5), "⅘": (4, 5), "⅙": (1, 6), "⅚": (5, 6),
    "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
}  # fmt: skip
RAISED, LOWERED = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"
SIGNED = {Kind.ANGLE, Kind.PRESSURE, Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE}
MOST = 40  # signs of a text


class Unclear(Exception):
    """The text does not say one thing."""


def read(text: str, kind: Kind) -> Fraction | None:
    """The value in SI that a text says; None where it says nothing, or more than one thing."""
    try:
        if len(text) > MOST:
            raise Unclear
        value = read_spelt(spell_out(text), kind)
        traits = TRAITS[kind]
        return value if traits.lowest <= value <= traits.highest else None
    except Unclear:
        return None


def spell_out(text: str) -> str:
    """The text in the signs of a typewriter."""
    return "".join(_spell_signs(text))


def _spell_signs(text: str) -> Iterator[str]:
    place, begun = 0, False
    while place < len(text):
        sign, before = text[place], text[place - 1] if place else ""
        after = text[place + 1] if place + 1 < len(text) else ""
        length = 1
        if ordinary := sign if " " <= sign <= "~" else SIMPLE.get(sign):
            if sign in THIN and before in DIGITS and _count_digits(text, place + 1) == 3:
                raise Unclear
            yield ordinary
        elif sign in PARTS:
            over, under = PARTS[sign]
            yield f" {over}/{under} "
        elif sign == "⅟":
            yield " 1/"
        elif sign in RAISED and (fraction := _read_raised(text, place)):
            length = len(fraction) - 2
            yield fraction
        elif sign in "²³" and before in LETTERS:
            yield "^2" if sign == "²" else "^3"
        elif sign in DOTS:
            yield _spell_dot(before, after)
        elif sign == "\u2212" and not begun:
            yield "-"
        else:
            raise Unclear
        begun = begun or not (sign.isspace())
        place += length


def _spell_dot(before: str, after: str) -> str:
    if before in LETTERS and after in LETTERS and before and after:
        return " "
    leads = not before or before in DIGITS or before.isspace() or before in "+-−xX×"
    if leads and after and after in DIGITS:
        return "."
    raise Unclear


def _count_digits(text: str, place: int) -> int:
    end = place
    while end < len(text) and text[end] in DIGITS:
        end += 1
    return end - place


def _read_raised(text: str, place: int) -> str:
    """Raised figures over lowered ones; nothing where they are not so. As long as its spelling."""
    middle = place
    while middle < len(text) and text[middle] in RAISED:
        middle += 1
    end = middle + 1
    while end < len(text) and text[end] in LOWERED:
        end += 1
    over, under = text[place:middle], text[middle + 1 : end]
    if text[middle : middle + 1] not in ("/", "\u2044") or not under or max(
        len(over), len(under)) > 4:  # fmt: skip
        return ""
    figures = "".join(str(RAISED.index(one)) for one in over)
    return f" {figures}/{''.join(str(LOWERED.index(one)) for one in under)} "


def read_spelt(text: str, kind: Kind) -> Fraction:
    """The value of a text in the signs of a typewriter."""
    text = _join(text.strip(" "))
    if not text or "," in text or _sets_off_thousands(text):
        raise Unclear
    sign = 1
    if text[0] in "+-":
        if text[0] == "-":
            sign = -1
            if kind not in SIGNED:
                raise Unclear
        text = text[1:].lstrip(" ")
    if kind is Kind.DURATION and (clock := _read_clock(text)) is not None:
        return clock
    terms = _read_terms(_drop_stops(text), kind)
    total = sign * sum((number * unit.scale for number, unit, _ in terms), Fraction(0))
    return _refer(total + terms[0][1].zero, terms[0][1], kind)


def _join(text: str) -> str:
    """Single spaces, none about a stroke, two feet marks together for inches."""
    joined = ""
    for sign in text:
        if sign == " " and joined[-1:] in (" ", "/"):
            continue
        if sign == "/" and joined.endswith(" "):
            joined = joined[:-1]
        joined += sign
    return joined.replace("''", '"')


def _sets_off_thousands(text: str) -> bool:
    """An apostrophe among figures with three of them after it."""
    for place, sign in enumerate(text):
        after = place + 1 + (text[place + 1 : place + 2] == " ")
        before = text[:place].removesuffix(" ")[-1:]
        if sign == "'" and before in DIGITS and before and _count_digits(text, after) == 3:
            return True
    return False


def _read_clock(text: str) -> Fraction | None:
    hours = _count_digits(text, 0)
    rest = text[hours:].removeprefix(" ")
    for mark in ("hrs", "hr", "h", ":"):
        if 1 <= hours <= 4 and rest.lower().startswith(mark):
            minutes = rest[len(mark) :].removeprefix(" ")
            if len(minutes) == 2 and set(minutes) <= DIGITS:
                if int(minutes) > 59:
                    raise Unclear
                return Fraction(3600 * int(text[:hours]) + 60 * int(minutes))
    return None


def _drop_stops(text: str) -> str:
    spaced = ""
    for place, sign in enumerate(text):
        before, after = text[place - 1 : place] if place else "", text[place + 1 : place + 2]
        is_stop = sign == "." and before in LETTERS and before and after not in DIGITS | {""}
        is_end = sign == "." and before in LETTERS and before and not after
        is_hyphen = sign == "-" and before and before in LETTERS and after and after in LETTERS
        spaced += " " if is_stop or is_end or is_hyphen else sign
    text, words = _join(spaced), ""
    place = 0
    while place < len(text):
        around = text[place - 1 : place] if place else "", text[place + 5 : place + 6]
        if text[place : place + 5].lower() == " per " and all(
            one and one in LETTERS for one in around
        ):
            words, place = f"{words}/", place + 5
        else:
            words, place = words + text[place], place + 1
    return words.strip()


Term = tuple[Fraction, Unit, bool]


def _read_terms(text: str, kind: Kind) -> list[Term]:
    terms: list[Term] = []
    place = 0
    while place < len(text) or not terms:
        if len(terms) == 3:
            raise Unclear
        place += text[place : place + 1] == " "
        plus = text[place : place + 1] == "+"
        if plus:
            if not terms:
                raise Unclear
            place += 1
            place += text[place : place + 1] == " "
        number, place = _read_number(text, place)
        place += text[place : place + 1] == " "
        unit, place = _read_unit(text, place, kind)
        terms.append((number, unit, plus))
    _check(terms)
    return terms


def _read_number(text: str, place: int) -> tuple[Fraction, int]:
    if text[place : place + 1] == ".":
        if place and text[place - 1] not in " +-xX":
            raise Unclear
        return _read_decimal(text, place, place)
    figures = _count_digits(text, place)
    end = place + figures
    if not figures:
        raise Unclear
    if text[end : end + 1] == "/":
        return _read_fraction(text, place)
    joint, numerator = text[end : end + 1], _count_digits(text, end + 1)
    if joint in (" ", "-") and numerator and text[end + 1 + numerator : end + 2 + numerator] == "/":
        if figures > 9 or (joint == " " and numerator == 3):
            raise Unclear
        part, after = _read_fraction(text, end + 1)
        if part >= 1:
            raise Unclear
        return int(text[place:end]) + part, after
    return _read_decimal(text, place, end)


def _read_decimal(text: str, place: int, end: int) -> tuple[Fraction, int]:
    decimals = _count_digits(text, end + 1) if text[end : end + 1] == "." else 0
    last = end + 1 + decimals if decimals else end
    if last == place or text[last : last + 1] in (".", "/") or text[last : last + 1] in DIGITS:
        raise Unclear
    whole, behind = text[place:end] or "0", text[end + 1 : last] if decimals else ""
    return Fraction(int(whole + behind), 10 ** len(behind)), last


def _read_fraction(text: str, place: int) -> tuple[Fraction, int]:
    over = _count_digits(text, place)
    under = _count_digits(text, place + over + 1)
    end = place + over + 1 + under
    if not (1 <= over <= 5 and 1 <= under <= 5) or text[end : end + 1] in (".", "/"):
        raise Unclear
    below = int(text[place + over + 1 : end])
    if not below:
        raise Unclear
    return Fraction(int(text[place : place + over]), below), end


def _read_unit(text: str, place: int, kind: Kind) -> tuple[Unit, int]:
    units = spellings(kind)
    for name in _longest_first(kind):
        written = text[place : place + len(name)]
        after = text[place + len(name) : place + len(name) + 1]
        if written.lower() != name.lower() or (after and after in LETTERS):
            continue
        if written in units:
            return units[written], place + len(name)
        if written.lower() not in units or (written[0] == "M" and written in (
            "Mm", "Mg", "Ml", "Mbar")):  # fmt: skip
            raise Unclear
        return units[written.lower()], place + len(name)
    raise Unclear


@cache
def _longest_first(kind: Kind) -> list[str]:
    return sorted(spellings(kind), key=len, reverse=True)


def _check(terms: list[Term]) -> None:
    for (number, larger, _), (less, smaller, plus) in pairwise(terms):
        if not larger.system or larger.system != smaller.system or smaller.scale >= larger.scale:
            raise Unclear
        if not plus and (number.denominator != 1 or less * smaller.scale >= larger.scale):
            raise Unclear


def _refer(value: Fraction, unit: Unit, kind: Kind) -> Fraction:
    if kind is Kind.PRESSURE and unit.reference == "absolute":
        return value - STANDARD_ATMOSPHERE
    if kind is Kind.PRESSURE_ABSOLUTE and unit.reference == "gauge":
        return value + STANDARD_ATMOSPHERE
    if kind is Kind.PRESSURE_DIFFERENCE and unit.reference != "none":
        raise Unclear
    return value
