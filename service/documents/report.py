"""The progress report: what it says, frozen and read back, and how it is laid out on paper."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from service.documents.typesetting import typeset
from service.documents.wording import (
    show_day,
    show_minutes,
    show_money,
    show_remainder,
    show_span,
    split_paragraphs,
)

CONTACT = ("address", "email", "phone")

LINE = 166.0  # width of the text [mm]; the template has the same figure
GAP = 4.0  # between two pictures of a row [mm]
TALLEST = 76.0  # height of a picture [mm]
MOST_IN_ROW = 3
LOGO = "logo.jpg"  # pictures are kept as JPEG, whatever was sent
LOGO_WIDTH, LOGO_HEIGHT = 80.0, 16.0  # at the most [mm]
_LONG_WORD = re.compile(r"\S{25,}")
_RUN = re.compile(r"\S{12}(?=\S)")


@dataclass(frozen=True, slots=True)
class ReportContent:
    """All that a report says. `issued_on` is None for a draft, `hours` where they are not shown."""

    workshop: str
    contact: tuple[str, ...]  # lines of address, e-mail and telephone
    logo: Picture | None
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
class Picture:
    """A kept picture, such as the workshop's logo, with its measures in pixels."""

    sha256: str
    media_type: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class ReportPicture(Picture):
    """A cleaned photograph of the work."""

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


def typeset_report(content: ReportContent, *, read_picture: Callable[[str], bytes]) -> bytes:
    """The report as a PDF; `read_picture` gives the bytes of a picture by its SHA-256."""
    wanted = {picture.sha256: None for note in content.notes for picture in note.pictures}
    files = {sha256: f"picture-{place}.jpg" for place, sha256 in enumerate(wanted, 1)}
    pictures = {name: read_picture(sha256) for sha256, name in files.items()}
    if content.logo is not None:
        pictures[LOGO] = read_picture(content.logo.sha256)
    return typeset("report.typ", data=_breakable(_lay_out(content, files)), pictures=pictures)


def _lay_out(content: ReportContent, files: Mapping[str, str]) -> dict[str, Any]:
    issued, logo = content.issued_on, content.logo
    logo_width = min(LOGO_WIDTH, LOGO_HEIGHT * logo.width / logo.height) if logo else 0.0
    return {
        "workshop": content.workshop,
        "contact": list(content.contact),
        "logo": {"file": LOGO, "width": logo_width} if logo else None,
        "name": f"Progress report {content.number}",
        "reference": content.reference,
        "title": content.title,
        "replaces": content.replaces,
        "issued": [issued.year, issued.month, issued.day] if issued else None,
        "facts": list(_facts(content)),
        "first_words": content.first_words,
        "decisions": [
            {
                "asked": show_day(each.asked_on),
                "question": split_paragraphs(each.question),
                "note": split_paragraphs(each.note),
            }
            for each in content.decisions
        ],
        "standing": split_paragraphs(content.public_notes),
        "notes": [_lay_out_note(note, files) for note in content.notes],
        "answers": [
            {
                "question": split_paragraphs(each.question),
                "answer": split_paragraphs(each.answer),
                "days": f"Asked {show_day(each.asked_on)}, answered {show_day(each.answered_on)}",
            }
            for each in content.answers
        ],
        "hours": _lay_out_hours(content.hours) if content.hours else None,
        "next_steps": split_paragraphs(content.next_steps),
    }


def _facts(content: ReportContent) -> Iterator[tuple[str, str]]:
    yield "For", content.customer
    yield "Commission", content.reference
    yield "Days", show_span(content.from_day, content.to_day)
    yield "Issued", show_day(content.issued_on) if content.issued_on else "not yet: a draft"
    yield "Stage", content.stage
    if content.promised:
        yield "Promised for", show_day(content.promised)


def _lay_out_note(note: Note, files: Mapping[str, str]) -> dict[str, Any]:
    return {
        "day": show_day(note.day),
        "text": split_paragraphs(note.text),
        "rows": [
            [_lay_out_picture(picture, height, note=note, files=files) for picture in row]
            for row, height in _rows(note.pictures)
        ],
    }


def _lay_out_picture(
    picture: ReportPicture, height: float, *, note: Note, files: Mapping[str, str]
) -> dict[str, Any]:
    place = _aspect(picture) * height
    return {
        "file": files[picture.sha256],
        "alt": picture.describe(note.day),
        "caption": picture.caption,
        "place": place,
        "width": min(place, height * picture.width / picture.height),
    }


def _rows(pictures: tuple[ReportPicture, ...]) -> Iterator[tuple[list[ReportPicture], float]]:
    """Rows of pictures of one height that fill the line, as far as `TALLEST` lets them."""
    row: list[ReportPicture] = []
    for picture in pictures:
        row.append(picture)
        if len(row) == MOST_IN_ROW or _filling_height(row) <= TALLEST:
            yield row, min(_filling_height(row), TALLEST)
            row = []
    if row:
        yield row, TALLEST


def _filling_height(row: list[ReportPicture]) -> float:
    return (LINE - GAP * (len(row) - 1)) / sum(_aspect(picture) for picture in row)


def _aspect(picture: ReportPicture) -> float:
    """Width over height of the picture's place, held within what can stand beside another."""
    return min(max(picture.width / picture.height, 0.75), 2.5)


def _lay_out_hours(hours: Hours) -> dict[str, Any]:
    return {
        "used": hours.share_used,
        "left": show_remainder(hours.minutes_left) if hours.minutes_left is not None else None,
        "sums": [list(pair) for pair in list_sums(hours)],
        "by_operation": [
            [each.operation, show_minutes(each.minutes)] for each in hours.by_operation
        ],
    }


def _breakable(laid_out: Any) -> Any:
    """The same data, where no unbroken run of characters can push a line off the paper."""
    if isinstance(laid_out, str):
        return _LONG_WORD.sub(lambda word: _RUN.sub("\\g<0>\u200b", word[0]), laid_out)
    if isinstance(laid_out, dict):
        return {name: _breakable(value) for name, value in laid_out.items()}
    if isinstance(laid_out, list | tuple):
        return [_breakable(value) for value in laid_out]
    return laid_out
