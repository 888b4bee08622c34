"""Who asks, what they may do, and the transaction in which it is done."""

import datetime as dt
import hashlib
from collections.abc import Callable
from dataclasses import replace
from functools import wraps
from typing import Any, TypeVar

from flask import Response, current_app, g, make_response, request
from sqlalchemy.orm import Session

from service.api.problems import NotPermitted, NotRecognised, WrongContent, WrongRequest
from service.api.versions import answer_conditionally, retag, tag_answer
from service.engineering.kit import Kit
from service.records.blobs import BlobStore
from service.records.database import Database
from service.records.history import Signature
from service.records.kit_files import kit_of
from service.records.models import Scope
from service.records.models.idempotency import LONGEST_KEY, IdempotencyKey
from service.records.operations.idempotency import claim_key, find_answer, keep_answer
from service.records.operations.tokens import Asker, find_asker
from service.records.operations.workshop import Custom, whole_shelf
from service.settings import Settings

View = TypeVar("View", bound=Callable[..., Any])
JSON = "application/json"
AsSeen = Callable[[dict[str, Any]], dict[str, Any]]
LARGEST_JSON = 1_000_000  # bytes; a picture has the setting's


def reading(scope: Scope) -> Callable[[View], View]:
    """Wrap a view that only reads: token checked, one read transaction, ETag and 304."""

    def wrap(view: View) -> View:
        @wraps(view)
        def door(*args: Any, **kwargs: Any) -> Response:
            _refuse_unknown_query(view)
            with database().reading() as session:
                _admit(session, scope)
                response = make_response(view(*args, **kwargs))
                return _close(answer_conditionally(response))

        return door  # type: ignore[return-value]

    return wrap


def admitting(
    scope: Scope, *, takes: str | None = JSON, as_seen: AsSeen | None = None
) -> Callable[[View], View]:
    """Wrap a view that reads its body and then writes: whatever can be refused before is.

    `takes` is the media type of the body, with `image/*` for any picture; None for no body. The
    token is looked at here and again by `writing`, so that nobody's body is read for a stranger,
    and an answer that was kept is given again whatever the body would be read as today. `as_seen`
    leaves out of a kept answer what this asker may not see: a key belongs to a name, whose token
    may have another scope by now.
    """

    def wrap(view: View) -> View:
        @wraps(view)
        def door(*args: Any, **kwargs: Any) -> Response:
            _refuse_unknown_query(view)
            g.as_seen = as_seen
            with database().reading() as session:
                sender = _admit(session, scope).name
                _check_body(takes)
                kept = find_answer(session, sender=sender, **named) if (named := _claim()) else None
                if kept is not None:
                    return _repeat(kept)
            return make_response(view(*args, **kwargs))

        return door  # type: ignore[return-value]

    return wrap


def writing(scope: Scope, *, prepare: Callable[..., Any] | None = None) -> Callable[[View], View]:
    """Wrap what is done with a body that was read: one write transaction, its answer kept.

    The transaction ends well only when the answer is made, so nothing is ever half-written. No
    writer should wait for anything else: a body is read before, and `prepare` does slow work (a
    picture, a paper) before; the view finds what it returned through `prepared`.
    """

    def wrap(view: View) -> View:
        @wraps(view)
        def door(*args: Any, **kwargs: Any) -> Response:
            if prepare is not None:
                g.prepared = prepare(**kwargs)
            with database().writing() as session:
                return _answer_once(
                    session,
                    sender=_admit(session, scope).name,
                    answer=lambda: _close(tag_answer(make_response(view(*args, **kwargs)))),
                )

        return door  # type: ignore[return-value]

    return wrap


def calculating(view: View) -> View:
    """Wrap a calculation: the token is checked, the database is left alone."""

    @wraps(view)
    def door(*args: Any, **kwargs: Any) -> Response:
        _refuse_unknown_query(view)
        with database().reading() as session:
            _admit(session, Scope.CALCULATE)
        _check_body(JSON)
        return make_response(view(*args, **kwargs))

    return door  # type: ignore[return-value]


def now() -> dt.datetime:
    """The moment of this request; one for all that it does."""
    if "now" not in g:
        g.now = dt.datetime.now(dt.UTC)
    moment: dt.datetime = g.now
    return moment


def today() -> dt.date:
    """The day it is in the workshop."""
    return now().astimezone(settings().time_zone).date()


