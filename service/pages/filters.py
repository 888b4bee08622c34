"""Filters of the page templates: the words for days, hours and money are those of the paper."""

from collections.abc import Callable
from typing import Any

from service.documents.report_content import list_sums
from service.documents.wording import (
    show_day,
    show_minutes,
    show_money,
    show_remainder,
    show_span,
    split_paragraphs,
)

__all__ = [
    "FILTERS",
    "list_sums",
    "show_day",
    "show_minutes",
    "show_money",
    "show_remainder",
    "show_span",
    "split_paragraphs",
]

FILTERS: dict[str, Callable[..., Any]] = {
    each.__name__: each
    for each in (
        list_sums,
        show_day,
        show_minutes,
        show_money,
        show_remainder,
        show_span,
        split_paragraphs,
    )
}
"""For `environment.filters.update(FILTERS)`."""
