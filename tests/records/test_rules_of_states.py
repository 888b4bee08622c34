"""What may follow what: parts between their states, reports from draft to revoked, questions."""

import datetime as dt
from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy.orm import Session

from service.records.errors import Conflict, Refused
from service.records.history import Signature
from service.records.models import (
    Commission,
    Operation,
    Owner,
    Part,
    PartState,
    PriceBasis,
    ProgressNote,
    Report,
    ReportState,
)
from service.records.operations.commissions import update_commission
from service.records.operations.labour import list_labour, log_labour
from service.records.operations.parts import move_part, receive_part, update_part
from service.records.operations.progress import list_progress, post_progress, update_progress
from service.records.operations.report_contents import digest_content, gather_report
from service.records.operations.reports import (
    count_view,
    draft_report,
    find_report_by_link,
    issue_report,
    relink_report,
    revoke_report,
    update_report,
)
from tests.conftest import NOW

# Parts

IN_HAND = ("received", "on_bench", "sublet", "fitted")
"""What lies with us may become anything but expected."""
ANYWHERE = {*IN_HAND, "used_up", "returned", "spoiled", "lost"}
MAY_BECOME: dict[str, set[str]] = {
    "expected": {"received", "lost"},
    **dict.fromkeys(IN_HAND, ANYWHERE),
    "lost": {"received", "returned"},
    "spoiled": {"returned"},
    "used_up": set(),
    "returned": {"received"},
}
"""The rule written out: nothing goes back to expected, and what is used up is gone."""

Receive = Callable[..., Part]


@pytest.fixture
def receive(session: Session, commission: Commission, signed: Signature) -> Receive:
    """Receives a line of five, in any state."""

    def enter(state: str = "received", **changes: Any) -> Part:
        particulars = {"name": "Union", "owner": Owner.CUSTOMER, "quantity": 5, "ports": []}
        part = receive_part(
            session, commission_id=commission.id, state=PartState.RECEIVED, signed=signed,
            **particulars | changes,
        )  # fmt: skip
        part.state = PartState(state)
        session.flush()
        return part

    return enter


@pytest.mark.parametrize("state", list(MAY_BECOME))
def test_a_part_becomes_what_its_state_lets_it_and_nothing_else(
    session: Session, receive: Receive, signed: Signature, state: str
) -> None:
    became = set()
    for other in PartState:
        part = receive(state)
        try:
            move_part(session, part.id, to_state=other, note="n", signed=signed)
        except Refused:
            continue
        became.add(part.state.value)

    assert became == MAY_BECOME[state] | {state}  # to stay is to change the place


@pytest.mark.parametrize("owner", list(Owner))
@pytest.mark.parametrize("state", sorted(ANYWHERE))
def test_a_customers_part_does_not_vanish_without_a_note(
    session: Session, receive: Receive, signed: Signature, owner: Owner, state: str
) -> None:
    part = receive(owner=owner)
    is_gone = state in {"spoiled", "lost", "used_up"}

    if is_gone and owner is Owner.CUSTOMER:
        for note in (None, ""):
            with pytest.raises(Refused) as refusal:
                move_part(session, part.id, to_state=PartState(state), note=note, signed=signed)
            assert refusal.value.field == "note"
        move_part(session, part.id, to_state=PartState(state), note="n", signed=signed)
    else:
        move_part(session, part.id, to_state=PartState(state), signed=signed)
    assert part.state.value == state


@pytest.mark.parametrize("state", list(PartState))
def test_a_new_part_is_expected_or_received_and_nothing_else(
    session: Session, commission: Commission, signed: Signature, state: PartState
) -> None:
    def enter() -> Part:
        return receive_part(
            session, commission_id=commission.id, state=state, name="n", owner=Owner.BOUGHT,
            quantity=1, ports=[], signed=signed,
        )  # fmt: skip

    if state.value in {"expected", "received"}:
        assert enter().state is state
    else:
        with pytest.raises(Refused) as refusal:
            enter()
        assert refusal.value.field == "state"


@pytest.mark.parametrize("state", list(PartState))
def test_a_count_is_mended_before_the_line_moved(
    session: Session, receive: Receive, signed: Signature, state: PartState
) -> None:
    part = receive(state.value)
    if state.value in {"expected", "received"}:
        assert update_part(session, part.id, version=None, quantity=6, signed=signed).quantity == 6
    else:
        with pytest.raises(Refused) as refusal:
            update_part(session, part.id, version=None, quantity=6, signed=signed)
        assert refusal.value.field == "quantity"
    assert update_part(session, part.id, version=None, name="n", signed=signed).name == "n"


