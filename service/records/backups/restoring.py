"""Bringing a backup back: proved beside what is there, then taken over whole.

Nothing that is there changes before the last step, and that is one transaction of the database. The
kit's tables follow it: a crash between the two is made good when the data folder is next opened.
"""

import shutil
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from service.records.backups.applying import apply_standing, live_tokens
from service.records.backups.form import TYPES, Damaged, Row
from service.records.backups.holdings import Holdings, engine_of, named_blobs
from service.records.backups.reading import Backup, open_backup
from service.records.backups.staging import stage_apart, stage_beside
from service.records.blobs import BlobStore
from service.records.database import Base, Database
from service.records.errors import Conflict, Refused
from service.records.history import Signature, write_line
from service.records.in_use import alone
from service.records.models import AuditLine, Workshop
from service.records.models.workshop import THE_ONE
from service.records.schema import check_schema, current_revision, is_known, upgrade
from service.records.standing import BACKUP, Line, Standing

ROWS_AT_A_TIME = 1000
ROOM = 3
"""Bytes of disk wanted for each byte of rows: staged, logged, and in their place."""
STAGED, MARK, RESTORED = ".restored", "restore-id", "restored"


@dataclass(frozen=True, slots=True)
class Restored:
    """What came back, and what an owner should look at."""

    counts: dict[str, int]
    made: str | None  # when the backup was made
    live_tokens: list[str]
    closed: int  # tokens and links that were closed again
    missing: list[str]  # pictures and papers that are nowhere


def check_backup(source: Path) -> Restored:
    """See whether a backup could be brought back, by doing it in a folder of its own.

    Raises `Refused` with what is wrong.
    """
    with (
        open_backup(source) as backup,
        tempfile.TemporaryDirectory(prefix="clackbox-") as folder,
        stage_apart(Path(folder)) as stage,
    ):
        return _fill(stage, backup)


def restore(
    holdings: Holdings,
    source: Path,
    *,
    overwrite: bool,
    signed: Signature,
    accept_missing: bool = False,
    issued: int | None = None,
) -> Restored:
    """Bring a backup into an empty database, or over a filled one if `overwrite` says so.

    issued: the highest number of a paper given out so far; None takes what the file of what
        stands tells, here or beside the backup.
    Raises `Conflict` while a server is at work or records would be lost, `Refused` for a backup
    that is not whole or wants an answer; then nothing has changed.
    """
    with alone(holdings.engine):
        finish_restore(holdings)
        _refuse_to_overwrite(holdings.database, overwrite=overwrite)
        with open_backup(source) as backup, stage_beside(holdings.engine) as stage:
            _refuse_without_room(holdings, backup)
            found = _fill(stage.database, backup, kept=holdings.blobs)
            if found.missing and not accept_missing:
                raise Refused(
                    f"{len(found.missing)} pictures or papers that its records name are not in "
                    f"{source.name}; to do without them, say --accept-missing."
                )
            beside = Standing(source.absolute().parent).lines()
            lines = [*holdings.standing.lines(), *beside]
            if issued is None and not _knows(lines, found.made):
                raise Refused(UNNUMBERED)
            mark = uuid.uuid4().hex
            with stage.database.writing() as session:
                closed = apply_standing(session, lines, issued=issued, signed=signed)
                _write_mark(session, mark, source, signed)
                live = live_tokens(session)
            _keep_blobs(holdings.blobs, backup)
            _stage_kit(holdings, backup, mark)
            stage.take_over()
        finish_restore(holdings)
        holdings.standing.keep_new(beside)
    return replace(found, live_tokens=live, closed=closed)


UNNUMBERED = (
    "Say --issued with the highest number on any report given out so far, or 0 for none: no file "
    "standing.jsonl, here or beside the backup, knows of this backup and so of what came after it."
)


def _knows(lines: list[Line], made: str | None) -> bool:
    """Whether what stands was kept where the backup was made, and so tells what followed it."""
    return any(line["what"] == BACKUP and line.get("made") == made for line in lines)


def finish_broken_restore(holdings: Holdings) -> None:
    """Finish what a crash broke off, unless a restore is at work just now."""
    if _staged_kit(holdings).exists():
        with suppress(Conflict), alone(holdings.engine):
            finish_restore(holdings)


def finish_restore(holdings: Holdings) -> None:
    """Let the kit's tables follow the records, or drop them if the records never came."""
    staged = _staged_kit(holdings)
    if not staged.exists():
        return
    mark = staged / MARK
    if mark.exists() and _bears_mark(holdings.database, mark.read_text(encoding="utf-8")):
        replaced = holdings.tables.with_name(holdings.tables.name + ".replaced")
        if holdings.tables.exists():
            shutil.rmtree(replaced, ignore_errors=True)
            holdings.tables.rename(replaced)
        staged.rename(holdings.tables)
        (holdings.tables / MARK).unlink()
    else:
        shutil.rmtree(staged)


def _staged_kit(holdings: Holdings) -> Path:
    return holdings.tables.with_name(holdings.tables.name + STAGED)


