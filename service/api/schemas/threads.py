"""The catalogue of threads on the wire."""

from marshmallow import fields

from service.api.derive import schema_out
from service.api.fields import Words
from service.api.quantity_fields import QuantityOut
from service.api.schemas.base import In, Out
from service.api.vocabularies import Term
from service.engineering.threads.catalogue import Family, Thread
from service.quantities import Kind


class CatalogueQuery(In):
    """Which family of threads."""

    family = Term("ThreadFamily", load_default=None, metadata={"example": "ME"})


class FamilyOut(schema_out(Family, "key name description included_angle source")):
    """A family of threads."""


class CatalogueThreadOut(
    schema_out(
        Thread,
        "designation family major_diameter effective_diameter core_diameter pitch threads_per_inch"
        " taper hand source",
        fine="major_diameter effective_diameter core_diameter pitch",
    )
):
    """A thread of the catalogue at basic size."""


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
