"""Every refusal as problem+json (RFC 9457), and the one table from our errors to HTTP statuses."""

from collections.abc import Iterator, Mapping
from http import HTTPStatus
from itertools import islice
from typing import Any

from flask import Flask, Response, current_app, request
from flask_smorest import Api
from marshmallow import Schema, fields
from werkzeug.exceptions import HTTPException, SecurityError

from service.api.headers import describe_headers, refer_to_headers, request_id
from service.api.preferences import measure
from service.api.vocabularies import Term, describe_vocabularies
from service.documents.photographs import Busy, UnusablePicture
from service.engineering.errors import EngineeringError
from service.quantities import QuantityError
from service.quantities.wording import word
from service.records.errors import (
    HINDRANCES,
    Conflict,
    DatabaseBusy,
    FileMissing,
    NoRoom,
    NotFound,
    NotWritable,
    Refused,
    Stale,
)

MEDIA_TYPE = "application/problem+json"


class RequestError(Exception):
    """A request that cannot be taken as it stands."""

    code = "bad-request"

    def __init__(
        self, message: str, *, field: str | None = None, headers: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(message)
        self.message, self.field, self.headers = message, field, dict(headers or {})


class NotRecognised(RequestError):
    """No token, or none that we know."""

    code = "not-recognised"

    def __init__(self) -> None:
        headers = {"WWW-Authenticate": 'Bearer realm="clackbox"'}
        super().__init__("Send a live token as 'Authorization: Bearer …'.", headers=headers)


class NotPermitted(RequestError):
    """The token's scope does not reach so far."""

    code = "insufficient-scope"

    def __init__(self, needed: str) -> None:
        told = f'Bearer realm="clackbox", error="insufficient_scope", scope="{needed}"'
        super().__init__(
            f"This needs a token of scope {needed}.", headers={"WWW-Authenticate": told}
        )


class VersionNeeded(RequestError):
    """An update without If-Match."""

    code = "version-needed"

    def __init__(self) -> None:
        super().__init__(
            "Say which version you are changing: read the record and send its ETag as If-Match."
        )


class WrongContent(RequestError):
    """A body of a kind the operation does not take."""

    code = "wrong-content-type"


class WrongRequest(RequestError):
    """A header or a query that says nothing we understand."""


STATUS_OF: dict[type[Exception], HTTPStatus] = {
    NotRecognised: HTTPStatus.UNAUTHORIZED,
    NotPermitted: HTTPStatus.FORBIDDEN,
    VersionNeeded: HTTPStatus.PRECONDITION_REQUIRED,
    WrongContent: HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    WrongRequest: HTTPStatus.UNPROCESSABLE_ENTITY,
    NotFound: HTTPStatus.NOT_FOUND,
    Stale: HTTPStatus.PRECONDITION_FAILED,
    Conflict: HTTPStatus.CONFLICT,
    Refused: HTTPStatus.UNPROCESSABLE_ENTITY,
    DatabaseBusy: HTTPStatus.SERVICE_UNAVAILABLE,
    NoRoom: HTTPStatus.INSUFFICIENT_STORAGE,
    NotWritable: HTTPStatus.SERVICE_UNAVAILABLE,
    FileMissing: HTTPStatus.NOT_FOUND,
    QuantityError: HTTPStatus.UNPROCESSABLE_ENTITY,
    EngineeringError: HTTPStatus.UNPROCESSABLE_ENTITY,
    UnusablePicture: HTTPStatus.UNPROCESSABLE_ENTITY,
    Busy: HTTPStatus.SERVICE_UNAVAILABLE,
}
"""The only place where an error of ours meets an HTTP status; a test holds it complete."""


class Problem(Schema):
    """An RFC 9457 problem."""

    type = fields.String(required=True, metadata={"example": "/api/docs#problem-invalid"})
    title = fields.String(required=True, metadata={"example": "Unprocessable Content"})
    status = fields.Integer(required=True, metadata={"example": 422})
    detail = fields.String(
        required=True, metadata={"example": "The request names a value that cannot be used."}
    )
    instance = fields.String(required=True, metadata={"example": "/api/v1/labour"})
    code = Term("ProblemCode", required=True, metadata={"example": "invalid"})
    id = fields.String(
        required=True,
        metadata={
            "example": "9f86d081884c7d65",
            "description": "name of the request, as in X-Request-Id",
        },
    )
    errors = fields.Dict(
        keys=fields.String(),
        values=fields.List(fields.String()),
        metadata={"example": {"minutes": ["Say how long, e.g. 90 or 1h30."]}},
    )


class ProblemApi(Api):
    """flask-smorest's Api, speaking problem+json and keeping the headers of what it refuses."""

    ERROR_SCHEMA = Problem

    def _register_responses(self) -> None:
        # Private, hence the pin on flask-smorest: it documents errors under the default media type.
        describe_vocabularies(self)
        describe_headers(self)
        kept: str = self.DEFAULT_RESPONSE_CONTENT_TYPE  # type: ignore[has-type]
        self.DEFAULT_RESPONSE_CONTENT_TYPE = MEDIA_TYPE
        try:
            super()._register_responses()
        finally:
            self.DEFAULT_RESPONSE_CONTENT_TYPE = kept
        for name, described in self.spec.components.responses_lazy.items():
            described["headers"] = refer_to_headers("X-Request-Id", *_TOLD.get(name, ()))

    def handle_http_exception(self, error: HTTPException) -> Any:
        """Answer any HTTP error; a redirect or a 304 passes as it is."""
        return answer_http_error(error)


def answer_http_error(error: HTTPException) -> Response:
    """The problem for an HTTP error raised by the framework."""
    response = error.get_response()
    if error.code is None or error.code < HTTPStatus.BAD_REQUEST:
        return response  # type: ignore[return-value]
    data = getattr(error, "data", None) or {}
    messages = data.get("messages") or {}
    code, detail = _tell(error, has_messages=bool(messages))
    body = problem(
        error.code,
        detail=detail,
        code=code,
        errors=dict(islice(_name_faults(messages), MOST_FAULTS)) or None,
    )
    headers = {**dict(response.headers), **(data.get("headers") or {})}
    return _respond(body, error.code, headers)


MOST_FAULTS, LONGEST_PATH = 100, 200  # of one body; whoever sends more knows by then


def _name_faults(messages: Mapping[str, Any]) -> Iterator[tuple[str, list[str]]]:
    # without the place (json, query) in which webargs found them
    for inner in messages.values():
        yield from ((path[:LONGEST_PATH], said) for path, said in flatten(inner))


def _tell(error: HTTPException, *, has_messages: bool) -> tuple[str, str]:
    """Code and sentence of what the framework refuses."""
    said = error.description or error.name
    if isinstance(error, SecurityError):  # its own words repeat what was sent
        return "wrong-host", "This service is not known under that name."
    if error.code == HTTPStatus.BAD_REQUEST:
        unreadable = "unreadable-body", "The body is not JSON that can be read."
        return unreadable if has_messages else ("bad-request", said)
    if error.code == HTTPStatus.REQUEST_ENTITY_TOO_LARGE:
        return "too-large", f"The body may have {request.max_content_length:,} bytes at the most."
    code, detail = _TOLD_OF.get(error.code or 0, ("failed", None))
    return code, detail or said


def answer_error(error: Exception) -> Response:
    """The problem for an error of our own."""
    status = next(STATUS_OF[kind] for kind in type(error).__mro__ if kind in STATUS_OF)
    field = getattr(error, "field", None)
    message = word(getattr(error, "message", str(error)), measure())
    code = getattr(error, "code", "invalid")
    body = problem(status, detail=message, code=code, errors={field: [message]} if field else None)
    again = {"Retry-After": RETRY_AFTER[code]} if code in RETRY_AFTER else {}
    if isinstance(error, HINDRANCES) and (cause := error.__cause__):
        # For whoever keeps the service, in the driver's own words: SQLAlchemy's bear the statement.
        current_app.logger.error("request %s: %s", request_id(), getattr(cause, "orig", cause))
    return _respond(body, status, {**again, **getattr(error, "headers", {})})


def problem(
    status: int, *, detail: str, code: str, errors: dict[str, Any] | None = None
) -> dict[str, Any]:
    """The members of a problem, without those that say nothing."""
    members = {
        "type": f"/api/docs#problem-{code}",
        "title": HTTPStatus(status).phrase,
        "status": int(status),
        "detail": detail,
        "instance": request.path,
        "code": code,
        "id": request_id(),
        "errors": errors,
    }
    return {name: value for name, value in members.items() if value is not None}


def register_errors(app: Flask) -> None:
    """Let every error of ours be answered as a problem."""
    for kind in STATUS_OF:
        app.register_error_handler(kind, answer_error)


def flatten(messages: Any, path: str = "") -> Iterator[tuple[str, list[str]]]:
    """Field paths such as `engines.0.bore`, each with its messages, from a nested error dict."""
    if isinstance(messages, Mapping):
        for name, inner in messages.items():
            inner_path = path if name == "_schema" else f"{path}.{name}" if path else str(name)
            yield from flatten(inner, inner_path)
    else:
        texts = messages if isinstance(messages, list) else [messages]
        yield path or "body", [str(text) for text in texts]


def _respond(body: dict[str, Any], status: int, headers: Mapping[str, str]) -> Response:
    response = Response(current_app.json.dumps(body), status=int(status), content_type=MEDIA_TYPE)
    for name, value in headers.items():
        if name.lower() not in {"content-type", "content-length"}:
            response.headers[name] = value
    return response


_TOLD_OF: dict[int, tuple[str, str | None]] = {
    404: ("not-found", "There is nothing at this address."),
    405: ("method-not-allowed", "This address does not take that method."),
    406: ("not-acceptable", None),
    415: ("wrong-content-type", None),
    422: ("invalid", "The request names a value that cannot be used; see errors."),
    500: ("failed", "Something failed inside the service. Nothing was written."),
    503: ("busy", None),
}
"""Code and sentence, where it is ours, of what the framework refuses by itself."""

RETRY_AFTER = {"overtaken": "1", "busy": "2", "no-database": "5"}
"""Seconds, for the refusals that a wait may mend."""
_TOLD = {
    HTTPStatus.UNAUTHORIZED.name: ("WWW-Authenticate",),
    HTTPStatus.FORBIDDEN.name: ("WWW-Authenticate",),
    HTTPStatus.CONFLICT.name: ("Retry-After",),
    HTTPStatus.SERVICE_UNAVAILABLE.name: ("Retry-After",),
}
"""The headers of a refusal beside the name of its request."""
