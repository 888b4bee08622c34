"""The regimes of cold-water tests over HTTP."""

from typing import Any

from service.api.blueprint import Blueprint
from service.api.calculations.shells import RegimeOut
from service.api.noun import reads
from service.api.paging import envelope
from service.api.schemas.base import page_of
from service.engineering.steam.shell import list_regimes
from service.records.models import Scope

blp = Blueprint("hydraulic tests", __name__, description="Regimes of cold-water tests.")

RegimePage = page_of(RegimeOut, "RegimePage")


@reads(blp, "/hydraulic-tests", "list_hydraulic_tests", RegimePage,
       scope=Scope.CALCULATE, manner="lists")  # fmt: skip
def show_regimes() -> dict[str, Any]:
    """List the cold-water test regimes offered, each with its source and edition."""
    return envelope(list(list_regimes()), None)
