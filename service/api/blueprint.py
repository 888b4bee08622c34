"""flask-smorest's Blueprint, refusing unknown query names and naming every operation."""

import json
from collections.abc import Callable, Iterator
from copy import deepcopy
from http import HTTPStatus
from typing import Any, Literal, NoReturn

from flask import Request
from flask_smorest import Blueprint as SmorestBlueprint
from marshmallow import RAISE, Schema, fields, missing
from webargs.flaskparser import FlaskParser, abort, is_json_request

from service.api.headers import ALWAYS, refer_to_headers
from service.records.models import Scope

PLAIN = "text/plain"

LONGEST_NUMBER = 1000

Manner = Literal["lists", "reads", "creates", "updates", "calculates", "answers"]
"""How an operation behaves, which decides the headers it takes and the refusals it knows."""


class StrictParser(FlaskParser):
    """A query name that no filter bears is refused, as an unknown member of a body is."""

    DEFAULT_UNKNOWN_BY_LOCATION = {  # noqa: RUF012
        **FlaskParser.DEFAULT_UNKNOWN_BY_LOCATION,
        "query": RAISE,
    }

    def _raw_load_json(self, req: Request) -> Any:  # webargs calls this, and the next
        return read_json(req.get_data()) if is_json_request(req) else missing

    def _handle_invalid_json_error(self, error: Any, req: Request, *_: Any, **__: Any) -> NoReturn:
        abort(HTTPStatus.BAD_REQUEST, exc=error, messages={"json": [error.msg]})


def read_json(data: bytes) -> Any:
    """JSON that is read in one way only; raise `JSONDecodeError` for anything else.

    A number of 5,000 digits or a nest of 100,000 brackets is no reason for a 500; and of a member
    that stands there twice nobody could say which is meant.
    """
    try:
        return json.loads(
            data.decode(),
            object_pairs_hook=_read_object,
            parse_int=_read_whole,
            parse_constant=_refuse_constant,
        )
    except json.JSONDecodeError:
        raise
    except RecursionError:
        said = "It is nested too deep."
    except UnicodeDecodeError:
        said = "It is not UTF-8."
    except ValueError as error:
        said = str(error)
    raise json.JSONDecodeError(said, doc="-", pos=0)


def _read_object(members: list[tuple[str, Any]]) -> dict[str, Any]:
    read = dict(members)
    if len(read) != len(members):
        raise ValueError("A member stands in it twice.")
    return read


def _read_whole(digits: str) -> int:
    if len(digits) > LONGEST_NUMBER:
        raise ValueError(f"A number in it has more than {LONGEST_NUMBER} digits.")
    return int(digits)


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number.")


class Blueprint(SmorestBlueprint):
    """A blueprint whose operations are named, secured and documented in one decorator."""

    ARGUMENTS_PARSER = StrictParser()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._prepare_doc_cbks.append(_document_manner)

    def arguments(self, schema: Any, *, location: str = "json", **kwargs: Any) -> Any:
        """As flask-smorest's; a body shows its example, a query marks its view as taking one."""
        # Made once here; webargs would make a class into a new schema at every request.
        schema = schema() if isinstance(schema, type) else schema
        if location == "json":
            kwargs.setdefault("example", example_of(schema))
        decorate = super().arguments(schema, location=location, **kwargs)

        def mark(view: Callable[..., Any]) -> Callable[..., Any]:
            wrapped = decorate(view)
            if location == "query":
                wrapped.takes_query = True
            return wrapped  # type: ignore[no-any-return]

        return mark

    def add_url_rule(self, rule: str, *args: Any, **kwargs: Any) -> None:
        """As flask-smorest's; each operation remembers its rule, for what it may refuse."""
        super().add_url_rule(rule, *args, **kwargs)
        for method, info in self._docs[self._endpoints[-1]].items():
            if method != "parameters":
                info["rule"] = rule

    def register_views_in_doc(self, api: Any, app: Any, spec: Any, **kwargs: Any) -> None:
        """As flask-smorest's; the parameters of an address stand after all of its operations."""
        super().register_views_in_doc(api, app, spec, **kwargs)
        for address in spec._paths.values():
            if "parameters" in address:
                address["parameters"] = address.pop("parameters")

    def operation(self, operation_id: str, scope: Scope, manner: Manner) -> Any:
        """Name an operation, the token it needs, and the manner in which it is done."""
        documented = self.doc(operationId=operation_id, security=[{"token": [scope.value]}])

        def name(view: Callable[..., Any]) -> Callable[..., Any]:
            wrapped: Any = documented(view)
            wrapped._apidoc = {**deepcopy(wrapped._apidoc), "manner": manner}
            return wrapped  # type: ignore[no-any-return]

        return name


