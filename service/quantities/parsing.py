"""Workshop notation to an exact quantity. Text never reaches a general expression evaluator."""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise

from service.quantities.characters import AROUND_SLASH, SPACES, make_plain, mend_comma
from service.quantities.errors import QuantityError, naming
from service.quantities.kinds import STANDARD_ATMOSPHERE, TRAITS, Kind
from service.quantities.numbers import NUMBER, read_number, value_of
from service.quantities.quantity import Quantity
from service.quantities.units import Unit, spellings

LONGEST_TEXT = 40  # characters read at most, so that every decimal is exact and small
KEPT = 2048  # texts read lately whose values are kept
MOST_TERMS = 3  # parts of a sum at most: 1 h 30 min 15 s
STOP_AFTER_LETTER = re.compile(r"(?<=[A-Za-z])(?:\.(?![0-9])|-(?=[A-Za-z]))")
PER = re.compile(r"(?<=[A-Za-z]) per (?=[A-Za-z])", re.IGNORECASE)
EXPONENT = re.compile(r"[0-9.] ?[eE\^*] ?[-+*]?[0-9]")
APOSTROPHE = re.compile(r"[0-9] ?' ?[0-9]{3}(?![0-9])")  # 1'000: thousands, or feet?
MEGA = frozenset({"Mm", "Mg", "Ml", "Mbar"})  # a million of what without the capital is meant
HOURS_AND_MINUTES = re.compile(r"([0-9]{1,4}) ?(?:h|hr|hrs|:) ?([0-9]{2})", re.IGNORECASE)

SIGNED = {Kind.ANGLE, Kind.PRESSURE, Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE}
"""Kinds of which a value below nought has a meaning."""


@dataclass(frozen=True, slots=True)
class Term:
    """One part of a sum: `plus` tells whether a plus sign stood before it."""

    number: Fraction
    unit: Unit
    plus: bool

    @property
    def size(self) -> Fraction:
        """The SI size of the part, without any zero offset."""
        return self.number * self.unit.scale


def parse(text: object, kind: Kind | str, *, field: str | None = None) -> Quantity:
    """Read one quantity of the given kind, or raise `QuantityError` saying what to write."""
    kind = Kind(kind)
    with naming(field):
        plain = make_plain(text, longest=LONGEST_TEXT, wanted=f"write {TRAITS[kind].example}")
        value = _keep_within_limits(_read_value(plain, kind), kind)
    return Quantity(kind, value, str(text).strip())


@lru_cache(maxsize=KEPT)
def _read_value(plain: str, kind: Kind) -> Fraction:
    """The value of a text; a plant's records are read again for every check."""
    sign, body = _split_sign(plain, kind)
    if APOSTROPHE.search(body):
        wanted = f"write {TRAITS[kind].example}"
        raise QuantityError(f"'{body}' has an apostrophe among its figures: {wanted}.")
    if kind is Kind.DURATION and (found := HOURS_AND_MINUTES.fullmatch(body)):
        return _read_hours_and_minutes(found)
    terms = _split_terms(_drop_stops(body), kind)
    _check_sum(terms, plain)
    total = sign * sum((term.size for term in terms), Fraction(0))
    return _refer(total + terms[0].unit.zero, terms[0].unit, kind)


def _drop_stops(body: str) -> str:
    """Full stops of abbreviations and hyphens between words out, `per` as a stroke."""
    spaced = STOP_AFTER_LETTER.sub(" ", body)
    return PER.sub("/", AROUND_SLASH.sub("/", SPACES.sub(" ", spaced))).strip()


def _split_sign(plain: str, kind: Kind) -> tuple[int, str]:
    if plain[0] == "+":
        return 1, plain[1:].lstrip()
    if plain[0] != "-":
        return 1, plain
    if kind not in SIGNED:
        traits = TRAITS[kind]
        raise QuantityError(f"{_sentence(traits.noun)} cannot be negative: write {traits.example}.")
    return -1, plain[1:].lstrip()


