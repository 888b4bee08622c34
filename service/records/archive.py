"""Backup and restore: every row and every blob in one plain file, for either database.

The file is a zip of JSON lines, one file a table, beside the blobs: it opens without this program.
Rows carry their logical types, so a backup of an older schema is restored into that schema and then
migrated, and a workshop can move from SQLite to PostgreSQL and back.
"""

import datetime as dt
import json
import os
import zipfile
from collections.abc import Callable
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from service.records import models
from service.records.blobs import BlobStore
from service.records.columns import ExactDecimal, UtcDateTime
from service.records.database import Base, Database
from service.records.errors import Conflict, Refused
from service.records.schema import current_revision, downgrade, newest_revision, upgrade

MANIFEST = "manifest.json"
FORMAT = 1
ROWS_AT_A_TIME = 1000

TYPES: dict[str, Callable[[], sa.types.TypeEngine[Any]]] = {
    "moment": UtcDateTime,
    "money": ExactDecimal,
    "day": sa.Date,
    "json": lambda: sa.JSON(none_as_null=True),
    "truth": sa.Boolean,
    "plain": sa.types.NullType,
}
"""The logical types of a column in the file."""

READERS: dict[str, Callable[[Any], Any]] = {
    "moment": dt.datetime.fromisoformat,
    "money": Decimal,
    "day": dt.date.fromisoformat,
}
"""How a logical type that JSON does not have is read back."""


def back_up(database: Database, blobs: BlobStore, target: Path) -> dict[str, int]:
    """Write a backup to `target`, which must not exist; returns the rows of each table.

    The database is read in one transaction, and the blobs after it: a blob never changes, so those
    that the rows name are all there.
    """
    if target.exists():
        raise Conflict(f"{target} exists already; a backup never overwrites another.")
    unfinished = target.with_name(target.name + ".unfinished")
    try:
        with zipfile.ZipFile(unfinished, "w", zipfile.ZIP_DEFLATED) as archive:
            counts = _write_tables(database, archive)
            for blob in blobs.all():
                archive.write(blobs.path(blob), f"blobs/{blob}", zipfile.ZIP_STORED)
        os.replace(unfinished, target)
    finally:
        unfinished.unlink(missing_ok=True)
    return counts


def restore(
    database: Database, blobs: BlobStore, source: Path, *, overwrite: bool
) -> dict[str, int]:
    """Bring back a backup into an empty database, or over a filled one if `overwrite` says so.

    The whole backup is read once before anything is cleared: a damaged one costs no records.
    """
    try:
        opened = zipfile.ZipFile(source)
    except zipfile.BadZipFile:
        raise Refused(f"{source} is no backup, or was cut short.") from None
    with opened as archive:
        manifest = _read_manifest(archive, source)
        with _owned_connection(database) as connection:
            _make_empty(connection, overwrite=overwrite)
            upgrade(connection, manifest["revision"])
            with connection.begin():
                for name in manifest["tables"]:  # a migration has rows of its own to enter
                    connection.execute(sa.delete(sa.table(name)))
                counts = {
                    name: _read_table(connection, archive, name, types)
                    for name, types in manifest["tables"].items()
                }
            upgrade(connection)
        for name in archive.namelist():
            if name.startswith("blobs/"):
                blobs.put(archive.read(name))
    return counts


def _read_manifest(archive: zipfile.ZipFile, source: Path) -> dict[str, Any]:
    """What the backup holds, once it is seen that all of it can be read."""
    try:
        if archive.testzip() is not None:
            raise Refused(f"{source} is damaged: nothing was restored from it.")
        manifest: dict[str, Any] = json.loads(archive.read(MANIFEST))
        if manifest.get("format") != FORMAT:
            raise Refused(f"{source} is not a backup that this release can read.")
        for name, types in manifest["tables"].items():
            with archive.open(f"tables/{name}.jsonl") as lines:
                for line in lines:
                    _read_row(line, types)
    except (zipfile.BadZipFile, ValueError, LookupError, AttributeError, ArithmeticError):
        raise Refused(f"{source} is damaged: nothing was restored from it.") from None
    return manifest


