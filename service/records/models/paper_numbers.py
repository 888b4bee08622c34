"""Paper numbers that are taken though no row bears them: their papers were lost with the records.

Filled by a restore alone. Where a row stands for a series, numbering goes on above it.
"""

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column

from service.records.columns import Key
from service.records.database import Base

ANY = ""  # the series of all papers of a kind


class PaperNumber(Base):
    """The highest number of a series that was given out before a restore."""

    __tablename__ = "paper_numbers"
    __table_args__ = (sa.UniqueConstraint("paper", "series"), Base.__table_args__)

    id: Mapped[Key]
    paper: Mapped[str] = mapped_column(sa.String(20))
    series: Mapped[str] = mapped_column(sa.String(20))
    """What the numbers are counted within: the reference of a commission, or all."""
    highest: Mapped[int]
