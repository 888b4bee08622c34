"""Commissions: entering, amending, and listing with totals."""

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from service.records.errors import Conflict
from service.records.history import Signature, amend, enter
from service.records.models import Commission, Customer, LabourEntry, Part
from service.records.operations.lookup import get_read, require_named
from service.records.operations.workshop import get_workshop
from service.records.plain_columns import plain, plain_hours

REFERENCE_TRIES = 20
RUNNING_NUMBER = re.compile("[0-9]{1,6}")
"""The tail of a reference that counts; a longer one is somebody's own and is not counted on."""

# Tables and not classes: the list is read as plain rows, past the object layer.
commissions, customers, entries, part_lines = (
    model.__table__ for model in (Commission, Customer, LabourEntry, Part)
)


def list_commissions(
    session: Session, *, cursor: int | None, limit: int, **filters: Any
) -> tuple[list[dict[str, Any]], int | None]:
    """A page of commissions with their totals as JSON holds them, newest first.

    `filters` are equal values of `customer_id`, `reference` or `stage`. Plain rows and not records,
    from a statement built once: this is the list that stands open all day.
    """
    given = {name: value for name, value in filters.items() if value is not None}
    values = {**given, "limit": limit + 1}
    if cursor is not None:
        values["cursor"] = cursor
    statement = _listing(frozenset(values) - {"limit"})
    result = session.connection().execute(statement, values)
    names = tuple(result.keys())
    rows = [dict(zip(names, row, strict=True)) for row in result.all()]
    return rows[:limit], rows[limit - 1]["id"] if len(rows) > limit else None


def create_commission(
    session: Session,
    *,
    customer_id: int,
    signed: Signature,
    reference: str | None = None,
    currency: str | None = None,
    **particulars: Any,
) -> Commission:
    """Enter a commission; without a reference it takes the next one of the year, as `26-014`.

    Without a currency it is reckoned in the workshop's own.
    """
    require_named(session, Customer, customer_id, field="customer_id")
    particulars["currency"] = currency or get_workshop(session).currency
    if reference is not None:
        return _enter(session, reference, signed, customer_id=customer_id, **particulars)
    for _ in range(REFERENCE_TRIES):  # another writer may take the same number first
        try:
            number = next_reference(session, year=signed.now.year)
            return _enter(session, number, signed, customer_id=customer_id, **particulars)
        except Conflict:
            continue
    raise Conflict("No free reference was found; give one.", field="reference")


def update_commission(
    session: Session, commission_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> Commission:
    """Amend a commission."""
    commission = get_read(session, Commission, commission_id, version)
    if "customer_id" in changes:
        require_named(session, Customer, changes["customer_id"], field="customer_id")
    try:
        with session.begin_nested():
            amend(session, commission, changes, signed=signed)
    except IntegrityError:
        raise _taken(changes.get("reference")) from None
    return commission


def next_reference(session: Session, *, year: int) -> str:
    """The next free reference of a year: two digits of the year, then a running number."""
    prefix = f"{year % 100:02d}-"
    numbers = [
        int(tail)
        for reference in session.scalars(
            sa.select(Commission.reference).where(Commission.reference.startswith(prefix))
        )
        if RUNNING_NUMBER.fullmatch(tail := reference.removeprefix(prefix))
    ]
    return f"{prefix}{max(numbers, default=0) + 1:03d}"


def _enter(session: Session, reference: str, signed: Signature, **particulars: Any) -> Commission:
    commission = Commission(reference=reference, **particulars)
    try:
        with session.begin_nested():
            enter(session, commission, signed=signed)
    except IntegrityError:
        raise _taken(reference) from None
    return commission


def _taken(reference: str | None) -> Conflict:
    return Conflict(
        f"The reference {reference} is taken by another commission.",
        field="reference",
        code="reference-taken",
    )


@cache
def _listing(given: frozenset[str]) -> sa.Select[Any]:
    """The list's statement for one set of filters.

    The totals are subqueries of each row: added up for the page only, straight out of the indexes.
    """
    statement = (
        sa.select(*_columns(), customers.c.name.label("customer_name"), *_totals())
        .join(customers, customers.c.id == commissions.c.customer_id)
        .order_by(commissions.c.id.desc())
        .limit(sa.bindparam("limit"))
    )
    for name in sorted(given - {"cursor"}):
        statement = statement.where(commissions.c[name] == sa.bindparam(name))
    if "cursor" in given:
        statement = statement.where(commissions.c.id < sa.bindparam("cursor"))
    return statement


def _columns() -> Iterator[sa.ColumnElement[Any]]:
    """The columns of a commission, its name first; the estimate in hours."""
    first = (commissions.c.id, commissions.c.version)
    hours = commissions.c.estimate_minutes
    for column in (*first, *(each for each in commissions.c if each not in {*first, hours})):
        yield plain(column)
    yield plain_hours(hours, "estimate_hours")


def _totals() -> Iterator[sa.ColumnElement[Any]]:
    minutes = sa.select(sa.func.coalesce(sa.func.sum(entries.c.minutes), 0)).where(
        entries.c.commission_id == commissions.c.id
    )
    lines = sa.select(sa.func.count()).where(part_lines.c.commission_id == commissions.c.id)
    yield minutes.scalar_subquery().label("minutes")
    yield minutes.where(entries.c.billable).scalar_subquery().label("billable_minutes")
    yield lines.scalar_subquery().label("part_lines")
