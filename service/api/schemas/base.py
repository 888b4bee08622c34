"""The two bases of every schema: what comes in is strict, what goes out is not."""

from typing import Any

from marshmallow import INCLUDE, RAISE, Schema, fields
from marshmallow.validate import Range

from service.api.fields import Moment, Whole, Words
from service.api.paging import LARGEST_ID


class In(Schema):
    """A body coming in: a member that no field bears is refused."""

    class Meta:
        """Refuse unknown members."""

        unknown = RAISE


class Out(Schema):
    """A record going out: fields may be added without breaking a strict client."""

    class Meta:
        """Let the description say that more may come."""

        unknown = INCLUDE


class RecordOut(Out):
    """What every versioned record shows."""

    id = fields.Integer(required=True, metadata={"example": 1})
    version = fields.Integer(required=True, metadata={"example": 1})
    created_at = Moment(required=True)
    updated_at = Moment(required=True)


def record_id(**kwargs: Any) -> Whole:
    """A field that names another record."""
    return Whole(validate=Range(1, LARGEST_ID), **kwargs)


def page_of(schema: type[Schema], name: str) -> type[Schema]:
    """The envelope of a list of `schema`."""
    return Out.from_dict(
        {
            "items": fields.List(fields.Nested(schema), required=True),
            "next": Words(required=True, allow_none=True),
        },
        name=name,
    )