def _read_hours_and_minutes(found: re.Match[str]) -> Fraction:
    hours, minutes = int(found[1]), int(found[2])
    if minutes > 59:
        raise QuantityError(f"{found[0]} has more than 59 minutes: write it as in 1h30.")
    return Fraction(3600 * hours + 60 * minutes)


def _split_terms(body: str, kind: Kind) -> list[Term]:
    pattern, units = _term_pattern(kind), spellings(kind)
    terms: list[Term] = []
    position = 0
    while position < len(body) or not terms:
        found = pattern.match(body, position)
        if found is None or len(terms) == MOST_TERMS:
            raise QuantityError(_explain(body, kind))
        written = found["unit"]
        unit = units.get(written) or units.get("" if written in MEGA else written.lower())
        if unit is None:
            raise QuantityError(_explain(body, kind))
        terms.append(Term(value_of(found), unit, found["plus"] is not None))
        position = found.end()
    if terms[0].plus:
        raise QuantityError(_explain(body, kind))
    return terms


@cache
def _term_pattern(kind: Kind) -> re.Pattern[str]:
    """One number and one unit of the kind, the longest spelling first."""
    units = "|".join(re.escape(unit) for unit in sorted(spellings(kind), key=len, reverse=True))
    return re.compile(rf" ?(?P<plus>\+ ?)?{NUMBER} ?(?P<unit>{units})(?![A-Za-z])", re.IGNORECASE)


def _check_sum(terms: list[Term], plain: str) -> None:
    for larger, smaller in pairwise(terms):
        if not larger.unit.system or larger.unit.system != smaller.unit.system:
            raise QuantityError(f"{plain} adds units that do not go together: write one unit.")
        if smaller.unit.scale >= larger.unit.scale:
            raise QuantityError(f"{plain} is out of order: write the larger unit first, once each.")
        if smaller.plus:
            continue
        if larger.number.denominator != 1:
            raise QuantityError(f"{plain} is unclear: a fraction may stand in the last part only.")
        if smaller.size >= larger.unit.scale:
            raise QuantityError(f"{plain} is unclear: carry the smaller part over into the larger.")


def _refer(value: Fraction, unit: Unit, kind: Kind) -> Fraction:
    """A pressure as its kind wants it: gauge, absolute, or a plain difference."""
    if kind is Kind.PRESSURE and unit.reference == "absolute":
        return value - STANDARD_ATMOSPHERE
    if kind is Kind.PRESSURE_ABSOLUTE and unit.reference == "gauge":
        return value + STANDARD_ATMOSPHERE
    if kind is Kind.PRESSURE_DIFFERENCE and unit.reference != "none":
        raise QuantityError("A difference is neither gauge nor absolute: write 2 psi or 0.1 bar.")
    return value


def _keep_within_limits(value: Fraction, kind: Kind) -> Fraction:
    traits = TRAITS[kind]
    if not traits.lowest <= value <= traits.highest:
        raise QuantityError(f"{_sentence(traits.noun)} must lie {traits.limits}.")
    return value


def _explain(body: str, kind: Kind) -> str:
    """Why `body` could not be read, and what would be right."""
    traits = TRAITS[kind]
    wanted = f"write {traits.example}"
    if "," in body:
        return f"A comma is not understood: write {mend_comma(body)}."
    if EXPONENT.search(body):
        return f"Write the number out in full, without powers: {wanted}."
    if read_number(body) is not None:
        return f"'{body}' has no unit: write the unit, e.g. {traits.example}."
    if kind is Kind.TEMPERATURE and body.lower().endswith("deg"):
        return f"'{body}' does not say which degree: {wanted}."
    return f"'{body}' is not {traits.noun} as it is understood here: {wanted}."


def _sentence(noun: str) -> str:
    return noun[0].upper() + noun[1:]
