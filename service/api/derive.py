"""Flat schemas derived from the dataclass that calculates: a quantity is said once, on its field.

`schema_in(Engine)` reads a body into an `Engine`: kinds, examples, defaults and ranges come from
the fields of the dataclass (`engineering.given`), and the dataclass itself holds the range. Names
that a body does not have are `without`; fields that are read in their own way come by `instead`.
What goes out is named one by one, so that nothing inner is shown by accident.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import MISSING, replace
from typing import Any, get_args, get_origin

from marshmallow import Schema, fields, post_load

from service.api.fields import Number, Text, ThreadIn, ThreadText, Whole, Words, YesOrNo
from service.api.quantity_fields import BandOut, QuantityIn, QuantityOut, QuantityText, refusing
from service.api.schemas.base import Asked, Out
from service.api.vocabularies import Term, find_vocabulary
from service.engineering.findings import Band, Unit
from service.engineering.given import FIGURES, GivenField, find_field, given_fields
from service.engineering.saying import Said, number
from service.engineering.threads.catalogue import Thread
from service.quantities import Kind, read_given, show_figure, word
from service.quantities.given_reading import KINDS

LONGEST_NAME, LONGEST_WORD = 200, 60
"""Characters that a name may have, and any other word, such as that of a metal."""


def schema_in(
    thing: type,
    *,
    without: Collection[str] = (),
    instead: Mapping[str, fields.Field[Any]] | None = None,
    makes: bool = True,
) -> type[Schema]:
    """The schema of a body that describes a `thing`; loading it makes one, unless `makes` is false.

    Not made, it is a base for schemas with fields beside the thing's own; `read_given` makes it.
    """
    members = _members(thing, stored=False, without=without) | dict(instead or {})
    if makes:
        members["make"] = post_load(lambda _, data, **__: _make(thing, data))
    return type(f"{thing.__name__}In", (Asked,), {"__doc__": thing.__doc__, **members})


def schema_stored(
    thing: type,
    *,
    without: Collection[str] = (),
    instead: Mapping[str, fields.Field[Any]] | None = None,
) -> type[Schema]:
    """The schema of a body whose quantities are kept as written, once they have been read.

    A default that is no quantity is kept too: what was recorded does not change with a default.
    """
    members = _members(thing, stored=True, without=without) | dict(instead or {})
    return type(f"{thing.__name__}DataIn", (Asked,), {"__doc__": thing.__doc__, **members})


def schema_out(
    thing: type,
    names: str,
    *,
    stored: bool = False,
    fine: str = "",
    **instead: type[Schema] | fields.Field[Any],
) -> type[Schema]:
    """The schema of an answer that shows the named fields of a thing, and no other.

    A name may stand for something further in: `drill=drill.name`. `stored`: of a thing that was
    kept as written, with null for what was left out. `fine` are lengths read with a micrometer.
    `instead` are the schemas of what is a thing itself, and fields shown in their own way.
    """
    members = fields_out(thing, names.split(), stored=stored, fine=fine.split(), **instead)
    kept = "Data" if stored else ""
    return type(f"{thing.__name__}{kept}Out", (Out,), {"__doc__": thing.__doc__, **members})


def fields_out(
    thing: type,
    names: Iterable[str],
    *,
    stored: bool = False,
    fine: Collection[str] = (),
    **instead: type[Schema] | fields.Field[Any],
) -> dict[str, fields.Field[Any]]:
    """The fields of an answer for the named fields of a thing."""
    shown: dict[str, fields.Field[Any]] = {}
    for name, _, path in (said.partition("=") for said in names):
        own = instead.get(name)
        if isinstance(own, fields.Field):
            shown[name] = own
            continue
        each = _reach(thing, path or name)
        presence: dict[str, Any] = {"required": True, "attribute": path or None}
        if each.may_lack or (stored and each.unit in KINDS and each.default is not MISSING):
            presence |= {"allow_none": True, "dump_default": None}
        shown[name] = _show(each, own, stored, name in fine, **presence)
    return shown


def _reach(thing: type, path: str) -> GivenField:
    """The field at the end of a path; it may lack where anything on the way may."""
    first, _, rest = path.partition(".")
    each = find_field(thing, first)
    if not rest:
        return each
    last = _reach(each.kind, rest)
    return replace(last, may_lack=last.may_lack or each.may_lack)


def part_of(thing: type, name: str) -> type:
    """The type of what stands in a field of a thing: of many, that of one."""
    kind = find_field(thing, name).kind
    return get_args(kind)[0] if get_origin(kind) is tuple else kind


def field_in(thing: type, name: str, *, stored: bool = False, **kwargs: Any) -> fields.Field[Any]:
    """The field of a body for one field of a thing."""
    return _field(find_field(thing, name), stored=stored, **kwargs)


def _make(thing: type, data: Mapping[str, Any]) -> Any:
    """What the thing refuses is a fault of the field named."""
    with refusing():
        return read_given(thing, data)


def _members(thing: type, *, stored: bool, without: Collection[str]) -> dict[str, Any]:
    return {
        each.name: _field(each, stored=stored)
        for each in given_fields(thing)
        if each.name not in without
    }


def _field(each: GivenField, *, stored: bool, **kwargs: Any) -> fields.Field[Any]:
    needed = each.default is MISSING and not each.may_lack and "load_default" not in kwargs
    presence: dict[str, Any] = {"required": True} if needed else {}
    metadata = {**_describe(each), **kwargs.pop("metadata", {})}
    if stored and each.unit not in KINDS and each.default not in (MISSING, None):
        presence["load_default"] = each.default
    make = _make_quantity if each.unit in KINDS else _make_plain
    return make(each, stored, {**presence, **kwargs, "metadata": metadata})


def _make_quantity(each: GivenField, stored: bool, kwargs: dict[str, Any]) -> fields.Field[Any]:
    kind = KINDS[each.unit]  # type: ignore[index]
    example = str(each.given.example or _EXAMPLES[kind])
    return (QuantityText if stored else QuantityIn)(kind, example=example, **kwargs)


def _make_plain(each: GivenField, stored: bool, kwargs: dict[str, Any]) -> fields.Field[Any]:
    if each.choices:
        return Term(find_vocabulary(each.choices), **kwargs)
    if each.kind is Thread:
        return (ThreadText if stored else ThreadIn)(**kwargs)
    if each.kind is str:
        return Text(longest=LONGEST_NAME if each.name == "name" else LONGEST_WORD, **kwargs)
    return _NUMBERS[each.kind](**kwargs)


_NUMBERS: dict[type, type[fields.Field[Any]]] = {float: Number, int: Whole, bool: YesOrNo}
_EXAMPLES: dict[Kind, str] = {
    Kind.LENGTH: "5 mm",
    Kind.AREA: "8 mm2",
    Kind.ANGLE: "90 deg",
    Kind.MASS: "450 g",
    Kind.PRESSURE: "60 psi",
    Kind.PRESSURE_DIFFERENCE: "2 psi",
    Kind.TEMPERATURE: "15 degC",
    Kind.MASS_FLOW: "20 g/min",
    Kind.POWER: "500 W",
    Kind.SPEED: "600 rpm",
}
"""What to write where the field itself gives no example."""


def _show(
    each: GivenField, schema: type[Schema] | None, is_stored: bool, is_fine: bool, **presence: Any
) -> fields.Field[Any]:
    if get_origin(each.kind) is tuple and each.kind != Said:
        item = replace(each, kind=get_args(each.kind)[0])
        return fields.List(_show(item, schema, is_stored, is_fine), **presence)
    if schema is not None:
        return fields.Nested(schema, **presence)
    if each.choices:
        return Term(find_vocabulary(each.choices), **presence)
    if each.unit is None or each.unit not in _WIRE_KINDS:
        return _SHOWN[each.kind](**presence)
    kind = _WIRE_KINDS[each.unit]
    gauge = kind is Kind.PRESSURE and not is_stored
    quantity = BandOut if each.kind is Band else QuantityOut
    return quantity(kind, fine=is_fine, gauge=gauge, **presence)


_WIRE_KINDS: Mapping[Unit, Kind] = {
    **KINDS,
    "Pa stress": Kind.PRESSURE_DIFFERENCE,
    "W/m": Kind.POWER,  # of one metre
}
_SHOWN: dict[type, type[fields.Field[Any]]] = {
    float: fields.Float,
    int: fields.Integer,
    bool: fields.Boolean,
    str: Words,
    Said: Words,
}


def _describe(each: GivenField) -> dict[str, Any]:
    """What the description says of a field: example, range, and what is taken without it."""
    said: dict[str, Any] = {}
    if each.given.example is not None or each.may_lack:
        said["example"] = each.given.example
    parts = [word(each.say_range()), _describe_default(each)]
    if text := "; ".join(part for part in parts if part):
        said["description"] = text
    if each.unit not in KINDS and each.kind in (int, float):
        said |= _bounds(each)
    return said


def _describe_default(each: GivenField) -> str:
    if each.default is MISSING or each.default is None:
        return ""
    if each.unit is not None and each.unit in FIGURES:
        return f"left out: {show_figure(FIGURES[each.unit](each.default))}"
    if isinstance(each.default, float):
        return f"left out: {show_figure(number(each.default))}"
    return f"left out: {each.default}"


def _bounds(each: GivenField) -> dict[str, float]:
    ends = {
        "minimum": each.given.least,
        "maximum": each.given.most,
        "exclusiveMinimum": each.given.above,
        "exclusiveMaximum": each.given.below,
    }
    return {name: end for name, end in ends.items() if end is not None}
