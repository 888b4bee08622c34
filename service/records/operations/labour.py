"""Labour: logging minutes, and adding them up."""

import datetime as dt
from typing import Any

from sqlalchemy.orm import Session

from service.records.errors import Refused
from service.records.history import Signature, amend, enter
from service.records.models import Commission, LabourEntry
from service.records.operations.lookup import Page, get_read, page, require_named


def list_labour(
    session: Session,
    *,
    from_day: dt.date | None = None,
    to_day: dt.date | None = None,
    **asked: Any,
) -> Page[LabourEntry]:
    """A page of labour entries, newest first, perhaps of one `commission_id` or `operation`."""
    span = []
    if from_day is not None:
        span.append(LabourEntry.day >= from_day)
    if to_day is not None:
        span.append(LabourEntry.day <= to_day)
    return page(session, LabourEntry, *span, **asked)


def log_labour(
    session: Session, *, commission_id: int, day: dt.date, signed: Signature, **particulars: Any
) -> LabourEntry:
    """Log minutes of one operation on one day."""
    require_named(session, Commission, commission_id, field="commission_id")
    _refuse_far_future(day, signed)
    entry = LabourEntry(commission_id=commission_id, day=day, person=signed.person, **particulars)
    enter(session, entry, signed=signed)
    return entry


def update_labour(
    session: Session, entry_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> LabourEntry:
    """Correct a labour entry; the audit line keeps what stood before."""
    entry = get_read(session, LabourEntry, entry_id, version)
    if "day" in changes:
        _refuse_far_future(changes["day"], signed)
    amend(session, entry, changes, signed=signed)
    return entry


def _refuse_far_future(day: dt.date, signed: Signature) -> None:
    # One day of grace: the bench may stand in a zone whose day has already begun.
    if day > signed.now.date() + dt.timedelta(days=1):
        raise Refused("Labour is logged after it was done; this day has not come yet.", field="day")
