"""Progress notes: what was done and found, with pictures, private or for the customer."""

import datetime as dt
from typing import ClassVar

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column, relationship

from service.records.columns import Long, Moment
from service.records.database import Base, Versioned
from service.records.models.pictures import Picture

MOST_PICTURES = 12


class ProgressPicture(Base):
    """A picture's place in a note."""

    __tablename__ = "progress_pictures"

    progress_id: Mapped[int] = mapped_column(sa.ForeignKey("progress_notes.id"), primary_key=True)
    picture_id: Mapped[int] = mapped_column(
        sa.ForeignKey("pictures.id"), primary_key=True, index=True
    )
    position: Mapped[int]

    picture: Mapped[Picture] = relationship(lazy="joined")


class ProgressNote(Versioned, Base):
    """One note of progress; `decision_wanted` is the question put to the customer, if any."""

    __tablename__ = "progress_notes"
    __table_args__ = (sa.Index(None, "commission_id", "day"), Base.__table_args__)

    commission_id: Mapped[int] = mapped_column(sa.ForeignKey("commissions.id"))
    day: Mapped[dt.date]
    text: Mapped[Long]
    for_customer: Mapped[bool]
    decision_wanted: Mapped[Long | None]
    decision_answer: Mapped[Long | None]
    answered_at: Mapped[Moment | None]
    person: Mapped[str] = mapped_column(sa.String(200))

    placed: Mapped[list[ProgressPicture]] = relationship(
        order_by=ProgressPicture.position, cascade="all, delete-orphan", lazy="selectin"
    )

    also_recorded: ClassVar = ("picture_ids",)

    @property
    def picture_ids(self) -> list[int]:
        """The numbers of the note's pictures in their order; setting them places the pictures."""
        return [placed.picture_id for placed in self.placed]

    @picture_ids.setter
    def picture_ids(self, ids: list[int]) -> None:
        present = {placed.picture_id: placed for placed in self.placed}
        self.placed = [present.get(each) or ProgressPicture(picture_id=each) for each in ids]
        for position, placed in enumerate(self.placed):
            placed.position = position

    @property
    def pictures(self) -> list[Picture]:
        """The note's pictures in their order."""
        return [placed.picture for placed in self.placed]
