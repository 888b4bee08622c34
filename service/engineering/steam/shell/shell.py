"""A plain boiler shell or tube under pressure from inside: the hoop stress, and no more.

Flat ends, stays, openings and flues under pressure from outside usually govern. They are not
judged here, and no answer of this module permits a pressure.
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Annotated

from service.engineering.constants import ATMOSPHERE, POUND_PER_SQUARE_INCH
from service.engineering.data_files import read_table
from service.engineering.errors import OutOfRange, Unsuitable, require
from service.engineering.findings import Finding, Working, worst_first
from service.engineering.given import given, require_given
from service.engineering.saturation import (
    PROPERTY_SOURCE,
    require_pressure,
    saturation_pressure,
    saturation_temperature,
)
from service.engineering.saying import fine, length, listed, name, say
from service.engineering.saying import pressure as gauge_reading
from service.engineering.saying import temperature as degrees
from service.engineering.steam.cautions import SHELL_CAUTIONS

COPPER_STRENGTH = 25_000 * POUND_PER_SQUARE_INCH  # annealed, cold [Pa] (common practice)
STRENGTH_FACTOR = 8.0  # factor on tensile strength used in hobby designs (common practice)
STRESS_SOURCE = "allowable stress of annealed copper at temperature, handbook of copper tube"
HOOP_SOURCE = "thin cylinder by outside diameter, P = 2 S t E/(D - 0.8 t), tube tables"
BARLOW_SOURCE = "thin cylinder on tensile strength, P = UTS t E/(R F), common practice"

REFUSED_JOINTS = {
    "butt": "A butt joint without a strap is not fit for a boiler shell.",
    "soft_solder": "Soft solder is not fit to carry the pressure of a boiler shell.",
}


@dataclass(frozen=True, slots=True)
class CopperCylinder:
    """A shell, tube or pipe of copper that has been heated for brazing, so is annealed."""

    outside_diameter: Annotated[float, "m"] = given("4 in", least=2e-3, most=1.0)
    thickness: Annotated[float, "m"] = given("3/32 in", least=5e-5, most=0.1)  # at most D/10
    joint: str = given("brazed_strap")  # kind of joint along it: seamless or brazed_strap

    def __post_init__(self) -> None:
        require_given(self)
        thin = self.thickness <= 0.1 * self.outside_diameter
        require(thin, "thickness", "The wall must be at most a tenth of the diameter.")
        find_joint_factor(self.joint)


@dataclass(frozen=True, slots=True)
class ShellCheck:
    """Hoop stress of a plain cylinder at its stated working pressure; indicative only."""

    pressure: Annotated[float, "Pa"]  # the inspector's working pressure, absolute
    temperature: Annotated[float, "K"]  # metal temperature, that of saturated steam
    joint_factor: float  # strength of the joint over that of the plain wall
    hoop_stress: Annotated[float, "Pa stress"]  # stress in the wall at the joint
    allowable_stress: Annotated[float, "Pa stress"]
    """Allowable stress of annealed copper at that temperature."""
    pressure_by_stress: Annotated[float, "Pa"]
    """Where the hoop stress meets the allowable; not a permission."""
    pressure_by_strength: Annotated[float, "Pa"]
    """By cold tensile strength over 8; not a permission."""
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = SHELL_CAUTIONS


def check_shell(cylinder: CopperCylinder, *, pressure: float) -> ShellCheck:
    """Hoop stress of a plain copper cylinder at the working pressure the inspector has stated.

    cylinder: the shell, tube or pipe.
    pressure: the inspector's working pressure, absolute [Pa], above one atmosphere.
    Returns: stress, allowable stress and two indicative pressures [SI].
    Raises OutOfRange: if the pressure is outside its range or the metal is too hot for copper.
    Source: P = 2 S t E/(D - 0.8 t) with S of annealed copper at temperature (handbook of copper
        tube); P = UTS t E/(R 8) (common practice).
    """
    require_pressure(pressure)
    require(pressure > ATMOSPHERE, "pressure", "Working pressure must be above 0 gauge.")
    temperature = saturation_temperature(pressure)
    allowable = find_copper_stress(temperature)
    factor = find_joint_factor(cylinder.joint)
    per_stress = find_hoop_pressure(cylinder, stress=1.0)
    by_stress, stress = allowable * per_stress, (pressure - ATMOSPHERE) / per_stress
    strength = COPPER_STRENGTH * factor / STRENGTH_FACTOR
    by_strength = strength * cylinder.thickness / (cylinder.outside_diameter / 2)
    return ShellCheck(
        pressure=pressure,
        temperature=temperature,
        joint_factor=factor,
        hoop_stress=stress,
        allowable_stress=allowable,
        pressure_by_stress=ATMOSPHERE + by_stress,
        pressure_by_strength=ATMOSPHERE + by_strength,
        findings=_find_shell_faults(cylinder, pressure, least=min(by_stress, by_strength)),
        workings=(
            Working("T", 'T_"sat" (p)', temperature, "K", PROPERTY_SOURCE),
            Working("S", '"annealed copper at" T', allowable, "Pa stress", STRESS_SOURCE),
            Working("E", '"joint factor"', factor, "1", "common practice"),
            Working("s", "(P (D - 0.8 t))/(2 t E)", stress, "Pa stress", HOOP_SOURCE),
            Working("P_S", "(2 S t E)/(D - 0.8 t)", by_stress, "Pa gauge", HOOP_SOURCE),
            Working('P_"UTS"', '("UTS" t E)/(8 R)', by_strength, "Pa gauge", BARLOW_SOURCE),
        ),
    )


def find_hoop_pressure(cylinder: CopperCylinder, *, stress: float) -> float:
    """Gauge pressure that brings a plain cylinder to a hoop stress.

    Source: Thin cylinder by outside diameter, P = 2 S t E/(D - 0.8 t), tube tables.
    """
    wall = cylinder.thickness
    carried = 2 * stress * wall * find_joint_factor(cylinder.joint)
    return carried / (cylinder.outside_diameter - 0.8 * wall)


def find_copper_stress(temperature: float) -> float:
    """Allowable stress of annealed copper; hard-drawn figures must not be used once brazed.

    Source: Handbook of copper tube, annealed copper, on the lines between its points.
    """
    points = _read_stress_points()
    if temperature <= points[0][0]:
        return points[0][1]
    for (cool, strong), (hot, weak) in pairwise(points):
        if temperature <= hot:
            return strong + (weak - strong) * (temperature - cool) / (hot - cool)
    hottest = points[-1][0]
    about = gauge_reading(saturation_pressure(hottest))
    limit = say("Copper is not judged above ", degrees(hottest), " (about ", about)
    raise OutOfRange(say(limit, "): it has lost its strength."), field="pressure")


@cache
def find_joint_factor(joint: str) -> float:
    """Strength of a joint along a shell over that of the plain wall.

    Source: Common practice for copper boilers.
    """
    factors = {row["key"]: float(row["factor"]) for row in read_table("shell_joints.csv")}
    if joint in factors:
        return factors[joint]
    if joint in REFUSED_JOINTS:
        raise Unsuitable(REFUSED_JOINTS[joint], field="joint")
    known = listed(map(name, factors))
    raise Unsuitable(say(name(repr(joint)), " is not one of: ", known, "."), field="joint")


@cache
def _read_stress_points() -> tuple[tuple[float, float], ...]:
    return tuple(
        (
            (float(row["temperature_f"]) + 459.67) / 1.8,
            float(row["stress_psi"]) * POUND_PER_SQUARE_INCH,
        )
        for row in read_table("copper_annealed_stress.csv")
    )


def _find_shell_faults(
    cylinder: CopperCylinder, pressure: float, *, least: float
) -> tuple[Finding, ...]:
    gauge = pressure - ATMOSPHERE
    text = say(
        (length(cylinder.outside_diameter, "diameter"), " by ", fine(cylinder.thickness, "wall")),
        " copper: the hoop stress alone ",
    )
    if gauge > least:
        figure = gauge_reading(ATMOSPHERE + least, "figure")
        text = say(
            (text, "speaks against ", gauge_reading(pressure), " (figure ", figure, ")."),
            " Ask the inspector before going on.",
        )
        hoop = Finding("fail", "hoop-stress-high", text, gauge, least, "Pa gauge", HOOP_SOURCE)
    else:
        text = say(text, "does not speak against ", gauge_reading(pressure), ".")
        hoop = Finding("ok", "hoop-stress-low", text, gauge, least, "Pa gauge", HOOP_SOURCE)
    text = say("Flat ends, stays, openings and flues are not judged here, and usually govern.")
    ends = Finding("caution", "ends-not-judged", text, source="common practice")
    return worst_first((hoop, ends))
