"""Labour over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import reading, session, signed, today, version_named, writing
from service.api.answers import created, shown
from service.api.blueprint import Blueprint
from service.api.paging import envelope
from service.api.schemas.labour import LabourIn, LabourOut, LabourPage, LabourPatch, LabourQuery
from service.records.models import LabourEntry, Scope
from service.records.operations.labour import list_labour, log_labour, update_labour
from service.records.operations.lookup import get

blp = Blueprint("labour", __name__, description="Minutes at the bench.")


@blp.route("/labour")
class Labour(MethodView):
    """All labour entries."""

    @reading(Scope.BENCH)
    @blp.operation("list_labour", Scope.BENCH, "lists")
    @blp.arguments(LabourQuery, location="query")
    @blp.response(200, LabourPage)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List labour entries, newest first."""
        return envelope(*list_labour(session(), **query))

    @writing(Scope.BENCH)
    @blp.operation("log_labour", Scope.BENCH, "creates")
    @blp.arguments(LabourIn)
    @blp.response(201, LabourOut)
    def post(self, data: dict[str, Any]) -> Any:
        """Log minutes of one operation."""
        return created(log_labour(session(), signed=signed(), **{"day": today(), **data}))


@blp.route("/labour/<number:entry_id>")
class OneLabourEntry(MethodView):
    """One labour entry."""

    @reading(Scope.BENCH)
    @blp.operation("get_labour", Scope.BENCH, "reads")
    @blp.response(200, LabourOut)
    def get(self, entry_id: int) -> LabourEntry:
        """Read a labour entry."""
        return shown(get(session(), LabourEntry, entry_id))

    @writing(Scope.OWNER)
    @blp.operation("update_labour", Scope.OWNER, "updates")
    @blp.arguments(LabourPatch)
    @blp.response(200, LabourOut)
    def patch(self, data: dict[str, Any], entry_id: int) -> LabourEntry:
        """Correct a labour entry."""
        return shown(
            update_labour(session(), entry_id, version=version_named(), signed=signed(), **data)
        )
