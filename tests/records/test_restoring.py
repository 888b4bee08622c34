"""Bringing a backup back: all of it, on either database, or nothing; and what outlives it."""

import datetime as dt
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from service.records.backups.holdings import Holdings
from service.records.backups.restoring import (
    MARK,
    Restored,
    check_backup,
    finish_broken_restore,
    restore,
)
from service.records.backups.writing import back_up
from service.records.database import Database, UnusableDatabase, make_engine
from service.records.errors import Conflict, Refused
from service.records.history import Signature
from service.records.in_use import serving
from service.records.models import AuditLine, Commission, Customer, Report, ReportState, Token
from service.records.operations.customers import create_customer
from service.records.operations.labour import list_labour
from service.records.operations.reports import (
    draft_report,
    issue_report,
    relink_report,
    revoke_report,
)
from service.records.operations.tokens import create_token, find_asker, revoke_token
from service.records.schema import current_revision, newest_revision
from tests.conftest import DATABASES, NOW
from tests.records.conftest import make_address, migrate
from tests.records.filled import SIGNED, contents, keep, less_restores, make_filled


@pytest.fixture(scope="module", params=DATABASES)
def filled(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Holdings]:
    """A filled workshop, made once: each test leaves it as it was."""
    holdings = make_filled(request.param, request, tmp_path_factory.mktemp("filled"))
    yield holdings
    holdings.database.dispose()


