"""The workshop's own tables: threads, drills, shims and times, edited as plain files.

They lie in the folder `tables` of the data folder. A file that is not there means the project's
own: no threads beside the catalogue, every drill there is, the usual shims, the standard times.
"""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from sqlalchemy.orm import Session

from service.engineering.errors import EngineeringError
from service.engineering.kit import Kit
from service.engineering.threads.catalogue import (
    Drill,
    Thread,
    extended_catalogue,
    load_series,
    nearest_drill,
)
from service.engineering.threads.joint import USUAL_SHIMS
from service.engineering.threads.remedies import check_table_of_times
from service.quantities import Kind, QuantityError, parse, parse_drill
from service.quantities.wording import word
from service.settings import SettingsError

Result = TypeVar("Result")

HEADINGS = {
    "threads.csv": "designation,family,form,diameter,unit,pitch,threads_per_inch,source",
    "drills.csv": "drill",
    "shims.csv": "thickness",
    "times.csv": "operation,minutes",
}
"""The files, and the heading line of each."""


class TableError(SettingsError):
    """A table of the workshop's own that cannot be read; the message names the file."""


def kit_of(session: Session) -> Kit:
    """What the workshop has, as a session of `Database` carries it."""
    kit: Kit = session.info.get("kit") or Kit()
    return kit


def read_kit(folder: Path) -> Kit:
    """Read whatever tables the folder holds; raise `TableError` for one that cannot be read."""
    return Kit(
        threads=_read(folder / "threads.csv", _read_threads, ()),
        drills=_read(folder / "drills.csv", _read_drills, None),
        shims=_read(folder / "shims.csv", _read_shims, USUAL_SHIMS),
        times=_read(folder / "times.csv", _read_times, {}),
    )


def _read(path: Path, reader: Callable[[str], Result], default: Result) -> Result:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return default
    except (OSError, UnicodeDecodeError) as problem:
        raise TableError(f"{path.name} cannot be read: {problem}") from None
    try:
        return reader(text)
    except (EngineeringError, QuantityError) as problem:
        raise TableError(f"{path.name}: {word(problem.message)}") from None


def _read_threads(text: str) -> tuple[Thread, ...]:
    threads = load_series(text)
    extended_catalogue(threads)  # a designation that is taken is refused at the start
    return threads


def _read_drills(text: str) -> tuple[Drill, ...]:
    written = [parse_drill(row["drill"]) for row in _rows(text, "drills.csv")]
    drills = tuple(nearest_drill(drill.si) for drill in written)
    return drills or _refuse_empty("drills.csv")


def _read_shims(text: str) -> tuple[float, ...]:
    rows = _rows(text, "shims.csv")
    shims = tuple(parse(row["thickness"], Kind.LENGTH).si for row in rows)
    return shims or _refuse_empty("shims.csv")


def _read_times(text: str) -> dict[str, float]:
    times = {}
    for row in _rows(text, "times.csv"):
        try:
            times[row["operation"]] = float(row["minutes"])
        except ValueError:
            raise TableError(f"times.csv: {row['minutes']!r} is no number of minutes.") from None
    check_table_of_times(times)
    return times


def _rows(text: str, name: str) -> list[dict[str, str]]:
    """The rows under the heading; lines that start with # are remarks."""
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    wanted = HEADINGS[name].split(",")
    reader = csv.DictReader(lines)
    if reader.fieldnames is None or list(reader.fieldnames) != wanted:
        raise TableError(f"{name} must begin with the line {HEADINGS[name]}")
    rows = []
    for row in reader:
        if None in row or None in row.values():
            raise TableError(f"{name}: line {reader.line_num} has not {len(wanted)} columns.")
        rows.append({column: value.strip() for column, value in row.items()})
    return rows


def _refuse_empty(name: str) -> tuple[()]:
    raise TableError(f"{name} has no rows; take the file away to use the project's own.")
