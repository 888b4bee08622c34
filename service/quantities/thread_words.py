"""What a thread designation says: its words, numbers and marks, before any table is asked."""

import re
from dataclasses import dataclass
from fractions import Fraction

from service.quantities.errors import QuantityError
from service.quantities.numbers import NUMBER, value_of

WANTED = "write e.g. 1/4 x 40 ME, 2 BA, 1/8 BSP or M6 x 0.75"
MEASURED_WANTED = "or write what was measured, as 6.3 mm x 0.6 mm 60 deg"

UNIFIED = ("UNC", "UNF", "UNEF", "UNS")
METRIC = ("metric", "metric fine")
FAMILY_WORDS: dict[str, tuple[str, ...]] = {
    "me": ("ME",),
    "ba": ("BA",),
    "bsw": ("BSW",),
    "whit": ("BSW",),
    "whitworth": ("BSW",),
    "bsf": ("BSF",),
    "brass": ("brass",),
    "bsb": ("brass",),
    "bsp": ("BSP",),
    "bspp": ("BSP",),
    "g": ("BSP",),
    "rp": ("BSP",),
    "bspt": ("BSPT",),
    "r": ("BSPT",),
    "rc": ("BSPT",),
    "unc": ("UNC",),
    "unf": ("UNF",),
    "unef": ("UNEF",),
    "uns": ("UNS",),
    "un": UNIFIED,
    "m": METRIC,
    "npt": ("NPT",),
}
"""What each word means in the catalogue. Rp is the parallel female of ISO 7-1: the G sizes."""

PHRASES = (
    (re.compile(r"\bmodel engineer\b"), "me"),
    (re.compile(r"\bbritish association\b"), "ba"),
    (re.compile(r"\bbsp taper\b|\btaper bsp\b"), "bspt"),
    (re.compile(r"\bbsp parallel\b|\bparallel bsp\b"), "bsp"),
    (re.compile(r"\bno\.?(?= ?[0-9])|\bnumber\b"), "#"),
    (re.compile(r"(?<=un[cfs])[ -]*[123][ab]$|(?<=unef)[ -]*[123][ab]$"), ""),
    (re.compile(r"(?<=^m)(.{1,20}?)[ -]?[4-8][gh]$"), r"\1"),
    (re.compile(r"(?<=^g)( ?[0-9/ ]{1,8}?) ?[ab]$"), r"\1"),
)
"""Longer ways of saying a family, number signs, and tolerance classes, which a basic size drops."""

TOKEN = re.compile(rf"{NUMBER}|(?P<word>[a-z]+|[#\"])|(?P<gap>[ \-])|(?P<other>.)")
STRAY = re.compile(r"^[-x]|[-x]$|[-x] ?[-x]")
"""A dash or cross with nothing on one side of it."""

MARKS = {"#": "#", '"': "in", "in": "in", "inch": "in", "mm": "mm", "tpi": "tpi"}
"""Words that say what a number counts."""
SILENT_WORDS = {"x", "by", "thread", "iso"}


@dataclass(frozen=True, slots=True)
class Reading:
    """What a designation says; `families` is empty where it names none."""

    text: str
    families: tuple[str, ...]
    size: Fraction
    step: Fraction | None
    """Threads per inch, or the pitch in mm."""
    marks: frozenset[str]
    """What stood with the numbers: # (a number size), in, mm, tpi."""


def read_designation(plain: str) -> Reading:
    """Take plain text apart, or raise `QuantityError` naming the part that is not understood."""
    numbers, words = _split(plain)
    named = [word for word in words if word not in MARKS]
    if not 1 <= len(numbers) <= 2:
        raise QuantityError(f"'{plain}' is not a size and a pitch: {WANTED}.")
    families = _read_family(named, plain)
    if families in (METRIC, ("BA",)) and "/" in plain:
        raise QuantityError(f"'{plain}' is a size of no such thread: {WANTED}.")
    return Reading(
        text=plain,
        families=families,
        size=numbers[0],
        step=numbers[1] if len(numbers) == 2 else None,
        marks=frozenset(MARKS[word] for word in words if word in MARKS),
    )


def _split(plain: str) -> tuple[list[Fraction], list[str]]:
    text = plain.lower()
    for pattern, replacement in PHRASES:
        text = pattern.sub(replacement, text)
    numbers: list[Fraction] = []
    words: list[str] = []
    for found in TOKEN.finditer(text):
        if found["other"] or STRAY.search(text):
            raise QuantityError(f"'{plain}' is not a thread as it is understood here: {WANTED}.")
        if found["word"] and found["word"] not in SILENT_WORDS:
            words.append(found["word"])
        elif not found["word"] and not found["gap"]:
            numbers.append(value_of(found))
    return numbers, words


def _read_family(named: list[str], plain: str) -> tuple[str, ...]:
    for word in named:
        if word not in FAMILY_WORDS:
            raise QuantityError(
                f"'{word}' in '{plain}' is no family of threads known here: "
                f"{WANTED}, {MEASURED_WANTED}."
            )
    meanings = {FAMILY_WORDS[word] for word in named}
    if len(meanings) > 1:
        raise QuantityError(f"'{plain}' names two families of threads: write one.")
    return meanings.pop() if meanings else ()
