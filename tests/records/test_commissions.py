"""Operations on commissions: references, pages, totals and sums."""

import datetime as dt
from decimal import Decimal

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.errors import Conflict, NotFound, Refused, Stale
from service.records.history import Signature
from service.records.models import (
    Commission,
    Customer,
    Operation,
    Owner,
    PartState,
    PriceBasis,
    Stage,
)
from service.records.operations.commissions import (
    create_commission,
    list_commissions,
    next_reference,
    update_commission,
)
from service.records.operations.labour import log_labour
from service.records.operations.lookup import get
from service.records.operations.parts import receive_part
from service.records.operations.summaries import price, summarise
from tests.records.conftest import open_commission


@pytest.mark.parametrize(
    ("taken", "following"),
    [
        ((), "26-001"),
        (("26-001",), "26-002"),
        (("26-041",), "26-042"),
        (("26-999",), "26-1000"),
        (("25-300", "27-300"), "26-001"),
        (("26-", "26-x", "26-007b", "26-٣", "26-9999999", "26--5", "26-1.5"), "26-001"),
        (("26-014-2", "26-014"), "26-015"),
    ],
)
def test_the_next_reference_follows_the_highest_of_the_year(
    session: Session, customer: Customer, signed: Signature, taken: tuple[str, ...], following: str
) -> None:
    for reference in taken:
        commission = open_commission(session, customer.id, signed)
        commission.reference = reference
        session.flush()

    assert next_reference(session, year=2026) == following


def test_the_turn_of_the_century_keeps_two_figures(session: Session) -> None:
    assert next_reference(session, year=2105) == "05-001"


def test_a_taken_reference_spoils_nothing_else(
    session: Session, commission: Commission, customer: Customer, signed: Signature
) -> None:
    other = open_commission(session, customer.id, signed)
    with pytest.raises(Conflict) as refusal:
        update_commission(
            session, other.id, version=1, reference=commission.reference, signed=signed
        )

    assert refusal.value.field == "reference"
    session.refresh(other)
    assert other.reference == "26-002"
    assert open_commission(session, customer.id, signed).reference == "26-003"


def test_another_version_or_an_unknown_record_is_refused(
    session: Session, commission: Commission, signed: Signature
) -> None:
    with pytest.raises(Stale):
        update_commission(session, commission.id, version=2, title="x", signed=signed)
    with pytest.raises(NotFound):
        get(session, Commission, 1_999_999_999)
    with pytest.raises(Refused) as refusal:
        update_commission(
            session, commission.id, version=1, customer_id=1_999_999_999, signed=signed
        )
    assert (refusal.value.field, refusal.value.code) == ("customer_id", "unknown-record")


def test_totals_of_one_commission_are_not_mixed_with_anothers(
    session: Session, commission: Commission, customer: Customer, signed: Signature
) -> None:
    other = open_commission(session, customer.id, signed)
    for one, minutes, billable in (
        (commission, 60, True), (commission, 5, False), (other, 7, True),
    ):  # fmt: skip
        log_labour(
            session, commission_id=one.id, day=signed.now.date(), operation=Operation.FILING,
            minutes=minutes, note=None, billable=billable, signed=signed,
        )  # fmt: skip
    for _ in range(3):
        receive_part(
            session, commission_id=commission.id, state=PartState.RECEIVED, name="Union",
            owner=Owner.CUSTOMER, quantity=2, ports=[], signed=signed,
        )  # fmt: skip

    rows, cursor = list_commissions(session, cursor=None, limit=10)
    assert cursor is None
    assert [(row["id"], row["minutes"], row["billable_minutes"], row["part_lines"]) for row in rows
    ] == [(other.id, 7, 7, 0), (commission.id, 65, 60, 3)]  # fmt: skip


