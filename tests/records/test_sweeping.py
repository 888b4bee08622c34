"""What no row names is swept from the blob store, and never anything that somebody goes by."""

import datetime as dt
import json
import os
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.backups.holdings import named_blobs
from service.records.blobs import BlobStore, name_blob
from service.records.database import Base, Database
from service.records.history import Signature
from service.records.models import AuditLine, IdempotencyKey
from service.records.operations.customers import create_customer
from service.records.operations.pictures import enter_picture
from service.records.operations.reports import draft_report, issue_report
from service.records.operations.workshop import update_workshop
from service.records.sweeping import UNNAMED, blobs_maybe_named, sweep_blobs
from tests.clients.conftest import open_workshop
from tests.conftest import NOW
from tests.records.conftest import open_commission

DAY = dt.timedelta(days=1)
LONG_AGO = NOW - 30 * DAY
PARTICULARS = {"media_type": "image/jpeg", "width": 4, "height": 3, "size": 9, "caption": None}


@pytest.fixture
def blobs(tmp_path: Path) -> BlobStore:
    """A store of the test's own."""
    return BlobStore(tmp_path / "blobs")


def put_aged(blobs: BlobStore, data: bytes, put: dt.datetime = LONG_AGO) -> str:
    """Put a blob as it would have been put at another time."""
    name = blobs.put(data)
    os.utime(blobs.path(name), (put.timestamp(), put.timestamp()))
    return name


def sweep_for_days(database: Database, blobs: BlobStore, days: int = 4) -> list[str]:
    """Sweep once a day; what was taken away."""
    return [
        name
        for day in range(days)
        for name in sweep_blobs(database, blobs, now=NOW + day * DAY + dt.timedelta(seconds=day))
    ]


def test_what_no_row_names_goes_a_day_after_it_was_found_so(
    database: Database, blobs: BlobStore
) -> None:
    name = put_aged(blobs, b"nobody's")

    assert sweep_blobs(database, blobs, now=NOW) == []
    assert sweep_blobs(database, blobs, now=NOW + DAY * 0.99) == []
    assert blobs.exists(name)
    assert sweep_blobs(database, blobs, now=NOW + DAY) == [name]
    assert not blobs.exists(name)
    assert not (blobs.folder / UNNAMED).exists()


def test_what_was_put_within_the_day_is_let_be(database: Database, blobs: BlobStore) -> None:
    name = put_aged(blobs, b"young", put=NOW + DAY * 2.5)

    assert sweep_for_days(database, blobs) == []
    assert blobs.exists(name)


def test_an_empty_store_and_none_at_all_are_swept_in_peace(
    database: Database, blobs: BlobStore
) -> None:
    assert sweep_for_days(database, blobs) == []
    blobs.folder.mkdir()
    assert sweep_for_days(database, blobs) == []


def keep_picture(session: Session, name: str, signed: Signature) -> None:
    enter_picture(session, commission_id=make_commission(session, signed), sha256=name,
                  signed=signed, **PARTICULARS)  # fmt: skip


def keep_logo(session: Session, name: str, signed: Signature) -> None:
    logo = {"sha256": name, "media_type": "image/jpeg", "width": 4, "height": 3}
    update_workshop(session, version=None, signed=signed, logo=logo)


def keep_report(session: Session, name: str, signed: Signature) -> None:
    issue(session, signed, document=name, content={})


def keep_issued_logo(session: Session, name: str, signed: Signature) -> None:
    content = {"logo": {"sha256": name}, "notes": []}
    issue(session, signed, document=name_blob(b"paper"), content=content)


def keep_issued_picture(session: Session, name: str, signed: Signature) -> None:
    content = {"notes": [{"pictures": [{"caption": "é", "sha256": name}]}]}
    issue(session, signed, document=name_blob(b"paper"), content=content)


def make_commission(session: Session, signed: Signature) -> int:
    return open_commission(
        session, create_customer(session, name="Maud Ellery", signed=signed).id, signed
    ).id


def issue(session: Session, signed: Signature, *, document: str, content: dict) -> None:
    report, _ = draft_report(
        session, commission_id=make_commission(session, signed), from_day=NOW.date(),
        to_day=NOW.date(), signed=signed,
    )  # fmt: skip
    issue_report(session, report.id, version=None, content=content, document_sha256=document,
                 signed=signed)  # fmt: skip


