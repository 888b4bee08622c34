"""Runs the migrations against the database that the settings, or the caller, name."""

from typing import Literal

from alembic import context
from alembic.autogenerate.api import AutogenContext
from sqlalchemy import Connection

from service.records import columns, models  # noqa: F401  (models fills the metadata)
from service.records.database import Base, make_engine
from service.settings import Settings


def run() -> None:
    """Migrate over the connection handed in, or over one of our own."""
    given = context.config.attributes.get("connection")
    if given is not None:
        migrate(given)
        return
    engine = make_engine(Settings.from_environment().database_address)
    with engine.connect() as connection:
        migrate(connection)
    engine.dispose()


def migrate(connection: Connection) -> None:
    """Run inside one transaction; on SQLite with foreign keys off, and checked before the commit.

    Batch mode rebuilds a table by dropping it, and with foreign keys on SQLite would silently
    delete the rows that point at it. The pragma works outside a transaction only.
    """
    sqlite = connection.dialect.name == "sqlite"
    raw = connection.connection.dbapi_connection
    if sqlite and raw is not None:
        raw.execute("PRAGMA foreign_keys=OFF")
    try:
        _migrate_at_once(connection)
    finally:
        if sqlite and raw is not None:
            raw.execute("PRAGMA foreign_keys=ON")


def _migrate_at_once(connection: Connection) -> None:
    sqlite = connection.dialect.name == "sqlite"
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=sqlite,
        compare_type=True,
        transactional_ddl=True,  # SQLite can, now that BEGIN is ours: all or nothing there too
        render_item=_render_own_type,
    )
    with context.begin_transaction():
        context.run_migrations()
        if sqlite and (broken := connection.exec_driver_sql("PRAGMA foreign_key_check").all()):
            raise RuntimeError(
                f"the migration would leave rows without their parents: {broken[:5]}"
            )


def _render_own_type(kind: str, thing: object, _: AutogenContext) -> str | Literal[False]:
    """Write our column types as `columns.Name()` in a new revision."""
    if kind == "type" and type(thing).__module__ == columns.__name__:
        return f"columns.{type(thing).__name__}()"
    return False


if not context.is_offline_mode():
    run()