def _bears_mark(database: Database, mark: str) -> bool:
    with database.reading() as session:
        if current_revision(session.connection()) is None:
            return False
        restored = sa.select(AuditLine.after).where(AuditLine.action == RESTORED)
        return any((after or {}).get(MARK) == mark for after in session.scalars(restored))


def _write_mark(session: Session, mark: str, source: Path, signed: Signature) -> None:
    told = {MARK: mark, "file": source.name}
    write_line(session, RESTORED, session.get_one(Workshop, THE_ONE), after=told, signed=signed)


def _refuse_to_overwrite(database: Database, *, overwrite: bool) -> None:
    with database.reading() as session:
        connection = session.connection()
        if current_revision(connection) is None:
            return
        if _holds_rows(connection) and not overwrite:
            raise Conflict(
                "This database holds records. To replace them all by the backup, say --overwrite."
            )
        check_schema(connection)


def _holds_rows(connection: sa.Connection) -> bool:
    present = set(sa.inspect(connection).get_table_names())
    workshop = Workshop.__table__
    # The workshop's row comes with the schema; it is a record once somebody has written in it.
    held = sa.select(sa.literal(1)).limit(1)
    return any(
        connection.execute(
            held.where(workshop.c.version > 1) if table is workshop else held.select_from(table)
        ).first()
        for table in Base.metadata.sorted_tables
        if table.name in present
    )


def _refuse_without_room(holdings: Holdings, backup: Backup) -> None:
    wanted = ROOM * backup.size("tables/") + backup.size("blobs/") + backup.size("kit/")
    data = holdings.backups.parent
    data.mkdir(parents=True, exist_ok=True)
    free = shutil.disk_usage(data).free
    if wanted > free:
        raise Refused(
            f"It needs {wanted / 1e6:.0f} MB of disk to be brought back safely, and "
            f"{free / 1e6:.0f} MB are free."
        )


def _fill(stage: Database, backup: Backup, *, kept: BlobStore | None = None) -> Restored:
    """Load all of a backup into an empty database, and see that nothing lacks or contradicts."""
    manifest = backup.manifest
    if not is_known(manifest.revision):
        raise Refused("It was made by a newer release; bring it back with that.")
    backup.prove_files()
    try:
        with engine_of(stage).connect() as connection:
            upgrade(connection, manifest.revision)
            with connection.begin():
                _compare_tables(connection, manifest.tables)
                for name in manifest.tables:  # a migration has rows of its own to enter
                    connection.execute(sa.delete(sa.table(name)))
                counts = {
                    name: _load_table(connection, name, types, backup.rows(name))
                    for name, types in manifest.tables.items()
                }
            upgrade(connection)
            with connection.begin():
                _prove_database(connection)
                named = named_blobs(connection)
    except SQLAlchemyError as problem:
        raise Damaged(f"its records break a rule of the database ({_cause(problem)})") from None
    absent = named - set(backup.blobs)
    missing = sorted(one for one in absent if kept is None or not kept.is_whole(one))
    return Restored(counts, manifest.made, [], 0, missing)


def _compare_tables(connection: sa.Connection, told: dict[str, dict[str, str]]) -> None:
    """The backup must hold every table and column of its schema, and no other."""
    look = sa.inspect(connection)
    tables = set(look.get_table_names()) - {"alembic_version"}
    if strange := sorted(tables ^ told.keys()):
        raise Damaged(f"the table {strange[0]} is missing or unknown")
    for table in tables:
        columns = {column["name"] for column in look.get_columns(table)}
        if strange := sorted(columns ^ told[table].keys()):
            raise Damaged(f"the column {table}.{strange[0]} is missing or unknown")


def _load_table(
    connection: sa.Connection, name: str, types: dict[str, str], read: Iterator[Row]
) -> int:
    table = sa.table(name, *(sa.column(column, TYPES[kind]()) for column, kind in types.items()))
    count = 0
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


def _prove_database(connection: sa.Connection) -> None:
    """SQLite is asked once more; PostgreSQL has proved every row as it came."""
    if connection.dialect.name != "sqlite":
        return
    if connection.exec_driver_sql("PRAGMA foreign_key_check").first():
        raise Damaged("a row of it points at one that is not there")
    if connection.exec_driver_sql("PRAGMA integrity_check").scalar() != "ok":
        raise Damaged("its rows break a rule of their tables")


def _cause(problem: SQLAlchemyError) -> str:
    """What the database or the reader of a column said, on one line and without the rows."""
    cause = getattr(problem, "orig", None) or problem
    return str(cause).splitlines()[0][:120]


def _keep_blobs(blobs: BlobStore, backup: Backup) -> None:
    for name in backup.blobs:
        if not blobs.is_whole(name):
            blobs.put(backup.read_blob(name), anew=True)


def _stage_kit(holdings: Holdings, backup: Backup, mark: str) -> None:
    if backup.tools is None:
        return
    staged = _staged_kit(holdings)
    staged.mkdir(parents=True)
    for name in backup.tools:
        (staged / name).write_bytes(backup.read_tool(name))
    (staged / MARK).write_text(mark, encoding="utf-8")
