"""Transactions: they end in one place, rivals are told, and nothing is half-written."""

import threading
import time
from contextlib import suppress

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.database import PATIENCE, Database
from service.records.errors import Conflict, DatabaseBusy, Stale
from service.records.history import Signature, amend
from service.records.models import Customer, Picture
from service.records.operations.commissions import next_reference
from service.records.operations.customers import create_customer, update_customer
from service.records.operations.lookup import get
from service.records.operations.pictures import enter_picture
from service.records.schema import current_revision
from tests.records.conftest import at_once, open_commission


def make_customer(database: Database, signed: Signature, name: str = "M") -> int:
    with database.writing() as session:
        return create_customer(session, name=name, signed=signed).id


def count(database: Database, table: str) -> int:
    with database.reading() as session:
        return int(session.scalar(sa.text(f"SELECT count(*) FROM {table}")) or 0)


def test_work_that_ends_well_is_kept(own: Database, signed: Signature) -> None:
    make_customer(own, signed)

    assert count(own, "customers") == 1
    assert count(own, "audit_lines") == 1


def test_work_that_fails_leaves_nothing(own: Database, signed: Signature) -> None:
    def fail_half_way() -> None:
        with own.writing() as session:
            create_customer(session, name="M", signed=signed)
            raise LookupError("half way")

    with pytest.raises(LookupError):
        fail_half_way()
    assert count(own, "customers") == count(own, "audit_lines") == 0


def test_reading_keeps_nothing(own: Database, signed: Signature) -> None:
    with own.reading() as session:
        create_customer(session, name="M", signed=signed)

    assert count(own, "customers") == 0


def test_a_reader_is_not_held_up_by_a_writer(own: Database, signed: Signature) -> None:
    make_customer(own, signed)
    with own.writing() as session:
        create_customer(session, name="unfinished", signed=signed)
        assert count(own, "customers") == 1

    assert count(own, "customers") == 2


def test_of_two_writers_of_one_record_one_is_told(own: Database, signed: Signature) -> None:
    customer_id = make_customer(own, signed)
    both_have_read = threading.Barrier(2)

    def rename(number: int) -> str:
        with own.writing() as session:
            customer = get(session, Customer, customer_id)
            if own.bind.dialect.name == "postgresql":  # on SQLite the second waits at its BEGIN
                both_have_read.wait(10)
            amend(session, customer, {"name": f"name {number}"}, signed=signed)
            return customer.name

    results = at_once(2, rename)
    stale = [one for one in results if isinstance(one, Stale)]
    renamed = [one for one in results if isinstance(one, str)]
    expected = 1 if own.bind.dialect.name == "postgresql" else 0
    assert len(stale) == expected
    assert len(renamed) == 2 - expected
    with own.reading() as session:
        customer = get(session, Customer, customer_id)
        assert customer.name in renamed
        assert customer.version == 1 + len(renamed)


def test_eight_writers_of_one_version_are_one_change(own: Database, signed: Signature) -> None:
    customer_id = make_customer(own, signed)

    def rename(number: int) -> str:
        with own.writing() as session:
            return update_customer(
                session, customer_id, version=1, name=f"name {number}", signed=signed
            ).name

    results = at_once(8, rename)
    (renamed,) = [one for one in results if isinstance(one, str)]
    assert all(isinstance(one, Stale) for one in results if one is not renamed)
    assert len(results) == 8
    with own.reading() as session:
        assert get(session, Customer, customer_id).name == renamed
    assert count(own, "audit_lines") == 2


def test_parallel_commissions_take_references_of_their_own(
    own: Database, signed: Signature
) -> None:
    customer_id = make_customer(own, signed)

    def open_one(_: int) -> str:
        with own.writing() as session:
            return open_commission(session, customer_id, signed).reference

    references = at_once(8, open_one)
    assert sorted(references) == [f"26-{number:03d}" for number in range(1, 9)]
    with own.reading() as session:
        assert next_reference(session, year=2026) == "26-009"


def test_the_same_picture_sent_at_once_is_one_record_or_a_plain_conflict(
    own: Database, signed: Signature
) -> None:
    customer_id = make_customer(own, signed)
    with own.writing() as session:
        commission_id = open_commission(session, customer_id, signed).id

    def send(_: int) -> int:
        with own.writing() as session:
            return enter_picture(
                session,
                commission_id=commission_id,
                sha256="a" * 64,
                media_type="image/jpeg",
                width=1,
                height=1,
                size=1,
                caption=None,
                signed=signed,
            ).id

    results = at_once(6, send)
    assert {type(one) for one in results} <= {int, Conflict}
    assert len({one for one in results if isinstance(one, int)}) == 1
    assert count(own, "pictures") == 1


def test_a_fault_of_ours_is_not_passed_off_as_a_conflict(session: Session) -> None:
    session.add(Picture(commission_id=1))

    with pytest.raises(sa.exc.IntegrityError):
        session.flush()
    session.rollback()


def test_sqlite_is_opened_with_the_pragmas_we_rely_on(own: Database) -> None:
    if own.bind.dialect.name != "sqlite":
        with own.reading() as session:
            assert session.scalar(sa.text("SHOW transaction_isolation")) == "read committed"
        return
    with own.reading() as session:
        assert session.scalar(sa.text("PRAGMA journal_mode")) == "wal"
        assert session.scalar(sa.text("PRAGMA foreign_keys")) == 1
        assert session.scalar(sa.text("PRAGMA synchronous")) == 2  # FULL
        tables = session.execute(sa.text("PRAGMA table_list")).all()
    ours = [row for row in tables if not row.name.startswith(("sqlite_", "alembic"))]
    assert ours
    assert all(row.strict for row in ours)


def test_a_number_once_given_is_not_given_again(own: Database, signed: Signature) -> None:
    with own.writing() as session:
        first = create_customer(session, name="M", signed=signed)
        number = first.id
        session.delete(first)
    assert make_customer(own, signed) > number


def test_our_own_writers_queue_and_one_that_cannot_wait_is_refused(own: Database) -> None:
    def write(_: int) -> None:
        with own.writing() as session:
            session.execute(sa.text("UPDATE workshop SET phone = '1'"))
            time.sleep(0.05)

    assert at_once(8, write) == [None] * 8
    with own.writing() as session:
        session.execute(sa.text("UPDATE workshop SET phone = '2'"))

        def hurry(_: int) -> None:
            with own.writing(patience=0.1) as another:
                another.execute(sa.text("UPDATE workshop SET phone = '3'"))

        (refused,) = at_once(1, hurry)
    assert isinstance(refused, DatabaseBusy)
    hurry(0)


def test_what_is_tried_is_not_kept(own: Database) -> None:
    with own.reading() as session:
        before = current_revision(session.connection())
    own.try_writing(patience=1.0)
    with own.reading() as session:
        assert current_revision(session.connection()) == before
    with own.writing(patience=0.1) as session:  # nothing is held any more
        session.execute(sa.text("UPDATE alembic_version SET version_num = version_num"))


@pytest.mark.parametrize("empty", ["postgresql"], indirect=True)
def test_postgresql_waits_for_a_lock_no_longer_than_sqlite(empty: Database) -> None:
    for _ in range(2):  # a connection that was given back as well
        with empty.reading() as session:
            assert session.scalar(sa.text("SHOW lock_timeout")) == f"{PATIENCE:.0f}s"
        with suppress(DatabaseBusy), empty.writing(patience=0.25) as session:
            assert session.scalar(sa.text("SHOW lock_timeout")) == "250ms"
            raise DatabaseBusy
