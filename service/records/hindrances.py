"""What the database, its driver or the disk could not do, as refusals of ours."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import exc

from service.records.errors import DatabaseBusy, NoRoom, NotWritable, RecordError

_SQLITE: dict[int, type[RecordError]] = {
    sqlite3.SQLITE_BUSY: DatabaseBusy,
    sqlite3.SQLITE_LOCKED: DatabaseBusy,
    sqlite3.SQLITE_FULL: NoRoom,
    sqlite3.SQLITE_READONLY: NotWritable,
}
_SILENT = {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CORRUPT,
           sqlite3.SQLITE_NOTADB}  # fmt: skip
_POSTGRESQL: dict[str, type[RecordError]] = {  # by state, or by the two signs of its class
    "53100": NoRoom,  # disk full
    "53": DatabaseBusy,  # too many connections, out of memory
    "55P03": DatabaseBusy,  # a lock was waited for long enough
    "57014": DatabaseBusy,  # a statement was
    "40": DatabaseBusy,  # serialization, deadlock
    "25006": NotWritable,  # a server that only reads
}
_SILENT_CLASSES = {"08", "57", "58"}  # no connection, shut down or starting, system error
_DISK: dict[int, type[RecordError]] = {
    errno.ENOSPC: NoRoom,
    errno.EDQUOT: NoRoom,
    errno.EFBIG: NoRoom,
    errno.EROFS: NotWritable,
    errno.EACCES: NotWritable,
    errno.EPERM: NotWritable,
}


@contextmanager
def telling_hindrances() -> Iterator[None]:
    """Raise a refusal for what hinders us; anything else is a fault of ours, and stays as it is."""
    try:
        yield
    except (exc.SQLAlchemyError, sqlite3.Error, OSError) as error:
        refusal = _find_refusal(error)
        if refusal is None:
            raise
        raise refusal from error


def _find_refusal(error: Exception) -> RecordError | None:
    if isinstance(error, RecordError):
        return None
    if isinstance(error, OSError):
        kind = _DISK.get(error.errno or 0)
        return kind() if kind else None  # type: ignore[call-arg]
    if isinstance(error, exc.TimeoutError):  # every connection of the pool is in use
        return DatabaseBusy()
    return _of_driver(getattr(error, "orig", error), isinstance(error, exc.OperationalError))


def _of_driver(error: object, is_operational: bool) -> RecordError | None:
    number = getattr(error, "sqlite_errorcode", None)
    state = getattr(error, "sqlstate", None)
    if number is not None:
        kind, is_silent = _SQLITE.get(number & 0xFF), number & 0xFF in _SILENT
    elif state is not None:
        kind = _POSTGRESQL.get(state) or _POSTGRESQL.get(state[:2])
        is_silent = state[:2] in _SILENT_CLASSES
    else:
        kind, is_silent = None, is_operational  # nobody was there to name a state
    if kind is not None:
        return kind()  # type: ignore[call-arg]
    return DatabaseBusy("The database does not answer.", code="no-database") if is_silent else None
