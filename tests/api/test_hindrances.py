"""A locked database, a full disk, a file that is gone: told as what they are, and never a 500."""

import errno
import resource
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from flask import Flask
from sqlalchemy import event

from service import create_app
from service.api.health import show_bytes
from service.records.database import Database, make_engine
from service.records.errors import DatabaseBusy, NoRoom, NotWritable
from service.records.hindrances import telling_hindrances
from service.records.models import Scope
from service.settings import Settings
from tests.api.conftest import draw_picture
from tests.clients.conftest import free_port
from tests.conftest import DATABASES, Caller, make_caller
from tests.records.conftest import make_address, migrate

PATIENCE = 0.3
PERIOD = {"from_day": "2026-11-01", "to_day": "2026-11-14"}


@pytest.fixture(params=DATABASES)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """A migrated database of the test's own."""
    address = make_address(request.param, request, tmp_path)
    database = Database(make_engine(address))
    migrate(database)
    database.dispose()
    return address


@pytest.fixture
def open_app(tmp_path: Path) -> Iterator[Callable[[str], Flask]]:
    """The application on a database that is waited for no longer than a test can wait."""
    opened: list[Database] = []

    def open_it(address: str) -> Flask:
        opened.append(Database(make_engine(address).execution_options(patience=PATIENCE)))
        return create_app(Settings(data=tmp_path / "data"), opened[-1])

    yield open_it
    for database in opened:
        database.dispose()


@pytest.fixture
def own(open_app: Callable[[str], Flask], address: str) -> Flask:
    return open_app(address)


@pytest.fixture
def caller(own: Flask) -> Caller:
    return make_caller(own, Scope.OWNER)


@pytest.fixture
def link(caller: Caller) -> str:
    """The address of an issued report that shows a picture."""
    report = caller.make("/reports", {"commission_id": commission_with_picture(caller), **PERIOD})
    tag = caller.get(f"/reports/{report['id']}").headers["ETag"]
    issued = caller.post(f"/reports/{report['id']}/issue", headers={"If-Match": tag})
    assert issued.status_code == 200, issued.json
    return "/r/" + issued.json["link"].rpartition("/r/")[2]


def commission_with_picture(caller: Caller) -> int:
    customer = caller.make("/customers", {"name": "M"})
    commission = caller.make("/commissions", {"customer_id": customer["id"], "title": "T"})
    number: int = commission["id"]
    picture = send_picture(caller, number)
    assert picture.status_code == 201
    note = {
        "commission_id": number, "text": "t", "day": "2026-11-12", "for_customer": True,
        "pictures": [picture.json["id"]],
    }  # fmt: skip
    caller.make("/progress", note)
    return number


def send_picture(caller: Caller, commission_id: int, size: tuple[int, int] = (40, 30)) -> Any:
    return caller.send(
        "POST", f"/pictures?commission_id={commission_id}", data=draw_picture(size),
        content_type="image/png",
    )  # fmt: skip


@contextmanager
def locked(address: str) -> Iterator[None]:
    """Somebody else holds the database against every writer."""
    engine = sa.create_engine(address, isolation_level="AUTOCOMMIT")
    with engine.connect() as other:
        if engine.dialect.name == "sqlite":
            other.exec_driver_sql("BEGIN IMMEDIATE")
        else:
            other.exec_driver_sql("BEGIN")
            other.exec_driver_sql(
                "LOCK TABLE customers, reports, alembic_version IN EXCLUSIVE MODE"
            )
        yield
        other.exec_driver_sql("ROLLBACK")
    engine.dispose()


def views(caller: Caller) -> int:
    number: int = caller.get("/reports").json["items"][0]["views"]
    return number


