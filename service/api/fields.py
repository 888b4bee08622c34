"""Marshmallow fields for what this trade sends: quantities, threads, money, text, moments."""

import datetime as dt
import re
import unicodedata
from decimal import Decimal, InvalidOperation
from typing import Any

from flask import g
from flask_smorest import Api
from marshmallow import ValidationError, fields, validate

from service.api.access import kit
from service.api.preferences import measure
from service.api.quantity_fields import read_text, refusing
from service.engineering.findings import Finding
from service.engineering.saying import say
from service.engineering.threads.catalogue import Thread
from service.quantities import Kind, TakenThread, take_thread
from service.quantities.wording import word

DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
FIRST_YEAR, LAST_YEAR = 1900, 2999
JOINERS = "\u200c\u200d"  # zero width non-joiner and joiner
MOST_MONEY = Decimal("9999999999.99")


class Text(fields.String):
    """Text of signs that are seen, trimmed; one line unless `lines`."""

    def __init__(self, *, longest: int = 200, lines: bool = False, least: int = 1, **kwargs: Any):
        self.lines = lines
        self.length = validate.Length(least, longest)
        further = kwargs.pop("validate", None)
        super().__init__(validate=[self.length, *([further] if further else [])], **kwargs)

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> str:
        text = super()._deserialize(value, *args, **kwargs)
        allowed = "\n\t" if self.lines else ""
        text = text.replace("\r\n", "\n") if self.lines else text
        self.length(text.strip())  # first: what is too long is not looked through
        hidden = {sign for sign in set(text) if sign not in allowed and _is_unkeepable(sign)}
        for place, sign in enumerate(text if hidden else ""):
            if sign in hidden and not _joins(text, place):
                told = f"The sign U+{ord(sign):04X} is not seen and cannot be kept"
                raise ValidationError(f"{told}; write plain text.")
        return text.strip()


def _is_unkeepable(sign: str) -> bool:
    """What nobody sees: it would turn a line round, hide a word, or break what is printed.

    Control and format characters, line and paragraph marks, halves of a pair, and code points that
    Unicode gives to nobody.
    """
    point = ord(sign)
    is_noncharacter = point & 0xFFFE == 0xFFFE or 0xFDD0 <= point <= 0xFDEF
    return is_noncharacter or unicodedata.category(sign) in {"Cc", "Cf", "Cs", "Zl", "Zp"}


def _joins(text: str, place: int) -> bool:
    """Whether a joiner stands between signs that are written with one: emoji, Indic, Persian.

    In plain letters it would only make two names that look the same.
    """
    around = text[max(place - 1, 0) : place] + text[place + 1 : place + 2]
    return text[place] in JOINERS and len(around) == 2 and all(map(_is_joined, around))


def _is_joined(sign: str) -> bool:
    return unicodedata.category(sign) in {"Lo", "Mn", "Mc", "So", "Sk"}


class Listed(fields.List[Any]):
    """A list, whose length is looked at before what is in it."""

    def __init__(
        self, inner: fields.Field[Any], *, most: int, least: int | None = None, **kwargs: Any
    ) -> None:
        self.length = validate.Length(least, most)
        super().__init__(inner, validate=self.length, **kwargs)

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:
        if isinstance(value, list):
            self.length(value)
        return super()._deserialize(value, *args, **kwargs)


class Words(fields.String):
    """A sentence going out: its parts put into words, in the measure asked for."""

    def _serialize(self, value: Any, *args: Any, **kwargs: Any) -> str | None:
        if isinstance(value, tuple):
            return word(value, measure())
        return super()._serialize(value, *args, **kwargs)


