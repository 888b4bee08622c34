"""What the records refuse. Codes are stable; the floor above maps each class to an HTTP status.

RecordError
├── NotFound     there is no such record, or not for this asker
├── Stale        somebody changed the record since it was read
├── Conflict     the change collides with another record
├── Refused      a rule of the workshop forbids the change
├── DatabaseBusy another holds the database, or it does not answer: a moment's wait may mend it
├── NoRoom       the disk is full
├── NotWritable  nothing can be written where the database or the files lie
└── FileMissing  a record names a file that is not there
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


class DatabaseBusy(RecordError):
    """The database is held by another, or does not answer."""

    code = "busy"

    def __init__(self, message: str = "", *, code: str | None = None) -> None:
        told = "The database is locked by another writer. Try again in a moment."
        super().__init__(message or told, code=code)


class NoRoom(RecordError):
    """The disk is full."""

    code = "no-room"

    def __init__(self) -> None:
        super().__init__("The disk is full. Nothing was written; what was kept can be read.")


class NotWritable(RecordError):
    """Nothing can be written where the database or the files lie."""

    code = "not-writable"

    def __init__(self) -> None:
        super().__init__(
            "The database or the data folder cannot be written to. Nothing was written; what was "
            "kept can be read."
        )


class FileMissing(RecordError, FileNotFoundError):
    """A record names a file that is not there."""

    code = "file-missing"

    def __init__(self, sha256: str) -> None:
        super().__init__(
            f"The file of this picture or paper, {sha256[:12]}…, is missing from the data folder. "
            "A backup may have it."
        )


HINDRANCES = (DatabaseBusy, NoRoom, NotWritable)
"""What hinders any writing, whatever is to be written."""
