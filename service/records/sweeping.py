"""Sweeping the blob store: what no row names is taken away, a day after it was found so.

A crash between a blob and the end of its transaction leaves such a file, and so does a logo that
was changed. Nothing is taken at first sight: a backup that is being written, or a report just read,
may still go by rows as they were a moment ago. And nothing is taken while somebody may be naming
it: the last look is taken where nobody else can write.
"""

import datetime as dt
import json
import os
import re
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.backups.holdings import MERELY_TOLD
from service.records.blobs import BlobStore
from service.records.database import Base, Database
from service.records.errors import DatabaseBusy

SPARED = dt.timedelta(days=1)
"""How long a blob has been unnamed, and how long ago it was put, before it is taken away."""
UNNAMED = "unnamed.json"
"""The file in the store that remembers since when a blob is known to be unnamed."""

_NAME = re.compile(r"(?<![0-9a-f])[0-9a-f]{64}(?![0-9a-f])")


def sweep_blobs(database: Database, blobs: BlobStore, *, now: dt.datetime) -> list[str]:
    """Take away the blobs that no row has named for a day; returns their names."""
    before = (now - SPARED).timestamp()
    blobs.drop_unfinished(before)
    with database.reading() as session:  # the long look, for which no writer waits
        unnamed = blobs.put_before(before) - blobs_maybe_named(session)
    known = _read_known(blobs.folder / UNNAMED)
    moment = now.timestamp()  # the clock may have been ahead when something was remembered
    since = {name: min(moment, known.get(name, moment)) for name in unnamed}
    due = {name for name, found in since.items() if found <= before}
    swept = _take_away(database, blobs, due, before) if due else []
    _write_known(blobs.folder / UNNAMED, {n: at for n, at in since.items() if n not in swept})
    return swept


def blobs_maybe_named(session: Session) -> set[str]:
    """Whatever in any row reads like the name of a blob: no table and no column can be forgotten.

    Too much is found so, digests of tokens among it, and that costs nothing here; a backup, which
    misses what it cannot find, asks for `named_blobs`.
    """
    found: set[str] = set()
    for table in Base.metadata.sorted_tables:
        texts = [sa.cast(each, sa.Text) for each in table.columns if _can_name(each.type)]
        if texts and table.name not in MERELY_TOLD:
            for row in session.execute(sa.select(*texts)):
                found.update(*(_NAME.findall(text) for text in row if text))
    return found


def _can_name(kind: sa.types.TypeEngine[object]) -> bool:
    if isinstance(kind, sa.Enum):
        return False
    return isinstance(kind, sa.JSON) or (
        isinstance(kind, sa.String) and (kind.length is None or kind.length >= 64)
    )


def _take_away(database: Database, blobs: BlobStore, due: set[str], before: float) -> list[str]:
    """Take away what is still unnamed where nobody else can write; nothing if somebody is at it."""
    try:
        with database.writing() as session:
            _keep_writers_out(session)
            swept = sorted(due & blobs.put_before(before) - blobs_maybe_named(session))
            for name in swept:
                blobs.drop(name)
            return swept
    except DatabaseBusy:  # another day
        return []


def _keep_writers_out(session: Session) -> None:
    """A writing transaction on SQLite has them out; on PostgreSQL every table is locked at once.

    A writer waits until this is over. This never waits, so that neither can wait for the other.
    """
    if session.get_bind().dialect.name == "postgresql":
        tables = ", ".join(table.name for table in Base.metadata.sorted_tables)
        session.execute(sa.text(f"LOCK TABLE {tables} IN SHARE MODE NOWAIT"))


def _read_known(place: Path) -> dict[str, float]:
    """What was remembered; a file that is lost or damaged only spares everything a day more."""
    try:
        known = json.loads(place.read_bytes())
    except (FileNotFoundError, ValueError):
        return {}
    if not isinstance(known, dict):
        return {}
    return {name: at for name, at in known.items() if isinstance(at, int | float)}


def _write_known(place: Path, known: dict[str, float]) -> None:
    if not known:
        place.unlink(missing_ok=True)
        return
    beside = place.with_name(f".{place.name}.{os.getpid()}")
    beside.write_text(json.dumps(known, indent=1), encoding="utf-8")
    os.replace(beside, place)
