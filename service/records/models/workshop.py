"""The workshop itself: the one record of who it is and how it likes things written."""

from decimal import Decimal
from typing import Annotated, Any

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.quantities.wording import Measure
from service.records.columns import ExactDecimal, Long, Short, enum_column
from service.records.database import Base, Versioned

THE_ONE = 1  # the number of the only row

Percent = Annotated[Decimal, mapped_column(ExactDecimal(5, 2))]


class Workshop(Versioned, Base):
    """The workshop; made with the schema, amended by its owner, never deleted."""

    __tablename__ = "workshop"
    __table_args__ = (
        sa.CheckConstraint("id = 1", name="only_one"),
        sa.CheckConstraint("tax_rate >= 0", name="tax_rate"),
        Base.__table_args__,
    )

    name: Mapped[Short]
    address: Mapped[Long | None]
    email: Mapped[Short | None]
    phone: Mapped[Short | None]
    logo: Mapped[dict[str, Any] | None] = mapped_column(sa.JSON(none_as_null=True))
    """The cleaned picture: `sha256`, `media_type`, `width`, `height`."""
    measure: Mapped[Measure] = mapped_column(enum_column(Measure))
    currency: Mapped[str] = mapped_column(sa.String(3))
    tax_registered: Mapped[bool]
    tax_number: Mapped[Short | None]
    tax_rate: Mapped[Percent | None]  # in percent
    shelf: Mapped[list[str]] = mapped_column(sa.JSON)
    """Keys of thread families in the order of the shelf; the rest follow in the table's order."""
