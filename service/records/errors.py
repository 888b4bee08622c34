"""What the records refuse. Codes are stable; the floor above maps each class to an HTTP status.

RecordError
├── NotFound    there is no such record, or not for this asker
├── Stale       somebody changed the record since it was read
├── Conflict    the change collides with another record
└── Refused     a rule of the workshop forbids the change
"""


class RecordError(Exception):
    """A refusal: a stable `code`, a plain sentence, and the field at fault when there is one."""

    code = "refused"

    def __init__(self, message: str, *, field: str | None = None, code: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        if code:
            self.code = code


class NotFound(RecordError):
    """There is no such record."""

    code = "not-found"

    def __init__(self, noun: str) -> None:
        super().__init__(f"There is no such {noun}.")


class Stale(RecordError):
    """The record was changed since the asker read it."""

    code = "stale-version"

    def __init__(self, noun: str) -> None:
        super().__init__(
            f"This {noun} was changed since you read it. Read it again, then repeat the change."
        )


class Conflict(RecordError):
    """The change collides with another record."""

    code = "conflict"


class Refused(RecordError):
    """A rule of the workshop forbids the change."""

    code = "refused"
