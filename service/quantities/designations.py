"""Thread designations as the workshop writes them, resolved to the catalogue.

`1/4x40 ME`, `¼-40 ME`, `2BA`, `G1/8`, `#10-32` and `M6-0.75` all name one thread each. A size that
could be several threads is refused with their names; nothing is guessed.
"""

from collections.abc import Mapping
from fractions import Fraction
from functools import cache, lru_cache
from math import isclose

from service.engineering.constants import INCH
from service.engineering.threads.catalogue import Family, Thread, catalogue, find_family
from service.quantities.characters import make_plain
from service.quantities.errors import QuantityError, naming
from service.quantities.measured_threads import (
    LONGEST_DESIGNATION,
    read_measured_mapping,
    read_measured_text,
)
from service.quantities.numbers import A_NUMBER, value_of
from service.quantities.thread_words import WANTED, Reading, name_words, read_designation


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
    reading = read_designation(plain, _words_of(workshop_threads))
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
    return reading.words in name_words(thread.designation, thread.family)


def _is_meant_by_size(thread: Thread) -> bool:
    family = find_family(thread.family)
    return family is not None and family.size_alone


@lru_cache(maxsize=64)
def _words_of(workshop_threads: tuple[Thread, ...]) -> frozenset[str]:
    named = (name_words(thread.designation, thread.family) for thread in workshop_threads)
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
