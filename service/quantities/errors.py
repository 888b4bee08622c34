"""What this floor refuses to read.

QuantityError    one plain sentence that names what would be right
"""

from collections.abc import Iterator
from contextlib import contextmanager

from service.engineering.saying import Said


class QuantityError(ValueError):
    """A text that is no quantity, drill or thread; `field` names where it stood, when known."""

    def __init__(self, message: Said | str, field: str | None = None) -> None:
        super().__init__(message)
        self.message: Said | str = message
        self.field = field


@contextmanager
def naming(field: str | None) -> Iterator[None]:
    """Let a refusal from inside carry the name of the field that was being read."""
    try:
        yield
    except QuantityError as error:
        error.field = field
        raise
