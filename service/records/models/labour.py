"""Labour entries: minutes at the bench, by kind of operation."""

import datetime as dt
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Long, enum_column
from service.records.database import Base, Versioned

LONGEST_ENTRY = 24 * 60  # minutes in a day: no single entry is longer


class Operation(StrEnum):
    """Kinds of bench work, in the words used at the bench."""

    MEASURING = "measuring"
    DRAWING = "drawing"
    MARKING_OUT = "marking_out"
    SAWING = "sawing"
    FILING = "filing"
    DRILLING = "drilling"
    REAMING = "reaming"
    TURNING = "turning"
    MILLING = "milling"
    THREADING = "threading"
    BENDING = "bending"
    SILVER_SOLDERING = "silver_soldering"
    SOFT_SOLDERING = "soft_soldering"
    LAPPING = "lapping"
    FITTING = "fitting"
    PIPING = "piping"
    LAGGING = "lagging"
    WOODWORK = "woodwork"
    PAINTING = "painting"
    POLISHING = "polishing"
    HYDRAULIC_TEST = "hydraulic_test"
    STEAMING = "steaming"
    FAULT_FINDING = "fault_finding"
    SUBLET = "sublet"
    REPORTING = "reporting"
    PACKING = "packing"
    ORDERING = "ordering"
    QUOTING = "quoting"
    TOOL_MAKING = "tool_making"
    REWORK = "rework"
    OTHER = "other"


class LabourEntry(Versioned, Base):
    """Minutes of one operation on one day of one commission."""

    __tablename__ = "labour_entries"
    __table_args__ = (
        sa.CheckConstraint("minutes > 0", name="minutes"),
        sa.Index(None, "commission_id", "billable", "minutes"),  # covers the totals of a list
        sa.Index(None, "commission_id", "day"),
        Base.__table_args__,
    )

    commission_id: Mapped[int] = mapped_column(sa.ForeignKey("commissions.id"))
    operation: Mapped[Operation] = mapped_column(enum_column(Operation))
    minutes: Mapped[int]
    day: Mapped[dt.date]
    note: Mapped[Long | None]
    billable: Mapped[bool]
    person: Mapped[str] = mapped_column(sa.String(200))
