"""The network against solvers and property libraries that know nothing of it.

The equations are written out again here from the handbook: p v constant with K + 2 ln(p1/p2), the
water-rate method, square-law load; steam from the iapws library (IAPWS-IF97) or CoolProp's other
equation of state; roots by scipy. Single lines are checked against the fluids library.
"""

from math import exp, log, pi, sqrt

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.compressible import P_isothermal_critical_flow, isothermal_gas
from fluids.safety_valve import API520_A_steam
from iapws import IAPWS97
from scipy.optimize import brentq, minimize_scalar, root

from service.engineering.constants import ATMOSPHERE
from service.engineering.steam.engine import Engine
from service.engineering.steam.network import (
    BoilerSupply,
    EngineOnBranch,
    Load,
    OpenOutlet,
    RunningCase,
    balance,
    prepare_plant,
)
from service.engineering.steam.network.demand_curve import trace_open_outlet
from service.engineering.steam.network.network import settle
from service.engineering.steam.network.network_tree import Branch, Network
from service.engineering.steam.passages import Loss, join_segments, trace_line

EXHAUST = 1.11e5
FRICTION = 0.3e5
FEED = 288.15


def saturated(pressure: float) -> tuple[float, float]:
    """Volume [m3/kg] and enthalpy [J/kg] of dry steam by the iapws library."""
    steam = IAPWS97(P=pressure / 1e6, x=1)
    return steam.v, steam.h * 1e3


def cold_water(pressure: float) -> float:
    return IAPWS97(P=pressure / 1e6, T=FEED).h * 1e3


def mean_pressure(pressure: float, *, factor: float = 0.75, cut: float = 0.75) -> float:
    """Hyperbolic diagram with a tenth of clearance, textbook of mechanical engineering."""
    return factor * (pressure * (cut + (cut + 0.1) * log(1.1 / (cut + 0.1))) - EXHAUST)


def speed_at(pressure: float) -> float:
    """Square law from 500 rpm at 4 bar gauge."""
    ratio = (mean_pressure(pressure) - FRICTION) / (mean_pressure(4e5 + ATMOSPHERE) - FRICTION)
    return 500 / 60 * sqrt(max(ratio, 0.0))


def demand_at(pressure: float, *, swept: float = 2 * pi / 4 * 0.02**3) -> float:
    """Water-rate method with 0.8 lost to the walls, steam dry at the chest."""
    charge = 0.85 / saturated(pressure)[0] - 0.1 / saturated(EXHAUST)[0]
    return 1.8 * speed_at(pressure) * swept * charge


def make_engine(name: str = "engine", *, passages: tuple[Loss, ...] = ()) -> EngineOnBranch:
    engine = Engine(
        name=name,
        bore=0.02,
        stroke=0.02,
        cylinders=1,
        acting="double",
        speed=500 / 60,
        cut_off=0.75,
        clearance=0.10,
        condensation=0.8,
        diagram_factor=0.75,
    )
    return EngineOnBranch(
        engine,
        Load("propeller", 500 / 60, 4e5 + ATMOSPHERE),
        passages,
        back_pressure=EXHAUST,
        friction=FRICTION,
        pulsation=1.0,
    )


@pytest.mark.parametrize(
    ("heat", "gauge", "rpm"), [(300.0, 1.52, 265), (500.0, 2.21, 347), (1000.0, 3.69, 477)]
)
def test_boiler_and_one_engine_meet_where_an_independent_search_finds_them(
    heat: float, gauge: float, rpm: float
) -> None:
    """Worked by hand for 20 x 20 mm double acting; searched by scipy with iapws steam."""

    def shortage(pressure: float) -> float:
        raised = heat / (saturated(pressure)[1] - cold_water(8e5))
        return demand_at(pressure) - raised

    expected = brentq(shortage, 1.6e5, 8e5, xtol=1e-3)

    answer = balance(
        prepare_plant(BoilerSupply(heat, 8e5, FEED), [make_engine()]),
        cases=[RunningCase("one", ("engine",))],
    )

    (case,) = answer.cases
    assert case.boiler_pressure.likely == pytest.approx(expected, rel=1e-6)
    assert case.engines[0].speed.likely == pytest.approx(speed_at(expected), rel=1e-6)
    assert (case.boiler_pressure.likely - ATMOSPHERE) / 1e5 == pytest.approx(gauge, abs=0.005)
    assert case.engines[0].speed.likely * 60 == pytest.approx(rpm, abs=0.5)


