"""Heat that a hot pipe or shell gives to still air, bare or lagged, and what it costs a pipe."""

from dataclasses import dataclass
from math import log, pi
from typing import Annotated

from service.engineering.constants import ATMOSPHERE, LEAST_FLOW, MOST_FLOW
from service.engineering.errors import require, require_within
from service.engineering.findings import Finding, Level, Working, worst_first
from service.engineering.given import given, require_given
from service.engineering.saturation import PROPERTY_SOURCE, Saturation, saturation
from service.engineering.saying import fine, heat_loss, length, say, temperature
from service.engineering.saying import flow as steam_flow
from service.engineering.saying import share as part
from service.engineering.solving import solve_rising
from service.engineering.steam.cautions import CAUTIONS

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

LEAST_LAGGING = 1e-4  # thickness below which nothing can be wound round a pipe [m]; 0: it is bare
BRIGHT_EMISSIVITY = 0.05  # emissivity of polished copper or brass (handbook)
OXIDISED_EMISSIVITY = 0.7  # emissivity of oxidised copper or painted metal (handbook)
LAGGING_EMISSIVITY = 0.9  # emissivity of string, felt or paint over lagging (handbook)
STRING_CONDUCTIVITY = 0.06  # conductivity of string or felt lagging [W/m/K] (common practice)
COPPER_DENSITY = 8930.0  # density of copper [kg/m3] (handbook)
COPPER_HEAT = 385.0  # specific heat of copper [J/kg/K] (handbook)
FITTING_LENGTH = 0.4
"""Pipe that loses as much as one flange or valve, for full-size pipe: 0.3 to 0.5 m, here scaled
by the bore over 15 mm [m] (common practice)."""

DRAIN_SHARE = 0.05  # share of the steam lost to the pipe from which a drain is wanted (inference)
THINNEST_LAGGING = 1e-4  # least thickness looked at [m]
THICKEST_LAGGING = 0.05  # greatest thickness looked at [m]
PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class PipeRun:
    """A run of copper steam pipe between two fittings."""

    outside_diameter: Annotated[float, "m"] = given("1/4 in", least=1e-3, most=0.2)
    bore: Annotated[float, "m"] = given("3/16 in", least=1e-4, most=0.2)
    length: Annotated[float, "m"] = given("400 mm", least=1e-3, most=100.0)
    emissivity: float = given(0.7, default=OXIDISED_EMISSIVITY, least=0.0, most=1.0)
    """Emissivity of the bare metal: 0.7 oxidised, 0.05 bright."""
    lagging: Annotated[float, "m"] = given("3 mm", default=0.0, least=0.0, most=0.2)  # 0: bare pipe
    conductivity: float = STRING_CONDUCTIVITY  # thermal conductivity of the lagging [W/m/K]
    fittings: int = given(2, default=0, least=0, most=100)  # valves and flanges along it

    def __post_init__(self) -> None:
        require_given(self)
        require(self.bore < self.outside_diameter, "bore", "The bore must be inside the pipe.")

    @property
    def effective_length(self) -> float:
        """Length with fittings counted as pipe [m]."""
        return self.length + self.fittings * FITTING_LENGTH * self.outside_diameter / 0.015

    @property
    def metal_mass(self) -> float:
        """Mass of the pipe itself [kg]."""
        area = pi / 4 * (self.outside_diameter**2 - self.bore**2)
        return area * self.length * COPPER_DENSITY


@dataclass(frozen=True, slots=True)
class PipeLoss:
    """What a run of pipe costs."""

    loss_per_length: Annotated[float, "W/m"]  # heat loss of each metre
    bare_loss_per_length: Annotated[float, "W/m"]  # heat loss of each metre without its lagging
    heat: Annotated[float, "W"]  # heat loss of the run, fittings included
    condensate: Annotated[float, "kg/s"]  # water formed while running
    warming_condensate: Annotated[float, "kg"]  # water formed while the run is brought up to heat
    critical_radius: Annotated[float, "m"]
    """Conductivity over surface coefficient: up to it lagging adds loss."""
    least_lagging: Annotated[float, "m"] | None
    """From which it loses less than bare pipe; None: not to 50 mm."""
    share: float | None  # part of the steam that the run condenses; None when no flow was given
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = CAUTIONS


