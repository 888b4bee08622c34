"""The progress report on paper."""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from service.documents.report_content import (
    Hours,
    Logo,
    Note,
    ReportContent,
    ReportPicture,
    list_sums,
)
from service.documents.typesetting import typeset
from service.documents.wording import (
    show_day,
    show_minutes,
    show_remainder,
    show_span,
    split_paragraphs,
)

__all__ = ["ReportContent", "typeset_report"]

LINE = 166.0  # width of the text [mm]; the template has the same figure
GAP = 4.0  # between two pictures of a row [mm]
TALLEST = 76.0  # height of a picture [mm]
MOST_IN_ROW = 3
LOGO = "logo.jpg"  # pictures are kept as JPEG, whatever was sent
LOGO_WIDTH, LOGO_HEIGHT = 80.0, 16.0  # at the most [mm]
_LONG_WORD = re.compile(r"\S{25,}")
_RUN = re.compile(r"\S{12}(?=\S)")


def typeset_report(content: ReportContent, *, read_picture: Callable[[str], bytes]) -> bytes:
    """The report as a PDF; `read_picture` gives the bytes of a picture by its SHA-256."""
    wanted = {picture.sha256: None for note in content.notes for picture in note.pictures}
    files = {sha256: f"picture-{place}.jpg" for place, sha256 in enumerate(wanted, 1)}
    pictures = {name: read_picture(sha256) for sha256, name in files.items()}
    if content.logo is not None:
        pictures[LOGO] = read_picture(content.logo.sha256)
    return typeset("report.typ", data=_breakable(_lay_out(content, files)), pictures=pictures)


def _lay_out(content: ReportContent, files: Mapping[str, str]) -> dict[str, Any]:
    issued = content.issued_on
    return {
        "workshop": content.workshop,
        "contact": list(content.contact),
        "logo": _lay_out_logo(content.logo) if content.logo else None,
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


def _lay_out_logo(logo: Logo) -> dict[str, Any]:
    return {"file": LOGO, "width": min(LOGO_WIDTH, LOGO_HEIGHT * logo.width / logo.height)}


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
