"""Properties of steam and water off the saturation line."""

from service.engineering.steam.properties.properties import (
    STEAM_EXPONENT,
    vapour_enthalpy,
    vapour_viscosity,
    vapour_volume,
    vapour_volume_and_enthalpy,
    water_enthalpy,
    water_volume,
)

__all__ = [
    "STEAM_EXPONENT",
    "vapour_enthalpy",
    "vapour_viscosity",
    "vapour_volume",
    "vapour_volume_and_enthalpy",
    "water_enthalpy",
    "water_volume",
]
