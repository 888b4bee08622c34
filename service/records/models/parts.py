"""Supplied parts: whose they are, where they lie, what became of them.

A part line is never deleted. It moves between states, and each movement is kept; moving some of a
line splits it, so that every line is in one state and what was received adds up at hand-over.
"""

from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Key, Long, Moment, Short, enum_column
from service.records.database import Base, Versioned


class Owner(StrEnum):
    """Whose property a part is."""

    CUSTOMER = "customer"
    WORKSHOP = "workshop"
    BOUGHT = "bought"


class PartState(StrEnum):
    """Where a part is in its life with us."""

    EXPECTED = "expected"
    RECEIVED = "received"
    ON_BENCH = "on_bench"
    SUBLET = "sublet"
    FITTED = "fitted"
    USED_UP = "used_up"
    RETURNED = "returned"
    SPOILED = "spoiled"
    LOST = "lost"


class Part(Versioned, Base):
    """One line of parts: a name, how many, whose, in what condition, and where."""

    __tablename__ = "parts"
    __table_args__ = (
        sa.CheckConstraint("quantity > 0", name="quantity"),
        sa.Index(None, "commission_id", "state"),
        Base.__table_args__,
    )

    commission_id: Mapped[int] = mapped_column(sa.ForeignKey("commissions.id"))
    split_from_id: Mapped[int | None] = mapped_column(sa.ForeignKey("parts.id"))
    name: Mapped[Short]
    owner: Mapped[Owner] = mapped_column(enum_column(Owner))
    quantity: Mapped[int]
    condition: Mapped[Long | None]
    place: Mapped[Short | None]
    state: Mapped[PartState] = mapped_column(enum_column(PartState))
    ports: Mapped[list[dict[str, Any]]] = mapped_column(sa.JSON)
    private_notes: Mapped[Long | None]


class Movement(Base):
    """One movement of a part line, kept for ever."""

    __tablename__ = "movements"

    id: Mapped[Key]
    part_id: Mapped[int] = mapped_column(sa.ForeignKey("parts.id"), index=True)
    from_state: Mapped[PartState | None] = mapped_column(enum_column(PartState, "from_state"))
    to_state: Mapped[PartState] = mapped_column(enum_column(PartState, "to_state"))
    from_place: Mapped[Short | None]
    to_place: Mapped[Short | None]
    quantity: Mapped[int]
    note: Mapped[Long | None]
    moved_at: Mapped[Moment]
    moved_by: Mapped[Short]
