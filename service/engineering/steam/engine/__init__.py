"""What an engine takes and gives: cylinder, cut-off, condensation, mean effective pressure."""

from service.engineering.steam.engine.cylinder import (
    CUSHION_FAULT,
    Acting,
    Engine,
    find_engine_pressure,
    find_steam_conditions,
)
from service.engineering.steam.engine.engine import PlantDemand, plant_demand, steam_demand

__all__ = [
    "CUSHION_FAULT",
    "Acting",
    "Engine",
    "PlantDemand",
    "find_engine_pressure",
    "find_steam_conditions",
    "plant_demand",
    "steam_demand",
]
