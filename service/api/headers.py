"""The headers of answers, each described once; among them the name of the request."""

import re
import secrets
from typing import Any

from flask import Flask, Response, g, request
from flask_smorest import Api

HEADERS: dict[str, str] = {
    "ETag": "The version of what was read: send it as If-Match, or as If-None-Match.",
    "Idempotency-Replayed": "true where this is the first answer again.",
    "Link": 'The relative address of the next page, with rel="next"; not on the last.',
    "Location": "The address of the new record.",
    "Preference-Applied": "Which preferences were followed.",
    "Retry-After": "After how many seconds to try again.",
    "Vary": "The headers of the request on which the answer depends.",
    "WWW-Authenticate": "How a token is sent, and which scope is needed.",
    "X-Request-Id": "The name of the request: the caller's own where it is a short plain token.",
}

ALWAYS = ("X-Request-Id", "Vary", "Preference-Applied")
"""Headers that an answer of any kind may bear."""


def describe_headers(api: Api) -> None:
    """Name each header in the description."""
    for name, description in HEADERS.items():
        header = {"description": description, "schema": {"type": "string"}}
        api.spec.components.header(name, header)


def refer_to_headers(*names: str) -> dict[str, Any]:
    """The headers of an answer in the description."""
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}


NAMED = "X-Request-Id"
SOUND = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:-]{0,63}")
"""What a caller may name a request; anything else could be read as something in a log."""


def request_id() -> str:
    """The caller's own name for the request where it is sound, else one made here."""
    if "request_id" not in g:
        given = request.headers.get(NAMED, "")
        g.request_id = given if SOUND.fullmatch(given) else secrets.token_hex(8)
    name: str = g.request_id
    return name


def tell_request_ids(app: Flask) -> None:
    """Let every answer bear the name of its request."""

    @app.after_request
    def name_request(response: Response) -> Response:
        response.headers[NAMED] = request_id()
        return response
