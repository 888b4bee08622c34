"""Backup and restore: everything comes back, on either database, and nothing is overwritten."""

import datetime as dt
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from service.demo.loading import load_demo
from service.records.archive import back_up, restore
from service.records.blobs import BlobStore
from service.records.database import Base, Database, make_engine
from service.records.errors import Conflict, Refused
from service.records.history import Signature
from service.records.models import Customer, Scope
from service.records.operations.customers import create_customer
from service.records.operations.labour import list_labour
from service.records.operations.reports import draft_report, issue_report, revoke_report
from service.records.operations.tokens import create_token
from service.records.schema import current_revision, newest_revision
from tests.conftest import DATABASES, NOW
from tests.records.conftest import make_address, migrate

Rows = dict[str, list[dict[str, Any]]]


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


@pytest.fixture(scope="module")
def blobs(tmp_path_factory: pytest.TempPathFactory) -> BlobStore:
    """A blob store."""
    return BlobStore(tmp_path_factory.mktemp("blobs"))


@pytest.fixture(scope="module", params=DATABASES)
def filled(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, blobs: BlobStore
) -> Iterator[Database]:
    """A database with a row in every table, and with values that are easily spoiled on the way.

    Made once: each test compares what it finds before and after.
    """
    address = make_address(request.param, request, tmp_path_factory.mktemp("filled"))
    database = Database(make_engine(address))
    migrate(database)
    fill(database, blobs)
    yield database
    database.dispose()


def fill(own: Database, blobs: BlobStore) -> None:
    signed = Signature(person="tester", now=NOW)
    load_demo(own, blobs, now=NOW)
    with own.writing() as session:
        token, _ = create_token(
            session, name="Ærøskøbing ½", scope=Scope.BENCH, signed=signed,
            expires_at=NOW + dt.timedelta(days=1, microseconds=1),
        )  # fmt: skip
        strange = 'quote " and \\ and 🚂'
        create_customer(session, name=strange, address="a\nb\t\u2028c", signed=signed)
        session.execute(
            Base.metadata.tables["idempotency_keys"].insert(),
            {"sender": token.name, "key": "k", "fingerprint": "f", "created_at": NOW,
             "status": 201, "headers": {"ETag": '"1"'}, "body": '{"id": 1}\n'},
        )  # fmt: skip
        for number in range(3):
            report, _ = draft_report(
                session, commission_id=1, from_day=NOW.date(), to_day=NOW.date(), signed=signed
            )
            if number:
                issue_report(
                    session, report.id, version=1, content={"a": [1.5, None, "½"]},
                    document_sha256=blobs.put(b"paper"), signed=signed,
                )  # fmt: skip
            if number == 2:
                revoke_report(session, report.id, version=2, signed=signed)


