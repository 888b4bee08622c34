"""Labour on the wire."""

from marshmallow import fields

from service.api.access import today
from service.api.fields import Day, LongText, Minutes, Words, YesOrNo
from service.api.paging import PageQuery, wanted_id
from service.api.schemas.base import Asked, In, RecordOut, page_of, record_id
from service.records.models import Operation
from service.records.models.labour import LONGEST_ENTRY


class LabourPatch(In):
    """A correction of a labour entry."""

    operation = fields.Enum(Operation, by_value=True, metadata={"example": "drilling"})
    minutes = Minutes(most=LONGEST_ENTRY, metadata={"example": "1h30"})
    day = Day(metadata={"example": "2026-11-12"})
    note = LongText(allow_none=True, metadata={"example": "block drilled"})
    billable = YesOrNo(metadata={"example": True})


class LabourIn(Asked, LabourPatch):
    """New minutes at the bench; the day is today's unless it is given."""

    commission_id = record_id(required=True, metadata={"example": 1})
    operation = fields.Enum(
        Operation, by_value=True, required=True, metadata={"example": "drilling"}
    )
    minutes = Minutes(most=LONGEST_ENTRY, required=True, metadata={"example": "1h30"})
    day = Day(load_default=today, metadata={"example": "2026-11-12"})
    billable = YesOrNo(load_default=True, metadata={"example": True})


class LabourOut(RecordOut):
    """A labour entry."""

    commission_id = fields.Integer(required=True)
    operation = fields.Enum(Operation, by_value=True, required=True)
    minutes = fields.Integer(required=True)
    day = fields.Date(required=True)
    note = Words(required=True, allow_none=True)
    billable = fields.Boolean(required=True)
    person = Words(required=True)


LabourPage = page_of(LabourOut, "LabourPage")


class LabourQuery(PageQuery):
    """Filters of the list."""

    commission_id = wanted_id(load_default=None)
    operation = fields.Enum(Operation, by_value=True, load_default=None)
    from_day = Day(load_default=None)
    to_day = Day(load_default=None)
