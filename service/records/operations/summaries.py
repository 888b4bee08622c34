"""The summary of one commission: where it stands in hours, money, parts and open decisions."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.models import Commission, LabourEntry, Part, ProgressNote
from service.records.operations.lookup import get
from service.records.operations.progress import open_decisions

PENNY = Decimal("0.01")
WARNING_SHARE = Decimal("0.8")
"""Share of the estimate at which the customer should hear of it, before it is passed."""


@dataclass(frozen=True, slots=True)
class Summary:
    """Where a commission stands. Minutes are whole; money is in the commission's currency."""

    commission: Commission
    minutes: int
    billable_minutes: int
    minutes_by_operation: dict[str, int]
    minutes_left: int | None
    near_estimate: bool
    labour_value: Decimal | None
    estimate_value: Decimal | None
    parts_by_state: dict[str, int]
    decisions: list[ProgressNote]


def summarise(session: Session, commission_id: int) -> Summary:
    """Add a commission up."""
    commission = get(session, Commission, commission_id)
    by_operation = minutes_by_operation(session, LabourEntry.commission_id == commission_id)
    billable = _billable_minutes(session, commission_id)
    estimate = commission.estimate_minutes
    return Summary(
        commission=commission,
        minutes=sum(by_operation.values()),
        billable_minutes=billable,
        minutes_by_operation=by_operation,
        minutes_left=None if estimate is None else estimate - billable,
        near_estimate=estimate is not None and billable >= WARNING_SHARE * estimate,
        labour_value=price(billable, commission.hourly_rate),
        estimate_value=None if estimate is None else price(estimate, commission.hourly_rate),
        parts_by_state=_parts_by_state(session, commission_id),
        decisions=open_decisions(session, commission_id),
    )


def price(minutes: int, hourly_rate: Decimal | None) -> Decimal | None:
    """Minutes at a rate, rounded once to the penny, half up (common practice)."""
    if hourly_rate is None:
        return None
    return (Decimal(minutes) * hourly_rate / 60).quantize(PENNY, ROUND_HALF_UP)


def minutes_by_operation(session: Session, *which: Any) -> dict[str, int]:
    """The minutes of some entries by operation, most first."""
    rows = session.execute(
        sa.select(LabourEntry.operation, sa.func.sum(LabourEntry.minutes))
        .where(*which)
        .group_by(LabourEntry.operation)
        .order_by(sa.func.sum(LabourEntry.minutes).desc(), LabourEntry.operation)
    )
    return {operation.value: int(minutes) for operation, minutes in rows}


def _billable_minutes(session: Session, commission_id: int) -> int:
    total = session.scalar(
        sa.select(sa.func.sum(LabourEntry.minutes)).where(
            LabourEntry.commission_id == commission_id, LabourEntry.billable
        )
    )
    return int(total or 0)


def _parts_by_state(session: Session, commission_id: int) -> dict[str, int]:
    rows = session.execute(
        sa.select(Part.state, sa.func.sum(Part.quantity))
        .where(Part.commission_id == commission_id)
        .group_by(Part.state)
        .order_by(Part.state)
    )
    return {state.value: int(quantity) for state, quantity in rows}
