"""Serving with waitress: what is printed at the start, and a clean end."""

import datetime as dt
import errno
import http.client
import json
import logging
import signal
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Thread
from types import FrameType
from typing import Any

import click
from flask import Flask
from waitress.channel import HTTPChannel
from waitress.task import ErrorTask

from service import create_app, open_database
from service.api.defences import defend
from service.api.request_log import log_request, write_log
from service.connections import open_server
from service.records.backups.holdings import engine_of
from service.records.blobs import BlobStore
from service.records.database import Database
from service.records.errors import Conflict
from service.records.in_use import serving
from service.records.operations.idempotency import forget_old_keys
from service.records.operations.tokens import any_token
from service.records.private_files import close_to_others
from service.records.schema import check_schema
from service.records.sweeping import sweep_blobs
from service.settings import Settings

THREADS = 8  # a writer may wait some seconds for another; readers are served meanwhile
BETWEEN_TIDYINGS = dt.timedelta(days=1)

_log = logging.getLogger(__name__)


def run(settings: Settings) -> None:
    """Serve until told to stop; refuse a database that is not at this release's schema."""
    write_log(settings.log_level)
    database = open_database(settings)
    with database.reading() as session:
        check_schema(session.connection())
    app = create_app(settings, database)
    for told in close_to_others(settings.data):
        click.echo(told, err=True)
    try:
        with serving(engine_of(database)):
            _serve(app, settings, database)
    except Conflict as problem:
        raise click.ClickException(problem.message) from None
    finally:
        database.dispose()


def _serve(app: Flask, settings: Settings, database: Database) -> None:
    server = _listen(app, settings)
    HTTPChannel.error_task_class = RefusalBefore
    signal.signal(signal.SIGTERM, _stop)
    _announce(settings, database)
    with _tidying(database, app.extensions["clackbox"].blobs):
        try:
            server.run()
        except SystemExit:
            pass
        finally:
            server.close()


@contextmanager
def _tidying(database: Database, blobs: BlobStore) -> Iterator[None]:
    """Put away what has run out, at once and then daily, beside what is served."""
    ended = Event()

    def tidy_daily() -> None:
        while not ended.is_set():
            try:
                _tidy(database, blobs, now=dt.datetime.now(dt.UTC))
            except Exception:  # whatever it is, nobody who is served shall miss anything by it
                _log.exception("what has run out could not be put away")
            ended.wait(BETWEEN_TIDYINGS.total_seconds())

    thread = Thread(target=tidy_daily, name="tidying")
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def _tidy(database: Database, blobs: BlobStore, *, now: dt.datetime) -> None:
    with database.writing() as session:
        forget_old_keys(session, now=now)
    sweep_blobs(database, blobs, now=now)


class RefusalBefore(ErrorTask):
    """What the server refuses before the application sees it, with the headers of any answer."""

    def execute(self) -> None:
        """Answer, and leave a line in the log."""
        log_request(self.request.error.code)  # type: ignore[attr-defined]
        self.response_headers = [*self.response_headers, *defend("text/plain").items()]
        super().execute()


def check_address(settings: Settings) -> None:
    """Refuse, as `run` would, an address at which nothing can be served."""
    _listen(lambda *_: [], settings).close()


def _listen(app: Any, settings: Settings) -> Any:
    try:
        return open_server(
            app,
            host=settings.host,
            port=settings.port,
            threads=THREADS,
            max_request_body_size=settings.largest_upload + 1_000_000,
        )
    except (OSError, ValueError) as problem:
        raise click.ClickException(_explain_address(problem, settings)) from None


def _explain_address(problem: OSError | ValueError, settings: Settings) -> str:
    number = getattr(problem, "errno", None)
    if number == errno.EADDRINUSE:
        if _is_clackbox(settings.base_address):
            return f"Clackbox already serves at {settings.base_address}; it is left alone."
        return (
            f"Another program listens at {settings.host} port {settings.port}; end it, or choose "
            "another port with CLACKBOX_PORT."
        )
    if number in {errno.EACCES, errno.EPERM}:
        return f"This user may not listen at port {settings.port}; choose one from 1024 on."
    if number == errno.EADDRNOTAVAIL:
        return f"{settings.host} is not an address of this machine, so nothing can be served there."
    return f"Nothing can be served at host {settings.host!r}: it is not known, or no host."


def _is_clackbox(address: str) -> bool:
    """Whether what listens at the address tells its health as this service does."""
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with direct.open(f"{address}/health/live", timeout=3) as answer:
            told: object = json.loads(answer.read(1000))
    except (OSError, ValueError, http.client.HTTPException):
        return False
    return told == {"live": True}


def _announce(settings: Settings, database: Database) -> None:
    here = f"http://{settings.host}:{settings.port}"
    click.echo(f"serving at           {here}")
    click.echo(f"the API, explained   {here}/api/docs")
    click.echo(f"how it is            {here}/health")
    with database.reading() as session:
        if not any_token(session):
            click.echo(
                "\nNothing can be reached yet. Make a token, and keep it, for it is shown once:\n"
                "    clackbox token create --scope owner --name you"
            )


def _stop(_signal: int, _frame: FrameType | None) -> None:
    raise SystemExit(0)
