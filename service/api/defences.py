"""The headers with which every answer defends whoever opens it, by the kind of its content."""

from flask import Flask, Response

CLOSED = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
POLICIES = {
    "text/html": f"{CLOSED}; style-src 'self'; img-src 'self'",  # no page of ours has a script
    "image/svg+xml": f"{CLOSED}; style-src 'unsafe-inline'; sandbox",
    # A browser's own reader of papers stands in the answer's place, and a sandbox shuts it out.
    "application/pdf": f"{CLOSED}; object-src 'self'; style-src 'unsafe-inline'",
}
"""Content-Security-Policy by media type; whatever else is opened as a page may do nothing."""
ALWAYS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",  # a customer's link is not told to another site
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "X-Robots-Tag": "noindex, nofollow",
}
UNSAID = "no-store"
"""How long an answer is kept, where its view did not say."""


def defend(media_type: str, *, kept: str = UNSAID) -> dict[str, str]:
    """The headers of an answer of a kind; `kept` is how long it may be."""
    policy = POLICIES.get(media_type, f"{CLOSED}; sandbox")
    return {**ALWAYS, "Content-Security-Policy": policy, "Cache-Control": kept}


def defend_answers(app: Flask) -> None:
    """Let every answer bear them, whatever its view, its status or its error."""

    @app.after_request
    def bear_headers(response: Response) -> Response:
        kept = response.headers.get("Cache-Control", UNSAID)
        response.headers.update(defend(response.mimetype or "", kept=kept))
        return response
