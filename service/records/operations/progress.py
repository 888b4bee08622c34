"""Progress notes: posting, correcting, and recording the customer's answer."""

import datetime as dt
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.errors import Refused
from service.records.history import Signature, amend, enter
from service.records.models import Commission, Picture, ProgressNote
from service.records.operations.lookup import Page, get_read, page, require_named

IS_OPEN = sa.and_(ProgressNote.decision_wanted.is_not(None), ProgressNote.answered_at.is_(None))
"""A question that has no answer yet."""


def list_progress(
    session: Session, *, open_decision: bool | None = None, **asked: Any
) -> Page[ProgressNote]:
    """A page of progress notes, newest first, perhaps of one `commission_id`, or `for_customer`."""
    wanted = {None: (), True: (IS_OPEN,), False: (sa.not_(IS_OPEN),)}[open_decision]
    return page(session, ProgressNote, *wanted, **asked)


def post_progress(
    session: Session,
    *,
    commission_id: int,
    pictures: list[int],
    signed: Signature,
    **particulars: Any,
) -> ProgressNote:
    """Post a note; its pictures must be of the same commission."""
    require_named(session, Commission, commission_id, field="commission_id")
    note = ProgressNote(commission_id=commission_id, person=signed.person, **particulars)
    _check_private_question(note.for_customer, note.decision_wanted)
    _check_pictures(session, commission_id, pictures)
    note.picture_ids = pictures
    enter(session, note, signed=signed)
    return note


def update_progress(
    session: Session, note_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> ProgressNote:
    """Correct a note, or record the customer's answer to its question."""
    note = get_read(session, ProgressNote, note_id, version)
    if "pictures" in changes:
        _check_pictures(session, note.commission_id, changes["pictures"])
        changes["picture_ids"] = changes.pop("pictures")
    if changes.get("decision_answer"):
        changes["answered_at"] = signed.now
    elif changes.get("decision_wanted", note.decision_wanted) != note.decision_wanted:
        changes |= {"decision_answer": None, "answered_at": None}  # another question is open again
    asked = changes.get("decision_wanted", note.decision_wanted)
    _check_private_question(changes.get("for_customer", note.for_customer), asked)
    if changes.get("decision_answer") and not asked:
        raise Refused(
            "This note asks nothing, so there is nothing to answer.", field="decision_answer"
        )
    amend(session, note, changes, signed=signed)
    return note


def open_decisions(session: Session, commission_id: int) -> list[ProgressNote]:
    """The questions to the customer that have no answer yet, oldest first."""
    return _for_customer(session, commission_id, IS_OPEN)


def notes_for_customer(
    session: Session, commission_id: int, *, from_day: dt.date, to_day: dt.date
) -> list[ProgressNote]:
    """The notes of a span of days that the customer may read, in the order of the days."""
    return _for_customer(session, commission_id, ProgressNote.day.between(from_day, to_day))


def _for_customer(
    session: Session, commission_id: int, which: sa.ColumnElement[bool]
) -> list[ProgressNote]:
    statement = sa.select(ProgressNote).where(
        ProgressNote.commission_id == commission_id, ProgressNote.for_customer, which
    )
    return list(session.scalars(statement.order_by(ProgressNote.day, ProgressNote.id)))


def _check_private_question(for_customer: bool, decision_wanted: str | None) -> None:
    if decision_wanted and not for_customer:
        raise Refused(
            "A decision is wanted of the customer, so the note must be for the customer.",
            field="for_customer",
        )


def _check_pictures(session: Session, commission_id: int, pictures: list[int]) -> None:
    if len(set(pictures)) != len(pictures):
        raise Refused("A picture stands in a note once.", field="pictures")
    for picture_id in pictures:
        picture = require_named(session, Picture, picture_id, field="pictures")
        if picture.commission_id != commission_id:
            raise Refused(f"There is no picture {picture_id}.", field="pictures")