@pytest.mark.parametrize(("moved", "split"), [(4, True), (5, False), (None, False), (6, None)])
def test_moving_some_splits_the_line(
    session: Session, receive: Receive, signed: Signature, moved: int | None, split: bool | None
) -> None:
    part = receive(place="shelf")

    def move() -> int:
        return move_part(
            session, part.id, to_state=PartState.ON_BENCH, quantity=moved, place="vice",
            signed=signed,
        ).part_id  # fmt: skip

    if split is None:
        with pytest.raises(Refused) as refusal:
            move()
        assert refusal.value.field == "quantity"
        return
    other = session.get(Part, move())
    assert other is not None
    assert (other.id != part.id) is split
    assert (other.state, other.place) == (PartState.ON_BENCH, "vice")
    if split:
        assert (part.quantity, other.quantity, other.split_from_id) == (1, 4, part.id)
        assert (part.state, part.place) == (PartState.RECEIVED, "shelf")


# Reports

FIRST, LAST = dt.date(2026, 11, 1), dt.date(2026, 11, 14)


def draft(session: Session, commission: Commission, signed: Signature, **changes: Any) -> Report:
    span = {"from_day": FIRST, "to_day": LAST} | changes
    report, _ = draft_report(session, commission_id=commission.id, signed=signed, **span)
    return report


def issue(session: Session, report: Report, signed: Signature) -> str:
    _, secret = issue_report(
        session, report.id, version=None, content={"a": 1}, document_sha256="0" * 64, signed=signed
    )
    return secret


def test_a_report_replaces_an_earlier_one_only(
    session: Session, commission: Commission, signed: Signature
) -> None:
    assert draft(session, commission, signed).number == 1
    assert draft(session, commission, signed, replaces=1).number == 2
    assert draft(session, commission, signed, replaces=2).replaces == 2
    for number in (4, 5):  # itself, and one that is not there
        with pytest.raises(Refused) as refusal:
            draft(session, commission, signed, replaces=number)
        assert refusal.value.field == "replaces"


def test_a_span_may_be_one_day_and_never_less(
    session: Session, commission: Commission, signed: Signature
) -> None:
    report = draft(session, commission, signed)
    update_report(session, report.id, version=None, to_day=FIRST, signed=signed)
    for changes in ({"to_day": FIRST - dt.timedelta(1)}, {"from_day": FIRST + dt.timedelta(1)}):
        with pytest.raises(Refused) as refusal:
            update_report(session, report.id, version=None, signed=signed, **changes)
        assert refusal.value.field == "to_day"


def test_only_a_draft_is_changed_or_issued(
    session: Session, commission: Commission, signed: Signature
) -> None:
    for close in (issue, revoke):
        report = draft(session, commission, signed)
        close(session, report, signed)
        for change in (
            lambda one=report: update_report(
                session, one.id, version=None, headline="h", signed=signed
            ),
            lambda one=report: issue(session, one, signed),
        ):
            with pytest.raises(Conflict) as refusal:
                change()
            assert refusal.value.code == "document-issued-locked"


def revoke(session: Session, report: Report, signed: Signature) -> None:
    revoke_report(session, report.id, version=None, signed=signed)


def test_a_link_opens_until_it_is_renewed_or_revoked(
    session: Session, commission: Commission, signed: Signature
) -> None:
    report, first = draft_report(
        session, commission_id=commission.id, from_day=FIRST, to_day=LAST, signed=signed
    )
    assert find_report_by_link(session, first) is report
    second = issue(session, report, signed)
    _, third = relink_report(session, report.id, version=None, signed=signed)
    assert [find_report_by_link(session, each) for each in (first, second)] == [None, None]
    assert find_report_by_link(session, third) is report
    assert len({first, second, third}) == 3
    assert {len(each) for each in (first, second, third)} == {43}

    revoke(session, report, signed)
    assert find_report_by_link(session, third) is None
    with pytest.raises(Conflict) as refusal:
        relink_report(session, report.id, version=None, signed=signed)
    assert refusal.value.code == "report-revoked"
    assert report.state is ReportState.REVOKED


def test_each_look_is_one_view(session: Session, commission: Commission, signed: Signature) -> None:
    report = draft(session, commission, signed)
    version = report.version
    for _ in range(2):
        count_view(session, report.id, now=signed.now)
    session.refresh(report)
    assert (report.views, report.last_viewed_at, report.version) == (2, signed.now, version)


# What a report says

ZONE = ZoneInfo("Europe/London")


def said(session: Session, report: Report, zone: ZoneInfo = ZONE) -> dict[str, Any]:
    return gather_report(session, report, zone=zone, issued_on=None)


