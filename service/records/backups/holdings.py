"""What a workshop keeps, and what of it a backup must hold."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from service.records.blobs import BlobStore
from service.records.database import Base, Database
from service.records.standing import Standing


@dataclass(frozen=True, slots=True)
class Holdings:
    """Records, pictures and papers, the tables of the kit, and where the backups lie."""

    database: Database
    blobs: BlobStore
    tables: Path
    backups: Path

    @classmethod
    def in_folder(cls, database: Database, data: Path) -> "Holdings":
        """The holdings of a data folder; the database may lie elsewhere."""
        return cls(database, BlobStore(data / "blobs"), data / "tables", data / "backups")

    @property
    def engine(self) -> sa.Engine:
        """The engine of the database."""
        return engine_of(self.database)

    @property
    def standing(self) -> Standing:
        """What holds whatever is restored."""
        return Standing(self.backups)


def engine_of(database: Database) -> sa.Engine:
    """The engine of a database, which must be nobody else's transaction."""
    if not isinstance(database.bind, sa.Engine):
        raise TypeError("a backup needs a database of its own")
    return database.bind


MERELY_TOLD = {"audit_lines", "idempotency_keys"}
"""Tables that tell of blobs without keeping them: an old picture's name stays in the audit."""


def named_blobs(connection: sa.Connection) -> set[str]:
    """Every blob that a row names, found by its column or its key, so no table can be forgotten."""
    named: set[str] = set()
    for table in Base.metadata.sorted_tables:
        if table.name in MERELY_TOLD:
            continue
        for column in table.columns:
            present = sa.select(column).where(column.is_not(None)).distinct()
            if column.name.endswith("sha256"):
                named.update(connection.scalars(present))
            elif isinstance(column.type, sa.JSON):
                texts = sa.cast(column, sa.Text).contains("sha256")
                for value in connection.scalars(sa.select(column).where(texts)):
                    named.update(_names_within(value))
    return named


def _names_within(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key == "sha256" and isinstance(inner, str):
                yield inner
            else:
                yield from _names_within(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _names_within(inner)
