"""Customers: the people for whom plants are built."""

from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Long, Short
from service.records.database import Base, Versioned


class Customer(Versioned, Base):
    """One customer and how to reach them; `private_notes` never leaves the workshop."""

    __tablename__ = "customers"

    name: Mapped[Short]
    email: Mapped[Short | None]
    phone: Mapped[Short | None]
    address: Mapped[Long | None]
    private_notes: Mapped[Long | None] = mapped_column()
