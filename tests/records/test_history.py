"""The audit trail: every change leaves one line with what really changed, and no secret."""

import datetime as dt
from decimal import Decimal

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.errors import Stale
from service.records.history import Signature, amend, check_version, enter, strike
from service.records.models import AuditLine, Commission, Customer, Report, ReportState, Scope
from service.records.operations.audit import list_audit
from service.records.operations.reports import draft_report, issue_report
from service.records.operations.tokens import create_token

LATER = Signature(person="another", now=dt.datetime(2026, 11, 13, tzinfo=dt.UTC))


def lines_of(session: Session, record: Customer | Commission | Report) -> list[AuditLine]:
    return list_audit(
        session, cursor=None, limit=50, noun=record.__tablename__, record_id=record.id
    )[0]


def test_a_new_record_leaves_its_values(
    session: Session, customer: Customer, signed: Signature
) -> None:
    (line,) = lines_of(session, customer)

    assert (line.action, line.person, line.at) == ("created", "tester", signed.now)
    assert line.before is None
    assert line.after is not None
    assert line.after["name"] == "Maud Ellery"
    assert "version" not in line.after
    assert "created_at" not in line.after


def test_a_change_leaves_only_what_changed(session: Session, customer: Customer) -> None:
    amend(session, customer, {"name": "Maud Ellery", "phone": "1"}, signed=LATER)

    line = lines_of(session, customer)[0]
    assert (line.before, line.after) == ({"phone": None}, {"phone": "1"})
    assert (line.person, line.at) == ("another", LATER.now)
    assert (customer.version, customer.updated_at) == (2, LATER.now)


def test_a_change_of_nothing_leaves_no_line(session: Session, customer: Customer) -> None:
    amend(session, customer, {"name": "Maud Ellery"}, signed=LATER)

    assert len(lines_of(session, customer)) == 1
    assert customer.version == 1


def test_money_and_days_are_told_as_text(session: Session, commission: Commission) -> None:
    amend(
        session,
        commission,
        {"hourly_rate": Decimal("38.50"), "promised": dt.date(2027, 2, 20)},
        signed=LATER,
    )

    assert lines_of(session, commission)[0].after == {
        "hourly_rate": "38.50", "promised": "2027-02-20",
    }  # fmt: skip


def test_the_same_money_written_otherwise_is_no_change(
    session: Session, commission: Commission
) -> None:
    amend(session, commission, {"hourly_rate": Decimal("38.50")}, signed=LATER)
    amend(session, commission, {"hourly_rate": Decimal("38.5")}, signed=LATER)

    assert commission.version == 2


def test_a_removed_record_leaves_its_last_state(session: Session, signed: Signature) -> None:
    customer = Customer(name="Nobody")
    enter(session, customer, signed=signed)
    number = customer.id
    strike(session, customer, signed=LATER)

    line = list_audit(session, cursor=None, limit=1, noun="customers", record_id=number)[0][0]
    assert line.action == "deleted"
    assert line.before is not None
    assert line.before["name"] == "Nobody"


def test_no_secret_and_no_hash_of_one_is_told(
    session: Session, commission: Commission, signed: Signature
) -> None:
    token, secret = create_token(session, name="x", scope=Scope.BENCH, signed=signed)
    report, link = draft_report(
        session,
        commission_id=commission.id,
        from_day=dt.date(2026, 11, 1),
        to_day=dt.date(2026, 11, 14),
        signed=signed,
    )
    _, second = issue_report(
        session, report.id, version=1, content={"told": "WHOLE-DOCUMENT"},
        document_sha256="a" * 64, signed=signed,
    )  # fmt: skip

    told = repr([(line.before, line.after) for line in session.scalars(sa.select(AuditLine))])
    for hidden in (secret, token.hash, link, second, report.link_hash, "WHOLE-DOCUMENT"):
        assert hidden
        assert hidden not in told
    assert report.state is ReportState.ISSUED


@pytest.mark.parametrize("expected", [0, 2, 99])
def test_another_version_is_stale(customer: Customer, expected: int) -> None:
    with pytest.raises(Stale):
        check_version(customer, expected, "customer")


def test_the_right_version_or_none_passes(customer: Customer) -> None:
    check_version(customer, 1, "customer")
    check_version(customer, None, "customer")
