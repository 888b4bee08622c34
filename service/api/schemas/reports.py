"""Progress reports on the wire."""

from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from service.api.fields import Day, LongText, Moment, Text, Words
from service.api.paging import PageQuery, wanted_id
from service.api.schemas.base import Asked, In, RecordOut, page_of, record_id
from service.records.models import ReportState


class ReportPatch(In):
    """Changes to a draft."""

    from_day = Day(metadata={"example": "2026-11-01"})
    to_day = Day(metadata={"example": "2026-11-14"})
    headline = Text(allow_none=True, metadata={"example": "The block is drilled and tapped."})
    next_steps = LongText(allow_none=True, metadata={"example": "Dry fit on the base."})

    @validates_schema
    def check_span(self, data: dict[str, Any], **_: Any) -> None:
        """A span of days does not run backwards."""
        if "from_day" in data and "to_day" in data and data["from_day"] > data["to_day"]:
            raise ValidationError("The span ends before it begins.", "to_day")


class ReportIn(Asked, ReportPatch):
    """A new draft over a span of days."""

    commission_id = record_id(required=True, metadata={"example": 1})
    from_day = Day(required=True, metadata={"example": "2026-11-01"})
    to_day = Day(required=True, metadata={"example": "2026-11-14"})
    replaces = record_id(
        load_default=None,
        allow_none=True,
        metadata={"description": "Number of the report that this one puts right.", "example": None},
    )


class ReportOut(RecordOut):
    """A report; `link` is shown when it is made, and is null ever after."""

    commission_id = fields.Integer(required=True)
    number = fields.Integer(required=True)
    from_day = fields.Date(required=True)
    to_day = fields.Date(required=True)
    replaces = fields.Integer(required=True, allow_none=True)
    headline = Words(required=True, allow_none=True)
    next_steps = Words(required=True, allow_none=True)
    state = fields.Enum(ReportState, by_value=True, required=True)
    issued_at = Moment(required=True, allow_none=True)
    views = fields.Integer(required=True)
    last_viewed_at = Moment(required=True, allow_none=True)
    link = Words(required=True, allow_none=True, dump_default=None)


ReportPage = page_of(ReportOut, "ReportPage")


class ReportQuery(PageQuery):
    """Filters of the list."""

    commission_id = wanted_id(load_default=None)
    state = fields.Enum(ReportState, by_value=True, load_default=None)
