"""A thread designation taken apart: its numbers, the words that name it, and its hand."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from service.engineering.threads.catalogue import Family, Hand, families
from service.quantities.errors import QuantityError
from service.quantities.numbers import A_NUMBER, NUMBER, value_of

WANTED = "write e.g. 1/4 x 40 ME, 2 BA, 1/8 BSP or M6 x 0.75"

NUMBER_SIGN = re.compile(r"\bno\.?(?= ?[0-9])|\bnumber\b")
TOKEN = re.compile(rf"{NUMBER}|(?P<word>[a-z]+|[#\"])|(?P<gap>[ \-])|(?P<other>.)")
STRAY = re.compile(r"^[-x]|[-x]$|[-x] ?[-x]")  # A dash or cross with nothing on one side of it
HAND = re.compile(
    r"[ ,\-]*\(?(?<![a-z])(?:(?P<left>l)|r)"
    r"(?:\.? ?h\b\.?|(?(left)eft|ight)(?:[ -]?hand(?:ed)?)?\b)\)?",
    re.IGNORECASE,
)
"""`LH`, `L.H.`, `left`, `left-hand`, `(left handed)`, and the same of the right."""

MARKS = {"#": "#", '"': "in", "in": "in", "inch": "in", "mm": "mm", "tpi": "tpi", "t": "tpi"}
"""Words that say what a number counts; `5/16 x 32 T` has 32 threads in an inch."""
SILENT_WORDS = {"x", "by", "thread", "iso"}
SMALLER_THAN_NOUGHT = re.compile("0{2,4}")  # number sizes 00, 000 and 0000
DIGITS = str.maketrans({str(digit): f"q{chr(ord('a') + digit)}" for digit in range(10)})


@dataclass(frozen=True, slots=True)
class Reading:
    """What a designation says."""

    text: str
    words: frozenset[str]  # the words that name it
    families: tuple[str, ...]
    """What they mean in the table of families; empty where they mean nothing there."""
    strange: str  # a word that no family and no thread of the workshop's own bears, or blank
    size: Fraction
    step: Fraction | None  # threads per inch, or the pitch in mm
    marks: frozenset[str]  # what stood with the numbers: # (a number size), in, mm, tpi
    hand: Hand

    @property
    def is_in_inches(self) -> bool:
        """Whether it looks like an inch thread; no pitch of 7 mm is cut on so small a thread."""
        if self.marks:
            return "mm" not in self.marks
        return "/" in self.text or (self.step is not None and self.step >= 7)


def split_hand(text: str) -> tuple[str, Hand]:
    """A designation without the words for its hand, and the hand; right where it says none."""
    said = {"left" if found["left"] else "right" for found in HAND.finditer(text)}
    if len(said) > 1:
        raise QuantityError(f"'{text}' is left-hand and right-hand: write one.")
    rest = HAND.sub("", text).strip(" ,-") if said else text
    return rest, "left" if "left" in said else "right"


def size_of(designation: str) -> Fraction | None:
    """The size a designation opens with: 1/4, 10, 6. A pipe size is not the diameter."""
    found = A_NUMBER.search(designation)
    return None if found is None else _count(found)


def name_words(designation: str, family: str) -> tuple[frozenset[str], ...]:
    """The sets of words by which one of the workshop's own threads may be named."""
    found = (_words_in(text.lower()) for text in (split_hand(designation)[0], family))
    return tuple(words for words in found if words)


def join_phrases(text: str) -> str:
    """Small letters, the names of several words each as one word of letters."""
    text = NUMBER_SIGN.sub("#", text.lower())
    for pattern, joined in _phrases():
        text = pattern.sub(joined, text)
    return text


