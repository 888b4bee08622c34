"""What a progress report says, gathered from the records as plain data.

Only what the customer may read: notes marked for the customer, and hours where the price basis
makes them the customer's business. No private notes, no places, no other commission.
"""

import datetime as dt
import hashlib
import json
from typing import Any
from zoneinfo import ZoneInfo

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.models import Customer, LabourEntry, ProgressNote, Report
from service.records.operations.lookup import get
from service.records.operations.progress import notes_for_customer, open_decisions
from service.records.operations.summaries import Summary, minutes_by_operation, summarise
from service.records.operations.workshop import get_workshop


def gather_report(
    session: Session, report: Report, *, zone: ZoneInfo, issued_on: dt.date | None
) -> dict[str, Any]:
    """The content of a report as it stands now; `issued_on` is None for a draft."""
    summary = summarise(session, report.commission_id)
    commission = summary.commission
    notes = notes_for_customer(
        session, commission.id, from_day=report.from_day, to_day=report.to_day
    )
    return {
        **_letterhead(session),
        "number": report.number,
        "replaces": report.replaces,
        "reference": commission.reference,
        "title": commission.title,
        "customer": get(session, Customer, commission.customer_id).name,
        "from_day": report.from_day.isoformat(),
        "to_day": report.to_day.isoformat(),
        "issued_on": issued_on.isoformat() if issued_on else None,
        "stage": commission.stage.value.replace("_", " "),
        "promised": commission.promised.isoformat() if commission.promised else None,
        "headline": report.headline,
        "public_notes": commission.public_notes,
        "next_steps": report.next_steps,
        "notes": [_show_note(note) for note in notes],
        "decisions": [_show_question(note) for note in open_decisions(session, commission.id)],
        "answers": _answers(session, report, zone),
        "hours": _hours(session, report, summary) if commission.price_basis.shows_hours else None,
    }


def _letterhead(session: Session) -> dict[str, Any]:
    """Who writes, and in which measure; kept with the report, for both may change later."""
    workshop = get_workshop(session)
    return {
        "workshop": workshop.name,
        **_members(workshop, "address", "email", "phone", "logo"),
        "measure": workshop.measure.value,
    }


def _members(record: Any, *names: str) -> dict[str, Any]:
    return {name: getattr(record, name) for name in names}


def digest_content(content: dict[str, Any]) -> str:
    """A short digest of what a report says, whether it is issued yet or not."""
    said = {name: part for name, part in content.items() if name != "issued_on"}
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()[:16]


def _show_note(note: ProgressNote) -> dict[str, Any]:
    return {
        "day": note.day.isoformat(),
        "text": note.text,
        "pictures": [
            _members(picture, "sha256", "media_type", "width", "height", "caption")
            for picture in note.pictures
        ],
    }


def _show_question(note: ProgressNote) -> dict[str, Any]:
    return {"asked_on": note.day.isoformat(), "question": note.decision_wanted, "note": note.text}


def _answers(session: Session, report: Report, zone: ZoneInfo) -> list[dict[str, Any]]:
    """The questions answered within the span, by the workshop's own days."""
    answered = session.scalars(
        sa.select(ProgressNote)
        .where(
            ProgressNote.commission_id == report.commission_id,
            ProgressNote.for_customer,
            ProgressNote.answered_at >= _begin(report.from_day, zone),
            ProgressNote.answered_at < _begin(report.to_day + dt.timedelta(days=1), zone),
        )
        .order_by(ProgressNote.answered_at, ProgressNote.id)
    )
    return [
        {
            "asked_on": note.day.isoformat(),
            "question": note.decision_wanted,
            "answer": note.decision_answer,
            "answered_on": note.answered_at.astimezone(zone).date().isoformat(),
        }
        for note in answered
        if note.answered_at is not None and note.decision_wanted
    ]


def _begin(day: dt.date, zone: ZoneInfo) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(), tzinfo=zone)


def _hours(session: Session, report: Report, summary: Summary) -> dict[str, Any]:
    by_operation = minutes_by_operation(  # what is not charged is not shown
        session,
        LabourEntry.commission_id == report.commission_id,
        LabourEntry.billable,
        LabourEntry.day.between(report.from_day, report.to_day),
    )
    return {
        "minutes_in_span": sum(by_operation.values()),
        "minutes_to_date": summary.billable_minutes,
        "estimate_minutes": summary.commission.estimate_minutes,
        "by_operation": [
            {"operation": operation.replace("_", " "), "minutes": minutes}
            for operation, minutes in by_operation.items()
        ],
        "labour_to_date": None if summary.labour_value is None else str(summary.labour_value),
        "estimate_value": None if summary.estimate_value is None else str(summary.estimate_value),
        "currency": summary.commission.currency,
    }
