"""Reading the data files of the thread floor: CSV text to rows, figures to SI."""

import csv
from collections.abc import Iterable
from fractions import Fraction
from importlib import resources
from math import isfinite

from service.engineering.errors import OutOfRange

Row = dict[str, str]

UNIT_SIZES = {"in": 0.0254, "mm": 0.001}  # units of length that a table may use [m]


def read_table(name: str) -> list[Row]:
    """The rows of one of the project's own tables.

    name: file name.
    Returns: the rows under the heading, as written.
    Source: The table's last column.
    """
    text = (resources.files("service.engineering") / "tables" / name).read_text(encoding="utf-8")
    return read_rows(text)


def read_rows(text: str) -> list[Row]:
    """The rows of CSV text with a heading line.

    text: the text; lines that start with `#` are remarks.
    Returns: the rows under the heading, as written.
    Raises OutOfRange: a row with more columns than the heading.
    Source: The text itself.
    """
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    reader = csv.DictReader(lines, restkey="surplus", restval="", skipinitialspace=True)
    rows: list[Row] = []
    for row in reader:
        if "surplus" in row:
            raise OutOfRange(f"Line {reader.line_num} has more columns than the heading.")
        rows.append({key: value.strip() for key, value in row.items()})
    return rows


def read_number(row: Row, column: str, *, scale: float = 1.0) -> float | None:
    """The figure in a column; a fraction such as 5/32 is read exactly.

    row: one row of a table, by column.
    column: heading of the column.
    scale: what the figure is multiplied by, to SI.
    Returns: the figure times `scale`, in the unit that gives; None if the column is blank.
    Raises OutOfRange: something that is not a figure.
    Source: The row's own.
    """
    written = row.get(column, "")
    if not written:
        return None
    try:
        number = float(Fraction(written)) * scale
    except (ValueError, ZeroDivisionError, OverflowError):
        raise OutOfRange(f"{written!r} is not a figure.", field=column) from None
    if not isfinite(number):
        raise OutOfRange(f"{written!r} is not a figure.", field=column)
    return number


def need_number(row: Row, column: str, *, scale: float = 1.0) -> float:
    """The figure in a column that must not be blank.

    row: one row of a table, by column.
    column: heading of the column.
    scale: what the figure is multiplied by, to SI.
    Returns: the figure times `scale`, in the unit that gives.
    Raises OutOfRange: a blank, or something that is not a figure.
    Source: The row's own.
    """
    require_columns(row, (column,))
    return read_number(row, column, scale=scale) or 0.0


def read_unit(row: Row) -> float:
    """The size of the unit that a row of lengths is written in.

    row: one row of a table, by column.
    Returns: 0.0254 or 0.001 [m].
    Raises OutOfRange: a unit that is neither in nor mm.
    Source: The inch: international agreement of 1959.
    """
    try:
        return UNIT_SIZES[row["unit"]]
    except KeyError:
        raise OutOfRange("The unit of a row is in or mm.", field="unit") from None


def require_columns(row: Row, columns: Iterable[str]) -> None:
    """Refuse a row that lacks something.

    row: one row of a table, by column.
    columns: headings that must not be blank.
    Raises OutOfRange: the first column that is missing or blank.
    Source: The layout of the table.
    """
    for column in columns:
        if not row.get(column):
            raise OutOfRange(f"The row needs something in the column {column!r}.", field=column)
