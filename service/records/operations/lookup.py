"""Finding one record by its number, and reading a list a page at a time."""

from typing import Any, TypeAlias, TypeVar

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.database import Base
from service.records.errors import NotFound, Refused
from service.records.history import check_version

Record = TypeVar("Record", bound=Base)
Aged = TypeVar("Aged", bound=Any)  # a record that bears a version
Page: TypeAlias = tuple[list[Record], int | None]
"""Some records of a list, and the cursor of what follows them."""

NOUNS = {
    "audit_lines": "audit line",
    "labour_entries": "labour entry",
    "parts": "supplied part",
    "progress_notes": "progress note",
}


def noun_of(model: type[Base]) -> str:
    """The word for one record of a table."""
    name: str = model.__tablename__
    return NOUNS.get(name, name.removesuffix("s"))


def get(session: Session, model: type[Record], record_id: int, *, locked: bool = False) -> Record:
    """The record with this number; raise `NotFound` when there is none."""
    record = session.get(model, record_id, with_for_update=locked)
    if record is None:
        raise NotFound(noun_of(model))
    return record


def hold(session: Session, model: type[Record], record_id: int) -> Record:
    """The record, locked until the transaction ends: what is judged by it stays true meanwhile."""
    return get(session, model, record_id, locked=True)


def get_read(
    session: Session,
    model: type[Aged],
    record_id: int,
    version: int | None,
    *,
    locked: bool = False,
) -> Aged:
    """The record to be changed; raise `Stale` when the asker read another version of it."""
    record = get(session, model, record_id, locked=locked)
    check_version(record, version, noun_of(model))
    return record


def require_named(session: Session, model: type[Record], record_id: int, *, field: str) -> Record:
    """The record that `field` of a request names; raise `Refused` for that field otherwise."""
    record = session.get(model, record_id)
    if record is None:
        raise Refused(
            f"There is no {noun_of(model)} {record_id}.", field=field, code="unknown-record"
        )
    return record


def page(
    session: Session,
    model: type[Any],
    *conditions: sa.ColumnElement[bool],
    cursor: int | None,
    limit: int,
    **equal: Any,
) -> Page[Any]:
    """The newest `limit` records below `cursor`, and the cursor of the next page or None.

    `equal` are the values of columns that are wanted; one of None wants nothing.
    """
    statement = sa.select(model).where(*conditions)
    for name, value in equal.items():
        if value is not None:
            statement = statement.where(getattr(model, name) == value)
    if cursor is not None:
        statement = statement.where(model.id < cursor)
    rows = list(session.scalars(statement.order_by(model.id.desc()).limit(limit + 1)))
    return rows[:limit], rows[limit - 1].id if len(rows) > limit else None
