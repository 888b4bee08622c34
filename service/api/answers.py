"""How a view hands a record to its answer: with its version as ETag, and its place when new."""

from typing import Any, TypeVar

from flask import request

from service.api.versions import show_version
from service.records.database import Versioned

Record = TypeVar("Record")


def shown(record: Record) -> Record:
    """The record, its version made the ETag of the answer, if it has one."""
    if isinstance(record, Versioned):
        show_version(record.version)
    return record


def created(record: Any) -> tuple[Any, int, dict[str, str]]:
    """A new record with 201 and the address at which it can be read."""
    return shown(record), 201, {"Location": f"{collection()}/{record.id}"}


def collection() -> str:
    """The address of the noun's own collection, whichever address the record was posted to."""
    prefix, _, path = request.path.rstrip("/").partition("/api/v1/")
    return f"{prefix}/api/v1/{path.split('/')[-1]}"
