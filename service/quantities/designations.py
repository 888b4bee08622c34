"""Thread designations as the workshop writes them, resolved to the catalogue.

`1/4x40 ME`, `¼-40 ME`, `2BA`, `G1/8`, `#10-32` and `M6-0.75` all name one thread each; `LH` or
`left` makes it a left-hand one. A size and pitch without a family takes the first family of the
shelf that has them, and says so; any other that could be several threads is refused with their
names.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from math import inf, isclose, log

from service.engineering.constants import INCH
from service.engineering.threads.catalogue import (
    Family,
    Hand,
    Thread,
    catalogue,
    find_family,
    turn_left,
)
from service.quantities.characters import make_plain
from service.quantities.designation_parts import (
    WANTED,
    Reading,
    join_phrases,
    name_words,
    read_designation,
    size_of,
    split_hand,
)
from service.quantities.errors import QuantityError, naming
from service.quantities.measured_threads import (
    LONGEST_DESIGNATION,
    read_measured_mapping,
    read_measured_text,
)

MEASURED_WANTED = "or write what was measured, as 6.3 mm x 0.6 mm 60 deg"


@dataclass(frozen=True, slots=True)
class TakenThread:
    """The thread that a designation was taken for, and what it did not say itself."""

    thread: Thread
    note: str = ""  # blank where the designation says it all


def parse_thread(
    text: object, *, field: str | None = None, workshop_threads: tuple[Thread, ...] = ()
) -> Thread:
    """The thread a designation or a measured description means, or `QuantityError` saying why not.

    `text` is a designation (`1/4 x 40 ME`), measurements (`6.3 mm x 0.6 mm 60 deg`), or a mapping
    with `diameter`, `pitch` or `threads_per_inch`, `angle` and, of a taper, `taper`; `hand` where
    it is left. `workshop_threads` are known beside the catalogue.
    """
    return take_thread(text, field=field, workshop_threads=workshop_threads).thread


def take_thread(
    text: object,
    *,
    field: str | None = None,
    workshop_threads: tuple[Thread, ...] = (),
    shelf: Sequence[str] = (),
) -> TakenThread:
    """As `parse_thread`; a size and pitch alone takes the first family of the `shelf` with them."""
    if isinstance(text, Mapping):
        return TakenThread(read_measured_mapping(text, field=field))
    with naming(field):
        plain = make_plain(text, longest=LONGEST_DESIGNATION, wanted=WANTED).replace("*", "x")
        if exact := _find_exactly(plain, workshop_threads, "right"):
            return TakenThread(exact)
        bare, hand = split_hand(plain)
        if exact := _find_exactly(bare, workshop_threads, hand):
            return TakenThread(exact)
        if measured := _read_measured(bare):
            return TakenThread(turn_left(measured) if hand == "left" else measured)
        own_words = _words_of(workshop_threads)
        reading = read_designation(bare, written=plain, hand=hand, own_words=own_words)
        return _choose(reading, workshop_threads, shelf)


def _find_exactly(plain: str, workshop_threads: tuple[Thread, ...], hand: Hand) -> Thread | None:
    for thread in workshop_threads:
        whole = thread.designation if hand == "right" else split_hand(thread.designation)[0]
        if whole.lower() == plain.lower() and (thread.hand == hand or hand == "right"):
            return thread
    found = _catalogue_by_designation().get(plain.lower())
    return turn_left(found) if found and hand == "left" else found


def _read_measured(plain: str) -> Thread | None:
    """A measured description; `ME 60 deg` names a family, and no angle."""
    return None if join_phrases(plain) != plain.lower() else read_measured_text(plain)


def _choose(
    reading: Reading, workshop_threads: tuple[Thread, ...], shelf: Sequence[str]
) -> TakenThread:
    sized = [
        thread for thread in _threads_of(reading.size, workshop_threads) if _suits(thread, reading)
    ]
    if reading.strange:
        raise QuantityError(_explain_strange(reading, sized))
    if not reading.words:
        return _choose_without_family(reading, sized, shelf)
    family = [thread for thread in sized if _is_named(thread, reading)]
    found = _in_hand([thread for thread in family if _has_step(thread, reading)], reading)
    if reading.step is None and len(found) > 1:
        found = [thread for thread in found if _is_meant_by_size(thread)] or found
    if len(found) > 1:
        raise QuantityError(f"'{reading.text}' may be {_list(found, 'or')}: write which.")
    if not found:
        raise QuantityError(_name_nearest(reading, sized, family))
    return TakenThread(found[0])


def _in_hand(threads: list[Thread], reading: Reading) -> list[Thread]:
    """The threads in the hand that was written: the workshop's own as they are, or turned."""
    left = [thread for thread in threads if thread.is_left]
    right = [thread for thread in threads if not thread.is_left]
    return right if reading.hand == "right" else left or [turn_left(thread) for thread in right]


def _choose_without_family(
    reading: Reading, sized: list[Thread], shelf: Sequence[str]
) -> TakenThread:
    """The numbered Unified sizes (10-32) go without a family name; others take the shelf's."""
    if reading.step is None:
        raise QuantityError(f"'{reading.text}' is only a size, not a thread: {WANTED}.")
    found = _in_hand([thread for thread in sized if _has_step(thread, reading)], reading)
    if not found:
        raise QuantityError(_name_nearest(reading, sized, []))
    if len(found) == 1:
        return TakenThread(found[0], _note_only(reading, found[0]))
    if not shelf:
        raise QuantityError(
            f"'{reading.text}' does not say which family of threads: write {_list(found, 'or')}."
        )
    order = {key: place for place, key in enumerate(shelf)}
    first, *others = sorted(found, key=lambda thread: order.get(thread.family, inf))
    have = "has" if len(others) == 1 else "have"
    return TakenThread(
        first,
        f"'{reading.text}' names no family of threads: {first.designation} is taken, the first on "
        f"the workshop's shelf. {_list(others, 'and')} {have} that size and pitch too.",
    )


