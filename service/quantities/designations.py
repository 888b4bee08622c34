"""Thread designations as the workshop writes them, resolved to the catalogue.

`1/4x40 ME`, `¼-40 ME`, `2BA`, `G1/8`, `#10-32` and `M6-0.75` all name one thread each. A size that
could be several threads is refused with their names; nothing is guessed.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from math import isclose

from service.engineering.constants import INCH
from service.engineering.threads.catalogue import Family, Thread, catalogue, families, find_family
from service.quantities.characters import make_plain
from service.quantities.errors import QuantityError, naming
from service.quantities.measured_threads import (
    LONGEST_DESIGNATION,
    read_measured_mapping,
    read_measured_text,
)
from service.quantities.numbers import A_NUMBER, NUMBER, value_of

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


def parse_thread(
    text: object, *, field: str | None = None, workshop_threads: tuple[Thread, ...] = ()
) -> Thread:
    """The thread a designation or a measured description means, or `QuantityError` saying why not.

    `text` is a designation (`1/4 x 40 ME`), measurements (`6.3 mm x 0.6 mm 60 deg`), or a mapping
    with `diameter`, `pitch` or `threads_per_inch`, `angle` and, of a taper, `taper`.
    `workshop_threads` are known beside the catalogue.
    """
    if isinstance(text, Mapping):
        return read_measured_mapping(text, field=field)
    with naming(field):
        plain = make_plain(text, longest=LONGEST_DESIGNATION, wanted=WANTED)
        return _find_exactly(plain, workshop_threads) or _read_thread(plain, workshop_threads)


def _find_exactly(plain: str, workshop_threads: tuple[Thread, ...]) -> Thread | None:
    for thread in workshop_threads:
        if thread.designation.lower() == plain.lower():
            return thread
    return _catalogue_by_designation().get(plain.lower())


def _read_thread(plain: str, workshop_threads: tuple[Thread, ...]) -> Thread:
    if measured := read_measured_text(plain):
        return measured
    reading = _read_designation(plain, _words_of(workshop_threads))
    sized = [
        thread for thread in _threads_of(reading.size, workshop_threads) if _suits(thread, reading)
    ]
    if not reading.words:
        return _choose_without_family(reading, sized)
    family = [thread for thread in sized if _is_named(thread, reading)]
    found = [thread for thread in family if _has_step(thread, reading)]
    if reading.step is None and len(found) > 1:
        found = [thread for thread in found if _is_meant_by_size(thread)] or found
    if len(found) > 1:
        raise QuantityError(f"'{reading.text}' may be {_list(found, 'or')}: write which.")
    if not found:
        raise QuantityError(_name_nearest(reading, sized, family or _neighbours(reading)))
    return found[0]


def _choose_without_family(reading: Reading, sized: list[Thread]) -> Thread:
    """Only the numbered Unified sizes go without a family name (10-32)."""
    if reading.step is None:
        raise QuantityError(f"'{reading.text}' is only a size, not a thread: {WANTED}.")
    found = [thread for thread in sized if _has_step(thread, reading)]
    if len(found) == 1 and _goes_by_number(found[0]):
        return found[0]
    if not found:
        raise QuantityError(_name_nearest(reading, [], sized or _neighbours(reading)))
    raise QuantityError(
        f"'{reading.text}' does not say which family of threads: write {_list(found, 'or')}."
    )


def _is_named(thread: Thread, reading: Reading) -> bool:
    """Whether the words name its family, or of the workshop's own the thread itself."""
    if thread.family in reading.families:
        return True
    return reading.words in _name_words(thread.designation, thread.family)


def _is_meant_by_size(thread: Thread) -> bool:
    family = find_family(thread.family)
    return family is not None and family.size_alone


@lru_cache(maxsize=64)
def _words_of(workshop_threads: tuple[Thread, ...]) -> frozenset[str]:
    named = (_name_words(thread.designation, thread.family) for thread in workshop_threads)
    return frozenset(word for sets in named for words in sets for word in words)


