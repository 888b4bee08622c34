"""Steam passages: their parts, and what a line of them passes."""

from collections.abc import Mapping
from typing import Any, cast

from flask_smorest import Api
from marshmallow import Schema, ValidationError, fields, validate, validates_schema

from service.api.calculation import Calculation
from service.api.derive import field_in, part_of, schema_in, schema_out
from service.api.fields import Words
from service.api.quantity_fields import QuantityIn, figures, quantity
from service.api.schemas.base import Asked, Many
from service.api.schemas.calculations import CalculationOut
from service.engineering.kit import Kit
from service.engineering.steam.network import EngineOnBranch
from service.engineering.steam.passages import (
    Bend,
    Bore,
    Contraction,
    Corner,
    Element,
    Loss,
    PassageFlow,
    Pipe,
    StopValve,
    Tee,
    Valve,
    flow_through,
    pressure_after,
)
from service.quantities import Kind

MOST_ELEMENTS = 40

ELEMENTS: dict[str, type[Element]] = {
    element.kind: element
    for element in (Bore, Pipe, Corner, Bend, Contraction, Tee, Loss, Valve, StopValve)
}
"""The parts of a passage by their kind."""


def _schema_of(element: type[Element]) -> type[Schema]:
    """The schema of one kind of part, which bears its kind."""
    kind = fields.String(required=True, validate=validate.OneOf([element.kind]))
    return schema_in(element, instead={"kind": kind})


SCHEMAS: dict[str, Schema] = {kind: _schema_of(element)() for kind, element in ELEMENTS.items()}


class ElementIn(fields.Field[Element]):
    """One part of a passage; its kind says which members it has.

    A corner is two drilled holes that meet, a bend is smooth, a tee is a branch off a run, a loss
    is anything whose coefficient k is known. A stop_valve is known by seat and lift, a valve by Kv.
    """

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Element:
        if not isinstance(value, Mapping):
            raise ValidationError("A part of a passage is an object with its kind.")
        kind = value.get("kind")
        if not isinstance(kind, str) or kind not in SCHEMAS:
            raise ValidationError({"kind": [f"Must be one of: {', '.join(SCHEMAS)}."]})
        schema = SCHEMAS[kind]
        if strange := [name for name in value if name not in schema.fields]:
            spoken = kind.replace("_", " ")
            raise ValidationError({name: [f"A {spoken} has no {name}."] for name in strange})
        return cast(Element, schema.load(value))


def describe_elements(api: Api) -> None:
    """Name the parts of a passage in the description, told apart by their kind."""
    names = {kind: f"{element.__name__}Element" for kind, element in ELEMENTS.items()}
    places = {kind: f"#/components/schemas/{name}" for kind, name in names.items()}
    for kind, name in names.items():
        api.spec.components.schema(name, schema=SCHEMAS[kind])
    everything = {
        "description": ElementIn.__doc__,
        "oneOf": [{"$ref": place} for place in places.values()],
        "discriminator": {"propertyName": "kind", "mapping": places},
    }
    api.spec.components.schema("Element", everything)
    api.ma_plugin.converter.add_attribute_function(_refer_to_element)


def _refer_to_element(_: Any, field: fields.Field[Any], **__: Any) -> dict[str, Any]:
    return {"$ref": "#/components/schemas/Element"} if isinstance(field, ElementIn) else {}


def passage_of(**kwargs: Any) -> fields.List[Any]:
    """Elements in the order steam meets them."""
    least = 1 if kwargs.get("required") else 0
    return Many(ElementIn(), least, MOST_ELEMENTS, **kwargs)


class PassageIn(Asked):
    """A line of elements on dry steam; give `outlet_pressure` or `flow`. Pressures are gauge.

    `pulsation` is the mean square of the flow over the square of its mean: 1 is steady.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    outlet_pressure = quantity(Kind.PRESSURE, "3 bar")
    flow = quantity(Kind.MASS_FLOW, "20 g/min")
    elements = passage_of(required=True)
    pulsation = field_in(EngineOnBranch, "pulsation", load_default=None)

    @validates_schema
    def check_question(self, data: dict[str, Any], **_: Any) -> None:
        """Flow and outlet pressure: one is given, the other is the answer."""
        if data["flow"] is not None and data["outlet_pressure"] is not None:
            raise ValidationError(
                "Give outlet_pressure to get the flow, or flow to get the drop; not both.", "flow"
            )
        if data["flow"] is None and data["outlet_pressure"] is None:
            raise ValidationError(
                "Give outlet_pressure to get the flow, or flow to get the drop.", "outlet_pressure"
            )


class ElementFlowOut(
    schema_out(
        part_of(PassageFlow, "elements"),
        "kind diameter=element.diameter pressure_in pressure_out velocity mach choked",
        kind=Words(required=True, attribute="element.kind"),
    )
):
    """The steam at one element."""


class PassageOut(
    schema_out(
        PassageFlow,
        "flow flow_band pressure outlet_pressure outlet_pressure_band=outlet_band velocity choked"
        " elements",
        elements=ElementFlowOut,
    ),
    CalculationOut,
):
    """What a line passes or costs; the bands are losses 40 % either way."""


STEADY = 1.0  # pulsation of a flow that does not pulsate


def reckon_passage(asked: dict[str, Any], _: Kit) -> PassageFlow:
    """The flow of a line, or the pressure that is left after it."""
    elements = asked["elements"]
    pulsation = STEADY if asked["pulsation"] is None else asked["pulsation"]
    if asked["flow"] is not None:
        return pressure_after(elements, **figures(asked, "pressure flow"), pulsation=pulsation)
    pressures = figures(asked, "pressure outlet_pressure")
    return flow_through(elements, **pressures, pulsation=pulsation)


PASSAGE = Calculation(
    name="passage",
    about="Find the flow of steam through a line, or the pressure that is left after it.",
    takes=PassageIn,
    gives=PassageOut,
    reckon=reckon_passage,
)
