"""Commissions: one agreed piece of work for one customer."""

import datetime as dt
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column, relationship

from service.records.columns import Long, Money, Short, enum_column
from service.records.database import Base, Versioned
from service.records.models.customers import Customer


class Stage(StrEnum):
    """Where a commission stands."""

    ENQUIRY = "enquiry"
    QUOTED = "quoted"
    AGREED = "agreed"
    PLANNING = "planning"
    IN_HAND = "in_hand"
    WAITING = "waiting"
    TESTING = "testing"
    READY = "ready"
    HANDED_OVER = "handed_over"
    CLOSED = "closed"
    DECLINED = "declined"


class PriceBasis(StrEnum):
    """How the price is agreed; it decides whether the hours are the customer's business."""

    ESTIMATE = "estimate"
    QUOTATION = "quotation"
    STAGE_PRICES = "stage_prices"
    TIME_AND_MATERIALS = "time_and_materials"

    @property
    def shows_hours(self) -> bool:
        """Whether the customer pays by the hour and so may see the hours."""
        return self in {PriceBasis.ESTIMATE, PriceBasis.TIME_AND_MATERIALS}


class Commission(Versioned, Base):
    """One piece of work, named by a reference such as `26-014`."""

    __tablename__ = "commissions"
    __table_args__ = (
        sa.CheckConstraint("estimate_minutes >= 0", name="estimate_minutes"),
        sa.CheckConstraint("hourly_rate >= 0", name="hourly_rate"),
        Base.__table_args__,
    )

    customer_id: Mapped[int] = mapped_column(sa.ForeignKey("customers.id"), index=True)
    reference: Mapped[str] = mapped_column(sa.String(20), unique=True)
    title: Mapped[Short]
    stage: Mapped[Stage] = mapped_column(enum_column(Stage), index=True)
    price_basis: Mapped[PriceBasis] = mapped_column(enum_column(PriceBasis))
    hourly_rate: Mapped[Money | None]
    currency: Mapped[str] = mapped_column(sa.String(3))
    estimate_minutes: Mapped[int | None]
    promised: Mapped[dt.date | None]
    public_notes: Mapped[Long | None]
    private_notes: Mapped[Long | None]

    customer: Mapped[Customer] = relationship(lazy="raise_on_sql")
