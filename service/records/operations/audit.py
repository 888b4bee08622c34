"""The audit trail, read."""

from typing import Any

from sqlalchemy.orm import Session

from service.records.models import AuditLine
from service.records.operations.lookup import Page, page


def list_audit(session: Session, **asked: Any) -> Page[AuditLine]:
    """A page of audit lines, newest first, perhaps of one `noun` or `record_id`."""
    return page(session, AuditLine, **asked)
