"""Supplied parts and their movements on the wire."""

from marshmallow import fields, validate

from service.api.fields import Listed, LongText, Text, Whole
from service.api.paging import PageQuery, wanted_id
from service.api.schemas.base import Asked, In, PartlyOwners, page_of, record_id
from service.api.schemas.columns import show_columns
from service.api.schemas.ports import PortIn, PortWrittenOut
from service.records.models import Movement, Owner, Part, PartState

MOST_PIECES = 100_000
MOST_PORTS = 24


def quantity(**kwargs: object) -> Whole:
    """How many pieces."""
    return Whole(validate=validate.Range(1, MOST_PIECES), **kwargs)


class PartPatch(In):
    """What is now known of a part line; its state and place change by movements."""

    name = Text(metadata={"example": "Stop valve, 1/4 in, lever handle"})
    owner = fields.Enum(Owner, by_value=True, metadata={"example": "customer"})
    quantity = quantity(metadata={"example": 1})
    condition = LongText(allow_none=True, metadata={"example": "Gland worn, seat good"})
    ports = Listed(fields.Nested(PortIn), most=MOST_PORTS)
    private_notes = LongText(allow_none=True)


class PartIn(Asked, PartPatch):
    """A part line, expected or received."""

    NEEDED = ("name",)
    TAKEN = {"owner": Owner.CUSTOMER, "quantity": 1, "ports": list}

    commission_id = record_id(required=True, metadata={"example": 1})
    place = Text(allow_none=True, load_default=None, metadata={"example": "shelf 3, box B"})
    state = fields.Enum(
        PartState, by_value=True, load_default=PartState.RECEIVED, metadata={"example": "received"}
    )


class PartOut(
    PartlyOwners,
    show_columns(
        Part,
        "commission_id split_from_id name owner quantity condition place state ports private_notes",
        ports=fields.List(fields.Nested(PortWrittenOut), required=True),
    ),
):
    """A part line."""

    OWNERS = ("private_notes",)


PartPage = page_of(PartOut, "PartPage")


class PartQuery(PageQuery):
    """Filters of the list."""

    commission_id = wanted_id(load_default=None)
    state = fields.Enum(PartState, by_value=True, load_default=None)
    owner = fields.Enum(Owner, by_value=True, load_default=None)


class MovementIn(Asked):
    """A movement of a part line, or of some of it."""

    to_state = fields.Enum(
        PartState, by_value=True, required=True, metadata={"example": "on_bench"}
    )
    place = Text(allow_none=True, load_default=None, metadata={"example": "bench vice"})
    quantity = quantity(allow_none=True, load_default=None, metadata={"example": 1})
    note = LongText(allow_none=True, load_default=None, metadata={"example": "for the dry fit"})


class MovementOut(
    show_columns(
        Movement,
        "id part_id from_state to_state from_place to_place quantity note moved_at moved_by",
    )
):
    """A movement; `part_id` is the line that moved, which is a new one when a line was split."""


MovementPage = page_of(MovementOut, "MovementPage")
