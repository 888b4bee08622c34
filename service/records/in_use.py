"""Who works upon a database: any number serve it, or one brings a backup back, never both."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import sqlalchemy as sa

from service.records.errors import Conflict

LOCK = 0x636C61636B  # "clack": the number of our advisory lock on PostgreSQL
PLACES = 1000  # on Windows, where a lock cannot be shared, each server takes one of these


@contextmanager
def serving(engine: sa.Engine) -> Iterator[None]:
    """Hold a database as one of those that serve it; `Conflict` while it is being restored."""
    with _hold(engine, shared=True) as held:
        if not held:
            raise Conflict("A backup is being brought back into this database; start again after.")
        yield


@contextmanager
def alone(engine: sa.Engine) -> Iterator[None]:
    """Hold a database for oneself; `Conflict` while anybody serves or restores it."""
    with _hold(engine, shared=False) as held:
        if not held:
            raise Conflict("A server is at work upon this database; stop it, then restore.")
        yield


@contextmanager
def _hold(engine: sa.Engine, *, shared: bool) -> Iterator[bool]:
    """Whether the lock was had; it goes with the process, however that ends."""
    if engine.dialect.name == "postgresql":
        take = f"SELECT pg_try_advisory_lock{'_shared' if shared else ''}({LOCK})"
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            held = bool(connection.exec_driver_sql(take).scalar())
            try:
                yield held
            finally:
                connection.invalidate()  # closed, not pooled: the lock ends with the connection
        return
    place = Path(f"{engine.url.database}.in-use")
    place.parent.mkdir(parents=True, exist_ok=True)
    handle = os.open(place, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        yield _lock_file(handle, shared=shared)
    finally:
        os.close(handle)


if sys.platform == "win32":
    import msvcrt

    def _lock_file(handle: int, *, shared: bool) -> bool:
        os.lseek(handle, os.getpid() % PLACES if shared else 0, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1 if shared else PLACES)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _lock_file(handle: int, *, shared: bool) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_NB | (fcntl.LOCK_SH if shared else fcntl.LOCK_EX))
        except BlockingIOError:
            return False
        return True
