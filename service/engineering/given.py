"""What a calculation is given: unit, example, default and range stand on the field itself.

    bore: Annotated[float, "m"] = given("3/4 in", least=1e-3, most=1.0)

The unit is one of `findings.Unit`; the example is what a person would write. The floors above
derive from it how the field is read, described and refused; here only the range is held.
"""

from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields
from functools import cache, cached_property
from types import MappingProxyType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from service.engineering.errors import OutOfRange
from service.engineering.findings import Unit
from service.engineering.saying import (
    Figure,
    Said,
    angle,
    area,
    drop,
    flow,
    length,
    mass,
    name,
    number,
    power,
    pressure,
    say,
    speed,
    temperature,
    volume,
)

FIGURES: Mapping[Unit, Callable[[float], Figure]] = MappingProxyType(
    {
        "m": length,
        "m2": area,
        "m3": volume,
        "kg": mass,
        "kg/s": flow,
        "Pa": pressure,
        "Pa difference": drop,
        "K": temperature,
        "W": power,
        "1/s": speed,
        "rad": angle,
    }
)
"""How a figure of a given unit is said; any other is a plain number."""


@dataclass(frozen=True, slots=True)
class Given:
    """What stands on a field: an example and the range; `above` and `below` leave out their end."""

    example: Any = None
    least: float | None = None
    most: float | None = None
    above: float | None = None
    below: float | None = None

    def holds(self, value: float) -> bool:
        """Whether a value lies in the range."""
        return (
            (self.least is None or value >= self.least)
            and (self.most is None or value <= self.most)
            and (self.above is None or value > self.above)
            and (self.below is None or value < self.below)
        )


@dataclass(frozen=True, slots=True)
class GivenField:
    """A field of a dataclass and all that is said of it there."""

    name: str
    kind: type  # float, int, bool, str, or the type of a nested thing
    unit: Unit | None
    choices: tuple[str, ...]
    may_lack: bool  # whether None may stand for it
    default: Any  # MISSING where it must be given
    given: Given

    def say_range(self) -> Said:
        """`between 1 mm and 1 m`, `above 0`, `0 or more`; empty where there is no range."""
        figure = FIGURES.get(self.unit, number) if self.unit else number
        low, high = self.given.least, self.given.most
        above, below = self.given.above, self.given.below
        if low is not None and high is not None:
            return say("between ", figure(low), " and ", figure(high))
        worded = {"at least ": low, "above ": above, "at most ": high, "below ": below}
        ends = [say(word, figure(end)) for word, end in worded.items() if end is not None]
        return say(*ends[:1], *((", ", *end) for end in ends[1:]))


def given(
    example: Any = None,
    *,
    default: Any = MISSING,
    least: float | None = None,
    most: float | None = None,
    above: float | None = None,
    below: float | None = None,
) -> Any:
    """A field of a dataclass with its example, default and range in SI.

    example: what a person would write: "3/4 in", or a plain number.
    default: what is taken when nothing is given, in SI; without one the field must be given.
    least: low end of the range, itself in it, in the unit of the field [SI].
    most: high end, itself in it [SI].
    above: low end, itself out of it [SI].
    below: high end, itself out of it [SI].
    Returns: a dataclass field.
    """
    metadata = {"given": Given(example, least, most, above, below)}
    return field(default=default, metadata=metadata)


@cache
def given_fields(kind: type) -> tuple[GivenField, ...]:
    """The fields of a dataclass, each with what is said of it; one without `given` has no range.

    kind: the dataclass.
    Returns: in the order in which they are declared.
    """
    hints = get_type_hints(kind, include_extras=True)
    return tuple(_read_field(each, hints[each.name]) for each in fields(kind))


def find_field(kind: type, name: str) -> GivenField:
    """A field of a dataclass by its name, or a property, of which the annotation says all.

    kind: the dataclass.
    name: that of the field or property.
    Returns: the field.
    """
    for each in given_fields(kind):
        if each.name == name:
            return each
    found: Any = getattr(kind, name)
    reckon = found.func if isinstance(found, cached_property) else found.fget
    unset: Any = field()
    unset.name = name
    return _read_field(unset, get_type_hints(reckon, include_extras=True)["return"])


def require_given(thing: Any) -> None:
    """Refuse a thing with a figure outside the range that its field states.

    thing: an instance of a dataclass whose fields are `given`.
    Raises OutOfRange: the first field outside its range, named.
    """
    kind: Any = type(thing)
    for each in given_fields(kind):
        value = getattr(thing, each.name)
        if value is None:
            continue
        if not each.given.holds(value):
            words = each.name.replace("_", " ").capitalize()
            raise OutOfRange(say(words, " must be ", each.say_range(), "."), field=each.name)
        if each.choices and value not in each.choices:
            listed = ", ".join(each.choices)
            raise OutOfRange(say(name(str(value)), f" is none of: {listed}."), field=each.name)


def _read_field(each: "Field[Any]", hint: Any) -> GivenField:
    unit, hint = _take_unit(hint)
    members = get_args(hint) if get_origin(hint) in {Union, UnionType} else (hint,)
    may_lack = type(None) in members
    inner_unit, inner = _take_unit(next(one for one in members if one is not type(None)))
    choices = get_args(inner) if get_origin(inner) is Literal else ()
    return GivenField(
        name=each.name,
        kind=str if choices else inner,
        unit=unit or inner_unit,
        choices=choices,
        may_lack=may_lack,
        default=each.default if each.default_factory is MISSING else each.default_factory(),
        given=each.metadata.get("given", Given()),
    )


def _take_unit(hint: Any) -> tuple[Unit | None, Any]:
    if hasattr(hint, "__metadata__"):
        return hint.__metadata__[0], hint.__origin__
    return None, hint
