"""Progress notes and pictures on the wire."""

from marshmallow import fields

from service.api.access import today
from service.api.fields import Day, Listed, LongText, Text, YesOrNo
from service.api.paging import PageQuery, wanted_id
from service.api.schemas.base import Asked, In, page_of, record_id
from service.api.schemas.columns import show_columns
from service.records.models import Picture, ProgressNote
from service.records.models.progress import MOST_PICTURES


class PictureOut(
    show_columns(Picture, "id commission_id sha256 media_type width height size caption created_at")
):
    """A picture; its bytes are at `/pictures/{id}/image`."""


class PictureQuery(In):
    """Whose picture it is, and the line under it."""

    commission_id = wanted_id(required=True, metadata={"example": 1})
    caption = Text(load_default=None, metadata={"example": "Block on the drilling table"})


class ProgressPatch(In):
    """A correction of a note, or the customer's answer to its question."""

    text = LongText(metadata={"example": "Distribution block squared and drilled."})
    day = Day(metadata={"example": "2026-11-12"})
    for_customer = YesOrNo(metadata={"example": True})
    decision_wanted = LongText(
        longest=2000, allow_none=True, metadata={"example": "Shall the whistle stand upright?"}
    )
    decision_answer = LongText(longest=2000, metadata={"example": "Upright, please."})
    pictures = Listed(record_id(), most=MOST_PICTURES, metadata={"example": [1]})


class ProgressIn(Asked):
    """A new note; it stays in the workshop unless it says that it is for the customer."""

    commission_id = record_id(required=True, metadata={"example": 1})
    text = LongText(required=True, metadata={"example": "Distribution block squared and drilled."})
    day = Day(load_default=today, metadata={"example": "2026-11-12"})
    for_customer = YesOrNo(load_default=False, metadata={"example": True})
    decision_wanted = LongText(
        longest=2000,
        allow_none=True,
        load_default=None,
        metadata={"example": "Shall the whistle stand upright?"},
    )
    pictures = Listed(record_id(), most=MOST_PICTURES, load_default=list, metadata={"example": [1]})


class ProgressOut(
    show_columns(
        ProgressNote,
        "commission_id day text for_customer decision_wanted decision_answer answered_at person",
    )
):
    """A progress note."""

    pictures = fields.List(fields.Nested(PictureOut), required=True)


ProgressPage = page_of(ProgressOut, "ProgressPage")


class ProgressQuery(PageQuery):
    """Filters of the list."""

    commission_id = wanted_id(load_default=None)
    for_customer = fields.Boolean(load_default=None)
    open_decision = fields.Boolean(load_default=None)
