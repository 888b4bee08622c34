"""Tokens and the audit trail over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import keep_no_secret, reading, session, signed, writing
from service.api.answers import created
from service.api.blueprint import Blueprint
from service.api.paging import PageQuery, envelope
from service.api.schemas.tokens import (
    AuditPage,
    AuditQuery,
    NewTokenOut,
    TokenIn,
    TokenOut,
    TokenPage,
)
from service.records.models import Scope, Token
from service.records.operations.audit import list_audit
from service.records.operations.lookup import get
from service.records.operations.tokens import create_token, list_tokens, revoke_token

blp = Blueprint("access", __name__, description="Who may do what, and who did what.")


@blp.route("/tokens")
class Tokens(MethodView):
    """All tokens."""

    @reading(Scope.OWNER)
    @blp.operation("list_tokens", Scope.OWNER, "lists")
    @blp.arguments(PageQuery, location="query")
    @blp.response(200, TokenPage)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List tokens, newest first; their secrets are not kept."""
        return envelope(*list_tokens(session(), **query))

    @writing(Scope.OWNER)
    @blp.operation("create_token", Scope.OWNER, "creates")
    @blp.arguments(TokenIn)
    @blp.response(201, NewTokenOut)
    def post(self, data: dict[str, Any]) -> Any:
        """Make a token; its secret is shown this once."""
        token, secret = create_token(session(), signed=signed(), **data)
        token.token = secret  # type: ignore[attr-defined]
        keep_no_secret("token")
        return created(token)


@blp.route("/tokens/<number:token_id>")
class OneToken(MethodView):
    """One token."""

    @reading(Scope.OWNER)
    @blp.operation("get_token", Scope.OWNER, "reads")
    @blp.response(200, TokenOut)
    def get(self, token_id: int) -> Token:
        """Read a token without its secret."""
        return get(session(), Token, token_id)

    @writing(Scope.OWNER, takes=None)
    @blp.operation("revoke_token", Scope.OWNER, "creates")
    @blp.response(200, TokenOut)
    def delete(self, token_id: int) -> Token:
        """Revoke a token; it opens nothing any more."""
        return revoke_token(session(), token_id, signed=signed())


@blp.route("/audit")
class Audit(MethodView):
    """The audit trail."""

    @reading(Scope.OWNER)
    @blp.operation("list_audit", Scope.OWNER, "lists")
    @blp.arguments(AuditQuery, location="query")
    @blp.response(200, AuditPage)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List audit lines, newest first."""
        return envelope(*list_audit(session(), **query))
