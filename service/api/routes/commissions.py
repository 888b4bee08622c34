"""Commissions over HTTP."""

from typing import Any

from flask import Response, jsonify

from service.api.access import session
from service.api.blueprint import Blueprint
from service.api.noun import Noun, reads
from service.api.paging import envelope
from service.api.schemas.commissions import (
    CommissionIn,
    CommissionOut,
    CommissionPage,
    CommissionPatch,
    CommissionQuery,
    CommissionRow,
    SummaryOut,
)
from service.api.schemas.plants import PlantIn, PlantOut, PlantPage
from service.records.models import Commission, Plant
from service.records.operations.commissions import (
    create_commission,
    list_commissions,
    update_commission,
)
from service.records.operations.plants import create_plant, list_plants
from service.records.operations.summaries import Summary, summarise

blp = Blueprint("commissions", __name__, description="The work that was asked for.")

ALL, ONE = "/commissions", "/commissions/<number:commission_id>"


@reads(blp, ALL, "list_commissions", CommissionPage, manner="lists", query=CommissionQuery)
def show_commissions(query: dict[str, Any]) -> Response:
    """List commissions with their totals, newest first."""
    rows, cursor = list_commissions(session(), **query)  # as the database wrote them
    return jsonify(envelope([CommissionRow.as_seen(row) for row in rows], cursor))


commissions = Noun(blp, Commission, CommissionOut, ALL, ONE)
commissions.creates(create_commission, CommissionIn, "Open a commission.")
commissions.reads("get_commission", "Read a commission.")
commissions.amends(update_commission, CommissionPatch, "Amend a commission.")


@reads(blp, f"{ONE}/summary", "get_commission_summary", SummaryOut)
def show_summary(commission_id: int) -> Summary:
    """Add a commission up: hours, money, parts, open decisions."""
    return summarise(session(), commission_id)


plants = Noun(blp, Plant, PlantOut, f"{ONE}/plants")
plants.lists(list_plants, PlantPage, "List a commission's plants, newest first.")
plants.creates(create_plant, PlantIn, "Enter a plant for a commission.")