def _document_manner(doc: dict[str, Any], info: dict[str, Any], **_: Any) -> dict[str, Any]:
    manner = info.get("manner")
    if manner is None:
        return doc
    doc.setdefault("parameters", []).extend(
        {**deepcopy(header), "in": "header"} for header in _HEADERS[manner]
    )
    responses = doc.setdefault("responses", {})
    if manner == "answers":  # the same answer in words, for whoever accepts text
        for status, response in responses.items():
            if str(status) == "200":
                response["content"][PLAIN] = {"schema": {"type": "string"}}
    for status, response in responses.items():
        if str(status).startswith("2"):
            response["headers"] = refer_to_headers(*_ANSWERED[manner], *ALWAYS)
    for status in _refusals(doc, info):
        responses.setdefault(str(status.value), status.name)
    return doc


def _refusals(doc: dict[str, Any], info: dict[str, Any]) -> Iterator[HTTPStatus]:
    """What an operation may refuse: by its manner, by the record it addresses, by its body."""
    yield from (HTTPStatus.UNAUTHORIZED, HTTPStatus.FORBIDDEN, HTTPStatus.UNPROCESSABLE_ENTITY,
                HTTPStatus.SERVICE_UNAVAILABLE)  # fmt: skip
    yield from _REFUSALS[info["manner"]]
    if "<" in info["rule"]:
        yield HTTPStatus.NOT_FOUND
    if "requestBody" in {**doc, **info.get("manual_doc", {})}:
        yield from (HTTPStatus.REQUEST_ENTITY_TOO_LARGE, HTTPStatus.UNSUPPORTED_MEDIA_TYPE)
    if "requestBody" in doc:
        yield HTTPStatus.BAD_REQUEST


_IDEMPOTENCY = {
    "name": "Idempotency-Key",
    "schema": {"type": "string", "minLength": 1, "maxLength": 200, "pattern": "^[!-~]+$"},
    "description": "A key of your own; a repeat with the same key gets the first answer again.",
    "example": "bench-phone-17",
}
_IF_MATCH = {
    "name": "If-Match",
    "required": True,
    "schema": {"type": "string"},
    "description": "The ETag under which you read the record; a list of them, or `*` for any.",
    "example": '"1"',
}
_PREFER = {
    "name": "Prefer",
    "schema": {"type": "string"},
    "description": "The measure of the texts, `measure=metric|imperial|us`, and `pictures`.",
    "example": "measure=imperial",
}
_REQUEST_ID = {
    "name": "X-Request-Id",
    "schema": {"type": "string"},
    "description": "A name of your own for the request; one that is not sound is passed over.",
    "example": "bench-phone-17",
}
_HEADERS: dict[Manner, list[dict[str, Any]]] = {
    "lists": [_PREFER, _REQUEST_ID],
    "reads": [_PREFER, _REQUEST_ID],
    "creates": [_IDEMPOTENCY, _PREFER, _REQUEST_ID],
    "updates": [_IF_MATCH, _IDEMPOTENCY, _PREFER, _REQUEST_ID],
    "calculates": [_PREFER, _REQUEST_ID],
    "answers": [_PREFER, _REQUEST_ID],
}
_ANSWERED: dict[Manner, tuple[str, ...]] = {
    "lists": ("Link",),
    "reads": ("ETag",),
    "creates": ("Location", "ETag", "Idempotency-Replayed"),
    "updates": ("ETag", "Idempotency-Replayed"),
    "calculates": (),
    "answers": ("ETag",),
}
"""The headers that an answer may bear, by the manner of its operation."""
_REFUSALS: dict[Manner, tuple[HTTPStatus, ...]] = {
    "lists": (),
    "reads": (),
    "creates": (HTTPStatus.CONFLICT, HTTPStatus.INSUFFICIENT_STORAGE),
    "updates": (
        HTTPStatus.CONFLICT,
        HTTPStatus.PRECONDITION_FAILED,
        HTTPStatus.PRECONDITION_REQUIRED,
        HTTPStatus.INSUFFICIENT_STORAGE,
    ),
    "calculates": (),
    "answers": (),
}


def example_of(schema: Schema) -> dict[str, Any]:
    """A body that the operation would take, put together from the examples of its fields.

    A body whose fields exclude one another says its own: a class attribute `EXAMPLE`.
    """
    own: dict[str, Any] | None = getattr(schema, "EXAMPLE", None)
    if own is not None:
        return own
    return {name: _example(field) for name, field in schema.fields.items() if _has_example(field)}


def _has_example(field: fields.Field[Any]) -> bool:
    if isinstance(field, fields.List):
        return "example" in field.metadata or _has_example(field.inner)
    return "example" in field.metadata or isinstance(field, fields.Nested)


def _example(field: fields.Field[Any]) -> Any:
    if "example" in field.metadata:
        return field.metadata["example"]
    if isinstance(field, fields.List):
        return [_example(field.inner)]
    return example_of(field.schema)  # type: ignore[attr-defined]