@pytest.mark.parametrize(
    ("rate", "minutes", "promised", "microsecond"),
    [
        (None, None, None, 0),
        ("0.00", 0, dt.date(2027, 2, 20), 1),
        ("0.05", 1, dt.date(999, 1, 2), 120_000),
        ("38.50", 50, dt.date(2026, 12, 31), 999_999),
        ("1000.00", 3601, dt.date(2027, 1, 1), 0),
        ("9999999999.99", 6_000_000, dt.date(9999, 12, 31), 100),
    ],
)
def test_the_list_writes_what_the_records_hold(
    session: Session, customer: Customer,
    rate: str | None, minutes: int | None, promised: dt.date | None, microsecond: int,
) -> None:  # fmt: skip
    """The database writes the texts of the list; they are those that Python would write."""
    now = dt.datetime(2026, 3, 1, 1, 2, 3, microsecond, tzinfo=dt.UTC)
    made = create_commission(
        session, customer_id=customer.id, title="Plant", stage=Stage.IN_HAND, currency="GBP",
        price_basis=PriceBasis.STAGE_PRICES, promised=promised, estimate_minutes=minutes,
        hourly_rate=None if rate is None else Decimal(rate),
        signed=Signature(person="tester", now=now),
    )  # fmt: skip
    if session.connection().dialect.name == "postgresql":
        session.execute(sa.text("SET LOCAL TIME ZONE 'Asia/Tokyo'"))
        session.execute(sa.text("SET LOCAL DateStyle TO 'German'"))
    [row], _ = list_commissions(session, cursor=None, limit=10)

    assert row["created_at"] == row["updated_at"] == now.isoformat()
    assert row["hourly_rate"] == rate
    assert row["promised"] == (promised and promised.isoformat())
    assert row["estimate_hours"] == (None if minutes is None else round(minutes / 60, 4))
    assert isinstance(row["estimate_hours"], float | None)
    assert (row["stage"], row["price_basis"]) == (made.stage.value, made.price_basis.value)
    assert type(row["stage"]) is str


def test_pages_of_commissions_hold_each_once(
    session: Session, customer: Customer, signed: Signature
) -> None:
    made = [open_commission(session, customer.id, signed).id for _ in range(5)]
    seen: list[int] = []
    cursor = None
    while True:
        rows, cursor = list_commissions(session, cursor=cursor, limit=2, customer_id=customer.id)
        seen += [row["id"] for row in rows]
        if cursor is None:
            break

    assert seen == made[::-1]


@pytest.mark.parametrize(
    ("minutes", "rate", "value"),
    [
        (90, "38.50", "57.75"),
        (1, "38.50", "0.64"),  # 0.6416
        (1, "0.30", "0.01"),  # half a penny is rounded up
        (0, "38.50", "0.00"),
        (6_000_000, "9999999999.99", "999999999999000.00"),
    ],
)
def test_labour_is_rounded_once_to_the_penny(minutes: int, rate: str, value: str) -> None:
    assert str(price(minutes, Decimal(rate))) == value


def test_without_a_rate_there_is_no_price() -> None:
    assert price(90, None) is None


@pytest.mark.parametrize(("minutes", "near"), [(47, False), (48, True), (61, True)])
def test_the_customer_should_hear_before_the_estimate_is_passed(
    session: Session, commission: Commission, signed: Signature, minutes: int, near: bool
) -> None:
    update_commission(session, commission.id, version=1, estimate_minutes=60, signed=signed)
    log_labour(
        session, commission_id=commission.id, day=signed.now.date(), operation=Operation.FILING,
        minutes=minutes, note=None, billable=True, signed=signed,
    )  # fmt: skip

    summary = summarise(session, commission.id)
    assert summary.near_estimate is near
    assert summary.minutes_left == 60 - minutes


def test_labour_may_be_logged_a_day_ahead_of_utc_and_no_more(
    session: Session, commission: Commission, signed: Signature
) -> None:
    def log(ahead: int) -> None:
        log_labour(
            session, commission_id=commission.id, minutes=5, note=None, billable=True,
            day=signed.now.date() + dt.timedelta(days=ahead), operation=Operation.FILING,
            signed=signed,
        )  # fmt: skip

    log(1)
    with pytest.raises(Refused):
        log(2)


def test_hours_are_shown_where_the_customer_pays_by_the_hour() -> None:
    assert {basis for basis in PriceBasis if basis.shows_hours} == {
        PriceBasis.ESTIMATE, PriceBasis.TIME_AND_MATERIALS,
    }  # fmt: skip