def test_a_locked_database_is_busy_for_writers_and_open_to_readers(
    caller: Caller, address: str
) -> None:
    key = {"Idempotency-Key": "k"}
    kept = caller.post("/customers", {"name": "M"}, headers=key)
    with locked(address):
        refused = caller.post("/customers", {"name": "N"})
        assert (refused.status_code, refused.json["code"]) == (503, "busy")
        assert int(refused.headers["Retry-After"]) > 0
        assert caller.get("/customers").json["items"] == [kept.json]
        assert caller.post("/customers", {"name": "M"}, headers=key).data == kept.data

        health = caller.get("/health")
        assert (health.status_code, health.json["ready"]) == (503, False)
        assert "locked" in health.json["faults"][0]
    assert caller.post("/customers", {"name": "N"}).status_code == 201
    assert caller.get("/health").json["ready"] is True


def test_a_customer_sees_the_page_though_nothing_can_be_written(
    caller: Caller, address: str, link: str
) -> None:
    assert caller.get(link).status_code == 200
    assert views(caller) == 1
    with locked(address):
        began = time.monotonic()
        assert caller.get(link).status_code == 200
        assert time.monotonic() - began < 3.0  # a writer is waited for longer than that
    assert views(caller) == 1
    assert caller.send("HEAD", link).status_code == 200
    assert views(caller) == 1


def test_a_database_that_nobody_serves_is_told_to_everybody(
    open_app: Callable[[str], Flask],
) -> None:
    app = open_app(f"postgresql+psycopg://nobody@127.0.0.1:{free_port()}/nothing")
    caller = Caller(app.test_client(), "cbx_any")

    for answer in (caller.get("/customers"), caller.post("/customers", {"name": "M"})):
        assert (answer.status_code, answer.json["code"]) == (503, "no-database")
        assert int(answer.headers["Retry-After"]) > 0
    page = caller.get("/r/anything")
    assert page.status_code == 503
    assert "Your link is right" in page.get_data(as_text=True)
    assert caller.get("/health").json["faults"] == ["The database does not answer."]
    assert caller.get("/health/live").status_code == 200


def test_a_file_that_is_no_database_is_told(
    open_app: Callable[[str], Flask], tmp_path: Path
) -> None:
    (tmp_path / "torn.sqlite").write_bytes(b"torn" * 1000)
    caller = Caller(open_app(f"sqlite:///{tmp_path / 'torn.sqlite'}").test_client(), "cbx_any")

    answer = caller.get("/customers")
    assert (answer.status_code, answer.json["code"]) == (503, "no-database")
    assert caller.get("/health").status_code == 503


STATES = {
    "53100": (507, "no-room"),
    "53300": (503, "busy"),
    "53200": (503, "busy"),
    "40001": (503, "busy"),
    "40P01": (503, "busy"),
    "57014": (503, "busy"),
    "57P03": (503, "no-database"),
    "25006": (503, "not-writable"),
    "22012": (500, "failed"),  # a division by zero is a fault of ours
}


@pytest.mark.parametrize("address", ["postgresql"], indirect=True)
@pytest.mark.parametrize(("state", "told"), STATES.items())
def test_what_postgresql_could_not_do_is_told(
    caller: Caller, own: Flask, state: str, told: tuple[int, str]
) -> None:
    with own.extensions["clackbox"].database.bind.begin() as connection:
        connection.exec_driver_sql(
            "CREATE FUNCTION hinder() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE 'not now' USING ERRCODE = '{state}'; END $$"
        )
        connection.exec_driver_sql(
            "CREATE TRIGGER hinder BEFORE INSERT ON customers EXECUTE FUNCTION hinder()"
        )
    answer = caller.post("/customers", {"name": "M"})
    assert (answer.status_code, answer.json["code"]) == told
    assert "not now" not in answer.get_data(as_text=True)


