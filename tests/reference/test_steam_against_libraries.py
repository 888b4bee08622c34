"""Steam against second libraries: iapws, fluids, ht and CoolProp's reference equations (HEOS)."""

from math import pi, radians, sqrt

import CoolProp.CoolProp as coolprop
import fluids
import ht
import iapws
import pytest
from scipy.optimize import minimize_scalar

from service.engineering.saturation import saturation, saturation_pressure
from service.engineering.steam.boiler.blowdown import find_flashing_flux
from service.engineering.steam.boiler.pipe_loss import find_convection
from service.engineering.steam.passages import Loss, Pipe, Valve, corner_loss, tee_branch_loss
from service.engineering.steam.passages.elements import VALVE_EXPONENT_FACTOR
from service.engineering.steam.passages.losses import (
    bend_loss,
    friction_factor,
    sharp_entry_loss,
    stop_valve_loss,
    valve_coefficient,
    valve_loss,
)
from service.engineering.steam.properties import vapour_volume, water_enthalpy, water_volume
from service.engineering.steam.safety_valve.safety_valve import find_capacity
from tests.engineering.steam.bare_flow import mass_flow

PRESSURES = [2e4, 101_325.0, 3e5, 5.01325e5, 1e6, 2e6, 3.9e6]
BOILER = 501_325.0


@pytest.mark.parametrize("pressure", PRESSURES)
def test_saturation_agrees_with_iapws(pressure: float) -> None:
    found = saturation(pressure)
    steam, water = (iapws.IAPWS97(P=pressure / 1e6, x=quality) for quality in (1, 0))

    assert found.temperature == pytest.approx(steam.T, rel=1e-9)
    assert found.vapour_volume == pytest.approx(steam.v, rel=1e-9)
    assert found.vapour_enthalpy == pytest.approx(steam.h * 1e3, rel=1e-9)
    assert found.vapour_entropy == pytest.approx(steam.s * 1e3, rel=1e-9)
    assert found.liquid_volume == pytest.approx(water.v, rel=1e-9)
    assert found.liquid_enthalpy == pytest.approx(water.h * 1e3, rel=1e-9)
    assert found.vapour_viscosity == pytest.approx(steam.mu, rel=2e-3)
    assert saturation_pressure(found.temperature) == pytest.approx(pressure, rel=1e-8)


@pytest.mark.parametrize("pressure", PRESSURES)
def test_saturation_agrees_with_the_reference_equations(pressure: float) -> None:
    """IAPWS-95 through CoolProp's HEOS back end; IF97 claims 0.1 % on volume."""
    found = saturation(pressure)

    def reference(name: str, quality: float) -> float:
        return float(coolprop.PropsSI(name, "P", pressure, "Q", quality, "HEOS::Water"))

    assert found.vapour_volume == pytest.approx(1 / reference("Dmass", 1), rel=1e-3)
    assert found.latent_heat == pytest.approx(
        reference("Hmass", 1) - reference("Hmass", 0), rel=1e-3
    )
    assert found.vapour_viscosity == pytest.approx(reference("viscosity", 1), rel=5e-3)


@pytest.mark.parametrize(("pressure", "temperature"), [(2e5, 278.15), (5e5, 288.15), (3e6, 400.0)])
def test_feed_water_agrees_with_iapws(pressure: float, temperature: float) -> None:
    water = iapws.IAPWS97(P=pressure / 1e6, T=temperature)

    assert water_enthalpy(pressure, temperature) == pytest.approx(water.h * 1e3, rel=1e-9)
    assert water_volume(pressure, temperature) == pytest.approx(water.v, rel=1e-9)


@pytest.mark.parametrize("reynolds", [300.0, 1999.0, 4001.0, 1e4, 1e5, 1e6])
@pytest.mark.parametrize("roughness", [0.0, 5e-4, 1e-2])
def test_friction_agrees_with_fluids_outside_the_blend(reynolds: float, roughness: float) -> None:
    """Clamond's solution of Colebrook in fluids; the change-over there is at 2040."""
    expected = fluids.friction_factor(reynolds, eD=roughness)

    assert friction_factor(reynolds, roughness) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("ratio", [0.1, 0.3, 0.5, 0.8])
