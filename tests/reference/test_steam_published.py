"""Steam against printed figures; each row names where the figure stands."""

from collections.abc import Callable
from typing import NamedTuple

import pytest

from service.engineering.saturation import saturation, saturation_pressure, saturation_temperature
from service.engineering.steam.boiler.pipe_loss import find_loss_per_length
from service.engineering.steam.engine import Engine
from service.engineering.steam.engine.cylinder import find_indicated_steam, find_mean_pressure
from service.engineering.steam.passages import Loss
from service.engineering.steam.passages.losses import friction_factor, stop_valve_loss
from service.engineering.steam.properties import vapour_volume, water_enthalpy, water_volume
from service.engineering.steam.safety_valve.safety_valve import find_capacity
from service.engineering.steam.shell import CopperCylinder
from service.engineering.steam.shell.shell import find_copper_stress, find_hoop_pressure
from tests.engineering.steam.bare_flow import mass_flow

BAR = 1e5
PSI = 6894.757293168361
INCH = 0.0254
POUND = 0.45359237
FOOT = 0.3048
HORSEPOWER = 745.69987158227
BRITISH_THERMAL_UNIT = 1055.05585262

IF97 = "IAPWS R7-97(2012)"
STEAM_TABLES = "saturation tables to IAPWS-IF97, from memory; iapws agrees"
MECHANICAL = "Basic Mechanical Engineering, chapter 13"
THERMODYNAMICS = "Examples in Thermodynamics Problems, chapter 4"
TP_410 = "TP-410, Flow of Fluids"
COPPER = "handbook of copper tube, table of annealed allowable stress"
HEAT_TABLES = "engineering tables of heat loss of bare pipe"


class Printed(NamedTuple):
    """One printed figure and how closely its source supports it."""

    name: str
    find: Callable[[], float]
    expected: float
    tolerance: float
    source: str


def mean_pressure(p1: float, pb: float, e: float, c: float = 0.0) -> float:
    return find_mean_pressure(p1, back_pressure=pb, cut_off=e, clearance=c)


def power(bore: float, stroke: float, rpm: float, mean: float, rod: float = 0.0) -> float:
    engine = Engine(
        name="printed",
        bore=bore,
        stroke=stroke,
        cylinders=1,
        acting="double",
        speed=rpm / 60,
        cut_off=0.5,
        clearance=0.05,
        piston_rod=rod,
    )
    return mean * engine.swept_volume * engine.speed


PROPERTIES = [
    Printed("psat 300 K", lambda: saturation_pressure(300.0), 3536.58941, 1e-8, f"{IF97} table 35"),
    Printed(
        "psat 500 K", lambda: saturation_pressure(500.0), 2.63889776e6, 1e-8, f"{IF97} table 35"
    ),
    Printed(
        "Tsat 0.1 MPa", lambda: saturation_temperature(1e5), 372.755919, 1e-8, f"{IF97} table 36"
    ),
    Printed(
        "Tsat 1 MPa", lambda: saturation_temperature(1e6), 453.035632, 1e-8, f"{IF97} table 36"
    ),
    Printed(
        "v, 300 K 3 MPa", lambda: water_volume(3e6, 300.0), 1.00215168e-3, 1e-8, f"{IF97} table 5"
    ),
    Printed(
        "h, 300 K 3 MPa", lambda: water_enthalpy(3e6, 300.0), 115331.273, 1e-8, f"{IF97} table 5"
    ),
    Printed("Tsat 5 bar", lambda: saturation_temperature(5e5) - 273.15, 151.84, 1e-4, STEAM_TABLES),
    Printed("vg 5 bar", lambda: vapour_volume(5e5), 0.3748, 1e-4, STEAM_TABLES),
    Printed("hg 5 bar", lambda: saturation(5e5).vapour_enthalpy, 2748.1e3, 1e-4, STEAM_TABLES),
    Printed("sg 5 bar", lambda: saturation(5e5).vapour_entropy, 6820.6, 1e-4, STEAM_TABLES),
    Printed("vg 1 bar", lambda: vapour_volume(1e5), 1.6939, 1e-4, STEAM_TABLES),
    Printed("hf 1 bar", lambda: saturation(1e5).liquid_enthalpy, 417.44e3, 1e-4, STEAM_TABLES),
    Printed(
        "Tsat 10 bar", lambda: saturation_temperature(1e6) - 273.15, 179.88, 1e-4, STEAM_TABLES
    ),
    Printed("vg 10 bar", lambda: vapour_volume(1e6), 0.19436, 1e-4, STEAM_TABLES),
    Printed("vg 20 bar", lambda: vapour_volume(2e6), 0.099585, 1e-4, STEAM_TABLES),
    Printed(
        "vg 170 psia",
        lambda: vapour_volume(170 * PSI) / FOOT**3 * POUND,
        2.674,
        5e-4,
        f"{TP_410}, steam tables, ft3/lb",
    ),
    Printed(
        "boiler horsepower",
        lambda: 34.5 * POUND * saturation(101_325.0).latent_heat / BRITISH_THERMAL_UNIT,
        33_475,
        1e-3,
        "34.5 lb/h from and at 212 degF in Btu/h, boiler handbooks",
    ),
]

