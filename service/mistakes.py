"""What somebody who installs and runs the service can get wrong, each told in one sentence.

A mistake is known by what the machine says of it. Anything else is a fault of ours, and is shown
whole.
"""

import errno
import os
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError

from service.records.database import UnusableDatabase
from service.records.errors import RecordError
from service.settings import Settings

FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
FORBIDDEN = {errno.EACCES, errno.EPERM, errno.EROFS}
NO_FOLDER = {errno.EEXIST, errno.ENOTDIR}

SQLITE_SAYS = {
    "SQLITE_NOTADB": "{place} is not an SQLite database.",
    "SQLITE_CORRUPT": "{place} is damaged; bring a backup back with: clackbox restore FILE",
    "SQLITE_FULL": "The disk is full: {place} cannot be written.",
    "SQLITE_IOERR": "{place} cannot be written or read: the disk is full, or fails.",
    "SQLITE_READONLY": "{place} may not be written by this user.",
    "SQLITE_CANTOPEN": "{place} cannot be opened: it is no file, or this user may not.",
    "SQLITE_BUSY": "{place} is held by another program; try again when that has ended.",
}
"""By the beginning of the name that SQLite gives an error."""

POSTGRESQL_CANNOT = ("08", "25006", "28", "3D", "42501", "53", "57", "58")
"""Beginnings of the states that lie with the server, the network or the rights (PostgreSQL manual,
Appendix A)."""


def explain(problem: Exception, settings: Settings | None) -> str | None:
    """One sentence for a mistake of whoever runs the service; None for a fault of ours."""
    match problem:
        case UnusableDatabase():
            return str(problem)
        case RecordError(__cause__=Exception() as cause):  # what hindered it says more
            return explain(cause, settings) or problem.message
        case RecordError():
            return problem.message
        case DBAPIError() if settings is not None:
            return _explain_database(problem, settings)
        case OSError(filename=str() as place):
            return _explain_file(problem.errno, Path(place))
    return None


def _explain_database(problem: DBAPIError, settings: Settings) -> str | None:
    address = sa.make_url(settings.database_address)
    if name := getattr(problem.orig, "sqlite_errorname", None):
        said = [words for start, words in SQLITE_SAYS.items() if name.startswith(start)]
        return said[0].format(place=address.database) if said else None
    state = getattr(problem.orig, "sqlstate", None)
    if state is None and not problem.connection_invalidated and problem.statement:
        return None
    if state is not None and not state.startswith(POSTGRESQL_CANNOT):
        return None
    reason = next((line.strip() for line in str(problem.orig).splitlines() if line.strip()), "")
    return f"The database {address.render_as_string()} cannot be used: {reason}"


def _explain_file(number: int | None, place: Path) -> str | None:
    if number in FULL:
        return f"The disk is full: {place} cannot be written."
    if number in FORBIDDEN:
        return f"{place} may not be written or read by this user."
    if number in NO_FOLDER:
        above = (each for each in (place, *place.parents) if os.path.lexists(each))
        return f"{next(above, place)} is a file, not a folder."
    return f"{place} is not there." if number == errno.ENOENT else None
