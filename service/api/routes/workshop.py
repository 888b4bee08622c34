"""The workshop over HTTP: who it is, and how it likes things written."""

from typing import Any

from flask import Response, jsonify, request

from service.api.access import blobs, prepared, sees_all, session, signed
from service.api.blueprint import Blueprint
from service.api.noun import BINARY, reads, writes
from service.api.schemas.workshop import WorkshopOut, WorkshopPatch, show_workshop
from service.api.versions import match_version, show_version
from service.documents.photographs import CleanPicture, clean_photograph
from service.records.blobs import name_blob
from service.records.errors import NotFound
from service.records.models import Workshop
from service.records.operations.workshop import get_workshop, update_workshop

blp = Blueprint("workshop", __name__, description="Who the workshop is.")

LONGEST_LOGO = 800  # pixels of its longer side: 35 mm on paper at 600 to the inch


def answer(workshop: Workshop) -> Response:
    """The record as the asker may see it, its version the ETag."""
    show_version(workshop.version)
    return jsonify(show_workshop(workshop, to_owner=sees_all()))


@reads(blp, "/workshop", "get_workshop", WorkshopOut)
def show_record() -> Response:
    """Read the workshop's record."""
    return answer(get_workshop(session()))


@writes(blp, "PATCH", "/workshop", "update_workshop", WorkshopOut, body=WorkshopPatch)
def amend_record(data: dict[str, Any]) -> Response:
    """Amend the workshop's record; papers that were issued keep what they said."""
    return answer(_amend(**data))


def clean_logo() -> CleanPicture:
    """Clean the picture in the body."""
    return clean_photograph(request.get_data(), longest=LONGEST_LOGO)


@reads(blp, "/workshop/logo", "get_logo", BINARY, content_type="image/jpeg")
def fetch_logo() -> Response:
    """Fetch the logo."""
    workshop = get_workshop(session())
    if workshop.logo is None:
        raise NotFound("logo")
    show_version(workshop.version)
    return Response(blobs().read(workshop.logo["sha256"]), mimetype=workshop.logo["media_type"])


@writes(blp, "PUT", "/workshop/logo", "put_logo", WorkshopOut, picture=True, prepare=clean_logo)
def put_logo() -> Response:
    """Set the logo; it is cleaned and re-encoded before it is kept."""
    picture: CleanPicture = prepared()
    told = {name: getattr(picture, name) for name in ("media_type", "width", "height")}
    workshop = _amend(logo={"sha256": name_blob(picture.data), **told})
    blobs().put(picture.data)
    return answer(workshop)


@writes(blp, "DELETE", "/workshop/logo", "remove_logo", WorkshopOut)
def remove_logo() -> Response:
    """Take the logo away."""
    return answer(_amend(logo=None))


def _amend(**changes: Any) -> Workshop:
    version = match_version("workshop", get_workshop(session()).version)
    return update_workshop(session(), version=version, signed=signed(), **changes)
