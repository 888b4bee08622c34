"""The thread catalogue: every series as data, looked up by its trade designation."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from math import isclose
from typing import Annotated

from service.engineering.constants import INCH
from service.engineering.data_files import (
    Row,
    need_number,
    read_number,
    read_rows,
    read_table,
    read_unit,
    require_columns,
)
from service.engineering.errors import UnknownThread, Unsuitable, require
from service.engineering.saying import Part, fine, say
from service.engineering.threads.catalogue.families import read_form
from service.engineering.threads.catalogue.forms import Thread

LEAST_DIAMETER, MOST_DIAMETER = 0.0003, 0.5  # what a thread of a table may measure [m]


@dataclass(frozen=True, slots=True)
class SeriesRow:
    """One row of a series: the thread, what the source prints for it, and any remark."""

    thread: Thread
    printed_effective: float | None  # effective diameter as the source prints it [m]
    printed_core: float | None  # core diameter as the source prints it [m]
    remark: str


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A row whose printed figures differ from its form's formula, or were misprinted elsewhere."""

    thread: Thread
    effective_excess: Annotated[float, "m"]
    """Printed less calculated effective diameter; 0: none printed."""
    core_excess: Annotated[float, "m"]
    """Printed less calculated core diameter; 0 where none is printed."""
    reason: str


@cache
def catalogue() -> tuple[Thread, ...]:
    """Every thread of the project's own tables, in the order of the tables.

    Returns: all threads, designations unique.
    Source: Each row of `thread_series.csv` names its own.
    """
    return tuple(row.thread for row in series_rows())


def threads_of(family: str) -> tuple[Thread, ...]:
    """The threads of one family.

    family: key of the family, such as `ME` or `metric fine`.
    Returns: its threads in table order; none for a family that is not in the tables.
    Source: Each row of `thread_series.csv` names its own.
    """
    return tuple(thread for thread in catalogue() if thread.family == family)


def find_thread(designation: str) -> Thread:
    """Look a thread up by its canonical designation."""
    names = {thread.designation.casefold(): thread.designation for thread in catalogue()}
    for thread in catalogue():
        if thread.designation == designation:
            return thread
    near = get_close_matches(designation[:60].casefold(), names, n=3, cutoff=0.5)
    raise UnknownThread(designation, tuple(names[match] for match in near))


def load_series(text: str) -> tuple[Thread, ...]:
    """Read a workshop's own thread series from CSV text laid out as `thread_series.csv`.

    text: heading line and rows. Needed columns: designation, family, form (a standard form by
        name, or the included angle in degrees), diameter, unit (in or mm), pitch or
        threads_per_inch, source. Optional: taper, gauge_length, depth, hand (left), effective,
        core, remark.
    Returns: the threads of the rows.
    Raises OutOfRange: a figure that cannot be read, a missing column or an impossible thread.
    Source: Each row must name its own.
    """
    return tuple(_read_series_row(row).thread for row in read_rows(text))


def extended_catalogue(extra_threads: Iterable[Thread]) -> tuple[Thread, ...]:
    """The catalogue with a workshop's own threads after it.

    extra_threads: threads whose designations are new.
    Returns: the catalogue and the extra threads.
    Raises Unsuitable: a designation that is taken already.
    Source: Each thread carries its own.
    """
    threads = (*catalogue(), *extra_threads)
    seen: set[str] = set()
    for thread in threads:
        if thread.designation in seen:
            raise Unsuitable(
                say("There is a thread called ", thread.named, " already."), field="designation"
            )
        seen.add(thread.designation)
    return threads


@cache
def disagreements() -> tuple[Disagreement, ...]:
    """The rows whose printed figures do not follow from the form, each with the reason.

    Returns: printed less calculated diameters [m] and the remark.
    Source: Printed figures: the source of the row; calculated: the form of the family.
    """
    return tuple(
        Disagreement(
            thread=row.thread,
            effective_excess=_excess(row.printed_effective, row.thread.effective_diameter),
            core_excess=_excess(row.printed_core, row.thread.core_diameter),
            reason=row.remark,
        )
        for row in series_rows()
        if row.remark
    )


@cache
def series_rows() -> tuple[SeriesRow, ...]:
    """The rows of the project's own table of series."""
    return tuple(_read_series_row(row) for row in read_table("thread_series.csv"))


def _read_series_row(row: Row) -> SeriesRow:
    require_columns(row, ("designation", "family", "form", "source"))
    unit = read_unit(row)
    thread = Thread(
        designation=row["designation"],
        family=row["family"],
        form=read_form(row),
        major_diameter=need_number(row, "diameter", scale=unit),
        pitch=_read_pitch(row, unit),
        source=row["source"],
        threads_per_inch=read_number(row, "threads_per_inch"),
        taper=read_number(row, "taper") or 0.0,
        gauge_length=read_number(row, "gauge_length", scale=unit),
        depth=read_number(row, "depth", scale=unit),
        hand="left" if row.get("hand") == "left" else "right",
    )
    _check_thread(thread)
    return SeriesRow(
        thread=thread,
        printed_effective=read_number(row, "effective", scale=unit),
        printed_core=read_number(row, "core", scale=unit),
        remark=row.get("remark", ""),
    )


def _read_pitch(row: Row, unit: float) -> float:
    threads_per_inch = read_number(row, "threads_per_inch")
    if threads_per_inch is None:
        return need_number(row, "pitch", scale=unit)
    require(threads_per_inch > 0, "threads_per_inch", "Threads per inch must be above 0.")
    pitch = read_number(row, "pitch", scale=unit)
    require(
        pitch is None or isclose(pitch, INCH / threads_per_inch, rel_tol=1e-3),
        "pitch",
        "The pitch and the threads per inch of a row disagree.",
    )
    return INCH / threads_per_inch


def _check_thread(thread: Thread) -> None:
    def hold(condition: bool, field: str, *fault: Part) -> None:
        require(condition, field, say(thread.named, ": ", *fault))

    least, most = LEAST_DIAMETER, MOST_DIAMETER
    between = ("the diameter must lie between ", fine(least), " and ", fine(most), ".")
    hold(least <= thread.major_diameter <= most, "diameter", *between)
    half = "the pitch must lie between 0 and half the diameter."
    hold(0 < thread.pitch < thread.major_diameter / 2, "pitch", half)
    hold(thread.root_diameter > 0, "pitch", "such a depth leaves no core.")
    hold(0 <= thread.taper <= 0.25, "taper", "the taper lies between 0 and 1 in 4.")
    hold((thread.gauge_length or 0.0) >= 0, "gauge_length", "the gauge length is negative.")


def _excess(printed: float | None, calculated: float) -> float:
    return 0.0 if printed is None else printed - calculated
