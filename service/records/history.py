"""The audit trail: one line for every change of a record, and the hand that signs it."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import flag_modified

from service.records.database import Base, Versioned
from service.records.errors import Stale
from service.records.models.audit import AuditLine


@dataclass(frozen=True, slots=True)
class Signature:
    """Who acts, and when. Every writing operation is handed one; none looks the clock up."""

    person: str
    now: dt.datetime


def enter(session: Session, record: Any, *, signed: Signature) -> None:
    """Add a new record and its audit line."""
    if isinstance(record, Versioned):
        record.created_at = record.updated_at = signed.now
    session.add(record)
    session.flush()  # the audit line needs the new id
    write_line(session, "created", record, after=snapshot(record), signed=signed)


def amend(session: Session, record: Any, changes: dict[str, Any], *, signed: Signature) -> None:
    """Apply `changes` to a record; write an audit line of what really changed, if anything did."""
    before = {name: getattr(record, name) for name in changes}
    changed = {name: value for name, value in changes.items() if before[name] != value}
    if not changed:
        return
    for name, value in changed.items():
        setattr(record, name, value)
    if isinstance(record, Versioned):
        record.updated_at = signed.now
        # Written even if it is the same moment, so that the version rises with the record's parts.
        flag_modified(record, "updated_at")
    session.flush()  # the version must be the new one when the answer is made
    write_line(
        session,
        "changed",
        record,
        before={name: _shown(name, before[name]) for name in changed},
        after={name: _shown(name, value) for name, value in changed.items()},
        signed=signed,
    )


def strike(session: Session, record: Any, *, signed: Signature) -> None:
    """Delete a record; its last state stays in the audit line."""
    write_line(session, "deleted", record, before=snapshot(record), signed=signed)
    session.delete(record)
    session.flush()  # a row that others point at must be refused here, not at commit


def check_version(record: Versioned, expected: int | None, noun: str) -> None:
    """Raise `Stale` when the asker read another version; None asks for no check."""
    if expected is not None and record.version != expected:
        raise Stale(noun)


def write_line(
    session: Session,
    action: str,
    record: Any,
    *,
    signed: Signature,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> None:
    """Append one audit line."""
    session.add(
        AuditLine(
            at=signed.now,
            person=signed.person,
            action=action,
            noun=record.__tablename__,
            record_id=record.id,
            before=before,
            after=after,
        )
    )


UNRECORDED = {"created_at", "updated_at", "version", "hash", "link_hash", "content"}
"""Columns that say nothing of their own or must not be copied: secrets and whole documents."""


def snapshot(record: Base) -> dict[str, Any]:
    """The plain values of a record's columns, and of the rows that belong to it alone."""
    columns = [column.key for column in sa.inspect(type(record)).column_attrs]
    return {
        name: plain(getattr(record, name))
        for name in (*columns, *getattr(record, "also_recorded", ()))
        if name not in UNRECORDED
    }


def _shown(name: str, value: Any) -> Any:
    """A changed value for the audit line, which tells that a secret changed but not what it is."""
    return "not recorded" if name in UNRECORDED and value is not None else plain(value)


def plain(value: Any) -> Any:
    """A value as JSON can hold it."""
    if isinstance(value, dt.date | dt.datetime):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    return value
