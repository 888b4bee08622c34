"""What a boiler gives: heat balance, water between levels, times, and refusals."""

from dataclasses import replace
from math import pi

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from service.engineering.errors import NoSolution, OutOfRange, Unsuitable
from service.engineering.findings import Band
from service.engineering.saturation import saturation
from service.engineering.steam.boiler import (
    Boiler,
    Firing,
    Shell,
    boiler_supply,
    burn_fuel,
    burn_gas,
    find_water_between,
    heat_electrically,
)
from service.engineering.steam.boiler.boiler import (
    find_raising_heat,
    find_raising_time,
    find_shell_loss,
)
from service.engineering.steam.boiler.firing import find_fuel, find_jet_flow

STANDING = Shell("vertical", 0.0762, 0.15, displaced=0.1)
CENTRE_FLUE = Boiler(
    burn_fuel("butane", 1 / 60e3, kind="gas_flue", store=0.1), STANDING, 0.03, 0.09, 1.2, 0.015
)
RUNNING = {"pressure": 501_325.0, "feed_temperature": 288.15, "air_temperature": 293.15}


def given_heat(power: float) -> Firing:
    return Firing(Band(power, power, power), Band(1.0, 1.0, 1.0))


def codes(supply) -> set[str]:
    return {finding.code for finding in supply.findings}


def test_gram_of_butane_a_minute_is_762_watt_gross() -> None:
    """Lower heating value 45.7 MJ/kg, by hand."""
    assert CENTRE_FLUE.firing.gross.likely == pytest.approx(761.7, abs=0.1)


def test_feed_costs_what_the_factor_of_evaporation_says() -> None:
    """2 kW net at 4 bar gauge: 56.9 g/min at the boil, 44.7 from 15 degC, by the steam tables."""
    loss = find_shell_loss(CENTRE_FLUE, saturation(501_325.0).temperature, air_temperature=293.15)
    boiler = replace(CENTRE_FLUE, firing=given_heat(2000 + loss))

    supply = boiler_supply(boiler, **RUNNING)

    assert supply.net_heat.likely == pytest.approx(2000)
    assert supply.evaporation_unfed.likely * 60e3 == pytest.approx(56.9, abs=0.1)
    assert supply.evaporation.likely * 60e3 == pytest.approx(44.7, abs=0.1)


def test_water_between_levels_is_hot_water() -> None:
    """150 ml at 4 bar gauge weighs 137 g and lasts 9.6 min at 500 W, by the steam tables."""
    standing = Shell("vertical", 0.1, 0.2)
    rise = 150e-6 / (pi / 4 * 0.1**2)
    boiler = Boiler(given_heat(500), standing, 0.05, 0.05 + rise, 1.0)
    loss = find_shell_loss(boiler, saturation(501_325.0).temperature, air_temperature=293.15)

    supply = boiler_supply(replace(boiler, firing=given_heat(500 + loss)), **RUNNING)

    assert supply.usable_water == pytest.approx(0.1373, abs=1e-4)
    assert supply.water_time is not None
    assert supply.water_time.likely / 60 == pytest.approx(9.6, abs=0.05)


def test_heat_to_raise_steam_is_water_and_copper() -> None:
    """0.5 kg of water and 1.2 kg of copper from 15 degC to 4 bar gauge take 352 kJ, by hand."""
    area = pi / 4 * 0.1**2
    boiler = Boiler(given_heat(500), Shell("vertical", 0.1, 0.2), 0.01, 0.5e-3 / area, 1.2)

    heat = find_raising_heat(boiler, saturation(501_325.0), cold=288.15)

    assert heat.low / 1.10 == pytest.approx(352e3, rel=3e-3)
    assert heat.high / heat.low == pytest.approx(1.20 / 1.10)


