"""Whether the service lives, and whether it can do its work."""

import datetime as dt
import shutil

from flask import Blueprint, current_app
from sqlalchemy.exc import SQLAlchemyError

from service.api.access import blobs, database, now, settings
from service.records.backups.kept import last_backup
from service.records.database import UnusableDatabase
from service.records.errors import RecordError
from service.records.schema import check_schema

MOMENT = 2.0  # seconds for which those who write are waited for
LITTLE = 500_000_000  # bytes; less than this is worth a warning

blp = Blueprint("health", __name__)


@blp.get("/health")
def health() -> tuple[dict[str, object], int]:
    """Live, and ready when the database answers, is at this release's schema and can be written to.

    A wrong file of the workshop's kit is a warning: what was last read well of it is in force.
    """
    faults = find_faults()
    free = find_free_space()
    files = database().kit_files
    warnings = list(files.problems) if files else []
    if free is not None and free < LITTLE:
        warnings.append(f"The data folder has {show_bytes(free)} left.")
    shown = {
        "live": True,
        "ready": not faults,
        "faults": faults,
        "warnings": warnings,
        "free_space": None if free is None else {"bytes": free, "text": show_bytes(free)},
    }
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
            check_schema(session.connection())
        database().try_writing(patience=MOMENT)
        blobs().try_writing()
    except UnusableDatabase as problem:
        return [str(problem)]
    except RecordError as error:
        return [error.message]
    except (SQLAlchemyError, OSError):
        current_app.logger.exception("the service cannot do its work")
        return ["The database or the data folder does not answer."]
    return []


def find_free_space() -> int | None:
    """Bytes that are free where the data folder lies; None where nobody can say."""
    try:
        return shutil.disk_usage(settings().data).free
    except OSError:
        return None


def show_bytes(count: int) -> str:
    """Bytes as a person reads them: `12.3 GB`, `480 MB`."""
    for size, unit in ((10**12, "TB"), (10**9, "GB")):
        if count >= size:
            return f"{count / size:.1f} {unit}"
    return f"{count // 10**6} MB"
