"""Whether the service lives, and whether it can do its work."""

import datetime as dt

from flask import Blueprint, current_app
from sqlalchemy.exc import SQLAlchemyError

from service.api.access import database, now
from service.records.backups.kept import last_backup
from service.records.schema import current_revision, newest_revision

blp = Blueprint("health", __name__)


@blp.get("/health")
def health() -> tuple[dict[str, object], int]:
    """Live, and ready when the database answers and its schema is this release's.

    A wrong file of the workshop's kit is a warning: what was last read well of it is in force.
    """
    faults = find_faults()
    files = database().kit_files
    warnings = list(files.problems) if files else []
    shown = {"live": True, "ready": not faults, "faults": faults, "warnings": warnings}
    return shown | _tell_backup(), 503 if faults else 200


@blp.get("/health/live")
def live() -> dict[str, bool]:
    """The process answers."""
    return {"live": True}


def _tell_backup() -> dict[str, object]:
    """When the last backup was made that was read back whole, and its age in days."""
    standing = database().standing
    made = last_backup(standing) if standing else None
    days = (now() - made) / dt.timedelta(days=1) if made else None
    return {
        "last_backup": made.isoformat(timespec="seconds") if made else None,
        "days_since_backup": None if days is None else max(round(days, 1), 0.0),
    }


def find_faults() -> list[str]:
    """What keeps the service from its work, in plain words."""
    try:
        with database().reading() as session:
            revision = current_revision(session.connection())
    except SQLAlchemyError:
        current_app.logger.exception("the database does not answer")
        return ["The database does not answer."]
    if revision != newest_revision():
        return ["The database is not at this release's schema; run: clackbox migrate"]
    return []