@pytest.mark.parametrize("address", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    ("pragma", "status", "code"),
    [("max_page_count=1", 507, "no-room"), ("query_only=ON", 503, "not-writable")],
)
def test_what_sqlite_could_not_do_is_told(
    caller: Caller,
    own: Flask,
    link: str,
    pragma: str,
    status: int,
    code: str,
    caplog: pytest.LogCaptureFixture,
) -> None:
    database: Database = own.extensions["clackbox"].database
    database.dispose()
    event.listen(
        database.bind, "connect", lambda connection, _: connection.execute(f"PRAGMA {pragma}")
    )
    note = {"commission_id": 1, "text": "x" * 10_000}

    answers = [caller.post("/progress", note) for _ in range(5)]  # some may find room in a page
    assert (answers[-1].status_code, answers[-1].json["code"]) == (status, code)
    assert caller.get("/progress").status_code == 200
    assert caller.get(link).status_code == 200
    assert "database" in caplog.text  # whoever keeps the service learns why, and no more than that
    assert "xxx" not in caplog.text


@contextmanager
def no_file_beyond(size: int) -> Iterator[None]:
    """The system refuses to let any file grow beyond that, as it does on a full disk."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_picture_for_which_there_is_no_room_is_told_and_leaves_nothing(
    caller: Caller, tmp_path: Path
) -> None:
    number = commission_with_picture(caller)
    before = sorted((tmp_path / "data" / "blobs").rglob("*.*"))
    with no_file_beyond(100):
        answer = send_picture(caller, number, (400, 300))
        health = caller.get("/health")

    assert (answer.status_code, answer.json["code"]) == (507, "no-room")
    assert sorted((tmp_path / "data" / "blobs").rglob("*.*")) == before
    assert (health.status_code, health.json["faults"]) == (503, [NoRoom().message])
    assert send_picture(caller, number, (400, 300)).status_code == 201


@pytest.mark.parametrize(
    ("number", "told"),
    [(errno.ENOSPC, NoRoom), (errno.EROFS, NotWritable), (errno.EACCES, NotWritable),
     (errno.EIO, OSError)],
)  # fmt: skip
def test_what_a_disk_could_not_do_is_told(number: int, told: type[Exception]) -> None:
    with pytest.raises(told), telling_hindrances():
        raise OSError(number, "told by the system")


def test_the_drivers_own_word_for_a_lock_is_known(tmp_path: Path) -> None:
    first, second = (sqlite3.connect(tmp_path / "x", timeout=0) for _ in range(2))
    first.execute("BEGIN IMMEDIATE")
    with pytest.raises(DatabaseBusy), telling_hindrances():
        second.execute("BEGIN IMMEDIATE")
    first.close()
    second.close()


def test_a_file_that_is_gone_is_told_and_the_page_is_shown(
    caller: Caller, link: str, tmp_path: Path
) -> None:
    for file in (tmp_path / "data" / "blobs").rglob("*"):
        if file.is_file():
            file.unlink()
    draft = caller.make("/reports", {"commission_id": 1, **PERIOD})

    for answer in (
        caller.get("/pictures/1/image"),
        caller.get("/reports/1/document.pdf"),
        caller.get(f"/reports/{draft['id']}/document.pdf"),
        caller.post(f"/reports/{draft['id']}/issue", headers={"If-Match": '"1"'}),
    ):
        assert (answer.status_code, answer.json["code"]) == (404, "file-missing")
    page = caller.get(link)
    assert page.status_code == 200
    picture = page.get_data(as_text=True).partition('<img src="')[2].partition('"')[0]
    for address in (link + "/report.pdf", picture):
        answer = caller.get(address)
        assert answer.status_code == 404
        assert "no longer has this file" in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    ("count", "text"),
    [(0, "0 MB"), (999_999, "0 MB"), (480_300_000, "480 MB"), (1_000_000_000, "1.0 GB"),
     (12_345_678_901, "12.3 GB"), (2_500_000_000_000, "2.5 TB")],
)  # fmt: skip
def test_free_space_is_told_in_words(count: int, text: str) -> None:
    assert show_bytes(count) == text
