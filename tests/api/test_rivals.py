"""Many clients at once, each in a transaction that really ends: nothing twice, nothing lost."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from flask import Flask

from service import create_app
from service.records.database import Database, make_engine
from service.records.models import LabourEntry, Scope
from service.settings import Settings
from tests.conftest import DATABASES, Caller, make_caller
from tests.records.conftest import at_once, make_address, migrate


@pytest.fixture(params=DATABASES)
def app(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Flask]:
    """The application on a database of the test's own."""
    database = Database(make_engine(make_address(request.param, request, tmp_path)))
    migrate(database)
    yield create_app(Settings(data=tmp_path / "data"), database)
    database.dispose()


@pytest.fixture
def phone(app: Flask) -> Caller:
    """A token to send with; each thread takes a client of its own."""
    return make_caller(app, Scope.OWNER)


def own_client(app: Flask, phone: Caller) -> Caller:
    return Caller(app.test_client(), phone.token)


def entries(app: Flask) -> int:
    with app.extensions["clackbox"].database.reading() as session:
        return int(session.scalar(sa.select(sa.func.count()).select_from(LabourEntry)) or 0)


@pytest.fixture
def body(phone: Caller) -> dict:
    """An entry to post."""
    customer = phone.make("/customers", {"name": "M"})
    commission = phone.make("/commissions", {"customer_id": customer["id"], "title": "T"})
    return {"commission_id": commission["id"], "operation": "filing", "minutes": 5}


def test_one_key_from_eight_threads_is_one_entry(app: Flask, phone: Caller, body: dict) -> None:
    def send(_: int) -> tuple[int, bytes]:
        answer = own_client(app, phone).post("/labour", body, headers={"Idempotency-Key": "k"})
        return answer.status_code, answer.data

    answers = at_once(8, send)
    assert {status for status, _ in answers} == {201}
    assert len({data for _, data in answers}) == 1
    assert entries(app) == 1


def test_what_is_sent_twice_over_is_entered_once_each(
    app: Flask, phone: Caller, body: dict
) -> None:
    def send_all(_: int) -> list[int]:
        caller = own_client(app, phone)
        return [
            caller.post("/labour", body, headers={"Idempotency-Key": f"k-{number}"}).status_code
            for number in range(25)
        ]

    answers = at_once(4, send_all)
    assert {status for statuses in answers for status in statuses} == {201}
    assert entries(app) == 25


def test_eight_changes_of_one_version_are_one_change(app: Flask, phone: Caller) -> None:
    customer = phone.make("/customers", {"name": "M"})

    def rename(number: int) -> int:
        caller = own_client(app, phone)
        return int(
            caller.patch(
                f"/customers/{customer['id']}", {"name": f"{number}"}, version=1
            ).status_code
        )

    assert Counter(at_once(8, rename)) == {200: 1, 412: 7}
    assert phone.get(f"/customers/{customer['id']}").headers["ETag"] == '"2"'


def test_eight_commissions_opened_at_once_have_eight_references(
    app: Flask, phone: Caller, body: dict
) -> None:
    customer = phone.get("/customers").json["items"][0]["id"]

    def open_one(_: int) -> str:
        answer = own_client(app, phone).post(
            "/commissions", {"customer_id": customer, "title": "T"}
        )
        return str(answer.json.get("reference", answer.json))

    references = at_once(8, open_one)
    assert sorted(reference[-3:] for reference in references) == [
        f"{number:03d}" for number in range(2, 10)
    ]


def test_two_drafts_at_once_have_two_numbers(app: Flask, phone: Caller, body: dict) -> None:
    draft = {
        "commission_id": body["commission_id"], "from_day": "2026-11-01", "to_day": "2026-11-02",
    }  # fmt: skip

    def begin(_: int) -> int:
        return int(own_client(app, phone).post("/reports", draft).json.get("number", 0))

    assert sorted(at_once(4, begin)) == [1, 2, 3, 4]


def test_a_draft_issued_twice_at_once_is_issued_once(app: Flask, phone: Caller, body: dict) -> None:
    report = phone.make(
        "/reports",
        {"commission_id": body["commission_id"], "from_day": "2026-11-01", "to_day": "2026-11-02"},
    )

    def issue(_: int) -> int:
        answer = own_client(app, phone).send(
            "POST", f"/reports/{report['id']}/issue", headers={"If-Match": '"1"'}
        )
        return int(answer.status_code)

    assert Counter(at_once(3, issue)) == {200: 1, 412: 2}
    assert phone.get(f"/reports/{report['id']}").json["state"] == "issued"


def test_two_owners_who_revoke_each_other_leave_one(app: Flask, phone: Caller) -> None:
    other = Caller(
        app.test_client(), phone.make("/tokens", {"name": "other", "scope": "owner"})["token"]
    )
    own, others = (one["id"] for one in reversed(phone.get("/tokens").json["items"]))

    def revoke(number: int) -> int:
        caller, victim = ((phone, others), (other, own))[number]
        return int(own_client(app, caller).send("DELETE", f"/tokens/{victim}").status_code)

    answers = at_once(2, revoke)
    assert answers.count(200) == 1
    assert set(answers) <= {200, 401, 409}
    alive = [caller.get("/customers").status_code for caller in (phone, other)]
    assert sorted(alive) == [200, 401]
