"""Progress notes and pictures over HTTP."""

from typing import Any

from flask import Response, request
from flask.views import MethodView

from service.api.access import (
    blobs,
    prepared,
    reading,
    session,
    signed,
    today,
    version_named,
    writing,
)
from service.api.answers import created, shown
from service.api.blueprint import Blueprint
from service.api.paging import envelope
from service.api.schemas.progress import (
    PictureOut,
    PictureQuery,
    ProgressIn,
    ProgressOut,
    ProgressPage,
    ProgressPatch,
    ProgressQuery,
)
from service.documents.photographs import clean_photograph
from service.records.models import Picture, ProgressNote, Scope
from service.records.operations.lookup import get
from service.records.operations.pictures import enter_picture
from service.records.operations.progress import list_progress, post_progress, update_progress

blp = Blueprint("progress", __name__, description="What was done and found, with pictures.")


@blp.route("/progress")
class Progress(MethodView):
    """All progress notes."""

    @reading(Scope.BENCH)
    @blp.operation("list_progress", Scope.BENCH, "lists")
    @blp.arguments(ProgressQuery, location="query")
    @blp.response(200, ProgressPage)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List progress notes, newest first."""
        return envelope(*list_progress(session(), **query))

    @writing(Scope.BENCH)
    @blp.operation("post_progress", Scope.BENCH, "creates")
    @blp.arguments(ProgressIn)
    @blp.response(201, ProgressOut)
    def post(self, data: dict[str, Any]) -> Any:
        """Post a note."""
        return created(post_progress(session(), signed=signed(), **{"day": today(), **data}))


@blp.route("/progress/<number:note_id>")
class OneProgressNote(MethodView):
    """One progress note."""

    @reading(Scope.BENCH)
    @blp.operation("get_progress", Scope.BENCH, "reads")
    @blp.response(200, ProgressOut)
    def get(self, note_id: int) -> ProgressNote:
        """Read a note."""
        return shown(get(session(), ProgressNote, note_id))

    @writing(Scope.OWNER)
    @blp.operation("update_progress", Scope.OWNER, "updates")
    @blp.arguments(ProgressPatch)
    @blp.response(200, ProgressOut)
    def patch(self, data: dict[str, Any], note_id: int) -> ProgressNote:
        """Correct a note, or record the customer's answer."""
        return shown(
            update_progress(session(), note_id, version=version_named(), signed=signed(), **data)
        )


def clean_body() -> Any:
    """Clean the photograph in the body, and lay it in the blob store."""
    picture = clean_photograph(request.get_data())
    return picture, blobs().put(picture.data)


@blp.route("/pictures")
class Pictures(MethodView):
    """All pictures."""

    @writing(Scope.BENCH, takes="image/*", prepare=clean_body)
    @blp.operation("send_picture", Scope.BENCH, "creates")
    @blp.doc(requestBody={
        "required": True,
        "content": {
            media_type: {"schema": {"type": "string", "format": "binary"}}
            for media_type in ("image/jpeg", "image/png", "image/webp")
        },
    })  # fmt: skip
    @blp.arguments(PictureQuery, location="query")
    @blp.response(201, PictureOut)
    def post(self, query: dict[str, Any]) -> Any:
        """Send a picture of a commission; it is cleaned and re-encoded before it is kept."""
        picture, sha256 = prepared()
        return created(
            enter_picture(
                session(),
                sha256=sha256,
                media_type=picture.media_type,
                width=picture.width,
                height=picture.height,
                size=len(picture.data),
                signed=signed(),
                **query,
            )
        )


@blp.route("/pictures/<number:picture_id>")
class OnePicture(MethodView):
    """One picture."""

    @reading(Scope.BENCH)
    @blp.operation("get_picture", Scope.BENCH, "reads")
    @blp.response(200, PictureOut)
    def get(self, picture_id: int) -> Picture:
        """Read what is kept of a picture beside its bytes."""
        return get(session(), Picture, picture_id)


@blp.route("/pictures/<number:picture_id>/image")
class PictureImage(MethodView):
    """The bytes of a picture."""

    @reading(Scope.BENCH)
    @blp.operation("get_picture_image", Scope.BENCH, "reads")
    @blp.response(200, {"type": "string", "format": "binary"}, content_type="image/jpeg")
    def get(self, picture_id: int) -> Response:
        """Fetch a picture."""
        picture = get(session(), Picture, picture_id)
        return Response(blobs().read(picture.sha256), mimetype=picture.media_type)
