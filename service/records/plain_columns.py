"""Columns read as the plain texts and numbers that JSON holds.

For lists that are fetched all day: what the database writes out, no row has to be turned over for.
"""

from typing import Any, ClassVar

import sqlalchemy as sa
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.compiler import SQLCompiler
from sqlalchemy.sql.functions import FunctionElement

from service.records.columns import ExactDecimal, UtcDateTime


def plain(column: sa.ColumnElement[Any]) -> sa.ColumnElement[Any]:
    """The column, by its own name, as JSON holds it; a word of a list as the text it is kept as."""
    if isinstance(column.type, sa.Enum):
        return sa.type_coerce(column, sa.String).label(column.name)
    for kind, text in _TEXTS.items():
        if isinstance(column.type, kind):
            return text(column).label(column.name)
    return column


def plain_hours(minutes: sa.ColumnElement[Any], name: str) -> sa.ColumnElement[float]:
    """Minutes as hours to four places."""
    sixty = sa.literal_column("60.0", sa.Numeric)
    return sa.cast(sa.func.round(minutes / sixty, 4), sa.Float).label(name)


class PlainText(FunctionElement[str]):
    """A column as JSON holds it, written out by the database; `{0}` stands for the column."""

    type = sa.String()
    sqlite: ClassVar = "{0}"
    postgresql: ClassVar = "{0}"


class MomentText(PlainText):
    """A moment as ISO 8601 has it, with the microseconds only where there are some."""

    inherit_cache = True
    sqlite = "replace({0}, '.000000', '')"
    postgresql = (
        "replace(to_char({0} AT TIME ZONE 'UTC', "
        """'YYYY-MM-DD"T"HH24:MI:SS.US"+00:00"'), '.000000', '')"""
    )


class DayText(PlainText):
    """A day as ISO 8601 has it."""

    inherit_cache = True
    postgresql = "to_char({0}, 'YYYY-MM-DD')"


class AmountText(PlainText):
    """An amount of money with its two places; on SQLite it is kept as whole hundredths."""

    inherit_cache = True
    sqlite = (  # `printf` would write nothing at all as nought
        "CASE WHEN {0} IS NOT NULL THEN printf('%s%d.%02d', "
        "CASE WHEN {0} < 0 THEN '-' ELSE '' END, abs({0}) / 100, abs({0}) % 100) END"
    )
    postgresql = "CAST({0} AS TEXT)"


_TEXTS = {UtcDateTime: MomentText, sa.Date: DayText, ExactDecimal: AmountText}


@compiles(PlainText)
def _write_out(element: PlainText, compiler: SQLCompiler, **kw: Any) -> str:
    written: str = getattr(element, compiler.dialect.name)
    return written.format(compiler.process(element.clauses, **kw))
