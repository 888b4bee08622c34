"""Progress notes: posting, correcting, and recording the customer's answer."""

import datetime as dt
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.errors import Refused
from service.records.history import Signature, amend, check_version, enter
from service.records.models import Commission, Picture, ProgressNote
from service.records.operations.lookup import get, page, require_named


def list_progress(
    session: Session,
    *,
    cursor: int | None,
    limit: int,
    commission_id: int | None = None,
    for_customer: bool | None = None,
    open_decision: bool | None = None,
) -> tuple[list[ProgressNote], int | None]:
    """A page of progress notes, newest first."""
    statement = sa.select(ProgressNote)
    if commission_id is not None:
        statement = statement.where(ProgressNote.commission_id == commission_id)
    if for_customer is not None:
        statement = statement.where(ProgressNote.for_customer == for_customer)
    if open_decision is not None:
        is_open = sa.and_(
            ProgressNote.decision_wanted.is_not(None), ProgressNote.answered_at.is_(None)
        )
        statement = statement.where(is_open if open_decision else sa.not_(is_open))
    return page(session, statement, ProgressNote, cursor=cursor, limit=limit)


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
    note = get(session, ProgressNote, note_id)
    check_version(note, version, "progress note")
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
    return list(
        session.scalars(
            sa.select(ProgressNote)
            .where(
                ProgressNote.commission_id == commission_id,
                ProgressNote.for_customer,
                ProgressNote.decision_wanted.is_not(None),
                ProgressNote.answered_at.is_(None),
            )
            .order_by(ProgressNote.day, ProgressNote.id)
        )
    )


def notes_for_customer(
    session: Session, commission_id: int, *, from_day: dt.date, to_day: dt.date
) -> list[ProgressNote]:
    """The notes of a span of days that the customer may read, in the order of the days."""
    return list(
        session.scalars(
            sa.select(ProgressNote)
            .where(
                ProgressNote.commission_id == commission_id,
                ProgressNote.for_customer,
                ProgressNote.day.between(from_day, to_day),
            )
            .order_by(ProgressNote.day, ProgressNote.id)
        )
    )


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
