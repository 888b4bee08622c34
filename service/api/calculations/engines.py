"""What engines take of steam and give of power."""

from service.api.calculation import Calculation
from service.api.derive import part_of, schema_in, schema_out
from service.api.quantity_fields import QuantityIn, figures, quantity
from service.api.schemas.base import Asked, Many
from service.api.schemas.calculations import CalculationOut
from service.engineering.steam.engine import Engine, PlantDemand, plant_demand
from service.quantities import Kind

MOST_ENGINES = 20

EngineIn = schema_in(Engine)


class SteamDemandIn(Asked):
    """Engines on one pressure; pressures are gauge."""

    pressure = QuantityIn(Kind.PRESSURE, example="50 psi", required=True)
    feed_temperature = quantity(Kind.TEMPERATURE, "15 degC", default="15 degC")
    back_pressure = quantity(Kind.PRESSURE, "0.1 bar", default="0 bar")
    engines = Many(EngineIn, 1, MOST_ENGINES, required=True)


class EngineDemandOut(
    schema_out(
        part_of(PlantDemand, "engines"),
        "name steam dry_steam mean_effective_pressure indicated_power heat",
    )
):
    """What one engine takes and gives."""


class SteamDemandOut(
    schema_out(
        PlantDemand, "steam dry_steam indicated_power heat engines", engines=EngineDemandOut
    ),
    CalculationOut,
):
    """What the engines take together, and each of them."""


STEAM_DEMAND = Calculation(
    name="steam-demand",
    about="Reckon the steam, mean pressure, power and heat of engines on one pressure.",
    takes=SteamDemandIn,
    gives=SteamDemandOut,
    reckon=lambda asked, _: plant_demand(
        asked["engines"], **figures(asked, "pressure back_pressure feed_temperature")
    ),
)
