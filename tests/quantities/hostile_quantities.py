"""Quantities as people and their telephones spoil them, each read twice.

    PYTHONPATH=. .venv/bin/python -m tests.quantities.hostile_quantities [SEED] [HOW MANY]

A text is built from what it says; three of four are then spoilt by signs put in, taken out, changed
or moved. What was not spoilt must be read, as what it was built from. What was must be read as the
oracle reads it, or be refused: to read what the oracle refuses is to misread.
`test_hostile_quantities` looks at a few.
"""

import sys
from collections import Counter
from fractions import Fraction
from random import Random
from typing import NamedTuple

from service.quantities import Kind, QuantityError, parse
from service.quantities.kinds import TRAITS
from service.quantities.units import spellings
from tests.quantities.oracle import read

SPOILERS = [
    *"0123456789", *"..//--++  ''\"", *"xXeE,;:_%()^*", *"mMkKgGhHinftbarpsi",
    *"·∙⋅・･•‧\u0387", *"⁄∕⅟½¼¾⅓⅛⅞↉", *"⁰¹²³⁴⁵⁹₀₁₂₃₄₉", *"−‐‑–—－±", *"°º˚℃℉µμ×✕",
    *"\u00a0\u2002\u2007\u2009\u200a\u202f\u3000\u2028", *"\u200b\u200c\u200d\u2060\ufeff\u00ad",
    *"\u202a\u202e\u2066\u2069\u200e", *"\u0301\u0338\u20dd\u0307", *"′″‘’“”„´`ʼ‚",
    *"٠١٢٣٫٬۵०५５．，／", *"①⑤Ⅴ五𝟓", *"мкгоіｍ", "\n", "\t", "\x00", "\ud800", " per ",
    "e-3", "000",
]  # fmt: skip
SPACES = [" ", " ", " ", "", "\u00a0", "\u2009", "\u202f", "  "]
STROKES = ["/", "/", "\u2044", "\u2215", " / "]
RAISED, LOWERED = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"
CHARACTERS = {Fraction(1, 2): "½", Fraction(1, 4): "¼", Fraction(3, 4): "¾", Fraction(7, 8): "⅞",
              Fraction(1, 3): "⅓", Fraction(5, 8): "⅝"}  # fmt: skip


class Built(NamedTuple):
    """A text and what it was built from."""

    text: str
    kind: Kind
    value: Fraction | None  # in SI; None where it lies outside what is taken


def build(random: Random) -> Built:
    """A quantity of any kind, in any notation that is taken."""
    kind = random.choice(list(Kind))
    units = spellings(kind)
    name = random.choice(list(units))
    number, said = _say_number(random)
    unit = units[name]
    value = number * unit.scale + unit.zero
    text = f"{said}{_space(random, name)}{_case(random, name)}"
    if kind is Kind.PRESSURE_DIFFERENCE and unit.reference != "none":
        return Built(text, kind, None)
    if kind is Kind.PRESSURE and unit.reference == "absolute":
        value -= 101325
    if kind is Kind.PRESSURE_ABSOLUTE and unit.reference == "gauge":
        value += 101325
    traits = TRAITS[kind]
    inside = traits.lowest <= value <= traits.highest
    return Built(text, kind, value if inside and len(text) <= 40 else None)


def _space(random: Random, name: str) -> str:
    """Between number and unit; what begins with a letter that numbers know keeps its space."""
    return random.choice(SPACES) if name[0].isalpha() else random.choice(["", " "])


def _case(random: Random, name: str) -> str:
    if name != name.lower() or "'" in name:
        return name
    return random.choice([name, name, name.upper()]) if name != "mpa" else name


def _say_number(random: Random) -> tuple[Fraction, str]:
    whole, under = random.choice([0, 1, 2, 5, 12, 99, 250]), random.choice([2, 3, 4, 8, 16, 32, 64])
    over = random.randrange(1, under)
    part = Fraction(over, under)
    stroke = random.choice(STROKES)
    match random.randrange(6):
        case 0:
            return part, f"{over}{stroke}{under}"
        case 1:
            joint = random.choice([" ", "\u00a0", "-", "‑", "–"])
            return whole + part, f"{whole}{joint}{over}{stroke}{under}"
        case 2:
            raised = "".join(RAISED[int(one)] for one in str(over))
            lowered = "".join(LOWERED[int(one)] for one in str(under))
            return whole + part, f"{whole}{raised}⁄{lowered}"
        case 3:
            part = random.choice(list(CHARACTERS))
            return whole + part, f"{whole}{CHARACTERS[part]}"
        case 4:
            decimals = "".join(random.choices("0123456789", k=random.choice([1, 2, 3, 9, 20])))
            point = random.choice([".", ".", "·", "⋅", "∙", "\u0387"])
            lead = random.choice([str(whole), ""])
            return Fraction(f"{lead or '0'}.{decimals}"), f"{lead}{point}{decimals}"
    return Fraction(whole), str(whole)


def spoil(random: Random, text: str) -> str:
    """The text with one to four signs put in, taken out, changed, moved or said twice."""
    signs = list(text)
    for _ in range(random.choice([1, 1, 1, 2, 2, 3, 4])):
        place = random.randrange(len(signs) + 1)
        match random.randrange(6):
            case 0 | 1:
                signs.insert(place, random.choice(SPOILERS))
            case 2 if place < len(signs):
                signs[place] = random.choice(SPOILERS)
            case 3 if place < len(signs):
                del signs[place]
            case 4 if place < len(signs):
                signs.insert(place, signs[place])
            case 5 if place + 1 < len(signs):
                signs[place], signs[place + 1] = signs[place + 1], signs[place]
    return "".join(signs)


def find_misreading(random: Random) -> tuple[str, str | None]:
    """One text read twice: what became of it, and what was misread in words."""
    built = build(random)
    if random.random() < 0.25:
        found = _read(built.text, built.kind)
        if found != built.value:
            return "misread", f"{built.text!r} {built.kind} as {found}, built from {built.value}"
        return ("built and read" if found is not None else "built and refused"), None
    text = spoil(random, built.text)
    if random.random() < 0.1:
        text += random.choice(["", " ", " + "]) + build(random).text
    found, meant = _read(text, built.kind), read(text, built.kind)
    if found == meant:
        return ("spoilt and read" if found is not None else "spoilt and refused"), None
    if found is None:
        return "refused, where the oracle reads", f"{text!r} {built.kind}: {meant}"
    return "misread", f"{text!r} {built.kind} as {found}, not {meant}"


def _read(text: str, kind: Kind) -> Fraction | None:
    try:
        return parse(text, kind).value
    except QuantityError:
        return None


def main(seed: int = 0, count: int = 10_000) -> None:
    """Read so many, and tell what became of them."""
    random, told = Random(seed), Counter[str]()
    for _ in range(count):
        became, words = find_misreading(random)
        told[became] += 1
        if words and told[became] <= 20:
            print(f"{became}: {words}", flush=True)
    for what, times in told.most_common():
        print(f"{times:9,} {what}")
    raise SystemExit(1 if told["misread"] else 0)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