def _write_tables(database: Database, archive: zipfile.ZipFile) -> dict[str, int]:
    counts: dict[str, int] = {}
    with _snapshot(database) as connection:
        revision = current_revision(connection)
        if revision != newest_revision():
            raise Refused("The database is not at this release's schema; run: clackbox migrate")
        tables = Base.metadata.sorted_tables
        manifest = {
            "format": FORMAT,
            "revision": revision,
            "tables": {
                table.name: {column.name: _kind_of(column.type) for column in table.columns}
                for table in tables
            },
        }
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1))
        for table in tables:
            with archive.open(f"tables/{table.name}.jsonl", "w") as file:
                counts[table.name] = 0
                for row in connection.execute(sa.select(table).order_by(*table.primary_key)):
                    file.write(json.dumps(dict(row._mapping), default=_to_json).encode() + b"\n")
                    counts[table.name] += 1
    return counts


def _read_table(
    connection: sa.Connection, archive: zipfile.ZipFile, name: str, types: dict[str, str]
) -> int:
    table = sa.table(name, *(sa.column(column, TYPES[kind]()) for column, kind in types.items()))
    count = 0
    with archive.open(f"tables/{name}.jsonl") as lines:
        read = (_read_row(line, types) for line in lines)
        for rows in iter(lambda: list(islice(read, ROWS_AT_A_TIME)), []):
            connection.execute(sa.insert(table), rows)
            count += len(rows)
    if connection.dialect.name == "postgresql" and "id" in types:
        # The rows came with their numbers; the next one must follow the highest of them.
        connection.execute(
            sa.select(
                sa.func.setval(
                    sa.func.pg_get_serial_sequence(name, "id"),
                    sa.select(sa.func.coalesce(sa.func.max(table.c.id), 0) + 1).scalar_subquery(),
                    False,
                )
            )
        )
    return count


def _read_row(line: bytes, types: dict[str, str]) -> dict[str, Any]:
    row = json.loads(line)
    for column, kind in types.items():
        if kind in READERS and row[column] is not None:
            row[column] = READERS[kind](row[column])
    return row  # type: ignore[no-any-return]


def _make_empty(connection: sa.Connection, *, overwrite: bool) -> None:
    """Leave a database without tables; refuse to clear one that holds anything unless told to."""
    if current_revision(connection) is not None:
        if _holds_rows(connection) and not overwrite:
            raise Conflict(
                "This database holds records. To replace them all by the backup, say --overwrite."
            )
        connection.rollback()
        downgrade(connection, "base")
    connection.rollback()


def _holds_rows(connection: sa.Connection) -> bool:
    present = set(sa.inspect(connection).get_table_names())
    workshop = models.Workshop.__table__
    # The workshop's row comes with the schema; it is a record once somebody has written in it.
    held = sa.select(sa.literal(1)).limit(1)
    return any(
        connection.execute(
            held.where(workshop.c.version > 1) if table is workshop else held.select_from(table)
        ).first()
        for table in Base.metadata.sorted_tables
        if table.name in present
    )


def _kind_of(column_type: sa.types.TypeEngine[Any]) -> str:
    kinds = {UtcDateTime: "moment", ExactDecimal: "money", sa.Date: "day", sa.JSON: "json",
             sa.Boolean: "truth"}  # fmt: skip
    return next((kind for known, kind in kinds.items() if isinstance(column_type, known)), "plain")


def _to_json(value: Any) -> str:
    return value.isoformat() if isinstance(value, dt.date | dt.datetime) else str(value)


def _snapshot(database: Database) -> sa.Connection:
    """A connection that sees the database as it is now, whatever is written meanwhile."""
    connection = _owned_connection(database)
    if connection.dialect.name == "postgresql":
        return connection.execution_options(isolation_level="REPEATABLE READ")
    return connection.execution_options(readonly=True)


def _owned_connection(database: Database) -> sa.Connection:
    if not isinstance(database.bind, sa.Engine):
        raise TypeError("a backup needs a database of its own")
    return database.bind.connect()