def session() -> Session:
    """The session of this request's transaction."""
    current: Session = g.session
    return current


def asker() -> Asker:
    """Who asks, once their token was checked."""
    found: Asker = g.asker
    return found


def sees_all() -> bool:
    """Whether the asker is an owner; nobody else sees addresses, private notes, rates and money."""
    return asker().scope is Scope.OWNER


def custom() -> Custom:
    """The workshop's name, measure and shelf, as the token's query found them."""
    return asker().custom


def prepared() -> Any:
    """What this request's `prepare` returned."""
    return g.prepared


def kit() -> Kit:
    """What the workshop has, the same for all of this request, its shelf as the record has it."""
    if "asker" not in g:  # a description or a test reads an example, and nobody asks
        return database().kit
    if "kit" not in g:
        g.kit = replace(kit_of(session()), shelf=whole_shelf(custom().shelf))
    found: Kit = g.kit
    return found


def blobs() -> BlobStore:
    """Where the bytes of pictures and papers lie."""
    found: BlobStore = current_app.extensions["clackbox"].blobs
    return found


def signed() -> Signature:
    """The hand that signs what this request writes."""
    return Signature(person=asker().name, now=now())


def database() -> Database:
    """The database this application was made with."""
    found: Database = current_app.extensions["clackbox"].database
    return found


def settings() -> Settings:
    """The settings this application was made with."""
    found: Settings = current_app.extensions["clackbox"].settings
    return found


def _admit(session: Session, scope: Scope) -> Asker:
    scheme, _, secret = request.headers.get("Authorization", "").partition(" ")
    found = find_asker(session, secret.strip(), now=now()) if scheme.lower() == "bearer" else None
    if found is None:
        raise NotRecognised
    if not found.scope.allows(scope):
        raise NotPermitted(scope.value)
    g.session, g.asker = session, found
    return found


def _check_body(takes: str | None) -> None:
    """The body's kind; and its size, which is looked at when the body is read."""
    if takes is None or not takes.endswith("/*"):
        request.max_content_length = LARGEST_JSON
    given = request.mimetype
    if takes is None or given == takes:
        return
    if takes.endswith("/*") and given.startswith(takes[:-1]):
        return
    raise WrongContent(f"Send the body as {takes}, with that Content-Type.")


def _refuse_unknown_query(view: Callable[..., Any]) -> None:
    """Views without a query schema take no query at all; a mistyped filter must not be ignored."""
    if request.args and not getattr(view, "takes_query", False):
        name = next(iter(request.args))
        raise WrongRequest("There is no such filter here.", field=name)


def _close(response: Response) -> Response:
    if (page := g.pop("next_page", None)) is not None:
        response.headers["Link"] = f'<{page}>; rel="next"'
    response.headers["Cache-Control"] = "private, no-cache"
    return response


KEPT_HEADERS = ("Content-Type", "Location", "ETag", "Cache-Control")


def _answer_once(session: Session, *, sender: str, answer: Callable[[], Response]) -> Response:
    """The kept answer for this request's key, or a new one, kept in the same transaction."""
    named = _claim()
    if named is None:
        return answer()
    row = claim_key(session, sender=sender, now=now(), **named)
    if row.status is not None:
        return _repeat(row)
    response = answer()
    keep_answer(
        row,
        status=response.status_code,
        headers={name: response.headers[name] for name in KEPT_HEADERS if name in response.headers},
        body=_without_secret(response),
    )
    return response


def _repeat(row: IdempotencyKey) -> Response:
    repeated = Response(row.body, status=row.status, headers=row.headers or {})
    repeated.headers["Idempotency-Replayed"] = "true"
    return _without_owners(retag(repeated), g.as_seen)


def _without_owners(kept: Response, as_seen: AsSeen | None) -> Response:
    if as_seen is not None and not sees_all():
        shown = kept.get_json()
        if (seen := as_seen(shown)) != shown:
            kept.set_data(current_app.json.dumps(seen))
    return kept


def _claim() -> dict[str, str] | None:
    """The key this request came with and what it asks; None without a key."""
    if "claim" not in g:
        key = read_key(request.headers.get("Idempotency-Key"))
        g.claim = None if key is None else {"key": key, "fingerprint": fingerprint()}
    claim: dict[str, str] | None = g.claim
    return claim


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
