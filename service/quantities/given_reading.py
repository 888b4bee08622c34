"""What was written, read into the dataclass that calculates: the one way to its fields."""

from collections.abc import Callable, Mapping
from dataclasses import MISSING
from types import MappingProxyType
from typing import Any, TypeVar

from service.engineering.findings import Unit
from service.engineering.given import GivenField, given_fields
from service.quantities.kinds import TRAITS, Kind
from service.quantities.parsing import parse
from service.quantities.quantity import Quantity

Thing = TypeVar("Thing")

KINDS: Mapping[Unit, Kind] = MappingProxyType(
    {traits.field_unit: kind for kind, traits in TRAITS.items() if traits.field_unit}
)
"""How a field of a given unit is written; a pressure is written as a gauge shows it."""


def read_given(thing: Callable[..., Thing], data: Mapping[str, Any], **further: Any) -> Thing:
    """The thing that a mapping describes: texts are read by the unit of their field.

    What is absent or None takes the field's default; members that no field bears are passed over.
    `further` are members already read. Raises `QuantityError` or `EngineeringError`, naming the
    field.
    """
    read = {
        each.name: value
        for each in given_fields(thing)
        if each.name not in further and (value := _read(each, data.get(each.name))) is not MISSING
    }
    return thing(**read, **further)


def _read(each: GivenField, value: Any) -> Any:
    if value is None:
        return MISSING if each.default is not MISSING else None
    if each.unit is not None and isinstance(value, str):
        value = parse(value, KINDS[each.unit], field=each.name)
    if isinstance(value, Quantity):
        return value.absolute if value.kind is Kind.PRESSURE else value.si
    return value