DIAGRAMS = [
    Printed("ex. 13.1", lambda: mean_pressure(10, 1.5, 0.35), 5.67, 1e-3, MECHANICAL),
    Printed("ex. 13.2", lambda: mean_pressure(12, 1.1, 1 / 3, 0.05), 7.54, 1e-3, MECHANICAL),
    Printed("ex. 13.7", lambda: mean_pressure(9, 1.5, 0.25), 3.869, 2e-4, MECHANICAL),
    Printed(
        "ex. 13.9",
        lambda: power(0.2, 0.3, 200, 0.8 * mean_pressure(7 * BAR, 0.38 * BAR, 0.4)),
        25.14e3,
        4e-3,
        f"{MECHANICAL}, mean pressure rounded there",
    ),
    Printed(
        "ex. 13.10",
        lambda: power(0.45, 0.60, 180, 0.78 * mean_pressure(15 * BAR, 1.25 * BAR, 0.25)),
        343e3,
        5e-3,
        f"{MECHANICAL}, bore rounded there",
    ),
    Printed(
        "ex. 13.11",
        lambda: power(0.24, 0.30, 220, 0.8 * mean_pressure(7.59 * BAR, 1.3 * BAR, 1 / 2.5)),
        36e3,
        2e-3,
        MECHANICAL,
    ),
    Printed("ex. 13.14", lambda: power(0.3, 0.4, 180, 6.5 * BAR), 110.3e3, 1e-3, f"{MECHANICAL}"),
    Printed(
        "ex. 4.10, rod on one side",
        lambda: (
            power(
                8 * INCH,
                20 * INCH,
                210,
                0.75 * mean_pressure(100 * PSI, 15 * PSI, 0.5),
                rod=2.5 * INCH,
            )
            / HORSEPOWER
        ),
        52.98,
        1e-3,
        THERMODYNAMICS,
    ),
]

FLOWS = [
    Printed(
        "ex. 7.20, steam line to the air",
        lambda: mass_flow([Loss(2.067 * INCH, 11.53)], 170 * PSI, 101_325.0) / POUND * 3600,
        11_770,
        0.03,
        f"{TP_410}, by expansion factor, lb/h",
    ),
    Printed(
        "ex. 7.20, sonic",
        lambda: mass_flow([Loss(2.067 * INCH, 11.53)], 170 * PSI, 101_325.0) / POUND * 3600,
        11_160,
        0.05,
        f"{TP_410}, by sonic velocity, lb/h",
    ),
    Printed(
        "globe 2 in", lambda: stop_valve_loss(0.0525, 0.0525) / 340, 0.019, 0.01, f"{TP_410} f_T"
    ),
    Printed(
        "globe 1 in", lambda: stop_valve_loss(0.0266, 0.0266) / 340, 0.023, 0.03, f"{TP_410} f_T"
    ),
    Printed(
        "smooth pipe", lambda: friction_factor(1e5, 0.0), 0.0180, 3e-3, "Prandtl's law, Moody chart"
    ),
    Printed(
        "safety valve, 4 bar gauge",
        lambda: find_capacity(1.0, 501_325.0, coefficient=1.0).asme_51_5,
        0.00525 * 1e6 * 501.325 / 3600,
        1e-3,
        "API 520-1 in SI, 0.00525 A P, kg/h, mm² and kPa",
    ),
]

SHELLS_AND_PIPES = [
    Printed("copper 100 degF", lambda: find_copper_stress(310.93) / PSI, 6000, 1e-3, COPPER),
    Printed("copper 300 degF", lambda: find_copper_stress(422.04) / PSI, 4700, 1e-3, COPPER),
    Printed("copper 400 degF", lambda: find_copper_stress(477.59) / PSI, 3000, 1e-3, COPPER),
    Printed(
        "1 in nominal drawn copper tube by its own formula",
        lambda: (
            find_hoop_pressure(
                CopperCylinder(1.125 * INCH, 0.050 * INCH, "seamless"), stress=6000 * PSI
            )
            / PSI
        ),
        2 * 6000 * 0.050 / (1.125 - 0.8 * 0.050),
        1e-12,
        "P = 2 S t/(D - 0.8 t), handbook of copper tube",
    ),
    Printed(
        "bare copper 15 mm, 55 K",
        lambda: find_loss_per_length(
            348.15, air=293.15, diameter=0.0159, emissivity=0.9, lagging=0, conductivity=0.06
        ),
        45,
        0.03,
        HEAT_TABLES,
    ),
    Printed(
        "bare steel 15 mm, 100 K",
        lambda: find_loss_per_length(
            393.15, air=293.15, diameter=0.0213, emissivity=0.9, lagging=0, conductivity=0.06
        ),
        116,
        0.07,
        HEAT_TABLES,
    ),
]


@pytest.mark.parametrize(
    "printed", [*PROPERTIES, *DIAGRAMS, *FLOWS, *SHELLS_AND_PIPES], ids=lambda row: row.name
)
def test_agrees_with_the_printed_figure(printed: Printed) -> None:
    assert printed.find() == pytest.approx(printed.expected, rel=printed.tolerance), printed.source


def test_water_rate_is_steam_at_release_less_steam_at_compression() -> None:
    """Textbook of steam engines: 0.36 cut off, 0.08 clearance, 0.2 compression, by hand."""
    at_release = (0.36 + 0.08) / 0.3748
    at_compression = (0.20 + 0.08) / 1.6939

    found = find_indicated_steam(
        0.3748, cushion_volume=1.6939, cut_off=0.36, clearance=0.08, exhaust_closure=0.20
    )

    assert found == pytest.approx(at_release - at_compression, rel=1e-12)
