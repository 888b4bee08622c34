"""The headers that every page carries."""

from flask import Response

POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def finish(response: Response, *, cache: str) -> Response:
    """A page that runs no script, is framed by nobody, and tells no other site where it was."""
    response.headers["Content-Security-Policy"] = POLICY
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "no-referrer"
    response.headers["Cache-Control"] = cache
    return response
