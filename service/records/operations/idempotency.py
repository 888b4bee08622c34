"""Idempotency: the first answer to a keyed write is kept with the write, and given again."""

import datetime as dt
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from service.records.errors import Conflict
from service.records.models import IdempotencyKey

KEPT = dt.timedelta(days=90)
"""A phone may lie in a drawer for weeks before it finds the network again."""


def claim_key(
    session: Session, *, sender: str, key: str, fingerprint: str, now: dt.datetime
) -> IdempotencyKey:
    """Claim a key for this request, or find the answer that was given to it.

    The returned row has a `status` when the answer is known. A rival request with the same key
    waits here for the first one's transaction, so that only one of them does the work. Raises
    `Conflict` when the key came with another request.
    """
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    session.execute(
        insert(IdempotencyKey)
        .values(sender=sender, key=key, fingerprint=fingerprint, created_at=now)
        .on_conflict_do_nothing()
    )
    row = session.scalars(_of(sender, key)).one()
    _refuse_another(row, fingerprint)
    return row


def find_answer(
    session: Session, *, sender: str, key: str, fingerprint: str
) -> IdempotencyKey | None:
    """The answer that a key was given before; raises as `claim_key` does, and waits for nobody."""
    row = session.scalar(_of(sender, key))
    if row is not None:
        _refuse_another(row, fingerprint)
    return row


def _of(sender: str, key: str) -> sa.Select[IdempotencyKey]:
    return sa.select(IdempotencyKey).where(
        IdempotencyKey.sender == sender, IdempotencyKey.key == key
    )


def _refuse_another(row: IdempotencyKey, fingerprint: str) -> None:
    if row.fingerprint != fingerprint:
        raise Conflict(
            "This Idempotency-Key was used for another request. Make a new key for a new request.",
            code="key-reused",
        )


def keep_answer(row: IdempotencyKey, *, status: int, headers: dict[str, Any], body: str) -> None:
    """Keep the answer beside the change it belongs to."""
    row.status, row.headers, row.body = status, headers, body


def forget_old_keys(session: Session, *, now: dt.datetime) -> int:
    """Drop keys past their time; returns how many."""
    gone = session.execute(sa.delete(IdempotencyKey).where(IdempotencyKey.created_at < now - KEPT))
    return int(gone.rowcount)  # type: ignore[attr-defined]
