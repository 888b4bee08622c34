"""A write with an Idempotency-Key is done once; a repeat of it gets the first answer again."""

import datetime as dt
import hashlib
from collections.abc import Callable

from flask import Response, current_app, g, request
from sqlalchemy.orm import Session

from service.api.problems import WrongRequest
from service.records.models.idempotency import LONGEST_KEY
from service.records.operations.idempotency import claim_key, keep_answer

KEPT_HEADERS = ("Content-Type", "Location", "ETag", "Cache-Control")


def answer_once(
    session: Session, *, sender: str, now: dt.datetime, answer: Callable[[], Response]
) -> Response:
    """The kept answer for this request's key, or a new one, kept in the same transaction."""
    key = read_key(request.headers.get("Idempotency-Key"))
    if key is None:
        return answer()
    row = claim_key(session, sender=sender, key=key, fingerprint=fingerprint(), now=now)
    if row.status is not None:
        repeated = Response(row.body, status=row.status, headers=row.headers or {})
        repeated.headers["Idempotency-Replayed"] = "true"
        return repeated
    response = answer()
    keep_answer(
        row,
        status=response.status_code,
        headers={name: response.headers[name] for name in KEPT_HEADERS if name in response.headers},
        body=_without_secret(response),
    )
    return response


def keep_no_secret(member: str) -> None:
    """Keep this answer with `member` null: a secret is shown once and stored nowhere."""
    g.secret_member = member


def _without_secret(response: Response) -> str:
    member = g.get("secret_member")
    if member is None:
        return response.get_data(as_text=True)
    return current_app.json.dumps({**(response.get_json() or {}), member: None})


def read_key(header: str | None) -> str | None:
    """The key in the header, with or without the quotes of a structured-field string."""
    if header is None:
        return None
    key = header.strip().removeprefix('"').removesuffix('"')
    if not 0 < len(key) <= LONGEST_KEY or not key.isascii() or not key.isprintable():
        raise WrongRequest(
            f"A key is 1 to {LONGEST_KEY} printable ASCII characters.", field="Idempotency-Key"
        )
    return key


def fingerprint() -> str:
    """A digest of what this request asks: method, address, version and body."""
    digest = hashlib.sha256()
    for piece in (
        request.method.encode(),
        request.full_path.encode("utf-8", "surrogatepass"),
        request.headers.get("If-Match", "").encode("utf-8", "surrogatepass"),
        request.get_data(cache=True),
    ):
        digest.update(piece)
        digest.update(b"\0")
    return digest.hexdigest()
