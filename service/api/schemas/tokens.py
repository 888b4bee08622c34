"""Tokens and audit lines on the wire."""

from marshmallow import fields

from service.api.fields import Moment, Text, Words
from service.api.paging import PageQuery, wanted_id
from service.api.schemas.base import Asked, page_of
from service.api.schemas.calculations import ANY_MEMBERS
from service.api.schemas.columns import show_columns
from service.records.models import AuditLine, Scope, Token


class TokenIn(Asked):
    """A new token for one person or device."""

    name = Text(required=True, metadata={"example": "bench phone"})
    scope = fields.Enum(Scope, by_value=True, required=True, metadata={"example": "bench"})
    expires_at = Moment(load_default=None, allow_none=True)


class TokenOut(show_columns(Token, "id name scope created_at expires_at revoked_at")):
    """A token without its secret."""


class NewTokenOut(TokenOut):
    """A new token; the secret is shown this once, and is null in a repeated answer."""

    token = Words(required=True, allow_none=True)


TokenPage = page_of(TokenOut, "TokenPage")


class AuditOut(show_columns(AuditLine, "id at person action noun record_id")):
    """One audit line."""

    before = fields.Dict(required=True, allow_none=True, metadata=ANY_MEMBERS)
    after = fields.Dict(required=True, allow_none=True, metadata=ANY_MEMBERS)


AuditPage = page_of(AuditOut, "AuditPage")


class AuditQuery(PageQuery):
    """Filters of the audit trail."""

    noun = Text(longest=40, load_default=None)
    record_id = wanted_id(load_default=None)
