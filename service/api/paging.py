"""Lists a page at a time, newest first: `limit` and `cursor` in, `items` and `next` out."""

from typing import Any
from urllib.parse import urlencode

from flask import g, request
from marshmallow import RAISE, Schema, validate

from service.api.fields import WholeInQuery

LARGEST_ID = 2_147_483_647
"""What an INTEGER holds on PostgreSQL; anything larger would be an error of the database."""

MOST = 100


def wanted_id(**kwargs: Any) -> WholeInQuery:
    """A filter that names a record."""
    return WholeInQuery(validate=validate.Range(1, LARGEST_ID), **kwargs)


class PageQuery(Schema):
    """How much of a list, and from where; the filters of a list are added by its own schema."""

    class Meta:
        """Refuse a mistyped filter, which would otherwise let everything through."""

        unknown = RAISE

    limit = WholeInQuery(
        load_default=50,
        validate=validate.Range(1, MOST),
        metadata={"description": "How many at the most.", "example": 50},
    )
    cursor = wanted_id(
        load_default=None, metadata={"description": "Where the page begins, as found in `next`."}
    )


def envelope(items: list[Any], cursor: int | None) -> dict[str, Any]:
    """The page as it goes over the wire; its header `Link` names the next one too."""
    address = next_address(cursor)
    if address is not None:
        g.next_page = address
    return {"items": items, "next": address, "next_cursor": cursor}


def next_address(cursor: int | None) -> str | None:
    """The relative address of the next page, with this request's filters; None on the last."""
    if cursor is None:
        return None
    query = {**request.args.to_dict(), "cursor": cursor}
    return f"{request.root_path}{request.path}?{urlencode(query)}"
