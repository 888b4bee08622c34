"""What every page has: the headers it carries, and the words for days, hours and money, which are
those of the paper."""

from collections.abc import Callable
from typing import Any

from flask import Response
from markupsafe import Markup, escape

from service.documents import wording
from service.documents.report import list_sums

POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def finish(response: Response, *, cache: str) -> Response:
    """A page that runs no script, is framed by nobody, and tells no other site where it was."""
    response.headers["Content-Security-Policy"] = POLICY
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "no-referrer"
    response.headers["Cache-Control"] = cache
    return response


def set_code(text: str) -> Markup:
    """Plain text with what stands between backticks set as code."""
    pieces = escape(text).split("`")
    return Markup("").join(
        Markup("<code>{}</code>").format(piece) if number % 2 else piece
        for number, piece in enumerate(pieces)
    )


FILTERS: dict[str, Callable[..., Any]] = {
    each.__name__: each
    for each in (
        list_sums,
        set_code,
        wording.show_day,
        wording.show_minutes,
        wording.show_money,
        wording.show_remainder,
        wording.show_span,
        wording.split_paragraphs,
    )
}
