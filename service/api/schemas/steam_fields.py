"""Fields and readers that the steam calculations share: gauge pressures out, bands in."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from marshmallow import ValidationError, fields

from service.api.fields import BandOut, QuantityIn, QuantityOut
from service.api.preferences import measure
from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import EngineeringError
from service.engineering.findings import Band
from service.quantities import Kind, Quantity, QuantityError, parse
from service.quantities.wording import word


class GaugeOut(QuantityOut):
    """An absolute pressure of the engineering floor, going out as a gauge shows it."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Kind.PRESSURE, **kwargs)

    def _serialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:
        gauge = None if value is None else value - ATMOSPHERE
        return super()._serialize(gauge, *args, **kwargs)


class GaugeBandOut(BandOut):
    """A band of absolute pressures, going out as a gauge shows them."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Kind.PRESSURE, **kwargs)

    def _serialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:
        gauge = value and Band(*(getattr(value, end) - ATMOSPHERE for end in _ENDS))
        return super()._serialize(gauge, *args, **kwargs)


class BandIn(fields.Raw):
    """An estimate: one quantity, or an object of low, likely and high; a band in SI inside."""

    def __init__(self, kind: Kind, *, example: str, **kwargs: Any) -> None:
        ends = {end: {"type": "string"} for end in _ENDS}
        either = [
            {"type": "string"},
            {"type": "object", "properties": ends, "required": list(_ENDS)},
        ]
        super().__init__(metadata={"oneOf": either, "example": example}, **kwargs)
        self.kind = kind

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Band:
        if not isinstance(value, Mapping):
            only = self._read(value)
            return Band(only, only, only)
        if set(value) != set(_ENDS):
            raise ValidationError("Give one quantity, or low, likely and high.")
        faults, ends = {}, []
        for end in _ENDS:
            try:
                ends.append(self._read(value[end]))
            except ValidationError as error:
                faults[end] = error.messages
        if faults:
            raise ValidationError(faults)
        return Band(*ends)

    def _read(self, value: Any) -> float:
        try:
            return parse(value, self.kind).si
        except QuantityError as error:
            raise ValidationError(word(error.message, measure())) from None


_ENDS = ("low", "likely", "high")


def quantity(kind: Kind, example: str, **kwargs: Any) -> QuantityIn:
    """A quantity that may be left out; `default` is what is then taken."""
    default = kwargs.pop("default", None)
    taken = None if default is None else parse(default, kind)
    return QuantityIn(kind, example=example, allow_none=True, load_default=taken, **kwargs)


def above_nothing(value: Quantity) -> None:
    """Refuse a quantity of nothing."""
    if value.value <= 0:
        raise ValidationError("This must be above 0.")


def si(value: Quantity | None) -> float | None:
    """What was given in SI, or None."""
    return None if value is None else value.si


@contextmanager
def refusing(**names: str) -> Iterator[None]:
    """Turn what engineering refuses inside into a fault of the body where it stands.

    `names` says what an argument of engineering is called in the request, where not the same.
    """
    try:
        yield
    except EngineeringError as error:
        field = error.field or "_schema"
        raise ValidationError(word(error.message, measure()), names.get(field, field)) from None
