"""Bringing a database up to the schema of this release, and telling whether it is there."""

from functools import cache
from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

import migrations
from service.records.database import UnusableDatabase


def configuration() -> Config:
    """Alembic's configuration for our own scripts, wherever the package is installed."""
    config = Config()
    config.set_main_option(
        "script_location", str(Path(migrations.__file__).parent).replace("%", "%%")
    )
    return config


def upgrade(connection: sa.Connection, revision: str = "head") -> None:
    """Migrate upwards to `revision`; the caller's connection is used and left open."""
    config = configuration()
    config.attributes["connection"] = connection
    command.upgrade(config, revision)


def downgrade(connection: sa.Connection, revision: str) -> None:
    """Migrate downwards to `revision`."""
    config = configuration()
    config.attributes["connection"] = connection
    command.downgrade(config, revision)


def check_upgradable(connection: sa.Connection) -> None:
    """Raise `UnusableDatabase` for one that our migrations cannot bring to this release."""
    revision = current_revision(connection)
    if revision is None:
        if strange := sorted(_our_tables() & set(sa.inspect(connection).get_table_names())):
            raise UnusableDatabase(
                f"The database holds a table {strange[0]} that no migration of ours made."
            )
    elif not is_known(revision):
        raise UnusableDatabase(
            f"The database is at revision {revision}, which this release does not know: "
            "it was made by a newer one, or by another program."
        )


def check_schema(connection: sa.Connection) -> None:
    """Raise `UnusableDatabase` for one that is not at this release's schema, and say what to do."""
    if current_revision(connection) != newest_revision():
        check_upgradable(connection)
        raise UnusableDatabase(
            "The database is not at this release's schema; run: clackbox migrate"
        )


def _our_tables() -> set[str]:
    from service.records import models

    return set(models.Token.metadata.tables)


@cache
def is_known(revision: str) -> bool:
    """Whether a revision is one of this release or of an earlier one."""
    scripts = ScriptDirectory.from_config(configuration())
    return revision in {script.revision for script in scripts.walk_revisions()}


@cache
def newest_revision() -> str:
    """The revision this release of the service needs."""
    return str(ScriptDirectory.from_config(configuration()).get_current_head())


def current_revision(connection: sa.Connection) -> str | None:
    """The revision a database is at; None for an empty one."""
    return MigrationContext.configure(connection).get_current_revision()
