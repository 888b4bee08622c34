"""Fields for quantities: text with its unit coming in, value with its fixed unit going out."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from flask_smorest import Api
from marshmallow import ValidationError, fields

from service.api.preferences import measure
from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import EngineeringError
from service.engineering.findings import Band
from service.quantities import (
    Kind,
    Quantity,
    QuantityError,
    Shown,
    describe,
    parse,
    parse_drill,
    word,
)
from service.quantities.kinds import TRAITS
from service.quantities.parsing import LONGEST_TEXT
from service.quantities.units import list_units

ENDS = ("low", "likely", "high")


class QuantityIn(fields.Field[Quantity]):
    """A quantity in workshop notation, always with its unit."""

    def __init__(self, kind: Kind, *, example: str, **kwargs: Any) -> None:
        metadata = {"example": example, **kwargs.pop("metadata", {})}
        super().__init__(metadata=metadata, **kwargs)
        self.kind = kind

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Quantity:
        return read_text(value, self.kind)

    def _serialize(self, value: Any, *_: Any, **__: Any) -> Any:
        return value.text if isinstance(value, Quantity) else value


class QuantityText(QuantityIn):
    """A quantity that is kept as it was written, once it is seen that it can be read."""

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:
        return super()._deserialize(value, *args, **kwargs).text


class DrillIn(fields.Field[Quantity]):
    """A drill or a drilled hole: `7/32 in`, `No. 30`, `letter Q`, `5.6 mm`."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(metadata={"example": "7/32 in", **kwargs.pop("metadata", {})}, **kwargs)

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Quantity:
        with refusing():
            return parse_drill(value)


class DrillText(DrillIn):
    """A drill that is kept as it was written."""

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:
        return super()._deserialize(value, *args, **kwargs).text


class BandIn(fields.Field[Band]):
    """An estimate: one quantity, or an object of low, likely and high; a band in SI inside."""

    def __init__(self, kind: Kind, *, example: str, **kwargs: Any) -> None:
        super().__init__(metadata={"example": example}, **kwargs)
        self.kind = kind

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Band:
        if not isinstance(value, Mapping):
            only = read_text(value, self.kind).si
            return Band(only, only, only)
        if set(value) != set(ENDS):
            raise ValidationError("Give one quantity, or low, likely and high.")
        faults, ends = {}, []
        for end in ENDS:
            try:
                ends.append(read_text(value[end], self.kind).si)
            except ValidationError as error:
                faults[end] = error.messages
        if faults:
            raise ValidationError(faults)
        return Band(*ends)


