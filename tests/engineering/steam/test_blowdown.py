"""Boiling water let out: it flashes, so far less goes than cold water would, and it pushes."""

from math import pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange
from service.engineering.saturation import saturation
from service.engineering.steam.boiler import blow_down
from service.engineering.steam.boiler.blowdown import find_flashing_flux
from service.engineering.steam.passages import Bore, Pipe, Valve

FOUR_BAR = 501_325.0
COCK = [Bore(0.002, 0.008)]


def test_cold_water_formula_would_be_several_times_too_big() -> None:
    """Root(2 rho dp) at 4 bar gauge is 27 060 kg/s/m²; in equilibrium 6.5 to 8 times less."""
    boiler = saturation(FOUR_BAR)
    cold = sqrt(2 * 4e5 / boiler.liquid_volume)

    ratio = cold / find_flashing_flux(boiler, loss=1.0).flux

    assert cold == pytest.approx(27_060, rel=1e-3)
    assert 6.5 < ratio < 8


def test_two_millimetre_cock_empties_a_small_boiler_in_seconds() -> None:
    """150 ml of working water at 4 bar gauge: gone in 12 s or sooner through an ideal 2 mm bore."""
    found = blow_down(COCK, pressure=FOUR_BAR, water=0.1373)

    assert found.flow.low <= 11.8e-3 * 1.01
    assert 1 < found.emptying_time.low < found.emptying_time.likely < found.emptying_time.high < 15
    assert {finding.code for finding in found.findings} == {"lead-away", "fix-drain"}
    assert any("fixed pipe" in caution for caution in found.cautions)


def test_part_that_flashes_by_the_steam_tables() -> None:
    """(640.6 - 419.1)/2256.5 at 4 bar gauge."""
    found = blow_down(COCK, pressure=FOUR_BAR, water=0.1)

    assert found.flashed == pytest.approx((640.6 - 419.1) / 2256.5, rel=2e-3)


def test_thrust_is_momentum_and_pressure_at_the_exit() -> None:
    found = blow_down(COCK, pressure=FOUR_BAR, water=0.1)
    area = pi / 4 * 0.002**2

    assert found.thrust == pytest.approx(
        found.flow.low * found.exit_velocity + (found.exit_pressure - 101_325) * area
    )
    assert found.exit_pressure > 101_325


@settings(max_examples=30)
@given(st.floats(1.5e5, 1.5e6), st.floats(0.001, 0.006), st.floats(0.01, 0.6))
def test_bounds_stand_in_order_and_a_drain_pipe_never_helps(
    pressure: float, bore: float, length: float
) -> None:
    cock = blow_down([Bore(bore, 0.01)], pressure=pressure, water=0.1)
    piped = blow_down([Bore(bore, 0.01), Pipe(bore, length)], pressure=pressure, water=0.1)

    assert cock.flow.low < cock.flow.likely < cock.flow.high
    assert piped.flow.low <= cock.flow.low
    assert piped.flow.high <= cock.flow.high


@settings(max_examples=30)
@given(st.floats(1.5e5, 1.5e6), st.floats(1.0, 200.0), st.floats(1.0, 200.0))
def test_more_loss_never_passes_more(pressure: float, one: float, other: float) -> None:
    boiler = saturation(pressure)
    low, high = sorted((one, other))

    easy, hard = (find_flashing_flux(boiler, loss=loss).flux for loss in (low, high))

    assert hard <= easy * (1 + 1e-9)


def test_long_way_falls_as_the_root_of_its_loss() -> None:
    """Where the loss is great the change of velocity counts for little: G goes with 1/root(K)."""
    boiler = saturation(FOUR_BAR)
    fluxes = [find_flashing_flux(boiler, loss=loss).flux for loss in (400.0, 1600.0)]

    assert fluxes[0] / fluxes[1] == pytest.approx(2.0, rel=0.02)


def test_valve_counts_by_its_kv() -> None:
    found = blow_down([Valve(0.004, 0.1)], pressure=FOUR_BAR, water=0.1)
    cold = 0.1 / 3600 * sqrt(4.0 * 915.2 / 1000) * 1000  # Kv m³/h of water at 1 bar, by hand

    assert found.flow.high == pytest.approx(cold, rel=0.02)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: blow_down([], pressure=FOUR_BAR, water=0.1), "elements"),
        (lambda: blow_down(COCK, pressure=1.1e5, water=0.1), "pressure"),
        (lambda: blow_down(COCK, pressure=5e6, water=0.1), "pressure"),
        (lambda: blow_down(COCK, pressure=FOUR_BAR, water=0.0), "water"),
    ],
)
def test_nonsense_is_refused_by_field(call, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()

    assert refusal.value.field == field
