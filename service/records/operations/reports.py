"""Progress reports: drafting, issuing once, revoking, and showing by a secret link."""

import datetime as dt
import secrets
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.errors import Conflict, Refused
from service.records.history import Signature, amend, enter
from service.records.models import Commission, PaperNumber, Report, ReportState
from service.records.models.paper_numbers import ANY
from service.records.operations.lookup import Page, get_read, page, require_named
from service.records.operations.tokens import digest
from service.records.standing import LINK_WITHDRAWN, PAPER_ISSUED, REPORT_REVOKED, note

PAPER = "report"


def list_reports(session: Session, **asked: Any) -> Page[Report]:
    """A page of reports, newest first, perhaps of one `commission_id` or `state`."""
    return page(session, Report, **asked)


def draft_report(
    session: Session, *, commission_id: int, signed: Signature, **particulars: Any
) -> tuple[Report, str]:
    """Begin a report; the secret returned with it opens the draft for the owner to read."""
    require_named(session, Commission, commission_id, field="commission_id")
    # Locked, so that two drafts of one commission cannot take the same number.
    session.execute(
        sa.select(Commission.id).where(Commission.id == commission_id).with_for_update()
    )
    _refuse_past_end(particulars.get("link_expires_at"), signed)
    number = _next_number(session, commission_id)
    if (replaced := particulars.get("replaces")) is not None and replaced >= number:
        raise Refused(f"This commission has no report {replaced}.", field="replaces")
    secret = make_secret()
    report = Report(
        commission_id=commission_id,
        number=number,
        state=ReportState.DRAFT,
        link_hash=digest(secret),
        **particulars,
    )
    enter(session, report, signed=signed)
    return report, secret


def update_report(
    session: Session, report_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> Report:
    """Amend a draft; of an issued report nothing changes but when its link runs out."""
    report = get_read(session, Report, report_id, version)
    if report.state is not ReportState.ISSUED or changes.keys() != {"link_expires_at"}:
        _refuse_unless_draft(report)
    _refuse_past_end(changes.get("link_expires_at"), signed)
    from_day = changes.get("from_day", report.from_day)
    if changes.get("to_day", report.to_day) < from_day:
        raise Refused("The span ends before it begins.", field="to_day")
    amend(session, report, changes, signed=signed)
    return report


def issue_report(
    session: Session,
    report_id: int,
    *,
    version: int | None,
    content: dict[str, Any],
    document_sha256: str,
    signed: Signature,
) -> tuple[Report, str]:
    """Freeze a draft with the content and document the owner has read; returns the new secret."""
    report = get_read(session, Report, report_id, version)
    _refuse_unless_draft(report)
    secret = make_secret()
    _withdraw_link(session, report, LINK_WITHDRAWN)
    series = session.get_one(Commission, report.commission_id).reference
    note(session, PAPER_ISSUED, paper=PAPER, series=series, number=report.number)
    report.content, report.link_hash = content, digest(secret)
    issued = {"document_sha256": document_sha256, "issued_at": signed.now}
    amend(session, report, {"state": ReportState.ISSUED, **issued}, signed=signed)
    return report, secret


def relink_report(
    session: Session, report_id: int, *, version: int | None, signed: Signature
) -> tuple[Report, str]:
    """A new link for a report; the old one opens nothing any more.

    An end that is still to come is the new link's too; one that has passed is not.
    """
    report = get_read(session, Report, report_id, version)
    if report.state is ReportState.REVOKED:
        raise Conflict("This report was revoked; draft a new one.", code="report-revoked")
    secret = make_secret()
    _withdraw_link(session, report, LINK_WITHDRAWN)
    kept_end = None if has_run_out(report, now=signed.now) else report.link_expires_at
    changes = {"link_hash": digest(secret), "link_expires_at": kept_end}
    amend(session, report, changes, signed=signed)
    return report, secret


def revoke_report(
    session: Session, report_id: int, *, version: int | None, signed: Signature
) -> Report:
    """Close a report's link for good."""
    report = get_read(session, Report, report_id, version)
    _withdraw_link(session, report, REPORT_REVOKED)
    amend(session, report, {"state": ReportState.REVOKED, "link_hash": None}, signed=signed)
    return report


def find_report_by_link(session: Session, secret: str) -> Report | None:
    """The report a link opens, or None; a revoked report has no link."""
    return session.scalar(sa.select(Report).where(Report.link_hash == digest(secret)))


def has_run_out(report: Report, *, now: dt.datetime) -> bool:
    """Whether the report's link opens nothing any more."""
    return report.link_expires_at is not None and report.link_expires_at <= now


def count_view(session: Session, report_id: int, *, now: dt.datetime) -> None:
    """Note that a report was looked at. Not a change of the record, so its version stays."""
    session.execute(
        sa.update(Report)
        .where(Report.id == report_id)
        .values(views=Report.views + 1, last_viewed_at=now)
    )


def make_secret() -> str:
    """The secret part of a link: 256 bits of chance."""
    return secrets.token_urlsafe(32)


def _withdraw_link(session: Session, report: Report, what: str) -> None:
    """Let the link stay closed though a backup be restored in which it was open."""
    if report.link_hash is not None:
        note(session, what, hash=report.link_hash)


def _next_number(session: Session, commission_id: int) -> int:
    """One above the highest, of reports that are here and of those that a restore lost."""
    here = sa.select(sa.func.max(Report.number)).where(Report.commission_id == commission_id)
    series = sa.select(Commission.reference).where(Commission.id == commission_id)
    lost = sa.select(sa.func.max(PaperNumber.highest)).where(
        PaperNumber.paper == PAPER,
        sa.or_(PaperNumber.series == series.scalar_subquery(), PaperNumber.series == ANY),
    )
    return max(session.scalar(here) or 0, session.scalar(lost) or 0) + 1


def _refuse_past_end(end: dt.datetime | None, signed: Signature) -> None:
    if end is not None and end <= signed.now:
        raise Refused("This moment has passed; to close the link, revoke.", field="link_expires_at")


def _refuse_unless_draft(report: Report) -> None:
    if report.state is not ReportState.DRAFT:
        raise Conflict(
            f"Report {report.number} was {report.state}; draft a new one that replaces it.",
            code="document-issued-locked",
        )
