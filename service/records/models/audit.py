"""Audit lines: every change of a record, never altered."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Key, Moment, Short
from service.records.database import Base


class AuditLine(Base):
    """Who did what to which record, with the values before and after."""

    __tablename__ = "audit_lines"
    __table_args__ = (sa.Index(None, "noun", "record_id"), Base.__table_args__)

    id: Mapped[Key]
    at: Mapped[Moment]
    person: Mapped[Short]
    action: Mapped[str] = mapped_column(sa.String(20))
    noun: Mapped[str] = mapped_column(sa.String(40))
    record_id: Mapped[int]
    before: Mapped[dict[str, Any] | None] = mapped_column(sa.JSON(none_as_null=True))
    after: Mapped[dict[str, Any] | None] = mapped_column(sa.JSON(none_as_null=True))
