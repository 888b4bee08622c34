"""Every request has a name: told with its answer and with a refusal, and kept in the log."""

import re
import secrets

from flask import Flask, Response, g, request

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
    """Let every answer bear the name of its request, and the log name those that failed."""

    @app.after_request
    def name_request(response: Response) -> Response:
        response.headers[NAMED] = request_id()
        if response.status_code >= 500:
            app.logger.error("request %s failed", request_id())
        return response
