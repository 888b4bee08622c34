"""Idempotency keys: the first answer to a write, kept so that a repeat gets it again."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Key, Moment, Short
from service.records.database import Base

LONGEST_KEY = 200


class IdempotencyKey(Base):
    """One key of one sender, the request it came with, and the answer that was given.

    The sender is a token's name and not its number: a phone whose token was replaced sends again
    what it could not be sure of, and it must still be done once.
    """

    __tablename__ = "idempotency_keys"
    __table_args__ = (
        sa.UniqueConstraint("sender", "key"),
        sa.Index(None, "created_at"),
        Base.__table_args__,
    )

    id: Mapped[Key]
    sender: Mapped[Short]
    key: Mapped[str] = mapped_column(sa.String(LONGEST_KEY))
    fingerprint: Mapped[str] = mapped_column(sa.String(64))
    status: Mapped[int | None]
    headers: Mapped[dict[str, Any] | None] = mapped_column(sa.JSON(none_as_null=True))
    body: Mapped[str | None] = mapped_column(sa.Text)
    created_at: Mapped[Moment]
