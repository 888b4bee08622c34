"""Tokens: making, finding by hash, revoking."""

import datetime as dt
import hashlib
import secrets
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.errors import Conflict, Refused
from service.records.history import Signature, write_line
from service.records.models import Scope, Token, Workshop
from service.records.models.workshop import THE_ONE
from service.records.operations.lookup import Page, get, page
from service.records.operations.workshop import Custom
from service.records.standing import TOKEN_REVOKED, note

PREFIX = "cbx_"


def list_tokens(session: Session, **asked: Any) -> Page[Token]:
    """A page of tokens, newest first; their secrets are not kept anywhere."""
    return page(session, Token, **asked)


def any_token(session: Session) -> bool:
    """Whether a usable token has ever been made."""
    return (
        session.scalar(sa.select(Token.id).where(Token.revoked_at.is_(None)).limit(1)) is not None
    )


def create_token(
    session: Session,
    *,
    name: str,
    scope: Scope,
    signed: Signature,
    expires_at: dt.datetime | None = None,
    latest: dt.datetime | None = None,
) -> tuple[Token, str]:
    """Make a token; the text returned with it is shown once and not kept.

    `latest` is when the token that asks for it runs out: no token outlives the one that made it.
    """
    expires_at = expires_at or latest
    if expires_at is not None and expires_at <= signed.now:
        raise Refused("A token that has already run out opens nothing.", field="expires_at")
    if latest is not None and expires_at is not None and expires_at > latest:
        raise Refused("A token cannot outlive the one that makes it.", field="expires_at")
    secret = PREFIX + secrets.token_urlsafe(32)
    token = Token(
        name=name, scope=scope, hash=digest(secret), created_at=signed.now, expires_at=expires_at
    )
    session.add(token)
    session.flush()  # the audit line needs the new id
    write_line(session, "created", token, after={"name": name, "scope": scope}, signed=signed)
    return token, secret


def revoke_token(
    session: Session, token_id: int, *, signed: Signature, leave_owner: bool = True
) -> Token:
    """Close a token for good; closing it twice changes nothing.

    The last live token of an owner stays unless `leave_owner` is False, so that nobody shuts
    themselves out from afar: at the machine itself a new one can be made.
    """
    token = get(session, Token, token_id)
    if token.revoked_at is None:
        if leave_owner and live_owners(session, now=signed.now) == {token_id}:
            raise Conflict(
                "This is the last live token of an owner; without it nobody could make another. "
                "Make a new one first, or revoke it at the machine: clackbox token revoke.",
                code="last-owner-token",
            )
        token.revoked_at = signed.now
        note(session, TOKEN_REVOKED, hash=token.hash)
        write_line(session, "revoked", token, signed=signed)
    return token


def live_owners(session: Session, *, now: dt.datetime) -> set[int]:
    """The live tokens of owners, held so that two of them cannot close each other at once."""
    live = sa.select(Token.id).where(
        Token.scope == Scope.OWNER,
        Token.revoked_at.is_(None),
        sa.or_(Token.expires_at.is_(None), Token.expires_at > now),
    )
    return set(session.scalars(live.order_by(Token.id).with_for_update()))


tokens = Token.__table__
workshops = Workshop.__table__
_live = (  # built once, as every request asks it; the workshop's custom is read with it
    sa.select(
        tokens.c.id,
        tokens.c.name,
        tokens.c.scope,
        tokens.c.expires_at,
        workshops.c.name.label("workshop"),
        workshops.c.measure,
        workshops.c.shelf,
    )
    .join(workshops, workshops.c.id == THE_ONE)
    .where(tokens.c.hash == sa.bindparam("hash"), tokens.c.revoked_at.is_(None))
)


@dataclass(frozen=True, slots=True)
class Asker:
    """The holder of a live token."""

    token_id: int
    name: str
    scope: Scope
    expires_at: dt.datetime | None
    custom: Custom  # the workshop's, as it is at this moment


def find_asker(session: Session, secret: str, *, now: dt.datetime) -> Asker | None:
    """Who holds a secret, or None when no live token is made of it."""
    row = session.connection().execute(_live, {"hash": digest(secret)}).first()
    if row is None or (row.expires_at is not None and row.expires_at <= now):
        return None
    custom = Custom(name=row.workshop, measure=row.measure, shelf=tuple(row.shelf))
    return Asker(
        token_id=row.id, name=row.name, scope=row.scope, expires_at=row.expires_at, custom=custom
    )


def digest(secret: str) -> str:
    """What is kept of a secret. It is 256 bits of chance, so a plain hash is enough."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
