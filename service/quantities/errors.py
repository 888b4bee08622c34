"""What this floor refuses to read.

QuantityError    one plain sentence that names what would be right
"""

from collections.abc import Iterator
from contextlib import contextmanager


class QuantityError(ValueError):
    """A text that is no quantity, drill or thread; `field` names where it stood, when known."""

    def __init__(self, message: str, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field


@contextmanager
def naming(field: str | None) -> Iterator[None]:
    """Let a refusal from inside carry the name of the field that was being read."""
    try:
        yield
    except QuantityError as error:
        error.field = field
        raise
