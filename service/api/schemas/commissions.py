"""Commissions on the wire."""

from typing import Any

from marshmallow import fields, validate

from service.api.fields import Day, Hours, LongText, Money, Text, Words
from service.api.paging import PageQuery, wanted_id
from service.api.schemas.base import Asked, In, PartlyOwners, page_of, record_id
from service.api.schemas.columns import show_columns
from service.api.schemas.progress import ProgressOut
from service.records.models import Commission, PriceBasis, Stage

MOST_HOURS = 100_000
REFERENCE = r"^[A-Za-z0-9][A-Za-z0-9./-]*$"


def currency_code(**kwargs: Any) -> Text:
    """A currency by its three letters (ISO 4217)."""
    return Text(
        longest=3,
        least=3,
        validate=validate.Regexp("^[A-Z]{3}$", error="Write the currency as GBP, EUR, USD …"),
        metadata={"example": "GBP"},
        **kwargs,
    )


class CommissionPatch(In):
    """Changes to a commission."""

    customer_id = record_id(metadata={"example": 1})
    title = Text(metadata={"example": "Twin-engine plant for a harbour launch"})
    reference = Text(
        longest=20,
        validate=validate.Regexp(REFERENCE, error="Letters, digits, dots, dashes and strokes."),
        metadata={"example": "26-015", "pattern": REFERENCE},
    )
    stage = fields.Enum(Stage, by_value=True, metadata={"example": "agreed"})
    price_basis = fields.Enum(PriceBasis, by_value=True, metadata={"example": "estimate"})
    hourly_rate = Money(allow_none=True, metadata={"example": "38.50"})
    currency = currency_code()
    estimate_hours = Hours(
        most=MOST_HOURS, allow_none=True, attribute="estimate_minutes", metadata={"example": 60}
    )
    promised = Day(allow_none=True, metadata={"example": "2027-02-20"})
    public_notes = LongText(allow_none=True)
    private_notes = LongText(allow_none=True)


class CommissionIn(Asked, CommissionPatch):
    """A new commission; without a reference it takes the next of the year."""

    NEEDED = ("customer_id", "title")
    TAKEN = {"stage": Stage.ENQUIRY, "price_basis": PriceBasis.ESTIMATE}


class CommissionOut(
    PartlyOwners,
    show_columns(
        Commission,
        "customer_id reference title stage price_basis hourly_rate currency estimate_hours promised"
        " public_notes private_notes",
        estimate_hours=Hours(
            most=MOST_HOURS, required=True, allow_none=True, attribute="estimate_minutes"
        ),
    ),
):
    """A commission."""

    OWNERS = ("hourly_rate", "private_notes")


class CommissionRow(CommissionOut):
    """A commission in the list, with its totals. The list comes out of the database like this."""

    customer_name = Words(required=True)
    minutes = fields.Integer(required=True)
    billable_minutes = fields.Integer(required=True)
    part_lines = fields.Integer(required=True)


CommissionPage = page_of(CommissionRow, "CommissionPage")


class CommissionQuery(PageQuery):
    """Filters of the list."""

    customer_id = wanted_id(load_default=None)
    reference = Text(longest=20, load_default=None)
    stage = fields.Enum(Stage, by_value=True, load_default=None)


class SummaryOut(PartlyOwners):
    """Where a commission stands."""

    OWNERS = ("labour_value", "estimate_value")

    commission_id = fields.Integer(required=True, attribute="commission.id")
    reference = Words(required=True, attribute="commission.reference")
    title = Words(required=True, attribute="commission.title")
    stage = fields.Enum(Stage, by_value=True, required=True, attribute="commission.stage")
    promised = fields.Date(required=True, allow_none=True, attribute="commission.promised")
    currency = Words(required=True, attribute="commission.currency")
    estimate_hours = Hours(
        most=MOST_HOURS, required=True, allow_none=True, attribute="commission.estimate_minutes"
    )
    minutes = fields.Integer(required=True)
    billable_minutes = fields.Integer(required=True)
    minutes_left = fields.Integer(required=True, allow_none=True)
    near_estimate = fields.Boolean(required=True)
    minutes_by_operation = fields.Dict(keys=Words(), values=fields.Integer(), required=True)
    labour_value = Money(required=True, allow_none=True)
    estimate_value = Money(required=True, allow_none=True)
    parts_by_state = fields.Dict(keys=Words(), values=fields.Integer(), required=True)
    decisions = fields.List(fields.Nested(ProgressOut), required=True)
