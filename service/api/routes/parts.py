"""Supplied parts and their movements over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import reading, session, signed, version_named, writing
from service.api.answers import created, shown
from service.api.blueprint import Blueprint
from service.api.paging import PageQuery, envelope
from service.api.schemas.parts import (
    MovementIn,
    MovementOut,
    MovementPage,
    PartIn,
    PartOut,
    PartPage,
    PartPatch,
    PartQuery,
)
from service.records.models import Part, Scope
from service.records.operations.lookup import get
from service.records.operations.parts import (
    list_movements,
    list_parts,
    move_part,
    receive_part,
    update_part,
)

blp = Blueprint("parts", __name__, description="Supplied parts: whose, how many, where.")


@blp.route("/parts")
class Parts(MethodView):
    """All part lines."""

    @reading(Scope.BENCH)
    @blp.operation("list_parts", Scope.BENCH, "lists")
    @blp.arguments(PartQuery, location="query")
    @blp.response(200, PartPage)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List part lines, newest first."""
        return envelope(*list_parts(session(), **query))

    @writing(Scope.BENCH)
    @blp.operation("receive_part", Scope.BENCH, "creates")
    @blp.arguments(PartIn)
    @blp.response(201, PartOut)
    def post(self, data: dict[str, Any]) -> Any:
        """Enter a part line, received or expected."""
        return created(receive_part(session(), signed=signed(), **data))


@blp.route("/parts/<number:part_id>")
class OnePart(MethodView):
    """One part line."""

    @reading(Scope.BENCH)
    @blp.operation("get_part", Scope.BENCH, "reads")
    @blp.response(200, PartOut)
    def get(self, part_id: int) -> Part:
        """Read a part line."""
        return shown(get(session(), Part, part_id))

    @writing(Scope.OWNER)
    @blp.operation("update_part", Scope.OWNER, "updates")
    @blp.arguments(PartPatch)
    @blp.response(200, PartOut)
    def patch(self, data: dict[str, Any], part_id: int) -> Part:
        """Amend what is known of a part line."""
        return shown(
            update_part(session(), part_id, version=version_named(), signed=signed(), **data)
        )


@blp.route("/parts/<number:part_id>/movements")
class MovementsOfPart(MethodView):
    """The movements of a part line."""

    @reading(Scope.BENCH)
    @blp.operation("list_movements", Scope.BENCH, "lists")
    @blp.arguments(PageQuery, location="query")
    @blp.response(200, MovementPage)
    def get(self, query: dict[str, Any], part_id: int) -> dict[str, Any]:
        """List a part line's movements, newest first."""
        return envelope(*list_movements(session(), part_id, **query))

    @writing(Scope.BENCH)
    @blp.operation("move_part", Scope.BENCH, "creates")
    @blp.arguments(MovementIn)
    @blp.response(201, MovementOut)
    def post(self, data: dict[str, Any], part_id: int) -> Any:
        """Move a part line, or some of it."""
        return move_part(session(), part_id, signed=signed(), **data)
