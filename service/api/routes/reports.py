"""Progress reports over HTTP: draft, read, issue, revoke."""

import datetime as dt
from typing import Any

from flask import Response
from sqlalchemy.orm import Session

from service.api.access import (
    blobs,
    database,
    keep_no_secret,
    prepared,
    session,
    settings,
    signed,
    today,
)
from service.api.answers import created
from service.api.blueprint import Blueprint
from service.api.noun import BINARY, Noun, reads, writes
from service.api.schemas.reports import ReportIn, ReportOut, ReportPage, ReportPatch, ReportQuery
from service.api.versions import match_version, require_version, show_version
from service.documents.report import ReportContent, typeset_report
from service.records.blobs import name_blob
from service.records.errors import NotFound
from service.records.models import Report, ReportState, Scope
from service.records.operations.lookup import get
from service.records.operations.report_contents import digest_content, gather_report
from service.records.operations.reports import (
    draft_report,
    issue_report,
    list_reports,
    relink_report,
    revoke_report,
    update_report,
)

blp = Blueprint("reports", __name__, description="What the customer is told.")


def shown(report: Report) -> Report:
    """The report, its version the ETag of the answer; of a draft with what it says just now.

    A draft follows the records, so the version alone would not tell that a note was changed after
    the owner read it.
    """
    if report.state is ReportState.DRAFT:
        show_version(report.version, digest_content(gather(session(), report, issued_on=None)))
    else:
        show_version(report.version)
    return report


def gather(session: Session, report: Report, *, issued_on: dt.date | None) -> dict[str, Any]:
    """What a report says as the records stand."""
    return gather_report(session, report, zone=settings().time_zone, issued_on=issued_on)


def with_link(report: Report, secret: str) -> Report:
    """The report with its link, which is shown in this answer only."""
    report.link = f"{settings().base_address}/r/{secret}"  # type: ignore[attr-defined]
    keep_no_secret("link")
    return report


reports = Noun(
    blp, Report, ReportOut, "/reports", "/reports/<number:report_id>", Scope.OWNER, shown
)
reports.lists(list_reports, ReportPage, "List reports, newest first.", ReportQuery)


@writes(blp, "POST", reports.all, "draft_report", ReportOut,
        body=ReportIn, manner="creates", status=201)  # fmt: skip
def draft(data: dict[str, Any]) -> Any:
    """Draft a report; its link shows the draft to the owner and follows the records."""
    report, secret = draft_report(session(), signed=signed(), **data)
    answer = created(with_link(report, secret))
    shown(report)
    return answer


reports.reads("get_report", "Read what is kept of a report beside its content.")
reports.amends(update_report, ReportPatch, "Amend a draft, or say when a link runs out.")


def typeset_for_issue(report_id: int) -> tuple[int, dict[str, Any], bytes]:
    """Gather and typeset a draft outside the write transaction: (version, content, document)."""
    with database().reading() as reading_session:
        report = get(reading_session, Report, report_id)
        version = report.version
        content = gather(reading_session, report, issued_on=today())
    document = typeset_report(ReportContent.from_plain(content), read_picture=blobs().read)
    return version, content, document


@writes(blp, "POST", f"{reports.one}/issue", "issue_report", ReportOut, prepare=typeset_for_issue)
def issue(report_id: int) -> Report:
    """Freeze a draft and make the customer's link."""
    version, content, document = prepared()
    # What was typeset must be what the owner read.
    match_version("report", version, digest_content(content))
    report, secret = issue_report(
        session(),
        report_id,
        version=version,
        content=content,
        document_sha256=name_blob(document),
        signed=signed(),
    )
    blobs().put(document)
    return with_link(shown(report), secret)


@writes(blp, "POST", f"{reports.one}/link", "relink_report", ReportOut)
def relink(report_id: int) -> Report:
    """Make a new link; the old one opens nothing any more."""
    version = version_read(report_id)
    report, secret = relink_report(session(), report_id, version=version, signed=signed())
    return with_link(shown(report), secret)


@writes(blp, "POST", f"{reports.one}/revoke", "revoke_report", ReportOut)
def revoke(report_id: int) -> Report:
    """Close a report's link for good."""
    version = version_read(report_id)
    return shown(revoke_report(session(), report_id, version=version, signed=signed()))


def version_read(report_id: int) -> int:
    """The version of the report, if If-Match names it."""
    require_version()
    return match_version("report", get(session(), Report, report_id).version)


@reads(blp, f"{reports.one}/document.pdf", "get_report_document", BINARY, scope=Scope.OWNER,
       content_type="application/pdf")  # fmt: skip
def fetch_document(report_id: int) -> Response:
    """Fetch the paper: as issued, or as a draft stands now."""
    report = get(session(), Report, report_id)
    return Response(document_of(report), mimetype="application/pdf")


def document_of(report: Report) -> bytes:
    """The paper of a report: the frozen one, or a draft typeset now."""
    if report.document_sha256:
        return blobs().read(report.document_sha256)
    if report.state is not ReportState.DRAFT:
        raise NotFound("report")
    content = gather(session(), report, issued_on=None)
    return typeset_report(ReportContent.from_plain(content), read_picture=blobs().read)
