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
        """List the threads of the catalogue, or of one family, and where sources disagree."""
        family = query["family"]
        own = kit().threads
        listed = (*catalogue(), *own) if family is None else threads_of(family)
        names = {thread.designation for thread in listed}
        return {
            "families": families(),
            "items": listed,
            "disagreements": [one for one in disagreements() if one.thread.designation in names],
        }
