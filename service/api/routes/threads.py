"""The catalogue of threads over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import kit, reading
from service.api.blueprint import Blueprint
from service.api.schemas.threads import CatalogueOut, CatalogueQuery
from service.engineering.threads.catalogue import catalogue, disagreements, families, threads_of
from service.records.models import Scope

blp = Blueprint("threads", __name__, description="Threads: the catalogue and its sources.")


@blp.route("/threads")
class Catalogue(MethodView):
    """The catalogue of threads."""

    @reading(Scope.CALCULATE)
    @blp.operation("list_threads", Scope.CALCULATE, "lists")
    @blp.arguments(CatalogueQuery, location="query")
    @blp.response(200, CatalogueOut)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List the threads, or those of one family, the families in the order of the shelf."""
        family = query["family"]
        own, shelf = kit().threads, kit().shelf
        listed = (*catalogue(), *own) if family is None else threads_of(family)
        names = {thread.designation for thread in listed}
        return {
            "families": sorted(families(), key=lambda one: shelf.index(one.key)),
            "items": listed,
            "disagreements": [one for one in disagreements() if one.thread.designation in names],
        }
