"""Progress reports: drafted, read, issued and frozen, shown by a secret link, revoked."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

import pypdfium2
import pytest

from tests.conftest import Caller

SPAN = {"from_day": "2026-11-01", "to_day": "2026-11-14"}
KEPT_BACK = ("PRIVATE", "SECRET-PLACE", "OTHER-CUSTOMER", "maud@example.org")


@pytest.fixture
def note(owner: Caller, commission: dict, photograph: bytes) -> dict:
    """A note the customer may read, with a picture, among things that nobody else may."""
    ours = {"commission_id": commission["id"], "day": "2026-11-05"}
    picture = owner.send(
        "POST", f"/pictures?commission_id={commission['id']}&caption=The+block", data=photograph,
        content_type="image/png",
    ).json  # fmt: skip
    other = owner.make("/customers", {"name": "OTHER-CUSTOMER"})
    theirs = owner.make("/commissions", {"customer_id": other["id"], "title": "OTHER-CUSTOMER"})
    owner.make(
        "/progress",
        {"commission_id": theirs["id"], "day": "2026-11-05", "text": "OTHER-CUSTOMER",
         "for_customer": True},
    )  # fmt: skip
    owner.make("/progress", ours | {"text": "PRIVATE-NOTE"})
    owner.make("/progress", ours | {"text": "LATER", "day": "2026-11-20", "for_customer": True})
    owner.make(
        "/parts",
        {"commission_id": commission["id"], "name": "Whistle", "place": "SECRET-PLACE",
         "private_notes": "PRIVATE-PART"},
    )  # fmt: skip
    owner.make(
        "/labour", ours | {"operation": "drilling", "minutes": "1h30", "note": "PRIVATE-LABOUR"}
    )
    owner.make("/labour", ours | {"operation": "rework", "minutes": 30, "billable": False})
    return owner.make(
        "/progress",
        ours | {"text": "The block is <b>drilled</b>.", "for_customer": True,
                "decision_wanted": "Shall the whistle stand upright?",
                "pictures": [picture["id"]]},
    )  # fmt: skip


@pytest.fixture
def draft(owner: Caller, commission: dict, note: dict) -> dict:
    """A draft over the days of the note."""
    return owner.make(
        "/reports", {"commission_id": commission["id"], "next_steps": "Dry fit."} | SPAN
    )


@pytest.fixture
def issued(owner: Caller, draft: dict) -> dict:
    """The draft, issued."""
    return issue(owner, draft).json


def issue(owner: Caller, report: dict, version: int = 1) -> Any:
    return owner.send(
        "POST", f"/reports/{report['id']}/issue", headers={"If-Match": f'"{version}"'}
    )


def headers_of(answer: Any) -> dict[str, str]:
    """The headers of an answer less the name of its request, which no two share."""
    return {name: text for name, text in answer.headers.items() if name != "X-Request-Id"}


def change(owner: Caller, report: dict, verb: str, version: int) -> Any:
    return owner.send(
        "POST", f"/reports/{report['id']}/{verb}", headers={"If-Match": f'"{version}"'}
    )


def open_link(caller: Caller, report: dict, more: str = "") -> Any:
    return caller.send("GET", urlsplit(report["link"]).path + more)


def page_of(caller: Caller, report: dict) -> str:
    answer = open_link(caller, report)
    assert answer.status_code == 200
    return str(answer.get_data(as_text=True))


def text_of(paper: bytes) -> str:
    document = pypdfium2.PdfDocument(paper)
    try:
        return "\n".join(page.get_textpage().get_text_bounded() for page in document)
    finally:
        document.close()


def test_a_draft_follows_the_records(
    owner: Caller, stranger: Caller, draft: dict, note: dict
) -> None:
    assert draft["state"] == "draft"
    assert "drilled" in page_of(stranger, draft)
    owner.patch(f"/progress/{note['id']}", {"text": "The block is tapped."}, version=1)

    page = page_of(stranger, draft)
    assert "tapped" in page
    assert "drilled&lt;" not in page
    assert "Draft" in page


def test_what_a_report_says_and_what_it_keeps_back(
    owner: Caller, stranger: Caller, issued: dict
) -> None:
    page = page_of(stranger, issued)
    paper = text_of(open_link(stranger, issued, "/report.pdf").data)

    for shown in (page, paper):
        assert "Shall the whistle stand upright?" in shown
        assert "Dry fit." in shown
        assert "LATER" not in shown
        for word in KEPT_BACK:
            assert word not in shown
    assert "&lt;b&gt;drilled&lt;/b&gt;" in page
    assert "<b>drilled" in paper


def test_an_issued_report_is_frozen(
    owner: Caller, stranger: Caller, commission: dict, issued: dict, note: dict
) -> None:
    page = page_of(stranger, issued)
    paper = open_link(stranger, issued, "/report.pdf").data

    owner.patch(f"/progress/{note['id']}", {"text": "EDITED", "pictures": []}, version=1)
    owner.patch(f"/progress/{note['id']}", {"decision_answer": "Upright."}, version=2)
    owner.patch(
        f"/commissions/{commission['id']}", {"title": "EDITED", "public_notes": "EDITED"}, version=1
    )
    owner.make(
        "/labour",
        {"commission_id": commission["id"], "operation": "filing", "minutes": 60,
         "day": "2026-11-06"},
    )  # fmt: skip

    assert page_of(stranger, issued) == page
    assert open_link(stranger, issued, "/report.pdf").data == paper
    assert owner.get(f"/reports/{issued['id']}/document.pdf").data == paper
    (picture,) = [part for part in page.split('"') if "/pictures/" in part and "<" not in part][:1]
    shown = stranger.send("GET", picture)
    assert (shown.status_code, shown.mimetype) == (200, "image/jpeg")


def test_an_issued_report_can_be_neither_changed_nor_issued_again(
    owner: Caller, issued: dict
) -> None:
    changed = owner.patch(f"/reports/{issued['id']}", {"headline": "Other"}, version=2)
    again = issue(owner, issued, version=2)

    assert (changed.status_code, again.status_code) == (409, 409)
    assert changed.json["code"] == "document-issued-locked"


def test_a_report_is_issued_as_it_was_read(owner: Caller, draft: dict) -> None:
    owner.patch(f"/reports/{draft['id']}", {"headline": "Changed meanwhile"}, version=1)

    assert issue(owner, draft, version=1).status_code == 412
    assert owner.post(f"/reports/{draft['id']}/issue").status_code == 428
    assert owner.get(f"/reports/{draft['id']}").json["state"] == "draft"


def test_a_note_changed_after_the_owner_read_the_draft_is_not_sent_unread(
    owner: Caller, draft: dict, note: dict
) -> None:
    address = f"/reports/{draft['id']}"
    read = owner.get(address).headers["ETag"]
    owner.patch(f"/progress/{note['id']}", {"text": "Changed meanwhile"}, version=1)

    assert owner.post(f"{address}/issue", headers={"If-Match": read}).status_code == 412
    again = owner.get(address).headers["ETag"]
    assert again != read
    assert owner.post(f"{address}/issue", headers={"If-Match": again}).status_code == 200


@pytest.mark.parametrize(
    ("basis", "shown"),
    [
        ("estimate", True),
        ("time_and_materials", True),
        ("quotation", False),
        ("stage_prices", False),
    ],
)
def test_hours_are_told_only_where_they_are_the_customers_business(
    owner: Caller, stranger: Caller, commission: dict, draft: dict, basis: str, shown: bool
) -> None:
    owner.patch(f"/commissions/{commission['id']}", {"price_basis": basis}, version=1)
    page = page_of(stranger, draft)
    paper = text_of(open_link(stranger, draft, "/report.pdf").data)

    for said in (page, paper):
        assert ("57.75" in said) is shown  # 1 h 30 at 38.50
        assert ("drilling" in said) is shown
        assert "rework" not in said  # what is not charged is not shown


def test_each_issue_makes_a_new_link_and_closes_the_drafts(
    stranger: Caller, draft: dict, issued: dict
) -> None:
    assert issued["link"] != draft["link"]
    assert open_link(stranger, draft).status_code == 404
    assert open_link(stranger, issued).status_code == 200


def test_a_new_link_closes_the_old(owner: Caller, stranger: Caller, issued: dict) -> None:
    renewed = change(owner, issued, "link", 2).json

    assert renewed["link"] != issued["link"]
    assert open_link(stranger, issued).status_code == 404
    assert open_link(stranger, renewed).status_code == 200


def test_a_wrong_link_and_a_revoked_one_cannot_be_told_apart(
    owner: Caller, stranger: Caller, issued: dict
) -> None:
    revoked = change(owner, issued, "revoke", 2)
    assert revoked.json["state"] == "revoked"
    assert change(owner, issued, "link", 3).status_code == 409

    for more in ("", "/report.pdf", "/pictures/" + "0" * 64):
        closed = open_link(stranger, issued, more)
        guessed = stranger.send("GET", "/r/" + "A" * 43 + more)
        assert (closed.status_code, guessed.status_code) == (404, 404)
        assert closed.data == guessed.data
        assert headers_of(closed) == headers_of(guessed)
        assert closed.mimetype == "text/html"


@pytest.mark.parametrize("secret", ["x", "%00", "%ED%A0%80", "x" * 5000, "'", "%F0%9F%9A%82"])
def test_a_guessed_link_is_a_page_that_says_nothing(stranger: Caller, secret: str) -> None:
    answer = stranger.send("GET", f"/r/{secret}")

    assert answer.status_code == 404
    assert answer.headers["Cache-Control"] == "private, no-store"


def test_a_picture_of_another_report_is_not_shown(
    owner: Caller, stranger: Caller, commission: dict, issued: dict
) -> None:
    (picture,) = owner.get(f"/progress?commission_id={commission['id']}&open_decision=true").json[
        "items"
    ][0]["pictures"]
    empty = owner.make(
        "/reports",
        {"commission_id": commission["id"], "from_day": "2026-01-01", "to_day": "2026-01-02"},
    )

    assert open_link(stranger, issued, f"/pictures/{picture['sha256']}").status_code == 200
    assert open_link(stranger, empty, f"/pictures/{picture['sha256']}").status_code == 404


def test_the_link_is_shown_once_and_its_secret_kept_nowhere(
    owner: Caller, draft: dict, everything_kept: Callable[[], str]
) -> None:
    headers = {"If-Match": '"1"', "Idempotency-Key": "i-1"}
    first = owner.send("POST", f"/reports/{draft['id']}/issue", headers=headers)
    again = owner.send("POST", f"/reports/{draft['id']}/issue", headers=headers)
    renewed = change(owner, draft, "link", 2).json

    assert (first.status_code, again.status_code) == (200, 200)
    assert again.json == first.json | {"link": None}
    assert owner.get(f"/reports/{draft['id']}").json["link"] is None
    assert owner.get("/reports").json["items"][0]["link"] is None
    kept = everything_kept()
    for link in (draft["link"], first.json["link"], renewed["link"]):
        assert link.rpartition("/")[2] not in kept


def test_the_audit_tells_that_a_link_was_renewed_but_not_its_hash(
    owner: Caller, issued: dict
) -> None:
    change(owner, issued, "link", 2)
    change(owner, issued, "revoke", 3)

    revoked, renewed, *_ = owner.get(f"/audit?noun=reports&record_id={issued['id']}").json["items"]
    assert renewed["after"] == {"link_hash": "not recorded"}
    assert revoked["after"] == {"state": "revoked", "link_hash": None}


def test_looking_is_counted_and_changes_no_version(
    owner: Caller, stranger: Caller, issued: dict
) -> None:
    page_of(stranger, issued)
    page_of(stranger, issued)

    report = owner.get(f"/reports/{issued['id']}")
    assert report.json["views"] == 2
    assert report.json["last_viewed_at"] is not None
    assert report.headers["ETag"] == '"2"'


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"from_day": "2026-11-15"}, "to_day"),
        ({"to_day": "9999-12-31"}, "to_day"),
        ({"from_day": "2026-11-1"}, "from_day"),
        ({"replaces": 7}, "replaces"),
        ({"commission_id": 1_999_999_999}, "commission_id"),
        ({"headline": "x" * 201}, "headline"),
        ({"state": "issued"}, "state"),
    ],
)
def test_a_report_that_cannot_be_is_refused(
    owner: Caller, commission: dict, body: dict, field: str
) -> None:
    answer = owner.post("/reports", {"commission_id": commission["id"]} | SPAN | body)

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == [field]


def test_a_draft_is_not_amended_to_a_span_that_runs_backwards(owner: Caller, draft: dict) -> None:
    answer = owner.patch(f"/reports/{draft['id']}", {"to_day": "2026-10-31"}, version=1)

    assert list(answer.json["errors"]) == ["to_day"]


def test_reports_are_numbered_within_their_commission(
    owner: Caller, commission: dict, draft: dict
) -> None:
    second = owner.make("/reports", {"commission_id": commission["id"], "replaces": 1} | SPAN)

    assert (draft["number"], second["number"], second["replaces"]) == (1, 2, 1)


def test_the_page_runs_no_script_and_is_not_indexed(stranger: Caller, issued: dict) -> None:
    answer = open_link(stranger, issued)

    assert "script-src" not in answer.headers["Content-Security-Policy"]
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert b"<script" not in answer.data


def test_a_revoked_draft_has_no_paper(owner: Caller, draft: dict) -> None:
    change(owner, draft, "revoke", 1)

    assert owner.get(f"/reports/{draft['id']}/document.pdf").status_code == 404
    assert issue(owner, draft, version=2).status_code == 409


def test_reports_are_listed_by_their_state(owner: Caller, issued: dict) -> None:
    later = {"from_day": "2026-11-15", "to_day": "2026-11-16", "next_steps": "Dry fit."}
    fresh = owner.make("/reports", {"commission_id": issued["commission_id"]} | later)

    listed = {
        state: [each["id"] for each in owner.get(f"/reports?state={state}").json["items"]]
        for state in ("draft", "issued", "revoked")
    }

    assert listed == {"draft": [fresh["id"]], "issued": [issued["id"]], "revoked": []}
