"""What a boiler makes, what it loses, how long its water lasts, and how it is blown down."""

from service.engineering.steam.boiler.blowdown import Blowdown, blow_down
from service.engineering.steam.boiler.boiler import (
    Boiler,
    BoilerSupply,
    Shell,
    boiler_supply,
    find_water_between,
)
from service.engineering.steam.boiler.firing import Firing, burn_fuel, burn_gas, heat_electrically
from service.engineering.steam.boiler.pipe_loss import (
    OXIDISED_EMISSIVITY,
    PipeLoss,
    PipeRun,
    pipe_loss,
)

__all__ = [
    "OXIDISED_EMISSIVITY",
    "Blowdown",
    "Boiler",
    "BoilerSupply",
    "Firing",
    "PipeLoss",
    "PipeRun",
    "Shell",
    "blow_down",
    "boiler_supply",
    "burn_fuel",
    "burn_gas",
    "find_water_between",
    "heat_electrically",
    "pipe_loss",
]