def test_three_branches_and_a_short_fire_agree_with_scipy_root() -> None:
    """Five equations for boiler, block and three chests, solved by MINPACK's hybrid method."""
    losses = [(14.5, 3e-3), (40.0, 2.5e-3), (9.0, 2e-3)]
    names = ("a", "b", "c")
    engines = [
        make_engine(name, passages=(Loss(bore, k),))
        for name, (k, bore) in zip(names, losses, strict=True)
    ]
    heat, trunk = 1500.0, (12.0, 4e-3)

    def square_drop(flow: float, k: float, bore: float, product: float, fall: float) -> float:
        return (flow / (pi / 4 * bore**2)) ** 2 * product * (k + 2 * log(fall))

    def residuals(unknown: np.ndarray) -> list[float]:
        boiler, block, *chests = unknown * 1e5
        volume, enthalpy = saturated(boiler)
        flows = [demand_at(chest) for chest in chests]
        whole = sum(flows)
        found = [whole * (enthalpy - cold_water(5e5 + ATMOSPHERE)) / heat - 1]
        drop = square_drop(whole, *trunk, boiler * volume, boiler / block)
        found.append((boiler**2 - block**2 - drop) / 1e10)
        product = block * saturated(block)[0]
        for chest, flow, (k, bore) in zip(chests, flows, losses, strict=True):
            drop = square_drop(flow, k, bore, product, block / chest)
            found.append((block**2 - chest**2 - drop) / 1e10)
        return found

    expected = root(residuals, [3.0, 2.9, 2.8, 2.8, 2.8], tol=1e-12)
    assert expected.success

    answer = balance(
        prepare_plant(
            BoilerSupply(heat, 5e5 + ATMOSPHERE, FEED), engines, trunk=(Loss(trunk[1], trunk[0]),)
        ),
        cases=[RunningCase("all", names)],
    )

    (case,) = answer.cases
    settled = [case.boiler_pressure.likely, case.block_pressure.likely]
    settled += [engine.pressure.likely for engine in case.engines]
    assert case.heat_bound
    assert np.array(settled) / 1e5 == pytest.approx(expected.x, rel=1e-6)


@pytest.mark.parametrize("factor", [0.05, 0.2, 1.0])
def test_a_single_line_passes_what_the_fluids_library_says(factor: float) -> None:
    """fluids.compressible.isothermal_gas, with f L/D standing for K."""
    k, bore = 14.5 * factor, 3e-3
    line = (Loss(bore, k),)
    answer = balance(
        prepare_plant(BoilerSupply(5e3, 5e5, FEED), [make_engine(passages=line)]),
        cases=[RunningCase("one", ("engine",))],
    )
    (case,) = answer.cases
    expected = isothermal_gas(
        rho=1 / saturated(5e5)[0],
        fd=0.02,
        P1=5e5,
        P2=case.engines[0].pressure.likely,
        L=k * bore / 0.02,
        D=bore,
    )

    assert case.boiler_pressure.likely == pytest.approx(5e5)
    assert case.engines[0].steam.likely == pytest.approx(expected, rel=1e-6)


def test_a_whistle_behind_a_narrow_way_takes_the_choked_flow_of_the_fluids_library() -> None:
    """fluids.compressible.P_isothermal_critical_flow gives the exit pressure of the choked way."""
    k, bore = 10.0, 2e-3
    open_outlet = OpenOutlet("whistle", 9e-5, (Loss(bore, k),), coefficient=1.0)
    length = k * bore / 0.02
    exit_pressure = P_isothermal_critical_flow(P=5e5, fd=0.02, L=length, D=bore)
    density = 1 / saturated(5e5)[0]
    expected = isothermal_gas(rho=density, fd=0.02, P1=5e5, P2=exit_pressure, L=length, D=bore)

    answer = balance(
        prepare_plant(BoilerSupply(1e5, 5e5, FEED), [], open_outlets=[open_outlet]),
        cases=[RunningCase("blow", ("whistle",))],
    )

    (case,) = answer.cases
    assert case.open_outlets[0].pressure.likely < exit_pressure
    assert case.open_outlets[0].steam.likely == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("gauge", [2e5, 4e5, 7e5])
