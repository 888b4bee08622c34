"""Progress reports on the wire."""

from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from service.api.fields import Day, LongText, Moment, Text, Words
from service.api.paging import PageQuery, wanted_id
from service.api.schemas.base import Asked, In, page_of, record_id
from service.api.schemas.columns import show_columns
from service.records.models import Report, ReportState


class ReportPatch(In):
    """Changes to a draft, or to when the link of an issued report runs out."""

    from_day = Day(metadata={"example": "2026-11-01"})
    to_day = Day(metadata={"example": "2026-11-14"})
    headline = Text(allow_none=True, metadata={"example": "The block is drilled and tapped."})
    next_steps = LongText(allow_none=True, metadata={"example": "Dry fit on the base."})
    link_expires_at = Moment(
        allow_none=True,
        metadata={
            "description": "when the link runs out; this alone may be changed of an issued report",
            "example": "2099-12-31T12:00:00+00:00",
        },
    )

    @validates_schema
    def check_span(self, data: dict[str, Any], **_: Any) -> None:
        """A span of days does not run backwards."""
        if "from_day" in data and "to_day" in data and data["from_day"] > data["to_day"]:
            raise ValidationError("The span ends before it begins.", "to_day")


class ReportIn(Asked, ReportPatch):
    """A new draft over a span of days."""

    NEEDED = ("from_day", "to_day")

    commission_id = record_id(required=True, metadata={"example": 1})
    replaces = record_id(
        load_default=None,
        allow_none=True,
        metadata={"description": "Number of the report that this one puts right.", "example": None},
    )


class ReportOut(
    show_columns(
        Report,
        "commission_id number from_day to_day replaces headline next_steps state issued_at"
        " link_expires_at views last_viewed_at",
    )
):
    """A report; `link` is shown when it is made, and is null ever after."""

    link = Words(required=True, allow_none=True, dump_default=None)


ReportPage = page_of(ReportOut, "ReportPage")


class ReportQuery(PageQuery):
    """Filters of the list."""

    commission_id = wanted_id(load_default=None)
    state = fields.Enum(ReportState, by_value=True, load_default=None)
