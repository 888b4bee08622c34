"""The catalogue of threads on the wire."""

from marshmallow import fields

from service.api.fields import Words
from service.api.quantity_fields import QuantityOut
from service.api.schemas.base import In, Out
from service.api.vocabularies import Term
from service.quantities import Kind


class CatalogueQuery(In):
    """Which family of threads."""

    family = Term("ThreadFamily", load_default=None, metadata={"example": "ME"})


class FamilyOut(Out):
    """A family of threads."""

    key = Words(required=True)
    name = Words(required=True)
    description = Words(required=True)
    included_angle = QuantityOut(Kind.ANGLE, required=True)
    source = Words(required=True)


class CatalogueThreadOut(Out):
    """A thread of the catalogue at basic size."""

    designation = Words(required=True)
    family = Words(required=True)
    major_diameter = QuantityOut(Kind.LENGTH, fine=True, required=True)
    effective_diameter = QuantityOut(Kind.LENGTH, fine=True, required=True)
    core_diameter = QuantityOut(Kind.LENGTH, fine=True, required=True)
    pitch = QuantityOut(Kind.LENGTH, fine=True, required=True)
    threads_per_inch = fields.Float(required=True, allow_none=True)
    taper = fields.Float(required=True)
    source = Words(required=True)


class DisagreementOut(Out):
    """A row whose printed figures differ from its form's formula, or were misprinted."""

    designation = Words(required=True, attribute="thread.designation")
    effective_excess = QuantityOut(Kind.LENGTH, fine=True, required=True)
    core_excess = QuantityOut(Kind.LENGTH, fine=True, required=True)
    reason = Words(required=True)


class CatalogueOut(Out):
    """The catalogue of threads."""

    families = fields.List(fields.Nested(FamilyOut), required=True)
    items = fields.List(fields.Nested(CatalogueThreadOut), required=True)
    disagreements = fields.List(fields.Nested(DisagreementOut), required=True)
