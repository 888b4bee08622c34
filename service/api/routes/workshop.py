"""The workshop over HTTP: who it is, and how it likes things written."""

from typing import Any

from flask import Response, jsonify, request
from flask.views import MethodView

from service.api.access import (
    asker,
    blobs,
    prepared,
    reading,
    session,
    show_version,
    signed,
    version_named,
    writing,
)
from service.api.blueprint import Blueprint
from service.api.schemas.workshop import WorkshopOut, WorkshopPatch, show_workshop
from service.documents.photographs import clean_photograph
from service.records.errors import NotFound
from service.records.models import Scope, Workshop
from service.records.operations.workshop import get_workshop, update_workshop

blp = Blueprint("workshop", __name__, description="Who the workshop is.")

LONGEST_LOGO = 800  # pixels of its longer side: 35 mm on paper at 600 to the inch


def answer(workshop: Workshop) -> Response:
    """The record as the asker may see it, its version the ETag."""
    show_version(workshop.version)
    return jsonify(show_workshop(workshop, to_owner=asker().scope is Scope.OWNER))


@blp.route("/workshop")
class TheWorkshop(MethodView):
    """The one workshop."""

    @reading(Scope.BENCH)
    @blp.operation("get_workshop", Scope.BENCH, "reads")
    @blp.response(200, WorkshopOut)
    def get(self) -> Response:
        """Read the workshop's record."""
        return answer(get_workshop(session()))

    @writing(Scope.OWNER)
    @blp.operation("update_workshop", Scope.OWNER, "updates")
    @blp.arguments(WorkshopPatch)
    @blp.response(200, WorkshopOut)
    def patch(self, data: dict[str, Any]) -> Response:
        """Amend the workshop's record; papers that were issued keep what they said."""
        return answer(_amend(**data))


def clean_logo() -> dict[str, Any]:
    """Clean the picture in the body, and lay it in the blob store."""
    picture = clean_photograph(request.get_data(), longest=LONGEST_LOGO)
    return {
        "sha256": blobs().put(picture.data),
        "media_type": picture.media_type,
        "width": picture.width,
        "height": picture.height,
    }


@blp.route("/workshop/logo")
class Logo(MethodView):
    """The picture at the head of the workshop's papers."""

    @reading(Scope.BENCH)
    @blp.operation("get_logo", Scope.BENCH, "reads")
    @blp.response(200, {"type": "string", "format": "binary"}, content_type="image/jpeg")
    def get(self) -> Response:
        """Fetch the logo."""
        workshop = get_workshop(session())
        if workshop.logo is None:
            raise NotFound("logo")
        show_version(workshop.version)
        return Response(blobs().read(workshop.logo["sha256"]), mimetype=workshop.logo["media_type"])

    @writing(Scope.OWNER, takes="image/*", prepare=clean_logo)
    @blp.operation("put_logo", Scope.OWNER, "updates")
    @blp.doc(requestBody={
        "required": True,
        "content": {
            media_type: {"schema": {"type": "string", "format": "binary"}}
            for media_type in ("image/jpeg", "image/png", "image/webp")
        },
    })  # fmt: skip
    @blp.response(200, WorkshopOut)
    def put(self) -> Response:
        """Set the logo; it is cleaned and re-encoded before it is kept."""
        return answer(_amend(logo=prepared()))

    @writing(Scope.OWNER, takes=None)
    @blp.operation("remove_logo", Scope.OWNER, "updates")
    @blp.response(200, WorkshopOut)
    def delete(self) -> Response:
        """Take the logo away."""
        return answer(_amend(logo=None))


def _amend(**changes: Any) -> Workshop:
    return update_workshop(session(), version=version_named(), signed=signed(), **changes)
