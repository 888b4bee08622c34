"""The words of every page for days, hours and money, which are those of the paper."""

from collections.abc import Callable
from typing import Any

from markupsafe import Markup, escape

from service.documents import wording
from service.documents.report import list_sums


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
