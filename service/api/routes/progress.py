"""Progress notes and pictures over HTTP."""

from typing import Any

from flask import Response, request

from service.api.access import blobs, prepared, session, signed
from service.api.answers import created
from service.api.blueprint import Blueprint
from service.api.noun import BINARY, Noun, reads, writes
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

progress = Noun(blp, ProgressNote, ProgressOut, "/progress", "/progress/<number:note_id>")
progress.lists(list_progress, ProgressPage, "List progress notes, newest first.", ProgressQuery)
progress.creates(post_progress, ProgressIn, "Post a note.", Scope.BENCH)
progress.reads("get_progress", "Read a note.")
progress.amends(update_progress, ProgressPatch, "Correct a note, or record the customer's answer.")

pictures = Noun(blp, Picture, PictureOut, "/pictures", "/pictures/<number:picture_id>")


def clean_body() -> Any:
    """Clean the photograph in the body, and lay it in the blob store."""
    picture = clean_photograph(request.get_data())
    return picture, blobs().put(picture.data)


@writes(blp, "POST", pictures.all, "send_picture", PictureOut, query=PictureQuery, picture=True,
        prepare=clean_body, scope=Scope.BENCH, manner="creates", status=201)  # fmt: skip
def send(query: dict[str, Any]) -> Any:
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


pictures.reads("get_picture", "Read what is kept of a picture beside its bytes.")


@reads(blp, f"{pictures.one}/image", "get_picture_image", BINARY, content_type="image/jpeg")
def fetch_image(picture_id: int) -> Response:
    """Fetch a picture."""
    picture = get(session(), Picture, picture_id)
    return Response(blobs().read(picture.sha256), mimetype=picture.media_type)