@pytest.mark.parametrize(
    "keep", [keep_picture, keep_logo, keep_report, keep_issued_logo, keep_issued_picture]
)
def test_what_a_row_names_stays(
    database: Database, blobs: BlobStore, signed: Signature, keep: Callable[..., None]
) -> None:
    name, other = put_aged(blobs, b"kept"), put_aged(blobs, b"nobody's")
    with database.writing() as session:
        keep(session, name, signed)
        # What a backup is sure of is among what a sweep only suspects.
        assert name in named_blobs(session.connection()) <= blobs_maybe_named(session)

    assert sweep_for_days(database, blobs) == [other]
    assert blobs.read(name) == b"kept"


def test_a_table_that_is_not_yet_thought_of_keeps_its_blobs(
    database: Database, blobs: BlobStore
) -> None:
    """Whatever the column is called: a text, a short text, and JSON."""
    names = [put_aged(blobs, data) for data in (b"text", b"short", b"json")]
    table = sa.Table(
        "photographs_of_tools",
        Base.metadata,
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("text", sa.Text),
        sa.Column("short", sa.String(64)),
        sa.Column("data", sa.JSON),
    )
    try:
        with database.writing() as session:
            table.create(session.connection())
            row = {"text": f"blob:{names[0]}", "short": names[1], "data": {"x": [names[2]]}}
            session.execute(sa.insert(table).values(id=1, **row))
        assert sweep_for_days(database, blobs) == []
        with database.writing() as session:
            session.execute(sa.delete(table))
        assert sorted(sweep_for_days(database, blobs)) == sorted(names)
    finally:
        Base.metadata.remove(table)


def test_every_column_that_names_a_blob_today_is_tried_here() -> None:
    columns = {
        f"{table.name}.{column.name}"
        for table in Base.metadata.sorted_tables
        for column in table.columns
        if "sha256" in column.name
    }

    assert columns == {"pictures.sha256", "reports.document_sha256"}  # and those within JSON


def test_the_audit_and_a_kept_answer_tell_of_a_blob_and_keep_none(
    database: Database, blobs: BlobStore
) -> None:
    name = put_aged(blobs, b"once a logo")
    with database.writing() as session:
        session.add(AuditLine(at=NOW, person="p", action="changed", noun="workshop", record_id=1,
                              before={"logo": {"sha256": name}}, after={"logo": None}))  # fmt: skip
        session.add(IdempotencyKey(sender="p", key="k", fingerprint="f", body=f'"{name}"',
                                   status=201, created_at=NOW))  # fmt: skip

    with database.reading() as session:
        assert name not in blobs_maybe_named(session)
    assert sweep_for_days(database, blobs) == [name]


def test_a_blob_that_is_named_again_is_forgotten_as_unnamed(
    database: Database, blobs: BlobStore, signed: Signature
) -> None:
    name = put_aged(blobs, b"taken up again")
    assert sweep_blobs(database, blobs, now=NOW) == []
    with database.writing() as session:
        keep_logo(session, name, signed)
    assert sweep_blobs(database, blobs, now=NOW + DAY) == []
    with database.writing() as session:
        update_workshop(session, version=None, signed=signed, logo=None)

    assert sweep_blobs(database, blobs, now=NOW + 2 * DAY) == []  # found so anew
    assert sweep_blobs(database, blobs, now=NOW + 3 * DAY) == [name]


def test_a_backup_that_goes_by_rows_of_a_moment_ago_finds_their_blobs(
    database: Database, blobs: BlobStore, signed: Signature
) -> None:
    """It read the rows, then the logo was changed, then the store was swept; now it reads blobs."""
    name = put_aged(blobs, b"the old logo")
    with database.writing() as session:
        keep_logo(session, name, signed)
    sweep_blobs(database, blobs, now=NOW)
    with database.reading() as session:
        seen_by_backup = named_blobs(session.connection())
    with database.writing() as session:
        keep_logo(session, name_blob(b"the new logo"), signed)
    assert sweep_blobs(database, blobs, now=NOW + 2 * DAY) == []

    assert name in seen_by_backup
    assert blobs.read(name) == b"the old logo"


def test_a_blob_put_again_is_as_young_as_a_new_one(database: Database, blobs: BlobStore) -> None:
    """An upload of what already lies there, whose row does not yet stand."""
    name = put_aged(blobs, b"nobody's")
    now = dt.datetime.now(dt.UTC)
    sweep_blobs(database, blobs, now=now - DAY)
    blobs.put(b"nobody's")

    assert sweep_blobs(database, blobs, now=now) == []
    assert blobs.exists(name)


