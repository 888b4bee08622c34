"""Tokens and the audit trail over HTTP."""

from typing import Any

from service.api.access import asker, keep_no_secret, session, signed
from service.api.answers import created
from service.api.blueprint import Blueprint
from service.api.noun import Noun, writes
from service.api.schemas.tokens import (
    AuditOut,
    AuditPage,
    AuditQuery,
    NewTokenOut,
    TokenIn,
    TokenOut,
    TokenPage,
)
from service.records.models import AuditLine, Scope, Token
from service.records.operations.audit import list_audit
from service.records.operations.tokens import create_token, list_tokens, revoke_token

blp = Blueprint("access", __name__, description="Who may do what, and who did what.")

tokens = Noun(blp, Token, TokenOut, "/tokens", "/tokens/<number:token_id>", read_by=Scope.OWNER)
tokens.lists(list_tokens, TokenPage, "List tokens, newest first; their secrets are not kept.")


@writes(blp, "POST", tokens.all, "create_token", NewTokenOut,
        body=TokenIn, manner="creates", status=201)  # fmt: skip
def make_token(data: dict[str, Any]) -> Any:
    """Make a token; its secret is shown this once. It runs out no later than yours."""
    latest = asker().expires_at
    token, secret = create_token(session(), latest=latest, signed=signed(), **data)
    token.token = secret  # type: ignore[attr-defined]
    keep_no_secret("token")
    return created(token)


tokens.reads("get_token", "Read a token without its secret.")


@writes(blp, "DELETE", tokens.one, "revoke_token", TokenOut, manner="creates")
def revoke(token_id: int) -> Token:
    """Revoke a token; it opens nothing any more. The last live one of an owner stays."""
    return revoke_token(session(), token_id, signed=signed())


audit = Noun(blp, AuditLine, AuditOut, "/audit", read_by=Scope.OWNER)
audit.lists(list_audit, AuditPage, "List audit lines, newest first.", AuditQuery)
