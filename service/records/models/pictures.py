"""Pictures: cleaned photographs of one commission, kept as files named by their content."""

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Key, Moment, Short
from service.records.database import Base


class Picture(Base):
    """One picture; the bytes lie in the blob store under `sha256`."""

    __tablename__ = "pictures"
    __table_args__ = (sa.UniqueConstraint("commission_id", "sha256"), Base.__table_args__)

    id: Mapped[Key]
    commission_id: Mapped[int] = mapped_column(sa.ForeignKey("commissions.id"))
    sha256: Mapped[str] = mapped_column(sa.String(64))
    media_type: Mapped[str] = mapped_column(sa.String(40))
    width: Mapped[int]
    height: Mapped[int]
    size: Mapped[int]
    caption: Mapped[Short | None]
    created_at: Mapped[Moment]