def test_losses_agree_with_fluids(ratio: float) -> None:
    """Rennels' forms as fluids has them."""
    assert sharp_entry_loss(ratio) == pytest.approx(
        fluids.contraction_sharp(1.0, ratio, method="Rennels"), rel=1e-9
    )
    angle = 90 * ratio
    assert corner_loss(radians(angle)) == pytest.approx(
        fluids.bend_miter(angle, method="Rennels"), rel=1e-9
    )
    assert bend_loss(ratio * 5, radians(90)) == pytest.approx(
        fluids.bend_rounded(1.0, 90, fd=0.031, rc=ratio * 5, method="Rennels"), rel=1e-9
    )


def test_tee_agrees_with_fluids() -> None:
    """K_branch_diverging_Crane is on the run's head: 4 mm off 6 mm, 30 % of the flow."""
    on_run = fluids.K_branch_diverging_Crane(0.006, 0.004, 0.7, 0.3, angle=90)
    heads = (0.3 / (4 / 6) ** 2) ** 2

    assert tee_branch_loss(4 / 6, 0.3) * heads == pytest.approx(on_run, rel=1e-6)


@pytest.mark.parametrize("bore", [0.002, 0.003, 0.004, 0.006, 0.008])
def test_open_stop_valve_agrees_with_fluids(bore: float) -> None:
    """K_globe_valve_Crane, which fits f_T where this evaluates it: 4 %."""
    expected = fluids.K_globe_valve_Crane(bore, bore)

    assert stop_valve_loss(bore, bore) == pytest.approx(expected, rel=0.04)


def test_kv_and_loss_agree_with_fluids() -> None:
    assert valve_loss(0.004, 0.1764) == pytest.approx(fluids.Kv_to_K(0.1764, 0.004), rel=2e-3)
    assert valve_coefficient(0.004, 13.2) == pytest.approx(fluids.K_to_Kv(13.2, 0.004), rel=2e-3)


@pytest.mark.parametrize("outlet", [4.5e5, 4e5, 3e5, 2e5, 101_325.0])
def test_valve_passes_the_flow_fluids_would_size_it_for(outlet: float) -> None:
    """IEC 60534-2-1 run backwards: the Kv that fluids asks for our flow is the Kv we gave."""
    flow = mass_flow([Valve(0.004, 0.1764, 0.7)], BOILER, outlet)
    volume = vapour_volume(BOILER)
    normal = flow / (18.015e-3 / (8.314462618 * 273.15 / 101_325.0))
    compressibility = BOILER * volume * 18.015e-3 / (8.314462618 * saturation(BOILER).temperature)

    kv = fluids.control_valve.size_control_valve_g(
        T=saturation(BOILER).temperature,
        MW=18.015,
        mu=1.4e-5,
        gamma=1.4 * VALVE_EXPONENT_FACTOR,
        Z=compressibility,
        P1=BOILER,
        P2=outlet,
        Q=normal,
        xT=0.7,
    )

    assert kv == pytest.approx(0.1764, rel=5e-3)


@pytest.mark.parametrize("outlet", [4.8e5, 4e5, 3e5])
def test_long_pipe_agrees_with_isothermal_flow_in_fluids(outlet: float) -> None:
    """20 m of 4 mm pipe: the entry is lost in the friction, and fluids knows only the pipe."""
    line = [Pipe(0.004, 20.0)]
    flow = mass_flow(line, BOILER, outlet)
    steam = saturation(BOILER)
    reynolds = 4 * flow / (pi * 0.004 * steam.vapour_viscosity)

    expected = fluids.isothermal_gas(
        rho=1 / steam.vapour_volume,
        fd=friction_factor(reynolds, 1.5e-6 / 0.004),
        P1=BOILER,
        P2=outlet,
        L=20.0,
        D=0.004,
    )

    assert flow == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("loss", [2.0, 4.0, 11.0, 31.0, 101.0])
