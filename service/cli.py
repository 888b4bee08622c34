"""The `clackbox` command."""

import datetime as dt
import io
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from service.settings import Settings, SettingsError

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from service.records.backups.holdings import Holdings
    from service.records.backups.restoring import Restored
    from service.records.blobs import BlobStore
    from service.records.database import Database
    from service.records.history import Signature
    from service.records.models import Token

_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


class Plain(click.Group):
    """Commands that tell a mistake in one sentence, without a traceback."""

    def invoke(self, context: click.Context) -> Any:
        """Run the command; what is no mistake is raised as it is."""
        try:
            return super().invoke(context)
        except (click.exceptions.Exit, click.Abort, click.ClickException):
            raise
        except Exception as problem:
            from service.mistakes import explain

            sentence = explain(problem, context.obj)
            if sentence is None:
                raise
            raise click.ClickException(sentence) from None


@click.group(cls=Plain)
@click.version_option(package_name="clackbox")
@click.pass_context
def main(context: click.Context) -> None:
    """Job tracking and engineering checks for a workshop that builds miniature steam plants."""
    os.umask(0o077)  # whatever a command writes is for its user alone
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that has no tick is still told
    try:
        context.obj = Settings.from_environment()
    except SettingsError as problem:
        raise click.ClickException(str(problem)) from None


@main.command()
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen at.")
@click.option("--host", help="Address to listen at; loopback unless you say otherwise.")
@click.option("--check", is_flag=True, help="Only tell whether the address is free.")
@click.pass_obj
def serve(settings: Settings, port: int | None, host: str | None, check: bool) -> None:
    """Serve the API and the pages."""
    from dataclasses import replace

    from service.serving import check_address, run

    settings = replace(settings, port=port or settings.port, host=host or settings.host)
    check_address(settings) if check else run(settings)


@main.command()
@click.pass_obj
def migrate(settings: Settings) -> None:
    """Bring the database up to the schema of this release."""
    from service.records.schema import check_upgradable, current_revision, upgrade

    with _database(settings).bind.connect() as connection:  # type: ignore[union-attr]
        check_upgradable(connection)
        before = current_revision(connection)
        connection.rollback()
        upgrade(connection)
        after = current_revision(connection)
    click.echo(f"database at {after}" + ("" if before == after else f" (was {before or 'empty'})"))


@main.group()
def token() -> None:
    """Make, list and revoke tokens."""


@token.command("create")
@click.option("--scope", type=click.Choice(["owner", "bench", "calculate"]), required=True)
@click.option("--name", required=True, help="Whose it is: a person or a device.")
@click.option("--days", type=click.IntRange(1, 3650), help="Days until it runs out.")
@click.pass_obj
def create(settings: Settings, scope: str, name: str, days: int | None) -> None:
    """Make a token and print it; it is shown this once."""
    from service.records.models import Scope
    from service.records.operations.tokens import create_token

    if not name.isprintable() or not 0 < len(name.strip()) <= 200:
        raise click.BadParameter("write one line of at most 200 letters", param_hint="--name")
    signed = _signature()
    with _ready_database(settings).writing() as session:
        _, secret = create_token(
            session,
            name=name,
            scope=Scope(scope),
            expires_at=signed.now + dt.timedelta(days=days) if days else None,
            signed=signed,
        )
    click.echo(secret)


@token.command("list")
@click.pass_obj
def list_(settings: Settings) -> None:
    """List tokens without their secrets."""
    from service.records.operations.tokens import list_tokens

    with _ready_database(settings).reading() as session:
        found, _ = list_tokens(session, cursor=None, limit=1000)
        for one in found:
            state = _state(one, now=_signature().now)
            click.echo(
                f"{one.id:>4}  {one.scope:<10} {state:<8} {one.created_at:%Y-%m-%d}  {one.name}"
            )


@token.command()
@click.argument("token_id", type=int)
@click.pass_obj
def revoke(settings: Settings, token_id: int) -> None:
    """Revoke a token by its number."""
    from service.records.operations.tokens import live_owners, revoke_token

    signed = _signature()
    with _ready_database(settings).writing() as session:
        revoke_token(session, token_id, signed=signed, leave_owner=False)
        session.flush()
        left = live_owners(session, now=signed.now)
    click.echo(f"token {token_id} opens nothing any more")
    if not left:
        click.echo(
            "No live token of an owner is left. Make one: "
            "clackbox token create --scope owner --name you",
            err=True,
        )


@main.command()
@click.pass_obj
def demo(settings: Settings) -> None:
    """Load the invented demo, print its plant's check, and write its progress report."""
    from service.demo.loading import find_demo, issue_demo_report, load_demo, write_paper

    database, blobs = _ready_database(settings), _blobs(settings)
    now = dt.datetime.now(dt.UTC)
    load_demo(database, blobs, now=now)
    with database.reading() as session:
        plant = find_demo(session)
        if plant is None:
            raise click.ClickException("The demo was not loaded: its reference is taken.")
        click.echo(_check(session, plant.id))
    link, paper = issue_demo_report(database, blobs, settings, now=now)
    click.echo(f"\nprogress report  {write_paper(settings, paper)}")
    click.echo(f"as the customer sees it  {link}")


