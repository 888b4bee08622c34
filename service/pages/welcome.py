"""The page at the bare address: what this is, and where to go; it tells a stranger no more."""

from flask import Blueprint, Response, render_template

blp = Blueprint("welcome", __name__, template_folder="templates")


@blp.get("/")
def welcome() -> Response:
    """What this is and where to go."""
    return Response(render_template("welcome.html"), headers={"Cache-Control": "no-cache"})