class Whole(fields.Integer):
    """A whole number: a JSON integer, and no text or fraction that could be read as one."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(strict=True, **kwargs)


class WholeInQuery(fields.Integer):
    """A whole number in a query, where all is text: plain digits and nothing else."""

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> int:
        if not (isinstance(value, str) and value.isascii() and value.isdigit() and len(value) < 20):
            raise self.make_error("invalid", input=value)
        number: int = super()._deserialize(value, *args, **kwargs)
        return number


class Number(fields.Float):
    """A plain number, such as a ratio: a JSON number, and no text that could be read as one."""

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> float:
        if not isinstance(value, int | float):
            raise self.make_error("invalid", input=value)
        number: float = super()._deserialize(value, *args, **kwargs)
        return number


class YesOrNo(fields.Boolean):
    """A claim that is true or false, and no word or number for either."""

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> bool:
        if not isinstance(value, bool):
            raise self.make_error("invalid", input=value)
        return value


class LongText(Text):
    """Text of several lines."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"longest": 10_000, "lines": True, **kwargs})


class ThreadIn(fields.Field[Thread]):
    """A thread by its designation, or described by diameter, pitch and angle.

    What a designation did not say itself is noted, for the answer to say.
    """

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(metadata={**_THREAD, **kwargs.pop("metadata", {})}, **kwargs)

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Any:
        taken = self._take(value)
        if taken.note:
            _taken_notes().append(taken.note)
        return taken.thread

    def _take(self, value: Any) -> TakenThread:
        with refusing():
            return take_thread(value, workshop_threads=kit().threads, shelf=kit().shelf)


class ThreadText(ThreadIn):
    """A thread that is kept as it was written; by its name where its family was not written, so
    that it stays that thread when the shelf is put in another order."""

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Any:
        taken = self._take(value)
        return taken.thread.designation if taken.note else value


def judge_taken_threads() -> tuple[Finding, ...]:
    """What the threads of this request were taken for, where they did not say it themselves."""
    return tuple(
        Finding("caution", "family-taken", say(note), source="the workshop's shelf")
        for note in dict.fromkeys(_taken_notes())
    )


def _taken_notes() -> list[str]:
    if "taken_notes" not in g:
        g.taken_notes = []
    notes: list[str] = g.taken_notes
    return notes


class Money(fields.Field[Decimal]):
    """An amount of money as a decimal string; more places than the coin has are refused."""

    def __init__(self, **kwargs: Any) -> None:
        metadata = {
            "pattern": r"^[0-9]{1,10}(\.[0-9]{1,2})?$",
            "description": "in the currency of the record, with at most two places",
            **kwargs.pop("metadata", {}),
        }
        super().__init__(metadata=metadata, **kwargs)

    def _serialize(self, value: Any, *_: Any, **__: Any) -> str | None:
        return None if value is None else f"{value:.2f}"

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Decimal:
        if not isinstance(value, str) or len(value) > 14 or not value.isascii():
            raise ValidationError('Write money as text with two places, e.g. "38.50".')
        if "," in value:
            raise ValidationError('Write a point, not a comma, and no thousands: e.g. "1038.50".')
        whole, _point, places = value.partition(".")
        if not whole.isdigit() or (_point and not (places.isdigit() and len(places) <= 2)):
            raise ValidationError('Write money as text with at most two places, e.g. "38.50".')
        try:
            amount = Decimal(value)
        except InvalidOperation:  # pragma: no cover - the digits were checked above
            raise ValidationError("This is no amount of money.") from None
        if amount > MOST_MONEY:
            raise ValidationError("This is more money than can be recorded.")
        return amount