def pipe_loss(
    run: PipeRun, *, pressure: float, air_temperature: float, flow: float | None = None
) -> PipeLoss:
    """Heat and water a run of pipe loses, and whether lagging or a drain would help.

    run: the pipe.
    pressure: absolute pressure of the steam in it [Pa], 1 kPa to 4 MPa.
    air_temperature: temperature of the air [K], 230 to 330 K.
    flow: steam that passes [kg/s]; None when it does not matter.
    Returns: losses, condensate and advice [SI].
    Raises OutOfRange: if a quantity is outside its range.
    Source: Morgan (1975), Stefan-Boltzmann, Fourier; latent heat by IAPWS-IF97; the steam side and
        the metal are taken as being at the saturation temperature.
    """
    if flow is not None:
        require_within("flow", flow, LEAST_FLOW, MOST_FLOW, steam_flow)
    steam = saturation(pressure)
    bare = _loss_per_length(run, steam, air_temperature, lagging=0.0)
    loss = _loss_per_length(run, steam, air_temperature, lagging=run.lagging)
    least = _find_least_lagging(run, steam, air_temperature, bare=bare)
    heat = loss * run.effective_length
    condensate = heat / steam.latent_heat
    share = None if flow is None else condensate / flow
    rise = steam.temperature - air_temperature
    return PipeLoss(
        loss_per_length=loss,
        bare_loss_per_length=bare,
        heat=heat,
        condensate=condensate,
        warming_condensate=find_warming_condensate(run.metal_mass * COPPER_HEAT * rise, steam),
        critical_radius=_critical_radius(run, steam, air_temperature),
        least_lagging=least,
        share=share,
        findings=worst_first(
            [*_find_lagging(run, loss, bare, least=least), *_find_drain(condensate, share)]
        ),
        workings=_write_workings(run, steam, loss=loss, condensate=condensate),
    )


def find_warming_condensate(heat: float, steam: Saturation) -> float:
    """Water left behind by the steam that brings metal up to heat.

    Source: Energy balance: m c dT over the latent heat (IAPWS-IF97).
    """
    return heat / steam.latent_heat


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
    if lagging:
        require_within("lagging", lagging, LEAST_LAGGING, 0.2, length)
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
    rayleigh = float(grashof * prandtl)
    factor, exponent = next(law for limit, *law in MORGAN_RANGES if rayleigh <= limit)
    nusselt = factor * rayleigh**exponent
    return float(nusselt * conductivity / diameter)


def _loss_per_length(
    run: PipeRun, steam: Saturation, air_temperature: float, *, lagging: float
) -> float:
    return find_loss_per_length(
        steam.temperature,
        air=air_temperature,
        diameter=run.outside_diameter,
        emissivity=LAGGING_EMISSIVITY if lagging else run.emissivity,
        lagging=lagging,
        conductivity=run.conductivity,
    )


def _critical_radius(run: PipeRun, steam: Saturation, air_temperature: float) -> float:
    """Conductivity over the whole surface coefficient of bare pipe as dull as the lagging."""
    flux = find_surface_flux(
        steam.temperature,
        air=air_temperature,
        diameter=run.outside_diameter,
        emissivity=LAGGING_EMISSIVITY,
    )
    return run.conductivity * (steam.temperature - air_temperature) / flux


def _find_least_lagging(
    run: PipeRun, steam: Saturation, air_temperature: float, *, bare: float
) -> float | None:
    """The loss rises to the critical radius and then falls, so it meets the bare loss once."""

    def saving(lagging: float) -> float:
        return bare - _loss_per_length(run, steam, air_temperature, lagging=lagging)

    if saving(THINNEST_LAGGING) >= 0:
        return THINNEST_LAGGING
    if saving(THICKEST_LAGGING) < 0:
        return None
    return solve_rising(saving, THINNEST_LAGGING, high=THICKEST_LAGGING, tolerance=1e-4)


def _find_lagging(run: PipeRun, loss: float, bare: float, *, least: float | None) -> list[Finding]:
    if not run.lagging:
        return []
    level: Level = "ok" if loss < bare else "caution"
    code = "lagging-helps" if loss < bare else "lagging-worse"
    if loss < bare:
        advice = say(".")
    elif least is None:
        advice = say("; leave it bare and bright.")
    else:
        pays = fine(least, "least")
        advice = say("; it pays from ", pays, " of this lagging, or leave it bright.")
    text = say(
        ("Lagging of ", length(run.lagging, "lagging"), " on ", length(run.outside_diameter)),
        (" pipe: it loses ", heat_loss(loss, "lagged"), " against ", heat_loss(bare, "bare")),
        (" bare", advice),
    )
    return [Finding(level, code, text, loss, bare, "W/m", CONVECTION_SOURCE)]


def _find_drain(condensate: float, share: float | None) -> list[Finding]:
    if share is None or share < DRAIN_SHARE:
        return []
    text = say(
        ("The pipe turns ", steam_flow(condensate), " back into water, ", part(share)),
        " of its steam: keep it short and fit a drain at the lowest point.",
    )
    level: Level = "fail" if share >= 1 else "caution"
    return [Finding(level, "drain-wanted", text, share, DRAIN_SHARE, "1", "inference")]


def _write_workings(
    run: PipeRun, steam: Saturation, *, loss: float, condensate: float
) -> tuple[Working, ...]:
    return (
        Working("T_s", 'T_"sat" (p)', steam.temperature, "K", PROPERTY_SOURCE),
        Working(
            "q'",
            "pi D (h (T_s - T_a) + epsilon sigma (T_s^4 - T_a^4)),"
            ' "through lagging by" (2 pi k)/ln(D/d)',
            loss,
            "W/m",
            CONVECTION_SOURCE,
        ),
        Working("L", '"length" + "fittings as pipe"', run.effective_length, "m", PRACTICE),
        Working('h_"fg"', "h_g - h_f", steam.latent_heat, "J/kg", PROPERTY_SOURCE),
        Working("m_c", '(q\' L)/h_"fg"', condensate, "kg/s", "energy balance"),
    )
