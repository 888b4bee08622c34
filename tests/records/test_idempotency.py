"""A keyed write is done once, however many send it at the same moment."""

import datetime as dt
import threading
import time

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.database import Database
from service.records.errors import Conflict
from service.records.history import Signature
from service.records.models import Customer, IdempotencyKey
from service.records.operations.customers import create_customer
from service.records.operations.idempotency import KEPT, claim_key, forget_old_keys, keep_answer
from tests.records.conftest import at_once

PHONE = "bench phone"


def test_a_new_key_is_free_and_a_kept_one_answers(session: Session, signed: Signature) -> None:
    row = claim_key(session, sender=PHONE, key="k", fingerprint="f", now=signed.now)
    assert row.status is None
    keep_answer(row, status=201, headers={"ETag": '"1"'}, body="{}")

    again = claim_key(session, sender=PHONE, key="k", fingerprint="f", now=signed.now)
    assert (again.status, again.headers, again.body) == (201, {"ETag": '"1"'}, "{}")


def test_a_key_that_came_with_something_else_is_refused(
    session: Session, signed: Signature
) -> None:
    claim_key(session, sender=PHONE, key="k", fingerprint="f", now=signed.now)

    with pytest.raises(Conflict) as refusal:
        claim_key(session, sender=PHONE, key="k", fingerprint="g", now=signed.now)
    assert refusal.value.code == "key-reused"


def test_old_keys_are_forgotten_and_young_ones_kept(session: Session, signed: Signature) -> None:
    for key, age in (("old", KEPT + dt.timedelta(seconds=1)), ("young", KEPT)):
        claim_key(session, sender=PHONE, key=key, fingerprint="f", now=signed.now - age)

    assert forget_old_keys(session, now=signed.now) == 1
    assert list(session.scalars(sa.select(IdempotencyKey.key))) == ["young"]


def test_eight_rivals_with_one_key_make_one_row(own: Database, signed: Signature) -> None:
    start = threading.Barrier(8)

    def send(_: int) -> str:
        start.wait(10)
        with own.writing() as session:
            row = claim_key(session, sender=PHONE, key="k", fingerprint="f", now=signed.now)
            if row.status is None:
                customer = create_customer(session, name="M", signed=signed)
                time.sleep(0.02)  # hold the transaction open, so that the rivals really wait
                keep_answer(row, status=201, headers={}, body=str(customer.id))
            return str(row.body)

    answers = at_once(8, send)
    with own.reading() as session:
        assert session.scalar(sa.select(sa.func.count()).select_from(Customer)) == 1
        number = session.scalar(sa.select(Customer.id))
    assert answers == [str(number)] * 8


def test_a_rival_takes_over_when_the_first_one_fails(own: Database, signed: Signature) -> None:
    claimed = threading.Event()

    def send(number: int) -> str:
        if number == 1:
            claimed.wait(10)
        with own.writing() as session:
            row = claim_key(session, sender=PHONE, key="k", fingerprint="f", now=signed.now)
            if number == 0:
                claimed.set()
                time.sleep(0.05)
                raise LookupError("half way")
            assert row.status is None
            create_customer(session, name="M", signed=signed)
            keep_answer(row, status=201, headers={}, body="done")
            return "done"

    first, second = at_once(2, send)
    assert isinstance(first, LookupError)
    assert second == "done"
    with own.reading() as session:
        assert session.scalar(sa.select(sa.func.count()).select_from(Customer)) == 1
        assert session.scalar(sa.select(IdempotencyKey.status)) == 201
