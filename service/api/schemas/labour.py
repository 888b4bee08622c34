"""Labour on the wire."""

from marshmallow import fields

from service.api.access import today
from service.api.fields import Day, LongText, Minutes, YesOrNo
from service.api.paging import PageQuery, wanted_id
from service.api.schemas.base import Asked, In, page_of, record_id
from service.api.schemas.columns import show_columns
from service.records.models import LabourEntry, Operation
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

    NEEDED = ("operation", "minutes")
    TAKEN = {"day": today, "billable": True}

    commission_id = record_id(required=True, metadata={"example": 1})


class LabourOut(
    show_columns(LabourEntry, "commission_id operation minutes day note billable person")
):
    """A labour entry."""


LabourPage = page_of(LabourOut, "LabourPage")


class LabourQuery(PageQuery):
    """Filters of the list."""

    commission_id = wanted_id(load_default=None)
    operation = fields.Enum(Operation, by_value=True, load_default=None)
    from_day = Day(load_default=None)
    to_day = Day(load_default=None)
