"""Columns mean the same on both databases."""

import datetime as dt
from decimal import Decimal

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.columns import ExactDecimal, UtcDateTime, enum_column
from service.records.models import Commission, Customer, PartState, Stage

TABLE = sa.Table(
    "tried_columns",
    sa.MetaData(),
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("money", ExactDecimal()),
    sa.Column("moment", UtcDateTime()),
    sa.Column("state", enum_column(PartState)),
    sqlite_strict=True,
)


@pytest.fixture
def kept(session: Session) -> Session:
    """A session in which the table is there."""
    TABLE.create(session.connection())
    return session


@pytest.mark.parametrize(
    "amount", ["0.00", "0.01", "38.50", "-12.34", "9999999999.99", "-9999999999.99"]
)
def test_money_comes_back_as_it_went_in(kept: Session, amount: str) -> None:
    kept.execute(TABLE.insert().values(money=Decimal(amount)))

    found = kept.scalar(sa.select(TABLE.c.money))
    assert isinstance(found, Decimal)
    assert str(found) == amount


def test_sums_of_money_are_exact(kept: Session) -> None:
    kept.execute(TABLE.insert(), [{"money": Decimal("0.10")}] * 30)

    total = kept.scalar(sa.select(sa.type_coerce(sa.func.sum(TABLE.c.money), ExactDecimal())))
    assert total == Decimal("3.00")


@pytest.mark.parametrize("amount", ["0.001", "12.345", "1E-3", "NaN", "Infinity"])
def test_money_with_more_places_than_the_coin_is_refused(kept: Session, amount: str) -> None:
    with pytest.raises(sa.exc.StatementError):
        kept.execute(TABLE.insert().values(money=Decimal(amount)))


def test_moments_come_back_aware_and_in_their_order(kept: Session) -> None:
    zone = dt.timezone(dt.timedelta(hours=-5))
    moments = [
        dt.datetime(2026, 11, 12, 23, 30, tzinfo=zone),
        dt.datetime(2026, 11, 13, 4, 0, 0, 1, tzinfo=dt.UTC),
        dt.datetime(2026, 11, 13, 4, 0, tzinfo=dt.UTC),
        dt.datetime(1970, 1, 1, tzinfo=dt.UTC),
    ]
    kept.execute(TABLE.insert(), [{"moment": moment} for moment in moments])

    found = list(kept.scalars(sa.select(TABLE.c.moment).order_by(TABLE.c.moment)))
    assert found == sorted(moments)
    assert {moment.utcoffset() for moment in found} == {dt.timedelta(0)}


def test_a_moment_without_its_offset_is_refused(kept: Session) -> None:
    with pytest.raises(sa.exc.StatementError, match="offset"):
        kept.execute(TABLE.insert().values(moment=dt.datetime(2026, 11, 12)))  # noqa: DTZ001


def test_nothing_is_nothing(kept: Session) -> None:
    kept.execute(TABLE.insert().values(money=None, moment=None, state=None))

    assert kept.execute(sa.select(TABLE.c.money, TABLE.c.moment, TABLE.c.state)).one() == (
        None, None, None,
    )  # fmt: skip


def test_the_database_itself_refuses_a_state_that_is_none(kept: Session) -> None:
    kept.execute(TABLE.insert().values(state=PartState.ON_BENCH))
    assert kept.scalar(sa.select(sa.cast(TABLE.c.state, sa.String))) == "on_bench"

    with pytest.raises(sa.exc.IntegrityError), kept.begin_nested():
        kept.execute(sa.text("INSERT INTO tried_columns (state) VALUES ('eaten')"))


@pytest.mark.parametrize(
    "faulty",
    [
        {"estimate_minutes": -1},
        {"hourly_rate": Decimal("-1.00")},
        {"customer_id": 1_999_999_999},
        {"title": None},
    ],
)
def test_the_database_itself_refuses_what_no_commission_has(
    session: Session, commission: Commission, faulty: dict
) -> None:
    values = {
        "customer_id": commission.customer_id, "reference": "x", "title": "t", "version": 1,
        "stage": Stage.AGREED, "price_basis": commission.price_basis, "currency": "GBP",
        "created_at": commission.created_at, "updated_at": commission.created_at,
    }  # fmt: skip
    with pytest.raises(sa.exc.IntegrityError), session.begin_nested():
        session.execute(sa.insert(Commission).values(values | faulty))


def test_a_customer_with_commissions_cannot_be_deleted(
    session: Session, commission: Commission
) -> None:
    with pytest.raises(sa.exc.IntegrityError), session.begin_nested():
        session.execute(sa.delete(Customer).where(Customer.id == commission.customer_id))
