"""Saturated water and steam: the range is enforced, threads do not disturb one another."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange
from service.engineering.saturation import (
    HIGHEST_PRESSURE,
    LOWEST_PRESSURE,
    saturation,
    saturation_pressure,
    saturation_temperature,
)
from service.engineering.steam.properties import (
    vapour_enthalpy,
    vapour_viscosity,
    vapour_volume,
    water_enthalpy,
    water_volume,
)
from service.quantities.wording import word

pressures = st.floats(LOWEST_PRESSURE * 1.0001, HIGHEST_PRESSURE * 0.9999)


@pytest.mark.parametrize("pressure", [999.0, 4.1e6, -1e5, 0.0, float("nan"), float("inf")])
@pytest.mark.parametrize(
    "find", [saturation, saturation_temperature, vapour_volume, vapour_enthalpy, vapour_viscosity]
)
def test_pressure_outside_the_range_is_refused(find, pressure) -> None:
    with pytest.raises(OutOfRange) as refusal:
        find(pressure)

    assert "0.01 bar and 40 bar" in word(refusal.value.message)
    assert refusal.value.field == "pressure"


@pytest.mark.parametrize("temperature", [250.0, 279.0, 530.0, float("nan")])
def test_boiling_temperature_outside_the_range_is_refused(temperature: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        saturation_pressure(temperature)

    assert refusal.value.field == "temperature"


@pytest.mark.parametrize("temperature", [273.0, 424.99, 600.0, float("nan")])
@pytest.mark.parametrize("find", [water_enthalpy, water_volume])
def test_feed_that_would_freeze_or_boil_is_refused(find, temperature) -> None:
    with pytest.raises(OutOfRange) as refusal:
        find(5e5, temperature)

    assert "152 degC" in word(refusal.value.message)
    assert refusal.value.field == "temperature"


@given(pressures)
def test_boiling_pressure_and_temperature_are_inverse(pressure: float) -> None:
    assert saturation_pressure(saturation_temperature(pressure)) == pytest.approx(
        pressure, rel=1e-7
    )


@given(pressures)
def test_single_values_are_those_of_the_whole_state(pressure: float) -> None:
    state = saturation(pressure)

    assert vapour_volume(pressure) == state.vapour_volume
    assert vapour_enthalpy(pressure) == state.vapour_enthalpy
    assert vapour_viscosity(pressure) == state.vapour_viscosity
    assert state.latent_heat > 0


@given(pressures, pressures)
def test_steam_shrinks_and_heats_as_pressure_rises(one: float, other: float) -> None:
    low, high = sorted((one, other))

    assert vapour_volume(low) >= vapour_volume(high)
    assert saturation_temperature(low) <= saturation_temperature(high)


def test_threads_asking_at_once_get_their_own_answers() -> None:
    asked = [1e5 + 1e3 * step for step in range(400)]
    alone = [saturation(pressure) for pressure in asked]

    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(saturation, asked))

    assert together == alone


def test_importing_the_steam_floor_does_not_load_the_property_library() -> None:
    program = "import sys, service.engineering.steam.engine; print('CoolProp' in sys.modules)"
    answer = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )

    assert answer.stdout.strip() == "False"
