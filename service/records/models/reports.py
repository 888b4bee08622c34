"""Progress reports: drafted from the records, read by the owner, then issued and frozen."""

import datetime as dt
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Long, Moment, Short, enum_column
from service.records.database import Base, Versioned


class ReportState(StrEnum):
    """A draft follows the records; an issued report never changes; a revoked one is not shown."""

    DRAFT = "draft"
    ISSUED = "issued"
    REVOKED = "revoked"


class Report(Versioned, Base):
    """One report of a commission over a span of days."""

    __tablename__ = "reports"
    __table_args__ = (sa.UniqueConstraint("commission_id", "number"), Base.__table_args__)

    commission_id: Mapped[int] = mapped_column(sa.ForeignKey("commissions.id"))
    number: Mapped[int]
    from_day: Mapped[dt.date]
    to_day: Mapped[dt.date]
    replaces: Mapped[int | None]
    headline: Mapped[Short | None]
    next_steps: Mapped[Long | None]
    state: Mapped[ReportState] = mapped_column(enum_column(ReportState))
    content: Mapped[dict[str, Any] | None] = mapped_column(sa.JSON(none_as_null=True))
    document_sha256: Mapped[str | None] = mapped_column(sa.String(64))
    issued_at: Mapped[Moment | None]
    link_hash: Mapped[str | None] = mapped_column(sa.String(64), unique=True)
    link_expires_at: Mapped[Moment | None]
    views: Mapped[int] = mapped_column(default=0)
    last_viewed_at: Mapped[Moment | None]
