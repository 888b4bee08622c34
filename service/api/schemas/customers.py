"""Customers on the wire."""

from marshmallow import validate

from service.api.fields import LongText, Text, Words
from service.api.schemas.base import Asked, In, RecordOut, page_of

EMAIL = r"^[^@\s]+@[^@\s]+$"


class CustomerPatch(In):
    """Changes to a customer."""

    name = Text(metadata={"example": "R. Fenwick"})
    email = Text(
        allow_none=True,
        validate=validate.Regexp(EMAIL, error="Write an e-mail address such as name@example.org."),
        metadata={"example": "fenwick@example.org"},
    )
    phone = Text(longest=60, allow_none=True, metadata={"example": "01632 960 112"})
    address = LongText(
        longest=1000, allow_none=True, metadata={"example": "3 Staithe Row, Northwold"}
    )
    private_notes = LongText(allow_none=True)


class CustomerIn(Asked, CustomerPatch):
    """A new customer."""

    name = Text(required=True, metadata={"example": "R. Fenwick"})


class CustomerOut(RecordOut):
    """A customer."""

    name = Words(required=True)
    email = Words(required=True, allow_none=True)
    phone = Words(required=True, allow_none=True)
    address = Words(required=True, allow_none=True)
    private_notes = Words(required=True, allow_none=True)


CustomerPage = page_of(CustomerOut, "CustomerPage")