class QuantityOut(fields.Field[Any]):
    """A quantity going out: value, its never-changing unit, and the text a person reads.

    It takes a `Quantity`, a float in SI, or a text that was read as this kind when it came in.
    `fine` is a length read with a micrometer, `gauge` an absolute pressure shown as a gauge does.
    """

    def __init__(
        self, kind: Kind, *, fine: bool = False, gauge: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(dump_only=True, **kwargs)
        self.kind, self.fine, self.gauge = kind, fine, gauge

    def _serialize(self, value: Any, *_: Any, **__: Any) -> Any:
        if value is None:
            return None
        return self._show(parse(value, self.kind) if isinstance(value, str) else value)

    def _show(self, value: Any) -> Shown:
        above = value - ATMOSPHERE if self.gauge else value
        return describe(above, self.kind, measure(), fine=self.fine)


class BandOut(QuantityOut):
    """An estimate going out as low, likely and high quantities."""

    def _serialize(self, value: Any, *_: Any, **__: Any) -> Any:
        return None if value is None else {end: self._show(getattr(value, end)) for end in ENDS}


def read_text(value: Any, kind: Kind) -> Quantity:
    """A text in workshop notation; raise `ValidationError` for one that is no such quantity."""
    with refusing():
        return parse(value, kind)


def quantity(kind: Kind, example: str, *, default: str | None = None, **kwargs: Any) -> QuantityIn:
    """A quantity that may be left out; `default` is what is then taken."""
    taken = None if default is None else parse(default, kind)
    metadata = {} if default is None else {"description": f"left out: {default}"}
    return QuantityIn(kind, example=example, load_default=taken, metadata=metadata, **kwargs)


def above_nothing(value: Quantity) -> None:
    """Refuse a quantity of nothing."""
    if value.value <= 0:
        raise ValidationError("This must be above 0.")


def si(value: Quantity | None) -> float | None:
    """What was given in SI, or None."""
    return None if value is None else value.si


def figures(asked: Mapping[str, Any], names: str) -> dict[str, Any]:
    """The named quantities of a request in SI, pressures absolute; None where none was given."""
    given = {name: asked[name] for name in names.split()}
    return {
        name: each.absolute if each is not None and each.kind is Kind.PRESSURE else si(each)
        for name, each in given.items()
    }


@contextmanager
def refusing(**names: str) -> Iterator[None]:
    """Turn what is refused inside into a fault of the body where it stands.

    `names` says what an argument of engineering is called in the request, where not the same.
    """
    try:
        yield
    except (QuantityError, EngineeringError) as error:
        field = error.field or "_schema"
        raise ValidationError(word(error.message, measure()), names.get(field, field)) from None


def describe_quantities(api: Api) -> None:
    """Name one schema a kind in the description, and let every quantity refer to its own."""
    for kind in Kind:
        api.spec.components.schema(_name_out(kind), _describe_out(kind))
        api.spec.components.schema(f"{_name_out(kind)}Band", _describe_band(kind))
        api.spec.components.schema(_name_in(kind), _describe_in(kind))
    api.spec.components.schema("DrillText", _DRILL)
    untyped: tuple[type[fields.Field[Any]], ...] = (QuantityIn, QuantityOut, BandIn, DrillIn)
    for field in untyped:
        api.register_field(field, None, None)
    api.ma_plugin.converter.add_attribute_function(_refer_to_kind)


def _name_out(kind: Kind) -> str:
    return "".join(part.capitalize() for part in kind.value.split("_"))


def _name_in(kind: Kind) -> str:
    return f"{_name_out(kind)}Text"


def _refer_to_kind(_: Any, field: fields.Field[Any], **__: Any) -> dict[str, Any]:
    """The reference of a field to the schema of its kind."""
    reference: dict[str, Any]
    if isinstance(field, BandOut):
        reference = _reference(f"{_name_out(field.kind)}Band")
    elif isinstance(field, QuantityOut):
        reference = _reference(_name_out(field.kind))
    elif isinstance(field, BandIn):
        end = _reference(_name_in(field.kind))
        either = {"type": "object", "properties": dict.fromkeys(ENDS, end), "required": list(ENDS)}
        return {"oneOf": [end, either]}
    elif isinstance(field, QuantityIn):
        reference = _reference(_name_in(field.kind))
    elif isinstance(field, DrillIn):
        reference = _reference("DrillText")
    else:
        return {}
    return {"anyOf": [reference, {"type": "null"}]} if field.allow_none else reference


def _reference(name: str) -> dict[str, Any]:
    return {"$ref": f"#/components/schemas/{name}"}


def _describe_out(kind: Kind) -> dict[str, Any]:
    return {
        "type": "object",
        "description": f"{TRAITS[kind].noun.capitalize()}{_REFERENCES.get(kind, '')}.",
        "properties": {
            "value": {"type": "number"},
            "unit": {"type": "string", "const": TRAITS[kind].unit},
            "text": {"type": "string", "description": "as a person reads it"},
        },
        "required": ["value", "unit", "text"],
    }


def _describe_band(kind: Kind) -> dict[str, Any]:
    return {
        "type": "object",
        "description": f"An estimate of {TRAITS[kind].noun}{_REFERENCES.get(kind, '')}.",
        "properties": {end: _reference(_name_out(kind)) for end in ENDS},
        "required": list(ENDS),
    }


def _describe_in(kind: Kind) -> dict[str, Any]:
    traits = TRAITS[kind]
    return {
        "type": "string",
        "maxLength": LONGEST_TEXT,
        "description": (
            f"{traits.noun.capitalize()}{_REFERENCES.get(kind, '')} with its unit, as"
            f" {traits.example}; {traits.limits}. A decimal of any length is read exactly."
            f" Units: {', '.join(list_units(kind))}."
        ),
    }


_DRILL = {
    "type": "string",
    "description": "A drill by its name, or the size of a drilled hole with its unit, as 7/32 in, "
    "No. 30, letter Q or 5.6 mm.",
}
_REFERENCES = {
    Kind.PRESSURE: ", gauge unless the text says abs",
    Kind.PRESSURE_ABSOLUTE: ", from a full vacuum",
}
