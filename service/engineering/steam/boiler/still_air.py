"""Heat a hot pipe or shell gives to still air, bare or lagged, by convection and radiation."""

from math import log, pi

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import require, require_within
from service.engineering.saying import length, temperature
from service.engineering.solving import solve_rising

STEFAN_BOLTZMANN = 5.670374419e-8  # stefan-Boltzmann constant [W/m2/K4] (CODATA)
GRAVITY = 9.80665  # standard gravity [m/s2]
AIR_CONSTANT = 287.05  # gas constant of dry air [J/kg/K]
AIR_HEAT = 1007.0  # specific heat of air at constant pressure [J/kg/K] (handbook)
MORGAN_RANGES = (
    (1e-2, 0.675, 0.058),
    (1e2, 1.02, 0.148),
    (1e4, 0.850, 0.188),
    (1e7, 0.480, 0.250),
    (1e12, 0.125, 0.333),
)
"""Upper Rayleigh number, factor and exponent of Nu = C Ra^n, Morgan (1975)."""

CONVECTION_SOURCE = "Morgan (1975), horizontal cylinder in still air"


def find_surface_flux(surface: float, *, air: float, diameter: float, emissivity: float) -> float:
    """Heat leaving each square metre of a horizontal cylinder in still air.

    Source: Morgan (1975) for convection; Stefan-Boltzmann for radiation.
    """
    if surface <= air:
        return 0.0
    radiation = emissivity * STEFAN_BOLTZMANN * (surface**4 - air**4)
    return find_convection(surface, air=air, diameter=diameter) * (surface - air) + radiation


def find_convection(surface: float, *, air: float, diameter: float) -> float:
    """Coefficient of natural convection around a horizontal cylinder in air at one atmosphere.

    Source: Morgan (1975); air by Sutherland's forms at the mean temperature (handbook).
    """
    film = (surface + air) / 2
    viscosity = 1.458e-6 * film**1.5 / (film + 110.4)
    conductivity = 2.64638e-3 * film**1.5 / (film + 245.4 * 10 ** (-12 / film))
    kinematic = viscosity * AIR_CONSTANT * film / ATMOSPHERE
    prandtl = AIR_HEAT * viscosity / conductivity
    grashof = GRAVITY * (surface - air) * diameter**3 / (film * kinematic**2)
    nusselt = _find_nusselt(float(grashof * prandtl))
    return float(nusselt * conductivity / diameter)


def find_loss_per_length(
    metal: float,
    *,
    air: float,
    diameter: float,
    emissivity: float,
    lagging: float,
    conductivity: float,
) -> float:
    """Heat each metre of a hot horizontal cylinder gives to still air, through lagging if any.

    Source: Conduction through a cylinder (Fourier), then convection (Morgan) and radiation.
    """
    require_within("air_temperature", air, 230, 330, temperature)
    require(air < metal, "air_temperature", "The air must be cooler than the steam.")
    require_within("emissivity", emissivity, 0, 1)
    require_within("lagging", lagging, 0, 0.2, length)
    require_within("conductivity", conductivity, 0.01, 2)
    outside = diameter + 2 * lagging

    def given_off(surface: float) -> float:
        flux = find_surface_flux(surface, air=air, diameter=outside, emissivity=emissivity)
        return flux * pi * outside

    if not lagging:
        return given_off(metal)
    conductance = 2 * pi * conductivity / log(outside / diameter)
    surface = solve_rising(
        lambda point: given_off(point) - conductance * (metal - point), air, high=metal
    )
    return given_off(surface)


def _find_nusselt(rayleigh: float) -> float:
    factor, exponent = next(
        (factor, exponent) for limit, factor, exponent in MORGAN_RANGES if rayleigh <= limit
    )
    return float(factor * rayleigh**exponent)