def _note_only(reading: Reading, thread: Thread) -> str:
    if _goes_by_number(thread):
        return ""
    return (
        f"'{reading.text}' names no family of threads: {thread.designation} is taken, the only "
        "one here of that size and pitch."
    )


def _explain_strange(reading: Reading, sized: list[Thread]) -> str:
    same = [thread for thread in sized if reading.step and _has_step(thread, reading)]
    near = _as_written(same[:3] + _neighbours(reading, sized), reading)
    are = "is" if len(near) == 1 else "are"
    return (
        f"'{reading.strange}' in '{reading.text}' is no family of threads known here. Nearest by "
        f"size {are} {_list(near, 'and')}; {WANTED}, {MEASURED_WANTED}."
    )


def _is_named(thread: Thread, reading: Reading) -> bool:
    """Whether the words name its family, or of the workshop's own the thread itself."""
    if thread.family in reading.families:
        return True
    is_own = _catalogue_by_designation().get(thread.designation.lower()) is not thread
    return is_own and reading.words in name_words(thread.designation, thread.family)


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
    if "tpi" in reading.marks and not _counts_threads(thread):
        return False
    return isclose(_step_of(thread), reading.step, rel_tol=1e-6)


def _counts_threads(thread: Thread) -> bool:
    family = find_family(thread.family)
    return family.pitch == "tpi" if family else thread.threads_per_inch is not None


def _step_of(thread: Thread) -> float:
    """What the second number of its designation counts: threads per inch, or the pitch in mm."""
    return INCH / thread.pitch if _counts_threads(thread) else thread.pitch * 1000


def _goes_by_number(thread: Thread) -> bool:
    family = find_family(thread.family)
    return family is not None and _is_numbered(thread, family)


def _is_numbered(thread: Thread, family: Family) -> bool:
    """Whether this is a Unified number size."""
    size = _size_of(thread.designation)
    if family.size != "number or in" or size is None:
        return False
    return isclose(thread.major_diameter, _number_size(size), abs_tol=1e-6)


def _number_size(number: Fraction) -> float:
    """Diameter of a Unified number size: 0.060 in and 0.013 in more for each number [m]."""
    return INCH * (0.060 + 0.013 * float(number))


def _name_nearest(reading: Reading, sized: list[Thread], family: list[Thread]) -> str:
    """The same size and pitch in another family first, then what else comes near."""
    same = [thread for thread in sized if reading.step and _has_step(thread, reading)]
    others = sorted(family, key=lambda thread: _distance(thread, reading))[:2]
    nearest = _as_written(same[:3] + (others or _neighbours(reading, sized)), reading)
    return (
        f"There is no thread '{reading.text}' in the tables: "
        f"the nearest {'is' if len(nearest) == 1 else 'are'} {_list(nearest, 'and')}."
    )


def _as_written(threads: list[Thread], reading: Reading) -> list[Thread]:
    """Each once, in the hand that was written; of the workshop's own those of either hand."""
    is_left = reading.hand == "left"
    return list(dict.fromkeys(turn_left(each) if is_left else each for each in threads))


def _neighbours(reading: Reading, sized: list[Thread]) -> list[Thread]:
    """The two threads nearest in size, then in pitch: of the named families, or of those whose
    sizes are counted alike; BA is never meant unless it is named."""
    pool = [thread for thread in catalogue() if thread.family in reading.families] or [
        thread
        for thread in dict.fromkeys((*catalogue(), *sized))
        if _counts_threads(thread) == reading.is_in_inches
        if reading.words or _named_by(thread) != "number" or _counts_threads(thread)
    ]
    return sorted(pool, key=lambda thread: _distance(thread, reading))[:2]


def _distance(thread: Thread, reading: Reading) -> tuple[float, float]:
    """How far a thread lies from what was written, in size and in pitch, as ratios."""
    own = _size_of(thread.designation)
    meant = _sizes_meant(reading, thread)
    if own is None or not meant:
        return (inf, inf)
    size = _size_meant(own, _named_by(thread), thread.family)
    apart = min(abs(log(size / one)) for one in meant)
    step = abs(log(_step_of(thread) / reading.step)) if reading.step else 0.0
    return (round(apart, 6), step)


def _sizes_meant(reading: Reading, thread: Thread) -> list[float]:
    """The lengths that the size written may stand for, beside this thread [m]."""
    family = find_family(thread.family)
    ways = [_named_by(thread)]
    if family and family.size == "number or in" and reading.marks.isdisjoint({"#", "in"}):
        ways = ["inch", "number"] if reading.size.denominator == 1 else ["inch"]
    lengths = (_size_meant(reading.size, way, thread.family) for way in ways)
    return [length for length in lengths if length > 0]


def _size_meant(size: Fraction, named_by: str, family: str) -> float:
    """The length that a size stands for [m]; of a pipe its bore, of BA by the rule of BS 93."""
    if named_by == "mm":
        return float(size) / 1000
    if named_by == "inch":
        return float(size) * INCH
    return _number_size(size) if family != "BA" else 0.006 * 0.9 ** (1.2 * min(float(size), 99.0))


def _list(threads: list[Thread], conjunction: str) -> str:
    names = [thread.designation for thread in threads[:5]]
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


_size_of = lru_cache(maxsize=4096)(size_of)
