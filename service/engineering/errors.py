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


class EngineeringError(ValueError):
    """Any refusal of this floor. `field` names the argument at fault, when one is."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class OutOfRange(EngineeringError):
    """A quantity outside the range for which the formula holds."""


class Unsuitable(EngineeringError):
    """The question does not apply to the thing asked about."""


class NoSolution(EngineeringError):
    """The equations have no answer, or none was found."""


class UnknownName(EngineeringError):
    """A table has no row of this name; `nearest` holds the names most like it."""

    def __init__(self, name: str, nearest: tuple[str, ...], *, kind: str, field: str) -> None:
        hint = f" Nearest: {', '.join(nearest)}." if nearest else ""
        super().__init__(f"No {kind} is called {name!r}.{hint}", field=field)
        self.name = name
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


def require(condition: bool, field: str, message: str) -> None:
    """Raise `OutOfRange` for `field` unless `condition` holds.

    Written as one call so that a function's limits stand in a column at its head.
    """
    if not condition:
        raise OutOfRange(message, field=field)
