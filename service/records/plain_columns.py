"""Columns read as the plain texts and numbers that JSON holds.

For lists that are fetched all day: what the database writes out, no row has to be turned over for.
"""

from typing import Any

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


class MomentText(FunctionElement[str]):
    """A moment as ISO 8601 has it, with the microseconds only where there are some."""

    type = sa.String()
    inherit_cache = True


class DayText(FunctionElement[str]):
    """A day as ISO 8601 has it."""

    type = sa.String()
    inherit_cache = True


class AmountText(FunctionElement[str]):
    """An amount of money with its two places."""

    type = sa.String()
    inherit_cache = True


_TEXTS = {UtcDateTime: MomentText, sa.Date: DayText, ExactDecimal: AmountText}


@compiles(MomentText, "sqlite")
def _moment_on_sqlite(element: MomentText, compiler: SQLCompiler, **kw: Any) -> str:
    return f"replace({compiler.process(element.clauses, **kw)}, '.000000', '')"


@compiles(MomentText, "postgresql")
def _moment_on_postgresql(element: MomentText, compiler: SQLCompiler, **kw: Any) -> str:
    utc = f"{compiler.process(element.clauses, **kw)} AT TIME ZONE 'UTC'"
    return f"""replace(to_char({utc}, 'YYYY-MM-DD"T"HH24:MI:SS.US"+00:00"'), '.000000', '')"""


@compiles(DayText, "sqlite")
def _day_on_sqlite(element: DayText, compiler: SQLCompiler, **kw: Any) -> str:
    return compiler.process(element.clauses, **kw)


@compiles(DayText, "postgresql")
def _day_on_postgresql(element: DayText, compiler: SQLCompiler, **kw: Any) -> str:
    return f"to_char({compiler.process(element.clauses, **kw)}, 'YYYY-MM-DD')"


@compiles(AmountText, "sqlite")
def _amount_on_sqlite(element: AmountText, compiler: SQLCompiler, **kw: Any) -> str:
    """Kept as whole hundredths; `printf` would write nothing at all as nought."""
    kept = compiler.process(element.clauses, **kw)
    sign = f"CASE WHEN {kept} < 0 THEN '-' ELSE '' END"
    written = f"printf('%s%d.%02d', {sign}, abs({kept}) / 100, abs({kept}) % 100)"
    return f"CASE WHEN {kept} IS NOT NULL THEN {written} END"


@compiles(AmountText, "postgresql")
def _amount_on_postgresql(element: AmountText, compiler: SQLCompiler, **kw: Any) -> str:
    return f"CAST({compiler.process(element.clauses, **kw)} AS TEXT)"