def test_a_choked_hole_blows_the_equilibrium_flow_of_real_steam(gauge: float) -> None:
    """Largest mass flux of an isentropic nozzle, by CoolProp's HEOS equation.

    API 520 (Napier's constant) reads up to 2.5 % lower at low pressure.
    """
    pressure = gauge + ATMOSPHERE
    entropy, enthalpy = (PropsSI(kind, "P", pressure, "Q", 1, "Water") for kind in ("S", "H"))

    def flux(ratio: float) -> float:
        at = ("P", ratio * pressure, "S", entropy, "Water")
        return PropsSI("D", *at) * sqrt(2 * (enthalpy - PropsSI("H", *at)))

    best = minimize_scalar(lambda ratio: -flux(ratio), bounds=(0.4, 0.8), method="bounded")
    curve = trace_open_outlet(OpenOutlet("hole", 1e-5, coefficient=1.0))
    blown = curve.at(curve.find_part(pressure))[1]

    assert blown / 1e-5 == pytest.approx(-best.fun, rel=0.004)
    area = API520_A_steam(
        m=blown, T=PropsSI("T", "P", pressure, "Q", 1, "Water"), P1=pressure, Kd=1, Kb=1, Kc=1
    )
    assert area == pytest.approx(1e-5, rel=0.025)


def test_losses_in_a_row_drop_more_than_three_times_the_drop_at_inlet_density() -> None:
    """60 g/min through three K = 14.5 in 3 mm from 4 bar gauge.

    Three drops at inlet density leave 2.37 bar; squares of pressure alone 1.956; with the logarithm
    of isothermal flow, found root by root by scipy with iapws steam, a little less.
    """
    pressure = 4e5 + ATMOSPHERE
    product = pressure * saturated(pressure)[0]
    thrust = (1e-3 / (pi / 4 * 3e-3**2)) ** 2 * product

    def after(inlet: float) -> float:
        def error(outlet: float) -> float:
            return inlet**2 - outlet**2 - thrust * (14.5 + 2 * log(inlet / outlet))

        return brentq(error, 0.5 * inlet, inlet)

    expected = after(after(after(pressure)))
    choked = sqrt(1.135 * (2 / 2.135) ** (2.135 / 0.135))  # ISO 4126-1, k = 1.135
    hole = 1e-3 / choked / sqrt(expected / saturated(expected)[0])  # draws 60 g/min there
    segments = join_segments(trace_line([Loss(3e-3, 14.5)] * 3))
    curve = trace_open_outlet(OpenOutlet("sink", hole, coefficient=1.0))
    found = settle(Network((), (Branch(segments, 1.0, curve),), 1e6, None, pressure))

    assert sqrt(pressure**2 - 3 * 14.5 * thrust) == pytest.approx(1.956e5 + ATMOSPHERE, rel=1e-3)
    assert found.drawn[0].pressure == pytest.approx(expected, rel=1e-4)
    assert found.flow == pytest.approx(1e-3, rel=1e-4)
    assert 1.85e5 < found.drawn[0].pressure - ATMOSPHERE < 1.956e5


def test_throttled_steam_keeps_its_product_of_pressure_and_volume() -> None:
    """Isenthalpic expansion of dry steam, CoolProp's HEOS: what the whole network leans on."""
    pressure = 4e5 + ATMOSPHERE
    enthalpy = PropsSI("H", "P", pressure, "Q", 1, "Water")
    products = [
        at / PropsSI("D", "P", at, "H", enthalpy, "Water")
        for at in (pressure * exp(-step / 4) for step in range(6))
    ]

    assert products == pytest.approx([products[0]] * 6, rel=0.004)