class Minutes(fields.Field[int]):
    """Whole minutes, given as a number of minutes or as a duration such as `1h30`."""

    def __init__(self, *, most: int, least: int = 1, **kwargs: Any) -> None:
        metadata = {
            "oneOf": [
                {"type": "integer", "minimum": least, "maximum": most},
                {"type": "string", "description": "a duration such as 1h30 or 90 min"},
            ],
            **kwargs.pop("metadata", {}),
        }
        super().__init__(metadata=metadata, **kwargs)
        self.least, self.most = least, most

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> int:
        minutes = self._read(value)
        if not self.least <= minutes <= self.most:
            raise ValidationError(f"Between {self.least} and {self.most} minutes.")
        return minutes

    def _read(self, value: Any) -> int:
        if isinstance(value, int) and not isinstance(value, bool):
            return value
        if not isinstance(value, str):
            raise ValidationError('Write whole minutes as a number, or a duration such as "1h30".')
        seconds = read_text(value, Kind.DURATION).value
        if seconds % 60:
            raise ValidationError("Labour is kept in whole minutes.")
        return int(seconds // 60)

    def _serialize(self, value: Any, *_: Any, **__: Any) -> int | None:
        return None if value is None else int(value)


class Hours(fields.Field[int]):
    """Hours on the wire, as a number, a decimal text or a duration; whole minutes inside."""

    def __init__(self, *, most: int, **kwargs: Any) -> None:
        ways = [*_HOURS, *([{"type": "null"}] if kwargs.get("allow_none") else [])]
        super().__init__(metadata={"oneOf": ways, **kwargs.pop("metadata", {})}, **kwargs)
        self.most = most

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> int:
        minutes = self._read(value)
        if minutes != minutes.to_integral_value() or not 0 <= minutes <= self.most * 60:
            raise ValidationError(f"Whole minutes, between 0 and {self.most} hours.")
        return int(minutes)

    def _read(self, value: Any) -> Decimal:
        if isinstance(value, int | float) and not isinstance(value, bool):
            value = str(value)
        if not isinstance(value, str) or len(value) > 40:
            raise ValidationError('Write hours as a number such as 40, or as "37 h 30 min".')
        digits = value.strip()
        if digits.isascii() and digits.replace(".", "", 1).isdigit():
            return Decimal(digits) * 60
        seconds = read_text(value, Kind.DURATION).value
        return Decimal(seconds.numerator) / Decimal(seconds.denominator) / 60

    def _serialize(self, value: Any, *_: Any, **__: Any) -> float | None:
        return show_hours(value)


def show_hours(minutes: int | None) -> float | None:
    """Minutes as the hours of the wire."""
    return None if minutes is None else round(minutes / 60, 4)


class Moment(fields.AwareDateTime):
    """A moment with its offset (RFC 3339)."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="iso", default_timezone=None, **kwargs)

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> dt.datetime:
        moment: dt.datetime = super()._deserialize(value, *args, **kwargs)
        _refuse_strange_year(moment.year)
        return moment


class Day(fields.Date):
    """A day of the workshop's calendar, `2026-11-25`."""

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> dt.date:
        if not isinstance(value, str) or not DAY.fullmatch(value):
            raise ValidationError("Write the day as 2026-11-25.")
        day: dt.date = super()._deserialize(value, *args, **kwargs)
        _refuse_strange_year(day.year)
        return day


def _refuse_strange_year(year: int) -> None:
    """At the ends of the calendar the next day, or the same moment in UTC, does not exist."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValidationError(f"The year must lie between {FIRST_YEAR} and {LAST_YEAR}.")


_THREAD: dict[str, Any] = {
    "oneOf": [
        {
            "type": "string",
            "description": "a trade designation such as 1/4 x 40 ME, M6 x 0.75 or 5/8 BSP LH; a "
            "size and pitch alone takes the first family of the shelf that has them",
        },
        {
            "type": "object",
            "description": "a thread that no catalogue has",
            "properties": {
                name: {"type": "string"} for name in ("diameter", "pitch", "angle", "taper")
            }
            | {
                "threads_per_inch": {"type": "number"},
                "hand": {"$ref": "#/components/schemas/Hand"},
            },
            "required": ["diameter", "angle"],
        },
    ],
    "example": "1/4 x 40 ME",
}
_HOURS: list[dict[str, Any]] = [
    {"type": "number", "minimum": 0},
    {"type": "string", "description": "a decimal number of hours, or a duration such as 37h30"},
]


def describe_fields(api: Api) -> None:
    """Tell the API description what our fields look like on the wire; before any blueprint."""
    api.register_field(Money, "string", "decimal")
    api.register_field(fields.Enum, "string", None)
    untyped: tuple[type[fields.Field[Any]], ...] = (ThreadIn, Minutes, Hours)
    for field in untyped:
        api.register_field(field, None, None)