def read_designation(
    plain: str, *, written: str, hand: Hand, own_words: frozenset[str] = frozenset()
) -> Reading:
    """Take plain text apart, or raise `QuantityError` naming the part that is not understood.

    `plain` is what was `written` without its hand. `own_words` are those of the
    workshop's own threads, known beside the families'.
    """
    text = _without_class(join_phrases(plain))
    numbers, words = _split(text, written)
    named = [word for word in words if word not in MARKS]
    if not 1 <= len(numbers) <= 2:
        raise QuantityError(f"'{written}' is not a size and a pitch: {WANTED}.")
    strange = next((word for word in named if word not in own_words | _meanings().keys()), "")
    meant = () if strange else _read_families(named, written, own_words)
    if meant and "/" in text and all(one.size in ("mm", "number") for one in _of_keys(meant)):
        raise QuantityError(f"'{written}' is a size of no such thread: {WANTED}.")
    return Reading(
        text=written,
        words=frozenset(named),
        families=meant,
        strange=strange,
        size=numbers[0],
        step=numbers[1] if len(numbers) == 2 else None,
        marks=frozenset(MARKS[word] for word in words if word in MARKS),
        hand=hand,
    )


def _words_in(text: str) -> frozenset[str]:
    words = {found["word"] for found in TOKEN.finditer(text) if found["word"]}
    return frozenset(words - SILENT_WORDS - MARKS.keys())


def _without_class(text: str) -> str:
    """The text without the classes of tolerance that may end it, which a basic size drops."""
    for ending, keys in _classes():
        if text.endswith(ending):
            rest = text.removesuffix(ending).rstrip(" -/")
            if rest[-1:].isalnum() and keys & _mentioned(rest):
                return _without_class(rest)
    return text


def _mentioned(text: str) -> frozenset[str]:
    return frozenset(key for word in _words_in(text) for key in _meanings().get(word, ()))


def _split(text: str, plain: str) -> tuple[list[Fraction], list[str]]:
    numbers: list[Fraction] = []
    words: list[str] = []
    for found in TOKEN.finditer(text):
        if found["other"] or STRAY.search(text):
            raise QuantityError(f"'{plain}' is not a thread as it is understood here: {WANTED}.")
        if found["word"] and found["word"] not in SILENT_WORDS:
            words.append(found["word"])
        elif not found["word"] and not found["gap"]:
            numbers.append(value_of(found) if numbers else _count(found))
    return numbers, words


def _count(found: re.Match[str]) -> Fraction:
    """The value of a size; the number sizes under nought count down: 00 is -1."""
    if SMALLER_THAN_NOUGHT.fullmatch(found[0]):
        return Fraction(1 - len(found[0]))
    return value_of(found)


def _read_families(named: list[str], plain: str, own: frozenset[str]) -> tuple[str, ...]:
    """What the words mean together; a word of the workshop's own means nothing in the table."""
    meanings = [_meanings().get(word, ()) for word in named]
    first = meanings[0] if meanings else ()
    meant = tuple(key for key in first if all(key in one for one in meanings))
    if named and not meant and not own.intersection(named):
        raise QuantityError(f"'{plain}' names two families of threads: write one.")
    return meant


@cache
def _meanings() -> dict[str, tuple[str, ...]]:
    """The families that each word names, in the order of the table; a phrase as one word."""
    meanings: dict[str, tuple[str, ...]] = {}
    for family in families():
        for words in family.words:
            word = _as_one_word(words)
            meanings[word] = (*meanings.get(word, ()), family.key)
    return meanings


@cache
def _phrases() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Names of several words or with figures in them, to be read as one word."""
    phrases = {words for family in families() for words in family.words if not words.isalpha()}
    return tuple(
        (re.compile(rf"\b{re.escape(words)}\b".replace("\\ ", " ?")), _as_one_word(words))
        for words in sorted(phrases, key=len, reverse=True)
    )


def _as_one_word(words: str) -> str:
    return words.replace(" ", "").translate(DIGITS)


@cache
def _classes() -> tuple[tuple[str, frozenset[str]], ...]:
    """The classes of tolerance, each with the families that bear it."""
    bearers: dict[str, set[str]] = {}
    for family in families():
        for one in family.classes:
            bearers.setdefault(one, set()).add(family.key)
    return tuple((one, frozenset(bearers[one])) for one in sorted(bearers, key=len, reverse=True))


def _of_keys(keys: Iterable[str]) -> list[Family]:
    return [family for family in families() if family.key in keys]