def test_raising_time_without_loss_is_heat_over_power() -> None:
    same = Band(352e3, 352e3, 352e3)
    power = Band(500.0, 500.0, 500.0)

    bare, lossless = (
        find_raising_time(power, same, loss=loss, rise=130.0, excess=130.0) for loss in (90.0, 0.0)
    )

    assert lossless == Band(*[pytest.approx(704)] * 3)
    assert bare is not None
    assert 704 / (1 - 45 / 500) < bare.likely < 704 / (1 - 90 / 500)


def test_small_pot_loses_what_was_once_measured() -> None:
    """A small pot boiler at 140 degC lost about 35 W bare and 12 W clad: order only, one datum."""
    pot = Boiler(given_heat(500), Shell("horizontal", 0.05, 0.12), 0.01, 0.03, 0.5)
    clad = replace(pot, lagging=0.006)

    bare = find_shell_loss(pot, 413.15, air_temperature=293.15)
    lagged = find_shell_loss(clad, 413.15, air_temperature=293.15)

    assert 25 < bare < 50
    assert 8 < lagged < 25


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_water_between_levels_adds_up(one: float, other: float, third: float) -> None:
    shell = Shell("horizontal", 0.1, 0.3, displaced=0.2)
    low, middle, high = (0.1 * part for part in sorted((one, other, third)))
    assume(low < middle < high)

    whole = find_water_between(shell, low=low, high=high)
    parts = find_water_between(shell, low=low, high=middle) + find_water_between(
        shell, low=middle, high=high
    )

    assert parts == pytest.approx(whole, abs=1e-15)
    assert whole <= shell.volume * 0.8 * (1 + 1e-8)


def test_half_full_lying_shell_holds_half() -> None:
    shell = Shell("horizontal", 0.1, 0.3)

    assert find_water_between(shell, low=0, high=0.05) == pytest.approx(shell.volume / 2)
    assert find_water_between(shell, low=0, high=0.1) == pytest.approx(shell.volume)


@given(st.floats(1.0, 3.0), st.floats(2e5, 8e5))
def test_more_fire_never_gives_less_steam(factor: float, pressure: float) -> None:
    steam = {**RUNNING, "pressure": pressure}
    hotter = replace(
        CENTRE_FLUE, firing=burn_fuel("butane", factor / 60e3, kind="gas_flue", store=0.1)
    )

    plain, fired = boiler_supply(CENTRE_FLUE, **steam), boiler_supply(hotter, **steam)

    assert fired.evaporation.likely >= plain.evaporation.likely
    assert fired.evaporation.low <= fired.evaporation.likely <= fired.evaporation.high


def test_choked_jet_passes_in_proportion_to_absolute_pressure() -> None:
    butane = find_fuel("butane")

    low, high = (
        find_jet_flow(butane, 2e-4, pressure=pressure, temperature=293.15)
        for pressure in (3e5, 6e5)
    )

    assert high / low == pytest.approx(2.0)


def test_jet_agrees_with_an_ideal_gas_nozzle_by_hand() -> None:
    """Propane, 0.2 mm, 3 bar absolute, 20 degC: 0.85 A p root(M/RT) 0.6357 for k = 1.13."""
    function = (1.13 * (2 / 2.13) ** (2.13 / 0.13)) ** 0.5
    flux = 3e5 * (44.10e-3 / (8.314462618 * 293.15)) ** 0.5 * function

    flow = find_jet_flow(find_fuel("propane"), 2e-4, pressure=3e5, temperature=293.15)

    assert flow == pytest.approx(0.85 * pi / 4 * 2e-4**2 * flux, rel=1e-9)


def test_gas_jet_makes_a_fire() -> None:
    fire = burn_gas("butane", 2e-4, pressure=2.5e5, temperature=293.15, kind="gas_tubes", store=0.2)

    assert fire.rate is not None
    assert fire.gross.likely == pytest.approx(fire.rate * 45.7e6)
    assert fire.burning_time == pytest.approx(0.2 / fire.rate)
    assert len(fire.sources) == 3


def test_fire_that_cannot_hold_pressure_has_no_answer() -> None:
    candle = replace(CENTRE_FLUE, firing=burn_fuel("spirit", 1e-6, kind="spirit_pot"))

    with pytest.raises(NoSolution, match="cannot hold that pressure"):
        boiler_supply(candle, **RUNNING)