@pytest.fixture(params=DATABASES)
def target(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """An empty database of either kind to restore into."""
    database = Database(make_engine(make_address(request.param, request, tmp_path)))
    yield database
    database.dispose()


def test_everything_comes_back_on_either_database_and_home_again(
    filled: Database, target: Database, blobs: BlobStore, tmp_path: Path
) -> None:
    before = contents(filled)
    assert all(before.values()), [name for name, rows in before.items() if not rows]
    counts = back_up(filled, blobs, tmp_path / "first.zip")
    assert counts == {name: len(rows) for name, rows in before.items()}

    other = BlobStore(tmp_path / "other")
    assert restore(target, other, tmp_path / "first.zip", overwrite=False) == counts
    assert contents(target) == before
    assert sorted(other.all()) == sorted(blobs.all())
    assert all(other.read(name) == blobs.read(name) for name in blobs.all())

    back_up(target, other, tmp_path / "second.zip")
    restore(filled, blobs, tmp_path / "second.zip", overwrite=True)
    assert contents(filled) == before


def test_a_restored_database_goes_on_counting(
    filled: Database, target: Database, blobs: BlobStore, tmp_path: Path, signed: Signature
) -> None:
    back_up(filled, blobs, tmp_path / "backup.zip")
    restore(target, BlobStore(tmp_path / "other"), tmp_path / "backup.zip", overwrite=False)

    with target.writing() as session:
        highest = session.scalar(sa.select(sa.func.max(Customer.id)))
        assert highest
        assert create_customer(session, name="next", signed=signed).id == highest + 1
        entries, _ = list_labour(session, cursor=None, limit=3)
        assert len(entries) == 3
    with target.reading() as session:
        assert current_revision(session.connection()) == newest_revision()


def test_two_backups_of_the_same_records_hold_the_same_lines(
    filled: Database, blobs: BlobStore, tmp_path: Path
) -> None:
    for name in ("a.zip", "b.zip"):
        back_up(filled, blobs, tmp_path / name)

    with zipfile.ZipFile(tmp_path / "a.zip") as one, zipfile.ZipFile(tmp_path / "b.zip") as two:
        assert one.namelist() == two.namelist()
        assert all(one.read(name) == two.read(name) for name in one.namelist())


def test_a_backup_never_overwrites_another(
    filled: Database, blobs: BlobStore, tmp_path: Path
) -> None:
    target = tmp_path / "backup.zip"
    target.write_bytes(b"an older one")

    with pytest.raises(Conflict):
        back_up(filled, blobs, target)
    assert target.read_bytes() == b"an older one"


def test_a_restore_does_not_overwrite_without_being_told(
    filled: Database, blobs: BlobStore, tmp_path: Path
) -> None:
    back_up(filled, blobs, tmp_path / "backup.zip")
    before = contents(filled)

    with pytest.raises(Conflict, match="--overwrite"):
        restore(filled, blobs, tmp_path / "backup.zip", overwrite=False)
    assert contents(filled) == before


def test_a_restore_over_a_filled_database_leaves_only_the_backup(
    filled: Database, blobs: BlobStore, tmp_path: Path, signed: Signature
) -> None:
    back_up(filled, blobs, tmp_path / "backup.zip")
    before = contents(filled)
    with filled.writing() as session:
        create_customer(session, name="came later", signed=signed)

    restore(filled, blobs, tmp_path / "backup.zip", overwrite=True)
    assert contents(filled) == before


def damage(source: Path, member: str) -> None:
    """Replace one member of a zip by something that cannot be read."""
    with zipfile.ZipFile(source) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    with zipfile.ZipFile(source, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, b'{"id": 1}\n{"broken' if name == member else data)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda path: path.write_bytes(b"no zip at all"),
        lambda path: path.write_bytes(path.read_bytes()[:-200]),
        lambda path: _flip(path),
        lambda path: damage(path, "tables/labour_entries.jsonl"),
        lambda path: damage(path, "manifest.json"),
        lambda path: _drop(path, "tables/parts.jsonl"),
    ],
    ids=["no-zip", "cut", "flipped", "broken-line", "no-manifest", "table-missing"],
)
def test_a_damaged_backup_is_refused_before_anything_is_lost(
    filled: Database, blobs: BlobStore, tmp_path: Path, spoil: Any
) -> None:
    source = tmp_path / "backup.zip"
    back_up(filled, blobs, source)
    before = contents(filled)
    spoil(source)

    with pytest.raises(Refused):
        restore(filled, blobs, source, overwrite=True)
    assert contents(filled) == before


def _flip(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 3] ^= 0xFF
    path.write_bytes(bytes(data))


def _drop(path: Path, member: str) -> None:
    with zipfile.ZipFile(path) as archive:
        members = {name: archive.read(name) for name in archive.namelist() if name != member}
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, data)


def test_the_backup_opens_without_this_program(
    filled: Database, blobs: BlobStore, tmp_path: Path
) -> None:
    back_up(filled, blobs, tmp_path / "backup.zip")

    with zipfile.ZipFile(tmp_path / "backup.zip") as archive:
        manifest = json.loads(archive.read("manifest.json"))
        customers = [
            json.loads(line) for line in archive.read("tables/customers.jsonl").splitlines()
        ]
    assert manifest["revision"] == newest_revision()
    assert customers[0]["name"] == "Maud Ellery"


def test_a_database_that_is_not_migrated_is_not_backed_up(
    empty: Database, blobs: BlobStore, tmp_path: Path
) -> None:
    with pytest.raises(Refused, match="migrate"):
        back_up(empty, blobs, tmp_path / "backup.zip")
    assert not (tmp_path / "backup.zip").exists()
    assert not list(tmp_path.glob("*.unfinished"))


def test_writing_goes_on_while_a_backup_is_made(
    filled: Database, blobs: BlobStore, tmp_path: Path, signed: Signature
) -> None:
    with filled.writing() as session:
        create_customer(session, name="unfinished", signed=signed)
        session.flush()
        counts = back_up(filled, blobs, tmp_path / "backup.zip")

    assert len(contents(filled)["customers"]) == counts["customers"] + 1


def test_an_empty_migrated_database_may_be_restored_into(
    filled: Database, target: Database, blobs: BlobStore, tmp_path: Path
) -> None:
    back_up(filled, blobs, tmp_path / "backup.zip")
    migrate(target)

    restore(target, BlobStore(tmp_path / "other"), tmp_path / "backup.zip", overwrite=False)
    assert contents(target) == contents(filled)
