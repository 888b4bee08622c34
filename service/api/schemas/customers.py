"""Customers on the wire."""

from marshmallow import validate

from service.api.fields import LongText, Text
from service.api.schemas.base import Asked, In, PartlyOwners, page_of
from service.api.schemas.columns import show_columns
from service.records.models import Customer

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

    NEEDED = ("name",)


class CustomerOut(PartlyOwners, show_columns(Customer, "name email phone address private_notes")):
    """A customer."""

    OWNERS = ("email", "phone", "address", "private_notes")


CustomerPage = page_of(CustomerOut, "CustomerPage")