def _suits(thread: Thread, reading: Reading) -> bool:
    """Whether the marks beside the numbers (#, in, mm) agree with how this thread is named."""
    named_by = _named_by(thread)
    return not (
        ("#" in reading.marks and named_by != "number")
        or ("mm" in reading.marks and named_by != "mm")
        or ("in" in reading.marks and named_by != "inch")
    )


def _named_by(thread: Thread) -> str:
    family = find_family(thread.family)
    if family is None:
        return "inch" if thread.threads_per_inch else "mm"
    if family.size == "number or in":
        return "number" if _is_numbered(thread, family) else "inch"
    return {"mm": "mm", "in": "inch", "number": "number"}[family.size]


def _has_step(thread: Thread, reading: Reading) -> bool:
    if reading.step is None:
        return True
    family = find_family(thread.family)
    counts_threads = family.pitch == "tpi" if family else thread.threads_per_inch is not None
    if "tpi" in reading.marks and not counts_threads:
        return False
    step = INCH / thread.pitch if counts_threads else thread.pitch * 1000
    return isclose(step, reading.step, rel_tol=1e-6)


def _goes_by_number(thread: Thread) -> bool:
    family = find_family(thread.family)
    return family is not None and _is_numbered(thread, family)


def _is_numbered(thread: Thread, family: Family) -> bool:
    """Whether this is a Unified number size: 0.060 in and 0.013 in more for each number."""
    size = _size_of(thread.designation)
    if family.size != "number or in" or size is None:
        return False
    return isclose(thread.major_diameter, 0.0254 * (0.060 + 0.013 * float(size)), abs_tol=1e-6)


def _name_nearest(reading: Reading, sized: list[Thread], others: list[Thread]) -> str:
    """The same size and pitch in another family first, then what else comes near."""
    same = [thread for thread in sized if reading.step and _has_step(thread, reading)]
    nearest = list(dict.fromkeys(same + others))
    return (
        f"There is no thread '{reading.text}' in the tables: "
        f"the nearest {'is' if len(nearest) == 1 else 'are'} {_list(nearest, 'and')}."
    )


def _neighbours(reading: Reading) -> list[Thread]:
    """The two threads of the named families nearest in size, or of all where none is named."""
    pool = [thread for thread in catalogue() if thread.family in reading.families] or catalogue()
    size = float(reading.size)
    return sorted(pool, key=lambda thread: abs(float(_size_of(thread.designation) or 0) - size))[:2]


def _list(threads: list[Thread], conjunction: str) -> str:
    names = [thread.designation for thread in threads[:4]]
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} {conjunction} {names[-1]}"


def _threads_of(size: Fraction, workshop_threads: tuple[Thread, ...]) -> list[Thread]:
    own = [thread for thread in workshop_threads if _size_of(thread.designation) == size]
    return _catalogue_by_size().get(size, []) + own


@cache
def _catalogue_by_size() -> dict[Fraction | None, list[Thread]]:
    sizes: dict[Fraction | None, list[Thread]] = {}
    for thread in catalogue():
        sizes.setdefault(_size_of(thread.designation), []).append(thread)
    return sizes


@cache
def _catalogue_by_designation() -> dict[str, Thread]:
    return {thread.designation.lower(): thread for thread in catalogue()}


@lru_cache(maxsize=4096)
def _size_of(designation: str) -> Fraction | None:
    """The size a designation opens with: 1/4, 10, 6. A pipe size is not the diameter."""
    found = A_NUMBER.search(designation)
    return None if found is None else value_of(found)


def _read_designation(plain: str, own_words: frozenset[str] = frozenset()) -> Reading:
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


def _name_words(designation: str, family: str) -> tuple[frozenset[str], ...]:
    """The sets of words by which one of the workshop's own threads may be named."""
    found = (_words_in(text.lower()) for text in (designation, family))
    return tuple(words for words in found if words)


def _words_in(text: str) -> frozenset[str]:
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
