"""The workshop's kit in plain files, watched: a file that was changed is seen at the next request.

They lie in the folder `tables` of the data folder. A file that is not there means the project's
own. One that is half saved or wrong leaves in force what was last read well, and is told of.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from time import monotonic
from typing import Any

from sqlalchemy.orm import Session

from service.engineering.kit import Kit
from service.records import kit_tables
from service.records.kit_tables import HEADINGS, TableError, TableRow

LOOK_EVERY = 1.0  # seconds for which the files are taken to be as they were

_log = logging.getLogger(__name__)

Mark = tuple[int, int, int]
"""What changes when a file is saved: its number on the disk, its time and its size."""


def kit_of(session: Session) -> Kit:
    """What the workshop has, as a session of `Database` carries it."""
    kit: Kit = session.info.get("kit") or Kit()
    return kit


@dataclass(frozen=True, slots=True)
class _Reading:
    """What one look at the files gave."""

    kit: Kit = field(default_factory=Kit)
    parts: dict[str, Any] = field(default_factory=dict)  # by file, what was last read well of it
    problems: tuple[str, ...] = ()
    marks: dict[str, Mark | None] = field(default_factory=dict)


class KitFiles:
    """The files of one folder, and the kit they make."""

    def __init__(self, folder: Path, *, look_every: float = LOOK_EVERY) -> None:
        self._folder = folder
        self._look_every = look_every
        self._looking = Lock()
        self._reading = _Reading()
        self._looked_at = float("-inf")

    @property
    def kit(self) -> Kit:
        """The kit as the files now stand, or as each was last read well."""
        self._look()
        return self._reading.kit

    @property
    def problems(self) -> tuple[str, ...]:
        """What is wrong with the files: file, line, column, and what would be right."""
        self._look()
        return self._reading.problems

    def _look(self) -> None:
        """Look whether a file was changed, unless it was just done or another thread is at it."""
        if monotonic() - self._looked_at < self._look_every:
            return
        # Whoever comes first waits for the first reading; later ones may use the last.
        if not self._looking.acquire(blocking=not self._reading.marks):
            return
        try:
            self._looked_at = monotonic()
            marks = {name: _mark(self._folder / name) for name in HEADINGS}
            if marks != self._reading.marks:
                self._reading = self._read(marks)
        finally:
            self._looking.release()

    def _read(self, marks: dict[str, Mark | None]) -> _Reading:
        before = self._reading
        parts: dict[str, Any] = {}
        problems = []
        for name, reader in _READERS.items():
            if marks[name] is None:
                continue
            try:
                parts[name] = reader(self._rows(name), parts.get("threads.csv", ()))
            except TableError as problem:
                meanwhile = "The project's own"
                if name in before.parts:
                    parts[name] = before.parts[name]
                    meanwhile = "What was last read well of it"
                problems.append(f"{problem} {meanwhile} is in force.")
        for told in problems:
            if told not in before.problems:
                _log.warning(told)
        members = {name.removesuffix(".csv").replace("-", "_"): parts[name] for name in parts}
        kit = Kit(**members)
        return _Reading(kit, parts, tuple(problems), marks)

    def _rows(self, name: str) -> list[TableRow]:
        try:
            text = (self._folder / name).read_text(encoding="utf-8-sig")
        except UnicodeDecodeError:
            raise TableError(f"{name} is not written in UTF-8.") from None
        except OSError as problem:
            raise TableError(f"{name} cannot be read: {problem.strerror}.") from None
        return kit_tables.read_rows(text, name)


def _mark(path: Path) -> Mark | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_ino, found.st_mtime_ns, found.st_size


_READERS: dict[str, Callable[[list[TableRow], Any], Any]] = {
    "threads.csv": lambda rows, _: kit_tables.read_threads(rows),
    "drills.csv": lambda rows, _: kit_tables.read_drills(rows),
    "taps-and-dies.csv": kit_tables.read_thread_tools,
    "shims.csv": lambda rows, _: kit_tables.read_shims(rows),
    "stock.csv": lambda rows, _: kit_tables.read_stock(rows),
    "prices.csv": kit_tables.read_prices,
    "times.csv": lambda rows, _: kit_tables.read_times(rows),
}
"""The threads come first: the others may name one of them."""
