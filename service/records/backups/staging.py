"""A second database beside the first, filled and proved there, and then taken over in one step."""

import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Protocol

import sqlalchemy as sa
from sqlalchemy.pool import NullPool

from service.records.database import Base, Database, make_engine
from service.records.errors import Conflict

SCHEMA = "clackbox_restoring"
OURS = ("alembic_version", *(table.name for table in reversed(Base.metadata.sorted_tables)))
PATIENCE = 40  # looks at a database that somebody else is writing to, a quarter of a second apart


class Stage(Protocol):
    """An empty database of the same kind as the first."""

    database: Database

    def take_over(self) -> None:
        """Let what is staged be what the first holds: all of it, or after a crash nothing."""


@contextmanager
def stage_beside(engine: sa.Engine) -> Iterator[Stage]:
    """A stage for what is to replace the contents of a database."""
    opening = _stage_schema if engine.dialect.name == "postgresql" else _stage_file
    with opening(engine) as stage:
        try:
            yield stage
        finally:
            stage.database.dispose()


@contextmanager
def stage_apart(folder: Path) -> Iterator[Database]:
    """A database in a folder of its own, only to see whether something can be loaded."""
    database = Database(f"sqlite:///{folder / 'proof.sqlite'}")
    try:
        yield database
    finally:
        database.dispose()


class _File:
    """On SQLite a file beside the first."""

    def __init__(self, place: Path) -> None:
        self._place = place
        self._staged = place.with_name(f"{place.name}.restoring-{uuid.uuid4().hex[:8]}")
        self.database = Database(f"sqlite:///{self._staged}")

    def take_over(self) -> None:
        """Copy page by page inside one transaction of the first database, which SQLite keeps whole.

        A file put in its place by name would leave whoever has the old one open writing into it.
        """
        self.database.dispose()
        with (
            closing(sqlite3.connect(self._staged)) as source,
            closing(sqlite3.connect(self._place)) as first,
        ):
            first.execute("PRAGMA synchronous=FULL")
            source.backup(first, progress=_Patience().look)

    def clear(self) -> None:
        """Remove this stage, and any that a crash left behind."""
        self.database.dispose()
        for left in self._place.parent.glob(f"{self._place.name}.restoring-*"):
            left.unlink(missing_ok=True)


class _Patience:
    """Ends a wait that has no end of its own."""

    def __init__(self) -> None:
        self._looks = 0

    def look(self, _status: int, _remaining: int, _total: int) -> None:
        self._looks += 1
        if self._looks > PATIENCE:
            raise Conflict("Somebody else is writing to the database; try again later.")


@contextmanager
def _stage_file(engine: sa.Engine) -> Iterator[_File]:
    stage = _File(Path(str(engine.url.database)))
    stage.clear()
    try:
        yield stage
    finally:
        stage.clear()


class _Schema:
    """On PostgreSQL a second schema, whose tables then move into the first."""

    def __init__(self, engine: sa.Engine) -> None:
        self._engine = engine
        own = engine.url.update_query_dict({"options": f"-csearch_path={SCHEMA}"})
        address = own.render_as_string(hide_password=False)
        self.database = Database(make_engine(address, poolclass=NullPool))

    def prepare(self) -> None:
        """An empty schema."""
        with self._engine.begin() as connection:
            connection.exec_driver_sql(f"DROP SCHEMA IF EXISTS {SCHEMA} CASCADE")
            connection.exec_driver_sql(f"CREATE SCHEMA {SCHEMA}")

    def take_over(self) -> None:
        """Drop our tables and move the staged ones into their place, in one transaction."""
        with self._engine.begin() as connection:
            connection.exec_driver_sql("SET LOCAL lock_timeout = '10s'")
            home = connection.exec_driver_sql("SELECT quote_ident(current_schema())").scalar_one()
            for name in OURS:
                connection.exec_driver_sql(f"DROP TABLE IF EXISTS {home}.{name}")
            for name in OURS:
                connection.exec_driver_sql(f"ALTER TABLE {SCHEMA}.{name} SET SCHEMA {home}")
            connection.exec_driver_sql(f"DROP SCHEMA {SCHEMA} CASCADE")

    def clear(self) -> None:
        """Remove what is left of the stage."""
        with self._engine.begin() as connection:
            connection.exec_driver_sql(f"DROP SCHEMA IF EXISTS {SCHEMA} CASCADE")


@contextmanager
def _stage_schema(engine: sa.Engine) -> Iterator[_Schema]:
    stage = _Schema(engine)
    stage.prepare()
    try:
        yield stage
    finally:
        stage.clear()
