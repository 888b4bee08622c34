"""Backups: everything is in them, all or nothing, and nothing is overwritten."""

import datetime as dt
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.records.backups.holdings import Holdings
from service.records.backups.kept import back_up_here, drop_old, last_backup
from service.records.backups.restoring import check_backup
from service.records.backups.writing import back_up, lost_blobs
from service.records.blobs import BlobStore
from service.records.database import Database, UnusableDatabase
from service.records.errors import Conflict, Refused
from service.records.history import Signature
from service.records.operations.customers import create_customer
from service.records.schema import newest_revision
from service.records.standing import Standing
from tests.conftest import DATABASES, NOW
from tests.records.conftest import at_once
from tests.records.filled import contents, keep, make_filled


@pytest.fixture(scope="module", params=DATABASES)
def filled(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Holdings]:
    """A filled workshop, made once: the tests only read it."""
    holdings = make_filled(request.param, request, tmp_path_factory.mktemp("filled"))
    yield holdings
    holdings.database.dispose()


def members(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_two_backups_of_the_same_records_are_the_same_lines(
    filled: Holdings, tmp_path: Path
) -> None:
    for name in ("a.zip", "b.zip"):
        back_up(filled, tmp_path / name, now=NOW)

    assert members(tmp_path / "a.zip") == members(tmp_path / "b.zip")


def test_it_holds_the_named_pictures_and_the_kit_and_no_stray(
    filled: Holdings, tmp_path: Path
) -> None:
    stray = filled.blobs.put(b"nobody names me")
    back_up(filled, tmp_path / "backup.zip", now=NOW)
    found = members(tmp_path / "backup.zip")

    blobs = {name.removeprefix("blobs/") for name in found if name.startswith("blobs/")}
    assert blobs == set(filled.blobs.all()) - {stray}
    assert len(blobs) >= 4  # two photographs, the logo and a paper
    assert found["kit/shims.csv"] == b"thickness\n0.05 mm\n"


def test_a_backup_never_overwrites_another(filled: Holdings, tmp_path: Path) -> None:
    target = tmp_path / "backup.zip"
    target.write_bytes(b"an older one")

    with pytest.raises(Conflict):
        back_up(filled, target, now=NOW)
    assert target.read_bytes() == b"an older one"


def test_it_opens_without_this_program(filled: Holdings, tmp_path: Path) -> None:
    back_up(filled, tmp_path / "backup.zip", now=NOW)
    found = members(tmp_path / "backup.zip")

    manifest = json.loads(found["manifest.json"])
    customers = [json.loads(line) for line in found["tables/customers.jsonl"].splitlines()]
    assert manifest["revision"] == newest_revision()
    assert manifest["made"] == NOW.isoformat()
    assert manifest["rows"]["customers"] == len(customers)
    assert customers[0]["name"] == "Maud Ellery"


def test_a_database_that_is_not_migrated_is_not_backed_up(empty: Database, tmp_path: Path) -> None:
    with pytest.raises(UnusableDatabase, match="migrate"):
        back_up(keep(empty, tmp_path), tmp_path / "backup.zip", now=NOW)
    assert not list(tmp_path.glob("backup*"))


def test_writing_goes_on_while_a_backup_is_made(
    filled: Holdings, tmp_path: Path, signed: Signature
) -> None:
    with filled.database.writing() as session:
        create_customer(session, name="unfinished", signed=signed)
        session.flush()
        counts = back_up(filled, tmp_path / "backup.zip", now=NOW)

    assert len(contents(filled.database)["customers"]) == counts["customers"] + 1


def test_three_at_once_are_three_whole_backups(filled: Holdings, tmp_path: Path) -> None:
    holdings = Holdings(filled.database, filled.blobs, filled.tables, tmp_path)
    made = at_once(3, lambda _: back_up_here(holdings, now=NOW)[0])

    assert len(set(made)) == 3
    for path in made:
        assert check_backup(path).missing == []
    assert not list(tmp_path.glob("*.unfinished"))


def test_a_disk_that_does_not_take_it_is_told_in_a_sentence(
    filled: Holdings, tmp_path: Path
) -> None:
    with pytest.raises(Refused, match="cannot be written"):
        back_up(filled, tmp_path / "no such folder" / "backup.zip", now=NOW)


def test_a_lost_picture_does_not_keep_the_rest_from_being_saved(
    filled: Holdings, tmp_path: Path
) -> None:
    lost = contents(filled.database)["pictures"][0]["sha256"]
    poorer = Holdings(filled.database, BlobStore(tmp_path / "blobs"), filled.tables, tmp_path)
    for blob in filled.blobs.all():
        if blob != lost:
            poorer.blobs.put(filled.blobs.read(blob))

    back_up(poorer, tmp_path / "backup.zip", now=NOW)
    assert lost_blobs(poorer) == [lost] == check_backup(tmp_path / "backup.zip").missing
    assert lost_blobs(filled) == []


def test_the_newest_are_kept_and_other_files_left(tmp_path: Path) -> None:
    days = [f"clackbox-202611{day:02}T030000Z.zip" for day in range(1, 6)]
    for name in (*days, "clackbox-20261105T030000Z-2.zip", "mine.zip", "standing.jsonl"):
        (tmp_path / name).write_bytes(b"")

    assert drop_old(tmp_path, keep=6) == []
    assert drop_old(tmp_path, keep=2) == days[:4]
    assert {file.name for file in tmp_path.iterdir()} == {
        days[4], "clackbox-20261105T030000Z-2.zip", "mine.zip", "standing.jsonl",
    }  # fmt: skip


def test_only_a_backup_that_was_read_back_counts_as_the_last(
    filled: Holdings, tmp_path: Path
) -> None:
    holdings = Holdings(filled.database, filled.blobs, filled.tables, tmp_path)
    assert last_backup(holdings.standing) is None

    back_up(holdings, tmp_path / "one.zip", now=NOW)
    with pytest.raises(Refused):
        back_up(holdings, tmp_path / "nowhere" / "two.zip", now=NOW + dt.timedelta(days=1))
    assert last_backup(holdings.standing) == NOW


def test_a_standing_line_that_cannot_be_read_says_nothing(tmp_path: Path) -> None:
    standing = Standing(tmp_path)
    standing.keep({"what": "backup", "made": "no day"}, {"what": "backup", "made": None})
    with (tmp_path / "standing.jsonl").open("ab") as file:
        file.write(b'[1]\n"x"\n{"what": 1}\n\xff\xfe\n{"what": "backup", "ma')

    assert len(standing.lines()) == 2
    assert last_backup(standing) is None
