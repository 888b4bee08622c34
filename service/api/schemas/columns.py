"""What a record shows of its columns: their kinds, and what may be null, are those of the table.

What goes out is named one by one, so that nothing private is shown by accident.
"""

from typing import Any

import sqlalchemy as sa
from marshmallow import Schema, fields

from service.api.fields import Moment, Money, Words
from service.api.schemas.base import Out, RecordOut
from service.records.columns import ExactDecimal, UtcDateTime
from service.records.database import Base, Versioned


def show_columns(model: type[Base], names: str, **instead: fields.Field[Any]) -> type[Schema]:
    """The base of a schema that shows the named columns, in this order.

    A member that is no column, or is shown in its own way, comes by `instead`.
    """
    columns = model.__table__.c
    members = {name: instead.get(name) or _field(columns[name]) for name in names.split()}
    base = RecordOut if issubclass(model, Versioned) else Out
    return type(f"{model.__name__}Columns", (base,), members)


def _field(column: Any) -> fields.Field[Any]:
    presence: dict[str, Any] = {"required": True, "allow_none": column.nullable}
    if isinstance(column.type, sa.Enum) and column.type.enum_class:
        return fields.Enum(column.type.enum_class, by_value=True, **presence)
    return next(field for kind, field in _FIELDS if isinstance(column.type, kind))(**presence)


_FIELDS: tuple[tuple[type[sa.types.TypeEngine[Any]], type[fields.Field[Any]]], ...] = (
    (UtcDateTime, Moment),
    (ExactDecimal, Money),
    (sa.String, Words),
    (sa.Integer, fields.Integer),
    (sa.Boolean, fields.Boolean),
    (sa.Date, fields.Date),
)
