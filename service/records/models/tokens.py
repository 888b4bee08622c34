"""Tokens: who may do what. Only a hash is kept; the token itself is shown once."""

from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Key, Moment, Short, enum_column
from service.records.database import Base


class Scope(StrEnum):
    """What a token opens; each scope contains the ones after it."""

    OWNER = "owner"
    BENCH = "bench"
    CALCULATE = "calculate"

    def allows(self, needed: "Scope") -> bool:
        """Whether a token of this scope may do what `needed` asks."""
        order = list(Scope)
        return order.index(self) <= order.index(needed)


class Token(Base):
    """One token, made for one person or device."""

    __tablename__ = "tokens"

    id: Mapped[Key]
    name: Mapped[Short]
    scope: Mapped[Scope] = mapped_column(enum_column(Scope))
    hash: Mapped[str] = mapped_column(sa.String(64), unique=True)
    created_at: Mapped[Moment]
    expires_at: Mapped[Moment | None]
    revoked_at: Mapped[Moment | None]