@pytest.fixture(scope="module")
def backup(filled: Holdings, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A good backup of it; what stands whatever is restored does not lie beside it."""
    path = tmp_path_factory.mktemp("kept") / "backup.zip"
    back_up(filled, path, now=NOW)
    return path


@pytest.fixture(params=DATABASES)
def target(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Holdings]:
    """An empty database of either kind to restore into."""
    database = Database(make_engine(make_address(request.param, request, tmp_path)))
    yield keep(database, tmp_path / "other")
    database.dispose()


def bring_back(holdings: Holdings, source: Path, **manner: Any) -> Restored:
    manner = {"overwrite": False, "issued": 0, "signed": SIGNED, **manner}
    return restore(holdings, source, **manner)


# All of it


def test_everything_comes_back_on_either_database_and_home_again(
    filled: Holdings, backup: Path, target: Holdings, tmp_path: Path
) -> None:
    before = less_restores(contents(filled.database))
    assert all(before.values()), [name for name, rows in before.items() if not rows]

    found = bring_back(target, backup)
    assert found.counts == {name: len(rows) for name, rows in before.items()}
    assert less_restores(contents(target.database)) == before
    assert sorted(target.blobs.all()) == sorted(filled.blobs.all())
    assert (target.tables / "shims.csv").read_bytes() == b"thickness\n0.05 mm\n"
    assert [path.name for path in target.tables.iterdir()] == ["shims.csv"]

    back_up(target, tmp_path / "second.zip", now=NOW)
    bring_back(filled, tmp_path / "second.zip", overwrite=True)
    assert less_restores(contents(filled.database)) == before
    bring_back(filled, backup, overwrite=True)


def test_a_restore_is_told_in_the_audit(backup: Path, target: Holdings) -> None:
    bring_back(target, backup)

    with target.database.reading() as session:
        line = session.scalars(sa.select(AuditLine).where(AuditLine.action == "restored")).one()
        assert (line.person, line.at, line.noun) == ("tester", NOW, "workshop")
        assert line.after is not None
        assert line.after["file"] == "backup.zip"


def test_a_restored_database_goes_on_counting(
    backup: Path, target: Holdings, signed: Signature
) -> None:
    bring_back(target, backup)

    with target.database.writing() as session:
        highest = session.scalar(sa.select(sa.func.max(Customer.id)))
        assert highest
        assert create_customer(session, name="next", signed=signed).id == highest + 1
        entries, _ = list_labour(session, cursor=None, limit=3)
        assert len(entries) == 3
    with target.database.reading() as session:
        assert current_revision(session.connection()) == newest_revision()


def test_an_empty_migrated_database_may_be_restored_into(
    filled: Holdings, backup: Path, target: Holdings
) -> None:
    migrate(target.database)

    bring_back(target, backup)
    assert less_restores(contents(target.database)) == less_restores(contents(filled.database))


def test_what_came_later_is_replaced_when_told_and_left_when_not(
    filled: Holdings, backup: Path, signed: Signature
) -> None:
    before = less_restores(contents(filled.database))
    with filled.database.writing() as session:
        create_customer(session, name="came later", signed=signed)
    (filled.tables / "stock.csv").write_text("not yet\n", encoding="utf-8")
    later = contents(filled.database)

    with pytest.raises(Conflict, match="--overwrite"):
        bring_back(filled, backup)
    assert contents(filled.database) == later

    bring_back(filled, backup, overwrite=True)
    assert less_restores(contents(filled.database)) == before
    assert [path.name for path in filled.tables.iterdir()] == ["shims.csv"]


def test_a_spoiled_picture_is_mended_from_the_backup(filled: Holdings, backup: Path) -> None:
    name = contents(filled.database)["pictures"][0]["sha256"]
    whole = filled.blobs.read(name)
    filled.blobs.path(name).write_bytes(whole[:-1])

    bring_back(filled, backup, overwrite=True)
    assert filled.blobs.read(name) == whole


# Nothing of it


def test_nothing_is_restored_under_a_server(filled: Holdings, backup: Path) -> None:
    before = contents(filled.database)
    with serving(filled.engine), serving(filled.engine), pytest.raises(Conflict, match="stop it"):
        bring_back(filled, backup, overwrite=True)

    assert contents(filled.database) == before


def test_a_database_of_another_schema_is_left_alone(target: Holdings, backup: Path) -> None:
    migrate(target.database)
    with target.database.writing() as session:
        session.execute(sa.text("UPDATE alembic_version SET version_num = 'c4a70e95d318'"))
    with pytest.raises(UnusableDatabase, match="migrate"):
        bring_back(target, backup, overwrite=True)

    with target.database.writing() as session:
        session.execute(sa.text("UPDATE alembic_version SET version_num = 'ffffffffffff'"))
    with pytest.raises(UnusableDatabase, match="newer"):
        bring_back(target, backup, overwrite=True)


def test_a_disk_without_room_is_told_before_anything_is_written(
    target: Holdings, backup: Path, tmp_path: Path
) -> None:
    vast = tmp_path / "vast.zip"
    with zipfile.ZipFile(backup) as whole, zipfile.ZipFile(vast, "w", zipfile.ZIP_DEFLATED) as out:
        unpacked = [name for name in whole.namelist() if name.startswith("tables/")]
        for name in whole.namelist():
            out.writestr(name, whole.read(name))
    for name in unpacked:
        spoil_directory(vast, name, size=0xFFFF_FFF0)

    with pytest.raises(Refused, match="MB of disk"):
        bring_back(target, vast)


def spoil_directory(path: Path, member: str, *, size: int) -> None:
    """Let the list of members claim a size for one of them."""
    data = bytearray(path.read_bytes())
    place = data.rindex(b"PK\x01\x02", 0, data.rindex(member.encode()))  # its central entry
    data[place + 24 : place + 28] = size.to_bytes(4, "little")
    path.write_bytes(bytes(data))


# What a backup may lack


def without(source: Path, target: Path, *members: str) -> Path:
    with zipfile.ZipFile(source) as whole, zipfile.ZipFile(target, "w") as less:
        for name in whole.namelist():
            if name not in members:
                less.writestr(name, whole.read(name))
    return target


def test_a_missing_picture_is_refused_unless_it_is_here_or_done_without(
    filled: Holdings, backup: Path, target: Holdings, tmp_path: Path
) -> None:
    lost = contents(filled.database)["pictures"][0]["sha256"]
    poorer = without(backup, tmp_path / "poorer.zip", f"blobs/{lost}")

    assert check_backup(poorer).missing == [lost]
    with pytest.raises(Refused, match="--accept-missing"):
        bring_back(target, poorer)
    assert list(target.blobs.all()) == []

    assert bring_back(target, poorer, accept_missing=True).missing == [lost]
    assert bring_back(filled, poorer, overwrite=True).missing == []


# What outlives a restore


@pytest.fixture
def own_filled(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Holdings]:
    """A workshop of the test's own; what outlives a restore does not hang on the database."""
    holdings = make_filled("sqlite", request, tmp_path)
    yield holdings
    holdings.database.dispose()


def test_a_token_revoked_since_stays_closed(own_filled: Holdings, tmp_path: Path) -> None:
    with own_filled.database.writing() as session:
        secrets = [
            create_token(session, name=name, scope="owner", signed=SIGNED)[1]
            for name in ("lost phone", "desk")
        ]
    back_up(own_filled, tmp_path / "backup.zip", now=NOW)
    with own_filled.database.writing() as session:
        lost = session.scalars(sa.select(Token).where(Token.name == "lost phone")).one()
        revoke_token(session, lost.id, signed=SIGNED)

    found = bring_back(own_filled, tmp_path / "backup.zip", overwrite=True, issued=None)

    with own_filled.database.reading() as session:
        asked = [find_asker(session, secret, now=NOW) for secret in secrets]
    assert [one is not None for one in asked] == [False, True]
    assert found.closed == 1
    assert any("desk" in one for one in found.live_tokens)
    assert not any("lost phone" in one for one in found.live_tokens)


def issue(holdings: Holdings) -> tuple[int, str]:
    with holdings.database.writing() as session:
        report, _ = draft_report(
            session, commission_id=1, from_day=NOW.date(), to_day=NOW.date(), signed=SIGNED
        )
        paper = holdings.blobs.put(b"paper")
        report, secret = issue_report(
            session, report.id, version=1, content={}, document_sha256=paper, signed=SIGNED
        )
        return report.id, secret


def test_links_withdrawn_since_stay_closed(own_filled: Holdings, tmp_path: Path) -> None:
    kept, relinked, revoked = (issue(own_filled)[0] for _ in range(3))
    back_up(own_filled, tmp_path / "backup.zip", now=NOW)
    with own_filled.database.writing() as session:
        relink_report(session, relinked, version=None, signed=SIGNED)
        revoke_report(session, revoked, version=None, signed=SIGNED)

    bring_back(own_filled, tmp_path / "backup.zip", overwrite=True, issued=None)

    with own_filled.database.reading() as session:
        found = {one: session.get_one(Report, one) for one in (kept, relinked, revoked)}
        states = [found[one].state for one in (kept, relinked, revoked)]
        links = [found[one].link_hash is not None for one in (kept, relinked, revoked)]
    assert states == [ReportState.ISSUED, ReportState.ISSUED, ReportState.REVOKED]
    assert links == [True, False, False]


def test_a_withdrawal_that_was_rolled_back_is_not_lost_either(own_filled: Holdings) -> None:
    """The line is written before the commit, and nothing is written where nothing was asked."""
    before = own_filled.standing.lines()
    with own_filled.database.writing() as session:
        create_customer(session, name="somebody", signed=SIGNED)
    assert own_filled.standing.lines() == before

    with own_filled.database.writing() as session:
        revoke_token(session, 1, signed=SIGNED)
    (line,) = own_filled.standing.lines()[len(before) :]
    assert line["what"] == "token-revoked"


def next_number(holdings: Holdings, reference: str) -> int:
    with holdings.database.writing() as session:
        commission = session.scalars(
            sa.select(Commission).where(Commission.reference == reference)
        ).one()
        report, _ = draft_report(
            session,
            commission_id=commission.id,
            from_day=NOW.date(),
            to_day=NOW.date(),
            signed=SIGNED,
        )
        return report.number


def test_numbering_goes_on_above_what_was_issued_since(
    own_filled: Holdings, tmp_path: Path
) -> None:
    back_up(own_filled, tmp_path / "backup.zip", now=NOW)
    with own_filled.database.reading() as session:
        highest = session.scalar(sa.select(sa.func.max(Report.number))) or 0
    issue(own_filled)
    issue(own_filled)

    bring_back(own_filled, tmp_path / "backup.zip", overwrite=True, issued=None)
    assert next_number(own_filled, "26-014") == highest + 3


def test_on_a_new_machine_the_highest_number_is_asked_for(backup: Path, target: Holdings) -> None:
    """A file that knows of other backups only was not kept where this one was made."""
    other = NOW + dt.timedelta(seconds=1)
    target.standing.keep({"what": "backup", "made": other.isoformat(), "file": "b.zip"})
    with pytest.raises(Refused, match="--issued"):
        bring_back(target, backup, issued=None)
    with target.database.reading() as session:
        assert current_revision(session.connection()) is None

    bring_back(target, backup, issued=40)
    assert next_number(target, "26-014") == 41


def test_the_file_beside_the_backup_answers_and_is_carried_along(
    own_filled: Holdings, target: Holdings, tmp_path: Path
) -> None:
    own_filled.backups.mkdir(exist_ok=True)
    back_up(own_filled, own_filled.backups / "backup.zip", now=NOW)
    with own_filled.database.writing() as session:
        revoke_token(session, 1, signed=SIGNED)

    found = bring_back(target, own_filled.backups / "backup.zip", issued=None)
    assert found.closed == 1
    assert target.standing.lines() == own_filled.standing.lines()


# A crash between the records and the kit


def test_the_kit_follows_the_records_after_a_crash_or_is_dropped_with_them(
    own_filled: Holdings, tmp_path: Path
) -> None:
    """What lies staged belongs to a restore whose mark the records bear, or to one that failed."""
    back_up(own_filled, tmp_path / "backup.zip", now=NOW)
    bring_back(own_filled, tmp_path / "backup.zip", overwrite=True)
    with own_filled.database.reading() as session:
        after = session.scalars(
            sa.select(AuditLine.after).where(AuditLine.action == "restored")
        ).one()
    staged = own_filled.tables.with_name("tables.restored")

    for mark, expected in (("another", "shims.csv"), (after[MARK], "stock.csv")):
        staged.mkdir()
        (staged / "stock.csv").write_text("from the backup\n", encoding="utf-8")
        (staged / MARK).write_text(mark, encoding="utf-8")
        finish_broken_restore(own_filled)
        assert not staged.exists()
        assert [path.name for path in own_filled.tables.iterdir()] == [expected]


def test_a_stage_without_its_mark_is_dropped(own_filled: Holdings) -> None:
    staged = own_filled.tables.with_name("tables.restored")
    staged.mkdir()
    (staged / "stock.csv").write_text("half\n", encoding="utf-8")

    finish_broken_restore(own_filled)
    assert not staged.exists()
    assert (own_filled.tables / "shims.csv").exists()
