"""What engineering refuses to calculate.

EngineeringError
├── OutOfRange      a quantity lies outside the range for which the formula holds
├── Unsuitable      the question does not apply to this thing (a taper thread cannot be shimmed)
├── NoSolution      the equations have no answer, or none was found
└── UnknownName     a table has no row of this name
    ├── UnknownThread
    ├── UnknownDrill
    └── UnknownMaterial
"""

from collections.abc import Callable

from service.engineering.saying import Figure, Said, listed, name, number, say


class EngineeringError(ValueError):
    """Any refusal of this floor, its message text or the parts of a sentence.

    `field` names the argument at fault, when one is.
    """

    def __init__(self, message: Said | str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message: Said = say(message)
        self.field = field


class OutOfRange(EngineeringError):
    """A quantity outside the range for which the formula holds."""


class Unsuitable(EngineeringError):
    """The question does not apply to the thing asked about."""


class NoSolution(EngineeringError):
    """The equations have no answer, or none was found."""


class UnknownName(EngineeringError):
    """A table has no row of this name; `nearest` holds the names most like it."""

    def __init__(self, wanted: str, nearest: tuple[str, ...], *, kind: str, field: str) -> None:
        hint = say(" Nearest: ", listed(map(name, nearest)), ".") if nearest else ""
        super().__init__(say(f"No {kind} is called ", name(repr(wanted)), ".", hint), field=field)
        self.name = wanted
        self.nearest = nearest


class UnknownThread(UnknownName):
    """The catalogue has no thread of this designation."""

    def __init__(self, name: str, nearest: tuple[str, ...]) -> None:
        super().__init__(name, nearest, kind="thread", field="thread")


class UnknownDrill(UnknownName):
    """No drill series has this size."""

    def __init__(self, name: str, nearest: tuple[str, ...]) -> None:
        super().__init__(name, nearest, kind="drill", field="drill")


class UnknownMaterial(UnknownName):
    """The table of materials has no such material."""

    def __init__(self, name: str, nearest: tuple[str, ...]) -> None:
        super().__init__(name, nearest, kind="material", field="material")


def require(condition: bool, field: str, message: Said | str) -> None:
    """Raise `OutOfRange` for `field` unless `condition` holds.

    Written as one call so that a function's limits stand in a column at its head.
    """
    if not condition:
        raise OutOfRange(message, field=field)


def require_within(
    field: str,
    value: float,
    least: float,
    most: float,
    figure: Callable[[float], Figure] = number,
    *,
    above: bool = False,
) -> None:
    """Raise `OutOfRange` for `field` unless it lies from `least`, or `above` it, to `most`."""
    if least <= value <= most and not (above and value == least):
        return
    subject = field.replace("_", " ").capitalize()
    lower = figure(least) if least else "0"
    bounds = say("above ", lower, ", at most ") if above else say("between ", lower, " and ")
    raise OutOfRange(say(f"{subject} must be ", bounds, figure(most), "."), field=field)
