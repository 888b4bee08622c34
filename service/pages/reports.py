"""The customer's report behind its link: a page, its pictures and its paper.

A link that is wrong or revoked gets the same page and the same 404.
"""

from dataclasses import dataclass
from http import HTTPStatus

from flask import Blueprint, Response, abort, current_app, render_template, request, url_for
from werkzeug.exceptions import HTTPException

from service.api.access import blobs, database, now, settings
from service.api.problems import answer_error
from service.documents.report import ReportContent, typeset_report
from service.records.errors import HINDRANCES, FileMissing, RecordError
from service.records.models import ReportState
from service.records.operations.report_contents import gather_report
from service.records.operations.reports import count_view, find_report_by_link, has_run_out
from service.records.operations.workshop import get_workshop

PRIVATE = "private, no-store"
MOMENT = 0.25  # seconds that a customer's page waits for somebody who writes

blp = Blueprint("report_pages", __name__, url_prefix="/r", template_folder="templates")


@dataclass(frozen=True, slots=True)
class Opened:
    """A report as its link opened it."""

    report_id: int
    content: ReportContent
    document_sha256: str | None

    @property
    def is_draft(self) -> bool:
        return self.content.issued_on is None


@blp.get("/<secret>")
def show_report(secret: str) -> Response:
    """The page."""
    opened = open_report(secret)
    if request.method == "GET" and not opened.is_draft:
        _count_view(opened.report_id)
    page = render_template(
        "report.html",
        report=opened.content,
        draft=opened.is_draft,
        picture_address=lambda picture: url_for(
            ".show_picture", secret=secret, sha256=picture.sha256
        ),
        logo_address=url_for(".show_logo", secret=secret),
        document_address=url_for(".fetch_document", secret=secret),
    )
    return _close(Response(page))


@blp.get("/<secret>/report.pdf")
def fetch_document(secret: str) -> Response:
    """The paper: as it was issued, or as the draft stands now."""
    opened = open_report(secret)
    if opened.document_sha256:
        paper = blobs().read(opened.document_sha256)
    else:
        paper = typeset_report(opened.content, read_picture=blobs().read)
    response = Response(paper, mimetype="application/pdf")
    name = f"{opened.content.reference}-report-{opened.content.number}.pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return _close(response)


@blp.get("/<secret>/pictures/<sha256>")
def show_picture(secret: str, sha256: str) -> Response:
    """A picture of this report, and of no other."""
    opened = open_report(secret)
    for note in opened.content.notes:
        for picture in note.pictures:
            if picture.sha256 == sha256:
                return _close(Response(blobs().read(sha256), mimetype=picture.media_type))
    abort(404)


@blp.get("/<secret>/logo")
def show_logo(secret: str) -> Response:
    """The logo that this report was issued with."""
    logo = open_report(secret).content.logo
    if logo is None:
        abort(404)
    return _close(Response(blobs().read(logo.sha256), mimetype=logo.media_type))


def say_what_is_amiss(error: RecordError) -> tuple[Response, int]:
    """The link is right, and something of ours is not: it cannot be shown just now, or at all."""
    problem = answer_error(error)
    page = _close(Response(render_template("amiss.html", is_lost=isinstance(error, FileMissing))))
    if "Retry-After" in problem.headers:
        page.headers["Retry-After"] = problem.headers["Retry-After"]
    return page, problem.status_code


for _kind in (*HINDRANCES, FileMissing):
    blp.register_error_handler(_kind, say_what_is_amiss)


@blp.errorhandler(HTTPException)
def refuse(error: HTTPException) -> tuple[Response, int]:
    """One page for every refusal: it must not tell a wrong link from a revoked one.

    Whoever holds a link that has run out holds the true one, and is told whom to ask.
    """
    if error.code == HTTPStatus.GONE:
        with database().reading() as session:
            page = render_template("run_out.html", workshop=get_workshop(session))
        return _close(Response(page)), HTTPStatus.GONE
    return _close(Response(render_template("refused.html"))), error.code or 404


def _count_view(report_id: int) -> None:
    """Count it where that can be done at once: the page is shown whatever cannot be written."""
    try:
        with database().writing(patience=MOMENT) as session:
            count_view(session, report_id, now=now())
    except HINDRANCES as error:
        current_app.logger.warning("a view was not counted: %s", error.message)


def open_report(secret: str) -> Opened:
    """The report a link opens, or 404; 410 where the link has run out."""
    with database().reading() as session:
        report = find_report_by_link(session, secret)
        if report is None or report.state is ReportState.REVOKED:
            abort(404)
        if has_run_out(report, now=now()):
            abort(410)
        content = report.content or gather_report(
            session, report, zone=settings().time_zone, issued_on=None
        )
        return Opened(report.id, ReportContent.from_plain(content), report.document_sha256)


def _close(response: Response) -> Response:
    response.headers["Cache-Control"] = PRIVATE
    return response
