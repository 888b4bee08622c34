"""Progress reports over HTTP: draft, read, issue, revoke."""

import datetime as dt
from typing import Any

from flask import Response
from flask.views import MethodView
from sqlalchemy.orm import Session

from service.api.access import (
    blobs,
    content_named,
    database,
    keep_no_secret,
    prepared,
    reading,
    session,
    settings,
    show_version,
    signed,
    today,
    version_named,
    writing,
)
from service.api.answers import created
from service.api.blueprint import Blueprint
from service.api.paging import envelope
from service.api.schemas.reports import ReportIn, ReportOut, ReportPage, ReportPatch, ReportQuery
from service.documents.report import ReportContent, typeset_report
from service.records.errors import NotFound, Stale
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
    return gather_report(
        session,
        report,
        zone=settings().time_zone,
        issued_on=issued_on,
    )


def with_link(report: Report, secret: str) -> Report:
    """The report with its link, which is shown in this answer only."""
    report.link = f"{settings().base_address}/r/{secret}"  # type: ignore[attr-defined]
    keep_no_secret("link")
    return report


@blp.route("/reports")
class Reports(MethodView):
    """All reports."""

    @reading(Scope.OWNER)
    @blp.operation("list_reports", Scope.OWNER, "lists")
    @blp.arguments(ReportQuery, location="query")
    @blp.response(200, ReportPage)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List reports, newest first."""
        return envelope(*list_reports(session(), **query))

    @writing(Scope.OWNER)
    @blp.operation("draft_report", Scope.OWNER, "creates")
    @blp.arguments(ReportIn)
    @blp.response(201, ReportOut)
    def post(self, data: dict[str, Any]) -> Any:
        """Draft a report; its link shows the draft to the owner and follows the records."""
        report, secret = draft_report(session(), signed=signed(), **data)
        answer = created(with_link(report, secret))
        shown(report)
        return answer


@blp.route("/reports/<number:report_id>")
class OneReport(MethodView):
    """One report."""

    @reading(Scope.OWNER)
    @blp.operation("get_report", Scope.OWNER, "reads")
    @blp.response(200, ReportOut)
    def get(self, report_id: int) -> Report:
        """Read what is kept of a report beside its content."""
        return shown(get(session(), Report, report_id))

    @writing(Scope.OWNER)
    @blp.operation("update_report", Scope.OWNER, "updates")
    @blp.arguments(ReportPatch)
    @blp.response(200, ReportOut)
    def patch(self, data: dict[str, Any], report_id: int) -> Report:
        """Amend a draft."""
        return shown(
            update_report(session(), report_id, version=version_named(), signed=signed(), **data)
        )


def typeset_for_issue(report_id: int) -> tuple[int, dict[str, Any], str]:
    """Gather and typeset a draft outside the write transaction: (version, content, document)."""
    with database().reading() as reading_session:
        report = get(reading_session, Report, report_id)
        version = report.version
        content = gather(reading_session, report, issued_on=today())
    document = typeset_report(ReportContent.from_plain(content), read_picture=blobs().read)
    return version, content, blobs().put(document)


@blp.route("/reports/<number:report_id>/issue")
class IssueOfReport(MethodView):
    """The issuing of a report."""

    @writing(Scope.OWNER, takes=None, prepare=typeset_for_issue)
    @blp.operation("issue_report", Scope.OWNER, "updates")
    @blp.response(200, ReportOut)
    def post(self, report_id: int) -> Report:
        """Freeze a draft and make the customer's link."""
        version, content, document = prepared()
        # What was typeset must be what the owner read.
        if version != version_named() or content_named() not in {None, digest_content(content)}:
            raise Stale("report")
        report, secret = issue_report(
            session(),
            report_id,
            version=version,
            content=content,
            document_sha256=document,
            signed=signed(),
        )
        return with_link(shown(report), secret)


@blp.route("/reports/<number:report_id>/link")
class LinkOfReport(MethodView):
    """The link of a report."""

    @writing(Scope.OWNER, takes=None)
    @blp.operation("relink_report", Scope.OWNER, "updates")
    @blp.response(200, ReportOut)
    def post(self, report_id: int) -> Report:
        """Make a new link; the old one opens nothing any more."""
        report, secret = relink_report(
            session(), report_id, version=version_named(), signed=signed()
        )
        return with_link(shown(report), secret)


@blp.route("/reports/<number:report_id>/revoke")
class RevocationOfReport(MethodView):
    """The revocation of a report."""

    @writing(Scope.OWNER, takes=None)
    @blp.operation("revoke_report", Scope.OWNER, "updates")
    @blp.response(200, ReportOut)
    def post(self, report_id: int) -> Report:
        """Close a report's link for good."""
        return shown(revoke_report(session(), report_id, version=version_named(), signed=signed()))


@blp.route("/reports/<number:report_id>/document.pdf")
class DocumentOfReport(MethodView):
    """The paper of a report."""

    @reading(Scope.OWNER)
    @blp.operation("get_report_document", Scope.OWNER, "reads")
    @blp.response(200, {"type": "string", "format": "binary"}, content_type="application/pdf")
    def get(self, report_id: int) -> Response:
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
