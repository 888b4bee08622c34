"""The form of a backup: a zip of JSON lines, one file a table, beside blobs and the kit's tables.

It opens without this program. Rows carry their logical types, so that a backup of an older schema
is brought back into that schema and then migrated, and a workshop can move from SQLite to
PostgreSQL and back. The manifest comes last and bears the number of rows and a digest of whatever
is not named by its content.
"""

import datetime as dt
import json
import re
from collections.abc import Callable
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

import sqlalchemy as sa

from service.records.columns import ExactDecimal, UtcDateTime
from service.records.errors import Refused

FORMAT = 2
MANIFEST = "manifest.json"
BLOB = re.compile(r"blobs/([0-9a-f]{64})")
TOOLS = re.compile(r"kit/([a-z-]{1,60}\.csv)")

TYPES: dict[str, Callable[[], sa.types.TypeEngine[Any]]] = {
    "moment": UtcDateTime,
    "money": ExactDecimal,
    "day": sa.Date,
    "json": lambda: sa.JSON(none_as_null=True),
    "truth": sa.Boolean,
    "plain": sa.types.NullType,
}
"""The logical types of a column in the file."""

READERS: dict[str, Callable[[Any], Any]] = {
    "moment": dt.datetime.fromisoformat,
    "money": Decimal,
    "day": dt.date.fromisoformat,
}
"""How a logical type that JSON does not have is read back."""

UNREADABLE = (ValueError, LookupError, AttributeError, ArithmeticError, TypeError, RecursionError)
"""What reading strange JSON may raise."""

Row = dict[str, Any]


class Damaged(Refused):
    """A backup that is not whole; nothing is taken from it."""


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup says it holds."""

    revision: str
    tables: dict[str, dict[str, str]]  # by table, the logical type of each column
    format: int = FORMAT
    made: str | None = None  # RFC 3339
    rows: dict[str, int] | None = None
    digests: dict[str, str] | None = None  # SHA-256 of tables and of the kit; None in form 1

    def to_json(self) -> str:
        """As it stands in the file."""
        return json.dumps(asdict(self), indent=1)

    @classmethod
    def from_json(cls, data: bytes) -> "Manifest":
        """Read back; `Damaged` for what this release cannot read."""
        try:
            plain = json.loads(data)
            form = plain["format"]
        except UNREADABLE:
            raise Damaged("its manifest cannot be read") from None
        if type(form) is not int or form not in (1, FORMAT):
            raise Refused("It is not of a form that this release can read.")
        try:
            read = cls(**plain)
            types = {kind for columns in read.tables.values() for kind in columns.values()}
            sound = isinstance(read.revision, str) and types <= TYPES.keys()
            if form == FORMAT:
                sound &= dict(read.rows or {}).keys() == read.tables.keys() and bool(read.digests)
        except UNREADABLE:
            sound = False
        if not sound:
            raise Damaged("its manifest cannot be read")
        return read


def member_of(table: str) -> str:
    """Where a table's rows stand."""
    return f"tables/{table}.jsonl"


def kind_of(column_type: sa.types.TypeEngine[Any]) -> str:
    """The logical type of a column."""
    kinds = {UtcDateTime: "moment", ExactDecimal: "money", sa.Date: "day", sa.JSON: "json",
             sa.Boolean: "truth"}  # fmt: skip
    return next((kind for known, kind in kinds.items() if isinstance(column_type, known)), "plain")


def write_row(row: Row) -> bytes:
    """A row as its line."""
    return json.dumps(row, default=_to_json).encode() + b"\n"


def read_row(line: bytes, types: dict[str, str]) -> Row:
    """A row from its line; `Damaged` where it is not one of this table."""
    try:
        row: Row = json.loads(line)
        if row.keys() != types.keys():
            raise ValueError("another table's row")
        for column, kind in types.items():
            if kind in READERS and row[column] is not None:
                row[column] = READERS[kind](row[column])
    except UNREADABLE:
        raise Damaged("a row of it cannot be read") from None
    return row


def _to_json(value: Any) -> str:
    return value.isoformat() if isinstance(value, dt.date | dt.datetime) else str(value)