def test_choking_agrees_with_isothermal_choking_in_fluids(loss: float) -> None:
    """P_isothermal_critical_flow for a pipe whose f L/D is the loss."""
    critical = fluids.P_isothermal_critical_flow(P=BOILER, fd=loss, D=1.0, L=1.0)
    line = [Loss(0.003, loss)]

    most = mass_flow(line, BOILER, 1e4)
    area = pi / 4 * 0.003**2

    assert most / area * sqrt(BOILER * vapour_volume(BOILER)) == pytest.approx(critical, rel=1e-6)
    assert mass_flow(line, BOILER, critical * 0.5) == pytest.approx(most, rel=1e-9)
    assert mass_flow(line, BOILER, critical * 1.1) < most


@pytest.mark.parametrize("gauge", [2e5, 4e5, 7e5])
def test_one_velocity_head_reads_low_against_an_ideal_nozzle_never_high(gauge: float) -> None:
    """The worst case of p v constant: no loss at all but the head, against IAPWS-95 steam."""
    expected = _find_equilibrium_flux(101_325.0 + gauge, quality=1.0) * pi / 4 * 0.003**2

    found = mass_flow([Loss(0.003, 1.0)], 101_325.0 + gauge, 101_325.0)

    assert 0.87 * expected < found < expected


@pytest.mark.parametrize("gauge", [2e5, 4e5, 7e5])
def test_relief_agrees_with_api_520_in_fluids(gauge: float) -> None:
    pressure = 101_325.0 + gauge
    area = fluids.API520_A_steam(
        m=1.0, T=saturation(pressure).temperature, P1=pressure, Kd=1, Kb=1, Kc=1
    )

    capacity = find_capacity(area, pressure, coefficient=1.0)

    assert capacity.asme_51_5 == pytest.approx(1.0, rel=2e-3)
    assert capacity.napier == pytest.approx(1.0, rel=3e-3)
    assert capacity.iso_4126 == pytest.approx(1.0, rel=0.025)


@pytest.mark.parametrize("gauge", [2e5, 4e5, 7e5])
def test_relief_flux_agrees_with_equilibrium_expansion(gauge: float) -> None:
    """The greatest isentropic equilibrium flux of IAPWS-95 steam, sought with scipy."""
    expected = _find_equilibrium_flux(101_325.0 + gauge, quality=1.0)

    capacity = find_capacity(1.0, 101_325.0 + gauge, coefficient=1.0)

    assert capacity.iso_4126 == pytest.approx(expected, rel=4e-3)
    assert capacity.least == pytest.approx(expected, rel=0.03)


@pytest.mark.parametrize("gauge", [2e5, 4e5, 7e5])
def test_flashing_flux_agrees_with_equilibrium_expansion(gauge: float) -> None:
    """The greatest isentropic equilibrium flux of boiling IAPWS-95 water, sought with scipy."""
    expected = _find_equilibrium_flux(101_325.0 + gauge, quality=0.0)

    found = find_flashing_flux(saturation(101_325.0 + gauge), loss=1.0)

    assert found.flux == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize("diameter", [0.003, 0.008, 0.022, 0.1])
def test_convection_agrees_with_ht(diameter: float) -> None:
    """Nu_horizontal_cylinder by Morgan, on air from CoolProp."""
    hot, cold = 425.0, 293.15
    film = (hot + cold) / 2

    def air(name: str) -> float:
        return float(coolprop.PropsSI(name, "T", film, "P", 101_325.0, "Air"))

    viscosity = air("viscosity") / air("Dmass")
    grashof = 9.80665 * (hot - cold) * diameter**3 / (film * viscosity**2)
    nusselt = ht.conv_free_immersed.Nu_horizontal_cylinder(air("Prandtl"), grashof, Method="Morgan")

    found = find_convection(hot, air=cold, diameter=diameter)

    assert found == pytest.approx(nusselt * air("conductivity") / diameter, rel=0.01)


def _find_equilibrium_flux(pressure: float, *, quality: float) -> float:
    state = coolprop.AbstractState("HEOS", "Water")
    state.update(coolprop.PQ_INPUTS, pressure, quality)
    enthalpy, entropy = state.hmass(), state.smass()

    def flux(ratio: float) -> float:
        state.update(coolprop.PSmass_INPUTS, ratio * pressure, entropy)
        return -float(state.rhomass() * sqrt(2 * (enthalpy - state.hmass())))

    return -float(minimize_scalar(flux, bounds=(0.3, 0.999), method="bounded").fun)