def note(
    session: Session, commission: Commission, signed: Signature, **changes: Any
) -> ProgressNote:
    particulars = {
        "day": FIRST, "text": "t", "for_customer": True, "decision_wanted": None, "pictures": []
    }  # fmt: skip
    return post_progress(
        session, commission_id=commission.id, signed=signed, **particulars | changes
    )


def test_a_report_takes_the_days_of_its_span_both_ends_included(
    session: Session, commission: Commission, signed: Signature
) -> None:
    day = dt.timedelta(1)
    for when in (FIRST - day, FIRST, LAST, LAST + day):
        note(session, commission, signed, day=when, text=when.isoformat())
        log_labour(
            session, commission_id=commission.id, minutes=10, note=None, billable=True, day=when,
            operation=Operation.FILING, signed=Signature("t", NOW + 9 * day),
        )  # fmt: skip
    log_labour(
        session, commission_id=commission.id, minutes=7, note=None, billable=False, day=FIRST,
        operation=Operation.FILING, signed=signed,
    )  # fmt: skip
    note(session, commission, signed, text="private", for_customer=False)
    content = said(session, draft(session, commission, signed))

    assert [one["text"] for one in content["notes"]] == [FIRST.isoformat(), LAST.isoformat()]
    assert content["hours"]["minutes_in_span"] == 20
    assert content["hours"]["minutes_to_date"] == 40
    listed, _ = list_labour(session, cursor=None, limit=9, from_day=FIRST, to_day=LAST)
    assert sorted(entry.minutes for entry in listed) == [7, 10, 10]


@pytest.mark.parametrize("basis", list(PriceBasis))
def test_hours_are_told_where_they_are_paid(
    session: Session, commission: Commission, signed: Signature, basis: PriceBasis
) -> None:
    update_commission(session, commission.id, version=None, price_basis=basis, signed=signed)
    content = said(session, draft(session, commission, signed))

    assert (content["hours"] is not None) is (basis.value in {"estimate", "time_and_materials"})


@pytest.mark.parametrize(
    ("answered", "zone", "told"),
    [
        # Midnight in London in November is midnight in UTC; in Tokyo the day is nine hours older.
        ("2026-10-31T23:59:59.999999+00:00", "Europe/London", False),
        ("2026-11-01T00:00:00+00:00", "Europe/London", True),
        ("2026-11-14T23:59:59.999999+00:00", "Europe/London", True),
        ("2026-11-15T00:00:00+00:00", "Europe/London", False),
        ("2026-10-31T15:00:00+00:00", "Asia/Tokyo", True),
        ("2026-10-31T14:59:59+00:00", "Asia/Tokyo", False),
        ("2026-11-14T15:00:00+00:00", "Asia/Tokyo", False),
    ],
)
def test_an_answer_belongs_to_the_workshops_own_day(
    session: Session, commission: Commission, signed: Signature, answered: str, zone: str,
    told: bool,
) -> None:  # fmt: skip
    asked = note(session, commission, signed, decision_wanted="q")
    moment = dt.datetime.fromisoformat(answered)
    update_progress(
        session, asked.id, version=None, decision_answer="a", signed=Signature("t", moment)
    )
    content = said(session, draft(session, commission, signed), ZoneInfo(zone))

    assert bool(content["answers"]) is told
    assert content["decisions"] == []


def test_a_digest_tells_every_change_but_not_the_day_of_issue() -> None:
    content = {"headline": "h", "notes": [], "issued_on": None}

    assert digest_content(content) == digest_content(content | {"issued_on": "2026-11-15"})
    assert digest_content(content) != digest_content(content | {"headline": "i"})
    assert len(digest_content(content)) == 16
    assert set(digest_content(content)) <= set("0123456789abcdef")


# Questions


def test_a_question_is_open_until_answered_and_open_again_when_changed(
    session: Session, commission: Commission, signed: Signature
) -> None:
    def are_open(state: bool | None) -> int:
        return len(list_progress(session, cursor=None, limit=9, open_decision=state)[0])

    asked = note(session, commission, signed, decision_wanted="q")
    note(session, commission, signed)
    assert (are_open(True), are_open(False), are_open(None)) == (1, 1, 2)
    update_progress(session, asked.id, version=None, decision_answer="a", signed=signed)
    assert (are_open(True), are_open(False)) == (0, 2)
    assert asked.answered_at == signed.now
    update_progress(session, asked.id, version=None, text="u", decision_wanted="q", signed=signed)
    assert are_open(True) == 0
    update_progress(session, asked.id, version=None, decision_wanted="r", signed=signed)
    assert are_open(True) == 1
    assert (asked.decision_answer, asked.answered_at) == (None, None)
