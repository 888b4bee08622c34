"""What a thread designation says: its words, numbers and marks, before any table is asked."""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from service.engineering.threads.catalogue import Family, families
from service.quantities.errors import QuantityError
from service.quantities.numbers import NUMBER, value_of

WANTED = "write e.g. 1/4 x 40 ME, 2 BA, 1/8 BSP or M6 x 0.75"
MEASURED_WANTED = "or write what was measured, as 6.3 mm x 0.6 mm 60 deg"

NUMBER_SIGN = re.compile(r"\bno\.?(?= ?[0-9])|\bnumber\b")
TOKEN = re.compile(rf"{NUMBER}|(?P<word>[a-z]+|[#\"])|(?P<gap>[ \-])|(?P<other>.)")
STRAY = re.compile(r"^[-x]|[-x]$|[-x] ?[-x]")  # A dash or cross with nothing on one side of it
MARKS = {"#": "#", '"': "in", "in": "in", "inch": "in", "mm": "mm", "tpi": "tpi"}
"""Words that say what a number counts."""
SILENT_WORDS = {"x", "by", "thread", "iso"}


@dataclass(frozen=True, slots=True)
class Reading:
    """What a designation says."""

    text: str
    words: frozenset[str]  # the words that name it
    families: tuple[str, ...]
    """What they mean in the table of families; empty where they mean nothing there."""
    size: Fraction
    step: Fraction | None  # threads per inch, or the pitch in mm
    marks: frozenset[str]  # what stood with the numbers: # (a number size), in, mm, tpi


def read_designation(plain: str, own_words: frozenset[str] = frozenset()) -> Reading:
    """Take plain text apart, or raise `QuantityError` naming the part that is not understood.

    `own_words` are those of the workshop's own threads, known beside the families'.
    """
    numbers, words = _split(_without_class(_with_phrases_joined(plain.lower())), plain)
    named = [word for word in words if word not in MARKS]
    if not 1 <= len(numbers) <= 2:
        raise QuantityError(f"'{plain}' is not a size and a pitch: {WANTED}.")
    meant = _read_families(named, plain, own_words)
    if meant and "/" in plain and all(one.size in ("mm", "number") for one in _of_keys(meant)):
        raise QuantityError(f"'{plain}' is a size of no such thread: {WANTED}.")
    return Reading(
        text=plain,
        words=frozenset(named),
        families=meant,
        size=numbers[0],
        step=numbers[1] if len(numbers) == 2 else None,
        marks=frozenset(MARKS[word] for word in words if word in MARKS),
    )


def name_words(designation: str, family: str) -> tuple[frozenset[str], ...]:
    """The sets of words by which one of the workshop's own threads may be named."""
    found = (_words_of(text.lower()) for text in (designation, family))
    return tuple(words for words in found if words)


def _words_of(text: str) -> frozenset[str]:
    words = {found["word"] for found in TOKEN.finditer(text) if found["word"]}
    return frozenset(words - SILENT_WORDS - MARKS.keys())


def _with_phrases_joined(text: str) -> str:
    text = NUMBER_SIGN.sub("#", text)
    for pattern, joined in _phrases():
        text = pattern.sub(joined, text)
    return text


def _without_class(text: str) -> str:
    """The text without the class of tolerance that may end it, which a basic size drops."""
    for ending, keys in _classes():
        if text.endswith(ending):
            rest = text.removesuffix(ending).rstrip(" -")
            if rest[-1:].isalnum() and keys & _mentioned(rest):
                return rest
    return text


def _mentioned(text: str) -> frozenset[str]:
    return frozenset(key for word in _words_of(text) for key in _meanings().get(word, ()))


def _split(text: str, plain: str) -> tuple[list[Fraction], list[str]]:
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


def _read_families(named: list[str], plain: str, own: frozenset[str]) -> tuple[str, ...]:
    """What the words mean; a word of the workshop's own means nothing in the table."""
    known = _meanings()
    for word in named:
        if word not in known and word not in own:
            raise QuantityError(
                f"'{word}' in '{plain}' is no family of threads known here: "
                f"{WANTED}, {MEASURED_WANTED}."
            )
    meanings = {known.get(word, ()) for word in named}
    if len(meanings) > 1 and not own.intersection(named):
        raise QuantityError(f"'{plain}' names two families of threads: write one.")
    return meanings.pop() if len(meanings) == 1 else ()


@cache
def _meanings() -> dict[str, tuple[str, ...]]:
    """The families that each word names, in the order of the table; a phrase as one word."""
    meanings: dict[str, tuple[str, ...]] = {}
    for family in families():
        for words in family.words:
            word = words.replace(" ", "")
            meanings[word] = (*meanings.get(word, ()), family.key)
    return meanings


@cache
def _phrases() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Names of several words, to be read as one."""
    phrases = {words for family in families() for words in family.words if " " in words}
    return tuple(
        (re.compile(rf"\b{re.escape(words)}\b"), words.replace(" ", ""))
        for words in sorted(phrases, key=len, reverse=True)
    )


@cache
def _classes() -> tuple[tuple[str, frozenset[str]], ...]:
    """The classes of tolerance, each with the families that bear it."""
    bearers: dict[str, set[str]] = {}
    for family in families():
        for one in family.classes:
            bearers.setdefault(one, set()).add(family.key)
    return tuple((one, frozenset(bearers[one])) for one in sorted(bearers, key=len, reverse=True))


def _of_keys(keys: tuple[str, ...]) -> list[Family]:
    return [family for family in families() if family.key in keys]
