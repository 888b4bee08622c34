"""What a progress report says: frozen, plain, and read back from the form the database keeps."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from service.documents.wording import show_day, show_minutes, show_money

CONTACT = ("address", "email", "phone")


@dataclass(frozen=True, slots=True)
class ReportContent:
    """All that a report says. `issued_on` is None for a draft, `hours` where they are not shown."""

    workshop: str
    contact: tuple[str, ...]  # lines of address, e-mail and telephone
    logo: Logo | None
    measure: str  # that in which the report was written
    number: int
    reference: str
    title: str
    customer: str
    from_day: dt.date
    to_day: dt.date
    issued_on: dt.date | None
    stage: str
    promised: dt.date | None
    headline: str | None
    public_notes: str | None
    next_steps: str | None
    notes: tuple[Note, ...]
    decisions: tuple[Decision, ...]
    answers: tuple[Answer, ...]
    hours: Hours | None
    replaces: int | None

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> ReportContent:
        """Read the content back from its frozen form; a missing part is a `KeyError`."""
        contact = [line for name in CONTACT for line in (plain[name] or "").splitlines()]
        content: ReportContent = _read_back(cls, {**plain, "contact": contact})
        return content

    @property
    def first_words(self) -> str | None:
        """The one thing that matters: the headline, or else how many answers are waited for."""
        if self.headline or not self.decisions:
            return self.headline
        if len(self.decisions) == 1:
            return "One question waits for your answer."
        return f"{len(self.decisions)} questions wait for your answer."


@dataclass(frozen=True, slots=True)
class Logo:
    """The workshop's own picture, its measures in pixels."""

    sha256: str
    media_type: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class ReportPicture:
    """A cleaned photograph with its measures in pixels."""

    sha256: str
    media_type: str
    width: int
    height: int
    caption: str | None

    def describe(self, day: dt.date) -> str:
        """What a reader is told who cannot see the picture."""
        return self.caption or f"Photograph from the note of {show_day(day)}"


@dataclass(frozen=True, slots=True)
class Note:
    """What was done or found on a day."""

    day: dt.date
    text: str
    pictures: tuple[ReportPicture, ...]


@dataclass(frozen=True, slots=True)
class Decision:
    """A question that waits for the customer's answer, and the note that led to it."""

    asked_on: dt.date
    question: str
    note: str


@dataclass(frozen=True, slots=True)
class Answer:
    """A question that the customer has answered."""

    asked_on: dt.date
    question: str
    answer: str
    answered_on: dt.date


@dataclass(frozen=True, slots=True)
class OperationTime:
    """Time given to one kind of work in the span of the report."""

    operation: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Hours:
    """Time and its worth, for commissions priced so that they are the customer's business."""

    minutes_in_span: int
    minutes_to_date: int
    estimate_minutes: int | None
    by_operation: tuple[OperationTime, ...]
    labour_to_date: Decimal | None
    estimate_value: Decimal | None
    currency: str

    @property
    def minutes_left(self) -> int | None:
        """What is left of the estimate, less than nothing when it is overrun."""
        return self.estimate_minutes - self.minutes_to_date if self.estimate_minutes else None

    @property
    def share_used(self) -> float | None:
        """How much of the estimate is used, at most all of it."""
        if not self.estimate_minutes:
            return None
        return min(self.minutes_to_date / self.estimate_minutes, 1.0)


def list_sums(hours: Hours) -> Iterator[tuple[str, str]]:
    """The figures of time and money, each with its name, as far as they are known."""
    yield "In these days", show_minutes(hours.minutes_in_span)
    yield "To date", show_minutes(hours.minutes_to_date)
    if hours.estimate_minutes:
        yield "Estimate", show_minutes(hours.estimate_minutes)
    if hours.labour_to_date is not None:
        yield "Labour to date", show_money(hours.labour_to_date, hours.currency)
    if hours.estimate_value is not None:
        yield "Labour as estimated", show_money(hours.estimate_value, hours.currency)


def _read_back(kind: Any, value: Any) -> Any:
    """A value of a field's type: days and money were kept as text, dataclasses as mappings."""
    if value is None:
        return None
    if get_origin(kind) is UnionType:  # of something and None
        kind = get_args(kind)[0]
    if get_origin(kind) is tuple:
        return tuple(_read_back(get_args(kind)[0], each) for each in value)
    if kind is dt.date:
        return dt.date.fromisoformat(value)
    if kind in (str, int, Decimal):
        return kind(value)
    return kind(**{name: _read_back(of, value[name]) for name, of in _types_of(kind).items()})


@cache
def _types_of(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)
