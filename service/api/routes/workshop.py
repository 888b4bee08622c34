"""The workshop over HTTP: who it is, and how it likes things written."""

from typing import Any

from flask import Response, jsonify, request

from service.api.access import asker, blobs, prepared, session, show_version, signed, version_named
from service.api.blueprint import Blueprint
from service.api.noun import BINARY, reads, writes
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


@reads(blp, "/workshop", "get_workshop", WorkshopOut)
def show_record() -> Response:
    """Read the workshop's record."""
    return answer(get_workshop(session()))


@writes(blp, "PATCH", "/workshop", "update_workshop", WorkshopOut, body=WorkshopPatch)
def amend_record(data: dict[str, Any]) -> Response:
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
    return answer(_amend(logo=prepared()))


@writes(blp, "DELETE", "/workshop/logo", "remove_logo", WorkshopOut)
def remove_logo() -> Response:
    """Take the logo away."""
    return answer(_amend(logo=None))


def _amend(**changes: Any) -> Workshop:
    return update_workshop(session(), version=version_named(), signed=signed(), **changes)