def test_what_a_crash_left_half_written_is_swept_and_what_is_being_written_is_not(
    database: Database, blobs: BlobStore
) -> None:
    place = blobs.path(blobs.put(b"x")).parent
    old, young = place / ".old.part", place / ".young.part"
    for part, put in ((old, LONG_AGO), (young, NOW)):
        part.write_bytes(b"half")
        os.utime(part, (put.timestamp(), put.timestamp()))

    sweep_blobs(database, blobs, now=NOW)
    assert (old.exists(), young.exists()) == (False, True)


@pytest.mark.parametrize("spoiled", [b"", b"{", b"[]", b'{"a": "b"}', b"\xff", b"12"])
def test_a_spoiled_memory_spares_everything_a_day_more(
    database: Database, blobs: BlobStore, spoiled: bytes
) -> None:
    name = put_aged(blobs, b"nobody's")
    sweep_blobs(database, blobs, now=NOW)
    (blobs.folder / UNNAMED).write_bytes(spoiled)

    assert sweep_blobs(database, blobs, now=NOW + DAY) == []
    assert sweep_blobs(database, blobs, now=NOW + 2 * DAY) == [name]


def test_an_upload_in_progress_is_never_swept_under_its_row(
    own: Database, blobs: BlobStore, signed: Signature
) -> None:
    """Its row stands and is not committed; its blob lay there before, old and due to be swept."""
    name = put_aged(blobs, b"sent again")
    sweep_blobs(own, blobs, now=NOW)
    entered, swept = threading.Event(), threading.Event()

    def upload() -> None:
        with own.writing() as session:
            keep_picture(session, name, signed)
            entered.set()
            swept.wait(2)  # long enough for a sweep that does not wait for us

    uploading = threading.Thread(target=upload)
    uploading.start()
    assert entered.wait(10)
    assert sweep_blobs(own, blobs, now=NOW + DAY) == []
    swept.set()
    uploading.join()

    assert sweep_blobs(own, blobs, now=NOW + 2 * DAY) == []
    assert blobs.read(name) == b"sent again"


def test_uploads_and_sweeps_at_once_leave_every_row_its_blob(
    own: Database, blobs: BlobStore, signed: Signature
) -> None:
    """Rows and blobs as the routes enter them, over blobs that are due, with sweeps between."""
    pictures = [f"picture {number}".encode() for number in range(40)]
    for data in pictures:
        put_aged(blobs, data)
    sweep_blobs(own, blobs, now=NOW)
    with own.writing() as session:
        commission = make_commission(session, signed)
    done = threading.Event()

    def sweep() -> None:
        while not done.is_set():
            sweep_blobs(own, blobs, now=NOW + DAY)

    sweeping = threading.Thread(target=sweep)
    sweeping.start()
    try:
        for data in pictures:
            with own.writing() as session:
                enter_picture(session, commission_id=commission, sha256=name_blob(data),
                              signed=signed, **PARTICULARS)  # fmt: skip
                blobs.put(data)
    finally:
        done.set()
        sweeping.join()

    assert {data: blobs.exists(name_blob(data)) for data in pictures} == dict.fromkeys(
        pictures, True
    )


def test_the_service_sweeps_when_it_starts(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as workshop:
        workshop.kill(signal.SIGTERM)
        store = BlobStore(tmp_path / "blobs")
        name, young = put_aged(store, b"nobody's"), store.put(b"just put")
        (store.folder / UNNAMED).write_text(json.dumps({name: LONG_AGO.timestamp()}))
        workshop.start()
        end = time.monotonic() + 30
        while store.exists(name) and time.monotonic() < end:
            time.sleep(0.05)

    assert (store.exists(name), store.exists(young)) == (False, True)


def test_a_sweep_that_fails_keeps_nobody_from_being_served(tmp_path: Path) -> None:
    (tmp_path / "blobs" / UNNAMED / "in the way").mkdir(parents=True)
    with open_workshop(tmp_path) as workshop:
        assert workshop.answers()
        assert workshop.process is not None
        workshop.process.send_signal(signal.SIGTERM)
        assert workshop.process.wait(timeout=30) == 0
