"""Progress notes and pictures over HTTP."""

from typing import Any

from flask import Response, request

from service.api.access import blobs, database, prepared, session, signed
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
from service.documents.photographs import CleanPicture, clean_photograph
from service.records.blobs import name_blob
from service.records.models import Commission, Picture, ProgressNote, Scope
from service.records.operations.lookup import get, require_named
from service.records.operations.pictures import enter_picture
from service.records.operations.progress import list_progress, post_progress, update_progress

blp = Blueprint("progress", __name__, description="What was done and found, with pictures.")

progress = Noun(blp, ProgressNote, ProgressOut, "/progress", "/progress/<number:note_id>")
progress.lists(list_progress, ProgressPage, "List progress notes, newest first.", ProgressQuery)
progress.creates(post_progress, ProgressIn, "Post a note.", Scope.BENCH)
progress.reads("get_progress", "Read a note.")
progress.amends(update_progress, ProgressPatch, "Correct a note, or record the customer's answer.")

pictures = Noun(blp, Picture, PictureOut, "/pictures", "/pictures/<number:picture_id>")


def clean_body() -> CleanPicture:
    """Clean the photograph in the body, once it is seen whose it is."""
    query = blp.ARGUMENTS_PARSER.parse(PictureQuery(), request, location="query")
    with database().reading() as reading_session:
        require_named(reading_session, Commission, query["commission_id"], field="commission_id")
    return clean_photograph(request.get_data())


@writes(blp, "POST", pictures.all, "send_picture", PictureOut, query=PictureQuery, picture=True,
        prepare=clean_body, scope=Scope.BENCH, manner="creates", status=201)  # fmt: skip
def send(query: dict[str, Any]) -> Any:
    """Send a picture of a commission; it is cleaned and re-encoded before it is kept."""
    picture: CleanPicture = prepared()
    entered = enter_picture(
        session(),
        sha256=name_blob(picture.data),
        media_type=picture.media_type,
        width=picture.width,
        height=picture.height,
        size=len(picture.data),
        signed=signed(),
        **query,
    )
    blobs().put(picture.data)
    return created(entered)


pictures.reads("get_picture", "Read what is kept of a picture beside its bytes.")


@reads(blp, f"{pictures.one}/image", "get_picture_image", BINARY, content_type="image/jpeg")
def fetch_image(picture_id: int) -> Response:
    """Fetch a picture."""
    picture = get(session(), Picture, picture_id)
    return Response(blobs().read(picture.sha256), mimetype=picture.media_type)