@main.command()
@click.argument("plant_id", type=int)
@click.option("--width", type=click.IntRange(40, 240), default=100, show_default=True)
@click.pass_obj
def check(settings: Settings, plant_id: int, width: int) -> None:
    """Print the check of a plant, worst first."""
    with _ready_database(settings).reading() as session:
        click.echo(_check(session, plant_id, width=width))


@main.command()
@click.argument("target", type=click.Path(path_type=Path), required=False)
@click.option("--keep", type=click.IntRange(min=1), help="Of the data folder's, keep so many.")
@click.option("--check", "checked", type=_FILE, help="See whether this one could be brought back.")
@click.pass_obj
def backup(settings: Settings, target: Path | None, keep: int | None, checked: Path | None) -> None:
    """Write every record, picture and table into one file; without TARGET into the data folder."""
    from service.records.backups import kept, restoring, writing

    if checked and (target or keep):
        raise click.UsageError("--check looks at a backup and writes none.")
    if keep and target:
        raise click.UsageError("--keep is for the backups in the data folder, without TARGET.")
    if checked:
        _tell_checked(checked, restoring.check_backup(checked))
        return
    holdings, now = _holdings(settings), dt.datetime.now(dt.UTC)
    if target:
        counts = writing.back_up(holdings, target, now=now)
    else:
        target, counts = kept.back_up_here(holdings, now=now)
    click.echo(f"{sum(counts.values())} rows of {len(counts)} tables  {target}")
    if lost := writing.lost_blobs(holdings):
        click.echo(
            f"{len(lost)} pictures or papers that the records name are gone from the data "
            "folder, so they are not in it.",
            err=True,
        )
    if keep and (gone := kept.drop_old(holdings.backups, keep=keep)):
        click.echo(f"{len(gone)} older removed, the newest {keep} kept")


@main.command()
@click.argument("source", type=_FILE)
@click.option("--overwrite", is_flag=True, help="Replace whatever the database holds.")
@click.option("--accept-missing", is_flag=True, help="Do without pictures that are nowhere.")
@click.option(
    "--issued", type=click.IntRange(0, 1_000_000), help="The highest report number given out."
)
@click.pass_obj
def restore(
    settings: Settings, source: Path, overwrite: bool, accept_missing: bool, issued: int | None
) -> None:
    """Bring a backup back; a database that holds records is left alone unless told otherwise."""
    from service.records.backups.restoring import restore as bring_back

    found = bring_back(
        _holdings(settings),
        source,
        overwrite=overwrite,
        accept_missing=accept_missing,
        issued=issued,
        signed=_signature(),
    )
    click.echo(f"{sum(found.counts.values())} rows of {len(found.counts)} tables restored")
    if found.closed:
        click.echo(f"{found.closed} tokens and links that were closed since are closed again")
    if found.missing:
        click.echo(f"{len(found.missing)} pictures or papers are missing")
    click.echo("These tokens open something; revoke what you do not know:")
    for one in found.live_tokens or ["none"]:
        click.echo(f"    {one}")


def _tell_checked(source: Path, found: "Restored") -> None:
    made = f", made {found.made}" if found.made else ""
    click.echo(f"{source}: {sum(found.counts.values())} rows of {len(found.counts)} tables{made}")
    if found.missing:
        raise click.ClickException(
            f"{len(found.missing)} pictures or papers that its records name are not in it."
        )
    click.echo("It can be brought back by this release.")


@main.command()
@click.pass_obj
def openapi(settings: Settings) -> None:
    """Print the OpenAPI description."""
    from service import create_app

    app = create_app(settings)
    api = app.extensions["flask-smorest"]["apis"][""]["ext_obj"]
    json.dump(api.spec.to_dict(), sys.stdout, indent=2, ensure_ascii=False)
    click.echo()


def _check(session: "Session", plant_id: int, **manner: Any) -> str:
    from service.documents.check_table import show_check
    from service.plant.check import check_plant
    from service.records.operations.checking import load_plant
    from service.records.operations.workshop import find_kit, get_workshop

    found = check_plant(load_plant(session, plant_id), find_kit(session))
    return show_check(found, measure=get_workshop(session).measure, **manner)


def _database(settings: Settings) -> "Database":
    from service import open_database

    return open_database(settings)


def _ready_database(settings: Settings) -> "Database":
    """The database, once it is known to be at this release's schema."""
    from service.records.schema import check_schema

    database = _database(settings)
    with database.reading() as session:
        check_schema(session.connection())
    return database


def _blobs(settings: Settings) -> "BlobStore":
    from service.records.blobs import BlobStore

    return BlobStore(settings.data / "blobs")


def _holdings(settings: Settings) -> "Holdings":
    from service.records.backups.holdings import Holdings

    return Holdings.in_folder(_database(settings), settings.data)


def _state(token: "Token", *, now: dt.datetime) -> str:
    if token.revoked_at:
        return "revoked"
    return "expired" if token.expires_at and token.expires_at <= now else "live"


def _signature() -> "Signature":
    from service.records.history import Signature

    person = os.environ.get("USER") or os.environ.get("USERNAME") or "command line"
    return Signature(person=person, now=dt.datetime.now(dt.UTC))
