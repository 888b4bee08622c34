"""Serving with waitress: what is printed at the start, and a clean end."""

import datetime as dt
import logging
import signal
from types import FrameType

import click
from flask import Flask
from waitress.server import create_server

from service import create_app
from service.records.backups.holdings import engine_of
from service.records.database import Database
from service.records.errors import Conflict
from service.records.in_use import serving
from service.records.operations.idempotency import forget_old_keys
from service.records.operations.tokens import any_token
from service.records.schema import current_revision, newest_revision
from service.settings import Settings

THREADS = 4


def run(settings: Settings) -> None:
    """Serve until told to stop; refuse a database that is not at this release's schema."""
    settings.data.mkdir(parents=True, exist_ok=True)
    logging.basicConfig(level=logging.WARNING)
    app = create_app(settings)
    database: Database = app.extensions["clackbox"].database
    try:
        with serving(engine_of(database)):
            _serve(app, settings, database)
    except Conflict as problem:
        raise click.ClickException(problem.message) from None
    finally:
        database.dispose()


def _serve(app: Flask, settings: Settings, database: Database) -> None:
    _check_schema(database)
    with database.writing() as session:
        forget_old_keys(session, now=dt.datetime.now(dt.UTC))
    server = create_server(
        app,
        host=settings.host,
        port=settings.port,
        threads=THREADS,
        max_request_body_size=settings.largest_upload + 1_000_000,
        ident=None,
    )
    signal.signal(signal.SIGTERM, _stop)
    _announce(settings, database)
    try:
        server.run()
    except SystemExit:
        pass
    finally:
        server.close()


def _check_schema(database: Database) -> None:
    with database.reading() as session:
        revision = current_revision(session.connection())
    if revision != newest_revision():
        raise click.ClickException("The database is not at this release's schema: clackbox migrate")


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
