"""Steam calculations over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import calculating
from service.api.blueprint import Blueprint
from service.api.schemas.steam import SteamDemandIn, SteamDemandOut, read_engines
from service.engineering.steam.engine import PlantDemand, plant_demand
from service.records.models import Scope

blp = Blueprint("steam", __name__, description="Steam: what engines take, and what gives it.")


@blp.route("/calculations/steam-demand")
class SteamDemand(MethodView):
    """What engines take."""

    @calculating
    @blp.operation("calculate_steam_demand", Scope.CALCULATE, "calculates")
    @blp.arguments(SteamDemandIn)
    @blp.response(200, SteamDemandOut)
    def post(self, data: dict[str, Any]) -> PlantDemand:
        """Reckon the steam, mean pressure, power and heat of engines on one pressure."""
        return reckon_demand(data)


def reckon_demand(data: dict[str, Any]) -> PlantDemand:
    """What the engines of a request take."""
    return plant_demand(
        read_engines(data["engines"]),
        pressure=data["pressure"].absolute,
        back_pressure=data["back_pressure"].absolute,
        feed_temperature=data["feed_temperature"].si,
    )
