"""Writing a backup: all or nothing, never over another, read back before it is called good."""

import datetime as dt
import hashlib
import os
import tempfile
import zipfile
from contextlib import suppress
from pathlib import Path

import sqlalchemy as sa

from service.records.backups.form import MANIFEST, Manifest, kind_of, member_of, write_row
from service.records.backups.holdings import Holdings, named_blobs
from service.records.backups.reading import open_backup
from service.records.blobs import settle_folder
from service.records.database import Base
from service.records.errors import Conflict, Refused
from service.records.kit_tables import HEADINGS
from service.records.schema import check_schema, newest_revision
from service.records.standing import BACKUP


def back_up(holdings: Holdings, target: Path, *, now: dt.datetime) -> dict[str, int]:
    """Write a backup to `target`, which must not exist; returns the rows of each table.

    The database is read in one transaction, and the blobs after it: a blob never changes, so those
    that the rows name are all there. Raises `Conflict` when the target exists and `Refused` when
    the disk does not take it; then nothing is left of it.
    """
    if target.exists():
        raise _taken(target)
    try:
        unfinished = _open_unfinished(target)
        try:
            counts = _write_all(holdings, unfinished, now)
            with open_backup(unfinished) as written:
                written.prove()
            _place(unfinished, target)
        finally:
            unfinished.unlink(missing_ok=True)
        holdings.standing.keep({"what": BACKUP, "made": now.isoformat(), "file": target.name})
    except OSError as problem:
        told = problem.strerror or str(problem)
        raise Refused(f"The backup cannot be written to {target.parent}: {told}.") from None
    return counts


def lost_blobs(holdings: Holdings) -> list[str]:
    """Pictures and papers that the rows name and the store lacks: no backup can hold them."""
    with _snapshot(holdings) as connection:
        return sorted(one for one in named_blobs(connection) if not holdings.blobs.exists(one))


def _taken(target: Path) -> Conflict:
    return Conflict(f"{target} exists already; a backup never overwrites another.")


def _open_unfinished(target: Path) -> Path:
    """An empty file beside the target with a name of its own, so that three may write at once."""
    handle, name = tempfile.mkstemp(
        dir=target.parent, prefix=f"{target.name}.", suffix=".unfinished"
    )
    os.close(handle)
    return Path(name)


def _write_all(holdings: Holdings, unfinished: Path, now: dt.datetime) -> dict[str, int]:
    with unfinished.open("wb") as file:
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            writing = _Writing(archive, {})
            with _snapshot(holdings) as connection:
                check_schema(connection)
                counts = writing.write_tables(connection)
                named = named_blobs(connection)
            writing.write_kit(holdings.tables)
            for blob in sorted(named):
                if holdings.blobs.exists(blob):
                    archive.write(holdings.blobs.path(blob), f"blobs/{blob}", zipfile.ZIP_STORED)
            types = {
                table.name: {column.name: kind_of(column.type) for column in table.columns}
                for table in Base.metadata.sorted_tables
            }
            manifest = Manifest(
                newest_revision(), types, made=now.isoformat(), rows=counts, digests=writing.digests
            )
            archive.writestr(MANIFEST, manifest.to_json())
        file.flush()
        os.fsync(file.fileno())
    return counts


class _Writing:
    """The members that the manifest answers for, each with its digest."""

    def __init__(self, archive: zipfile.ZipFile, digests: dict[str, str]) -> None:
        self.archive, self.digests = archive, digests

    def write_tables(self, connection: sa.Connection) -> dict[str, int]:
        """Every table; the rows of each."""
        return {
            table.name: self._write_table(connection, table)
            for table in Base.metadata.sorted_tables
        }

    def _write_table(self, connection: sa.Connection, table: sa.Table) -> int:
        digest, count, member = hashlib.sha256(), 0, member_of(table.name)
        with self.archive.open(member, "w", force_zip64=True) as file:
            for row in connection.execute(sa.select(table).order_by(*table.primary_key)):
                line = write_row(dict(row._mapping))
                digest.update(line)
                file.write(line)
                count += 1
        self.digests[member] = digest.hexdigest()
        return count

    def write_kit(self, folder: Path) -> None:
        """The workshop's own tables, as they lie."""
        for name in HEADINGS:
            with suppress(FileNotFoundError):
                data = (folder / name).read_bytes()
                self.archive.writestr(f"kit/{name}", data)
                self.digests[f"kit/{name}"] = hashlib.sha256(data).hexdigest()


def _place(unfinished: Path, target: Path) -> None:
    """Give it its name, which nobody may have taken meanwhile."""
    try:
        os.link(unfinished, target)
    except FileExistsError:
        raise _taken(target) from None
    except OSError:  # no second name for a file on this kind of disk
        if target.exists():
            raise _taken(target) from None
        os.replace(unfinished, target)
    settle_folder(target.parent)


def _snapshot(holdings: Holdings) -> sa.Connection:
    """A connection that sees the database as it is now, whatever is written meanwhile."""
    connection = holdings.engine.connect()
    if connection.dialect.name == "postgresql":
        return connection.execution_options(isolation_level="REPEATABLE READ")
    return connection.execution_options(readonly=True)
