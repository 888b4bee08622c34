"""Column types that mean the same on SQLite and PostgreSQL, and annotated columns made of them."""

import datetime as dt
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any

import sqlalchemy as sa
from sqlalchemy.engine import Dialect
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.orm import mapped_column
from sqlalchemy.types import TypeDecorator


class UtcDateTime(TypeDecorator[dt.datetime]):
    """An aware moment: timestamptz on PostgreSQL; on SQLite fixed-width ISO text, so it sorts."""

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> Any:
        if dialect.name == "sqlite":
            return dialect.type_descriptor(sa.String(32))
        return dialect.type_descriptor(sa.DateTime(timezone=True))

    def process_bind_param(self, value: dt.datetime | None, dialect: Dialect) -> Any:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment without its offset cannot be stored")
        moment = value.astimezone(dt.UTC)
        return moment.isoformat(timespec="microseconds") if dialect.name == "sqlite" else moment

    def process_result_value(self, value: Any, dialect: Dialect) -> dt.datetime | None:
        if value is None:
            return None
        if isinstance(value, str):
            return dt.datetime.fromisoformat(value)  # written in UTC, so read in UTC
        moment: dt.datetime = value
        return moment.astimezone(dt.UTC)


class ExactDecimal(TypeDecorator[Decimal]):
    """Money: NUMERIC on PostgreSQL; on SQLite a scaled integer, so that sums are exact."""

    impl = sa.Numeric
    cache_ok = True

    def __init__(self, precision: int = 12, scale: int = 2) -> None:
        super().__init__(precision, scale)
        self.precision, self.scale = precision, scale

    def load_dialect_impl(self, dialect: Dialect) -> Any:
        if dialect.name == "sqlite":
            return dialect.type_descriptor(sa.BigInteger())
        return dialect.type_descriptor(sa.Numeric(self.precision, self.scale))

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> Any:
        if value is None:
            return None
        scaled = value.scaleb(self.scale)
        if not scaled.is_finite() or scaled != scaled.to_integral_value():
            raise ValueError(f"{value} is no amount with at most {self.scale} places")
        return int(scaled) if dialect.name == "sqlite" else value

    def process_result_value(self, value: Any, dialect: Dialect) -> Decimal | None:
        if value is None:
            return None
        if dialect.name == "sqlite":
            return Decimal(value).scaleb(-self.scale)
        return Decimal(value)


@compiles(sa.String, "sqlite")
@compiles(sa.Enum, "sqlite")
@compiles(sa.Date, "sqlite")
@compiles(sa.JSON, "sqlite")
def _text(*_: Any, **__: Any) -> str:
    """SQLite's STRICT tables know TEXT only."""
    return "TEXT"


@compiles(sa.Boolean, "sqlite")
@compiles(sa.BigInteger, "sqlite")
def _integer(*_: Any, **__: Any) -> str:
    """SQLite's STRICT tables know INTEGER only."""
    return "INTEGER"


def enum_column(enum: type[StrEnum], name: str | None = None) -> sa.Enum:
    """A column type that stores the values of `enum` and lets the database check them.

    `name` names the check where a table has two columns of one enum.
    """
    return sa.Enum(
        enum,
        native_enum=False,
        create_constraint=True,
        length=32,
        name=name or _snake(enum.__name__),
        values_callable=lambda members: [member.value for member in members],
    )


def _snake(name: str) -> str:
    return "".join("_" + letter.lower() if letter.isupper() else letter for letter in name).strip(
        "_"
    )


Key = Annotated[int, mapped_column(primary_key=True)]
Short = Annotated[str, mapped_column(sa.String(200))]
Long = Annotated[str, mapped_column(sa.Text)]
Moment = Annotated[dt.datetime, mapped_column(UtcDateTime)]
Money = Annotated[Decimal, mapped_column(ExactDecimal)]
