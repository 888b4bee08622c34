"""The workshop on the wire."""

from decimal import Decimal
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.api.fields import Listed, LongText, Text, Words
from service.api.schemas.base import In, Out
from service.api.schemas.columns import show_columns
from service.api.schemas.commissions import currency_code
from service.api.schemas.customers import EMAIL
from service.quantities.wording import Measure
from service.records.models import Workshop
from service.records.operations.workshop import whole_shelf

PERCENT = r"^(100(\.0{1,2})?|[0-9]{1,2}(\.[0-9]{1,2})?)$"
EXAMPLE_TAX = {"registered": True, "number": "123 4567 89", "rate": "20.00"}
EXAMPLE_SHELF = ["ME", "BA", "metric"]
MOST_FAMILIES = 200


class Percent(Text):
    """A share in percent as a decimal string, from 0 to 100."""

    def __init__(self, **kwargs: Any) -> None:
        told = 'Write the rate in percent as text, from 0 to 100, e.g. "17.5".'
        check = validate.Regexp(PERCENT, error=told)
        super().__init__(
            longest=6, validate=check, metadata={"example": "20.00", "pattern": PERCENT}, **kwargs
        )

    def _serialize(self, value: Any, *_: Any, **__: Any) -> str | None:
        return None if value is None else f"{value:.2f}"


class TaxIn(In):
    """Whether the workshop is registered for tax on its sales, under what number, at what rate."""

    registered = fields.Boolean(required=True, metadata={"example": True})
    number = Text(longest=40, allow_none=True, load_default=None, metadata={"example": "123 4567"})
    rate = Percent(allow_none=True, load_default=None)

    @validates_schema
    def check_registered(self, data: dict[str, Any], **_: Any) -> None:
        """A number and a rate belong to whoever is registered, and to nobody else."""
        for name in ("number", "rate"):
            if data["registered"] and data[name] is None:
                raise ValidationError("A registered workshop has one: write it.", name)
            if not data["registered"] and data[name] is not None:
                raise ValidationError("A workshop that is not registered has none.", name)


class TaxOut(Out):
    """The workshop's tax on its sales."""

    registered = fields.Boolean(required=True, attribute="tax_registered")
    number = Words(required=True, allow_none=True, attribute="tax_number")
    rate = Percent(required=True, allow_none=True, attribute="tax_rate")


class WorkshopPatch(In):
    """Changes to the workshop."""

    name = Text(metadata={"example": "Harbour Lane Works"})
    address = LongText(
        longest=1000, allow_none=True, metadata={"example": "2 Harbour Lane, Northwold"}
    )
    email = Text(
        allow_none=True,
        validate=validate.Regexp(EMAIL, error="Write an e-mail address such as name@example.org."),
        metadata={"example": "works@example.org"},
    )
    phone = Text(longest=60, allow_none=True, metadata={"example": "01632 960 140"})
    measure = fields.Enum(Measure, by_value=True, metadata={"example": "imperial"})
    currency = currency_code()
    tax = fields.Nested(TaxIn, metadata={"example": EXAMPLE_TAX})
    shelf = Listed(
        Text(longest=40),
        most=MOST_FAMILIES,
        metadata={
            "description": "keys of thread families, the likeliest on the shelf first; those left "
            "out follow in the table's order",
            "example": EXAMPLE_SHELF,
        },
    )

    @post_load
    def lay_flat(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        """The columns of the record."""
        if (tax := data.pop("tax", None)) is not None:
            data |= {f"tax_{name}": value for name, value in tax.items()}
            data["tax_rate"] = None if tax["rate"] is None else Decimal(tax["rate"])
        return data


class LogoOut(Out):
    """The picture at the head of the workshop's papers; its bytes are at `/workshop/logo`."""

    sha256 = Words(required=True)
    media_type = Words(required=True, metadata={"example": "image/jpeg"})
    width = fields.Integer(required=True)
    height = fields.Integer(required=True)


class WorkshopOut(
    show_columns(
        Workshop,
        "name address email phone logo measure currency shelf",
        logo=fields.Nested(LogoOut, required=True, allow_none=True),
        shelf=fields.Function(
            lambda workshop: list(whole_shelf(workshop.shelf)),
            required=True,
            metadata={
                "type": "array",
                "items": {"type": "string"},
                "description": "every thread family, in the order of the shelf",
                "example": EXAMPLE_SHELF,
            },
        ),
    )
):
    """The workshop; its tax is told to the owner only."""

    tax = fields.Nested(TaxOut, metadata={"description": "left out for whoever is not the owner"})


def show_workshop(workshop: Workshop, *, to_owner: bool) -> dict[str, Any]:
    """The record as its asker may see it."""
    shown: dict[str, Any] = WorkshopOut(exclude=("tax",)).dump(workshop)
    return shown | ({"tax": TaxOut().dump(workshop)} if to_owner else {})
