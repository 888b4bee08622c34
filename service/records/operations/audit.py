"""The audit trail, read."""

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.models import AuditLine
from service.records.operations.lookup import page


def list_audit(
    session: Session,
    *,
    cursor: int | None,
    limit: int,
    noun: str | None = None,
    record_id: int | None = None,
) -> tuple[list[AuditLine], int | None]:
    """A page of audit lines, newest first."""
    statement = sa.select(AuditLine)
    if noun is not None:
        statement = statement.where(AuditLine.noun == noun)
    if record_id is not None:
        statement = statement.where(AuditLine.record_id == record_id)
    return page(session, statement, AuditLine, cursor=cursor, limit=limit)
