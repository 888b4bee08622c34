"""Bringing a database up to the schema of this release, and telling whether it is there."""

from functools import cache
from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

import migrations


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