def test_fire_that_may_not_hold_pressure_says_so_and_gives_no_time() -> None:
    doubtful = replace(CENTRE_FLUE, firing=Firing(Band(40.0, 200.0, 300.0), Band(1.0, 1.0, 1.0)))

    supply = boiler_supply(doubtful, **RUNNING)

    assert supply.net_heat.low == 0.0
    assert supply.water_time is None
    assert supply.raising_time is None
    assert "weak-fire" in codes(supply)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"firing": given_heat(250)}, "wasteful-shell"),
        ({"firing": given_heat(5000)}, "surface-small"),
        ({"heating_surface": 0.5}, "fire-small"),
        ({"heating_surface": 0.02}, "surface-agrees"),
        ({}, "water-first"),
        ({"firing": burn_fuel("butane", 1 / 60e3, kind="gas_flue", store=0.01)}, "fuel-first"),
    ],
)
def test_findings_tell_the_fitter(change: dict, code: str) -> None:
    assert code in codes(boiler_supply(replace(CENTRE_FLUE, **change), **RUNNING))


def test_answer_carries_cautions_and_sources() -> None:
    supply = boiler_supply(CENTRE_FLUE, **RUNNING)

    assert any("inspector" in caution for caution in supply.cautions)
    assert all(working.source for working in supply.workings)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: heat_electrically(0.0), "power"),
        (lambda: burn_fuel("butane", 0.0, kind="gas_flue"), "rate"),
        (lambda: burn_fuel("butane", 1e-4, kind="gas_flue", store=0.0), "fuel"),
        (lambda: replace(CENTRE_FLUE, metal_mass=0.0), "metal_mass"),
        (lambda: replace(CENTRE_FLUE, heating_surface=0.0), "heating_surface"),
        (lambda: replace(CENTRE_FLUE, low_level=0.1), "low"),
        (lambda: replace(CENTRE_FLUE, high_level=0.2), "high"),
        (lambda: Shell("horizontal", 0.0, 0.1), "diameter"),
        (lambda: Shell("slanting", 0.1, 0.1), "lie"),
        (lambda: Shell("vertical", 0.1, 0.1, 1.0), "displaced"),
        (
            lambda: boiler_supply(CENTRE_FLUE, **{**RUNNING, "air_temperature": 400.0}),
            "air_temperature",
        ),
        (lambda: boiler_supply(CENTRE_FLUE, **{**RUNNING, "pressure": 1e7}), "pressure"),
        (lambda: find_jet_flow(find_fuel("butane"), 0.1, pressure=3e5, temperature=293.0), "jet"),
        (
            lambda: find_jet_flow(find_fuel("butane"), 2e-4, pressure=1e5, temperature=293.0),
            "pressure",
        ),
    ],
)
def test_nonsense_is_refused_by_field(call, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()

    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: find_fuel("petrol"), "fuel"),
        (lambda: burn_fuel("coal", 1e-4, kind="bonfire"), "kind"),
        (lambda: find_jet_flow(find_fuel("coal"), 2e-4, pressure=3e5, temperature=293.0), "fuel"),
    ],
)
def test_unsuitable_fuel_or_fire_is_refused(call, field: str) -> None:
    with pytest.raises(Unsuitable) as refusal:
        call()

    assert refusal.value.field == field


def test_the_arithmetic_of_a_supply_ends_in_its_evaporation() -> None:
    boiler = Boiler(
        firing=heat_electrically(1500.0),
        shell=Shell("horizontal", 0.1, 0.2),
        low_level=0.05,
        high_level=0.075,
        metal_mass=2.5,
    )
    supply = boiler_supply(boiler, pressure=5e5, feed_temperature=288.15, air_temperature=293.15)
    values = {line.symbol: line.value for line in supply.workings}

    assert values["m"] == pytest.approx(supply.evaporation.likely)
