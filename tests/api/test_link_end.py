"""A customer's link can run out; whoever holds it is told whom to ask, and a guesser nothing."""

import datetime as dt
from typing import Any

import pytest
import sqlalchemy as sa

from service.records.database import Database
from service.records.models import Report
from tests.conftest import Caller

SOON = (dt.datetime.now(dt.UTC) + dt.timedelta(days=30)).isoformat()


@pytest.fixture
def issued(owner: Caller, one_of_each: dict[str, int]) -> dict[str, Any]:
    """An issued report with its link."""
    answer = owner.post(
        f"/reports/{one_of_each['report_id']}/issue", headers={"If-Match": "*"}
    )  # fmt: skip
    report: dict[str, Any] = answer.json
    return report


def end_at(owner: Caller, report: dict[str, Any], moment: str | None) -> Any:
    return owner.send(
        "PATCH", f"/reports/{report['id']}", json={"link_expires_at": moment},
        headers={"If-Match": "*"},
    )  # fmt: skip


def let_time_pass(database: Database, report: dict[str, Any]) -> None:
    past = dt.datetime.now(dt.UTC) - dt.timedelta(minutes=1)
    with database.writing() as session:
        one = sa.update(Report).where(Report.id == report["id"])
        session.execute(one.values(link_expires_at=past))


def open_link(caller: Caller, report: dict[str, Any], more: str = "") -> Any:
    return caller.client.get(f"/r/{report['link'].rpartition('/')[2]}{more}")


def test_an_issued_link_runs_out_and_says_whom_to_ask(
    owner: Caller, stranger: Caller, issued: dict, database: Database
) -> None:
    owner.send("PATCH", "/workshop", json={"email": "works@example.org", "phone": "01632 960 140"},
               headers={"If-Match": "*"})  # fmt: skip
    shown = end_at(owner, issued, SOON)
    assert (shown.status_code, shown.json["link_expires_at"]) == (200, SOON)
    assert open_link(stranger, issued).status_code == 200
    let_time_pass(database, issued)

    for more in ("", "/report.pdf", "/logo", f"/pictures/{'0' * 64}"):
        answer = open_link(stranger, issued, more)
        page = answer.get_data(as_text=True)
        assert (answer.status_code, answer.mimetype) == (410, "text/html")
        assert "works@example.org, 01632 960 140" in page
        assert "Harbour launch plant" not in page
        assert answer.headers["Cache-Control"] == "private, no-store"
    assert owner.get(f"/reports/{issued['id']}").json["views"] == 1


def test_a_wrong_and_a_withdrawn_link_cannot_be_told_apart(
    owner: Caller, stranger: Caller, issued: dict, database: Database
) -> None:
    let_time_pass(database, issued)
    owner.post(f"/reports/{issued['id']}/revoke", headers={"If-Match": "*"})

    withdrawn, wrong = open_link(stranger, issued), stranger.client.get("/r/" + "x" * 43)
    assert (withdrawn.status_code, withdrawn.data) == (wrong.status_code, wrong.data)
    assert wrong.status_code == 404
    assert "Tidewater Works" not in wrong.get_data(as_text=True)


def test_the_end_can_be_set_with_the_draft_and_stands_when_it_is_issued(
    owner: Caller, commission: dict, database: Database, stranger: Caller
) -> None:
    body = {"commission_id": commission["id"], "from_day": "2026-11-01", "to_day": "2026-11-14"}
    draft = owner.make("/reports", body | {"link_expires_at": SOON})
    issued = owner.post(f"/reports/{draft['id']}/issue", headers={"If-Match": "*"}).json

    assert issued["link_expires_at"] == SOON
    let_time_pass(database, issued)
    assert open_link(stranger, issued).status_code == 410


def test_a_new_link_keeps_an_end_to_come_and_drops_one_that_has_passed(
    owner: Caller, stranger: Caller, issued: dict, database: Database
) -> None:
    end_at(owner, issued, SOON)
    address = f"/reports/{issued['id']}/link"
    again = owner.post(address, headers={"If-Match": "*"}).json
    assert again["link_expires_at"] == SOON

    let_time_pass(database, issued)
    anew = owner.post(address, headers={"If-Match": "*"}).json
    assert anew["link_expires_at"] is None
    assert open_link(stranger, anew).status_code == 200


def test_an_end_can_be_taken_away_again(owner: Caller, issued: dict) -> None:
    end_at(owner, issued, SOON)

    assert end_at(owner, issued, None).json["link_expires_at"] is None


def test_nothing_else_of_an_issued_report_changes(owner: Caller, issued: dict) -> None:
    for changes in ({"headline": "x"}, {"headline": "x", "link_expires_at": SOON}, {}):
        answer = owner.send("PATCH", f"/reports/{issued['id']}", json=changes,
                            headers={"If-Match": "*"})  # fmt: skip
        assert (answer.status_code, answer.json["code"]) == (409, "document-issued-locked")
    owner.post(f"/reports/{issued['id']}/revoke", headers={"If-Match": "*"})
    assert end_at(owner, issued, SOON).status_code == 409


def test_an_end_that_has_passed_is_refused(owner: Caller, issued: dict, commission: dict) -> None:
    past = "2020-01-01T00:00:00+00:00"
    body = {"commission_id": commission["id"], "from_day": "2026-11-01", "to_day": "2026-11-14"}

    for answer in (end_at(owner, issued, past),
                   owner.post("/reports", body | {"link_expires_at": past})):  # fmt: skip
        assert (answer.status_code, list(answer.json["errors"])) == (422, ["link_expires_at"])
