"""Progress reports over HTTP: draft, read, issue, revoke."""

from typing import Any

from flask import Response
from flask.views import MethodView

from service.api.access import (
    blobs,
    database,
    keep_no_secret,
    prepared,
    reading,
    session,
    settings,
    signed,
    today,
    version_named,
    writing,
)
from service.api.answers import created, shown
from service.api.blueprint import Blueprint
from service.api.paging import envelope
from service.api.schemas.reports import ReportIn, ReportOut, ReportPage, ReportPatch, ReportQuery
from service.documents.report import ReportContent, typeset_report
from service.records.errors import NotFound, Stale
from service.records.models import Report, ReportState, Scope
from service.records.operations.lookup import get
from service.records.operations.report_contents import gather_report
from service.records.operations.reports import (
    draft_report,
    issue_report,
    list_reports,
    relink_report,
    revoke_report,
    update_report,
)

blp = Blueprint("reports", __name__, description="What the customer is told.")


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
        return created(with_link(*draft_report(session(), signed=signed(), **data)))


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
        content = gather_report(
            reading_session,
            report,
            workshop=settings().workshop,
            zone=settings().time_zone,
            issued_on=today(),
        )
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
        if version != version_named():  # what was typeset must be what the owner read
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
    content = gather_report(
        session(), report, workshop=settings().workshop, zone=settings().time_zone, issued_on=None
    )
    return typeset_report(ReportContent.from_plain(content), read_picture=blobs().read)
