"""A database with a row in every table, and ways to compare what two of them hold."""

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from service.demo.loading import load_demo
from service.records.backups.holdings import Holdings
from service.records.database import Base, Database, make_engine
from service.records.history import Signature
from service.records.models import PaperNumber, Scope
from service.records.operations.customers import create_customer
from service.records.operations.reports import draft_report, issue_report, revoke_report
from service.records.operations.tokens import create_token
from tests.conftest import NOW
from tests.records.conftest import make_address, migrate

Rows = dict[str, list[dict[str, Any]]]

SIGNED = Signature(person="tester", now=NOW)


def keep(database: Database, folder: Path) -> Holdings:
    """The holdings of a data folder; what is closed in the database is noted there."""
    holdings = Holdings.in_folder(database, folder)
    database.standing = holdings.standing
    return holdings


def make_filled(kind: str, request: pytest.FixtureRequest, folder: Path) -> Holdings:
    """A workshop in a folder, its database of a kind, with a row in every table."""
    database = Database(make_engine(make_address(kind, request, folder)))
    migrate(database)
    holdings = keep(database, folder / "data")
    fill(holdings)
    return holdings


def contents(database: Database) -> Rows:
    """Every row of every table, as the program sees it."""
    with database.reading() as session:
        return {
            table.name: [
                dict(row._mapping)
                for row in session.execute(sa.select(table).order_by(*table.primary_key))
            ]
            for table in Base.metadata.sorted_tables
        }


def less_restores(rows: Rows) -> Rows:
    """Without the line that a restore itself writes into the audit."""
    lines = [line for line in rows["audit_lines"] if line["action"] != "restored"]
    return {**rows, "audit_lines": lines}


def fill(holdings: Holdings) -> None:
    """A row in every table, and values that are easily spoiled on the way."""
    own, blobs = holdings.database, holdings.blobs
    load_demo(own, blobs, now=NOW)
    with own.writing() as session:
        token, _ = create_token(
            session, name="Ærøskøbing ½", scope=Scope.BENCH, signed=SIGNED,
            expires_at=NOW + dt.timedelta(days=1, microseconds=1),
        )  # fmt: skip
        strange = 'quote " and \\ and 🚂'
        create_customer(session, name=strange, address="a\nb\t\u2028c", signed=SIGNED)
        session.add(PaperNumber(paper="report", series="26-999", highest=7))
        session.execute(
            Base.metadata.tables["idempotency_keys"].insert(),
            {"sender": token.name, "key": "k", "fingerprint": "f", "created_at": NOW,
             "status": 201, "headers": {"ETag": '"1"'}, "body": '{"id": 1}\n'},
        )  # fmt: skip
        for number in range(3):
            report, _ = draft_report(
                session, commission_id=1, from_day=NOW.date(), to_day=NOW.date(), signed=SIGNED
            )
            if number:
                issue_report(
                    session, report.id, version=1, content={"a": [1.5, None, "½"]},
                    document_sha256=blobs.put(b"paper"), signed=SIGNED,
                )  # fmt: skip
            if number == 2:
                revoke_report(session, report.id, version=2, signed=SIGNED)
    holdings.tables.mkdir(parents=True, exist_ok=True)
    (holdings.tables / "shims.csv").write_text("thickness\n0.05 mm\n", encoding="utf-8")
