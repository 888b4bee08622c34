"""The catalogue of threads over HTTP."""

from typing import Any

from service.api.access import kit
from service.api.blueprint import Blueprint
from service.api.noun import reads
from service.api.schemas.threads import CatalogueOut, CatalogueQuery
from service.engineering.threads.catalogue import catalogue, disagreements, families, threads_of
from service.records.models import Scope

blp = Blueprint("threads", __name__, description="Threads: the catalogue and its sources.")


@reads(blp, "/threads", "list_threads", CatalogueOut,
       scope=Scope.CALCULATE, manner="lists", query=CatalogueQuery)  # fmt: skip
def show_catalogue(query: dict[str, Any]) -> dict[str, Any]:
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
