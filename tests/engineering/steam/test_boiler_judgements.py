"""What a boiler gives by its heat balance, and where each judgement on fire and water turns."""

from dataclasses import replace
from math import acos, log, pi, sqrt

import pytest

from service.engineering.errors import NoSolution
from service.engineering.findings import Band
from service.engineering.saturation import saturation
from service.engineering.steam.boiler import (
    Boiler,
    BoilerSupply,
    Firing,
    Shell,
    boiler_supply,
    burn_fuel,
    burn_gas,
    find_water_between,
    heat_electrically,
)
from service.engineering.steam.boiler.pipe_loss import find_loss_per_length
from service.engineering.steam.properties import water_enthalpy

AIR = 101_325.0
FOUR_BAR = 501_325.0
DAY = {"pressure": FOUR_BAR, "feed_temperature": 288.15, "air_temperature": 293.15}
STANDING = Shell("vertical", 0.1, 0.2)
POT = Boiler(Firing(Band(900, 1000, 1200), Band(1, 1, 1)), STANDING, 0.05, 0.1, 1.0)


def steam(boiler: Boiler = POT, **changes: float) -> BoilerSupply:
    return boiler_supply(boiler, **{**DAY, **changes})


def fired(*heat: float, rate: float | None = None, store: float | None = None) -> Boiler:
    return replace(POT, firing=Firing(Band(*heat), Band(1, 1, 1), rate, store))


def judged(found: BoilerSupply) -> dict[str, str]:
    return {finding.code: finding.level for finding in found.findings}


LOSS = steam().shell_loss


def test_the_shell_loses_like_a_barrel_as_long_as_its_surface() -> None:
    """Both ends count as barrel: a length of L + D/2; dull metal 0.7 bare, 0.9 once lagged."""
    hot = saturation(FOUR_BAR).temperature

    def barrel(emissivity: float, lagging: float) -> float:
        each = find_loss_per_length(
            hot, air=293.15, diameter=0.1, emissivity=emissivity, lagging=lagging, conductivity=0.06
        )
        return each * (0.2 + 0.05)

    assert pytest.approx(barrel(0.7, 0.0)) == LOSS
    lagged = steam(replace(POT, lagging=0.01))
    assert lagged.shell_loss == pytest.approx(barrel(0.9, 0.01))


def test_net_heat_is_the_fire_less_the_shell() -> None:
    found = steam()
    state = saturation(FOUR_BAR)
    heat = state.vapour_enthalpy - water_enthalpy(FOUR_BAR, 288.15)

    for end, given in (("low", 900), ("likely", 1000), ("high", 1200)):
        net = getattr(found.net_heat, end)
        assert net == pytest.approx(given - LOSS)
        assert getattr(found.evaporation, end) == pytest.approx(net / heat)
        assert getattr(found.evaporation_unfed, end) == pytest.approx(net / state.latent_heat)


def test_the_water_lasts_shortest_on_the_hottest_fire() -> None:
    found = steam()
    water = pi / 4 * 0.1**2 * 0.05 / saturation(FOUR_BAR).liquid_volume
    boiled = water * saturation(FOUR_BAR).latent_heat

    assert found.usable_water == pytest.approx(water)
    assert found.water_time is not None
    assert found.water_time.low == pytest.approx(boiled / (1200 - LOSS))
    assert found.water_time.likely == pytest.approx(boiled / (1000 - LOSS))
    assert found.water_time.high == pytest.approx(boiled / (900 - LOSS))


@pytest.mark.parametrize(("over", "held"), [(-1e-6, False), (0.0, False), (1e-6, True)])
def test_a_likely_fire_no_hotter_than_the_loss_holds_no_pressure(over: float, held: bool) -> None:
    boiler = fired(1.0, LOSS * (1 + over), 1e4)
    if held:
        assert steam(boiler).net_heat.likely == pytest.approx(LOSS * over, rel=1e-3)
        return
    with pytest.raises(NoSolution) as refusal:
        steam(boiler)
    assert refusal.value.field == "pressure"


@pytest.mark.parametrize(("over", "weak"), [(-1e-6, True), (0.0, True), (1e-6, False)])
def test_the_poorest_fire_no_hotter_than_the_loss_is_weak(over: float, weak: bool) -> None:
    found = steam(fired(LOSS * (1 + over), 1e4, 1e4))

    assert (judged(found).get("weak-fire") == "caution") is weak
    assert (found.water_time is None) is weak
    assert (found.raising_time is None) is weak


@pytest.mark.parametrize(("times", "wasteful"), [(3.999, True), (4.001, False)])
def test_a_shell_that_loses_more_than_a_quarter_wants_lagging(times: float, wasteful: bool) -> None:
    found = steam(fired(LOSS * 2, LOSS * times, 1e4))

    assert (judged(found).get("wasteful-shell") == "caution") is wasteful
    assert "weak-fire" not in judged(found)


def test_heating_surface_gives_fifteen_to_forty_five_kilograms_an_hour() -> None:
    found = steam(replace(POT, heating_surface=0.02)).surface_evaporation

    assert found is not None
    assert (found.low * 3600, found.likely * 3600, found.high * 3600) == pytest.approx(
        (0.3, 0.5, 0.9)
    )


@pytest.mark.parametrize(
    ("rate", "share", "code", "level"),
    [
        (45, 0.9999, "surface-small", "caution"),
        (45, 1.0001, "surface-agrees", "ok"),
        (15, 0.9999, "surface-agrees", "ok"),
        (15, 1.0001, "fire-small", "ok"),
    ],
)
def test_the_heating_surface_is_judged_by_its_band(
    rate: float, share: float, code: str, level: str
) -> None:
    surface = share * steam().evaporation.likely * 3600 / rate

    found = judged(steam(replace(POT, heating_surface=surface)))

    names = {"surface-small", "surface-agrees", "fire-small"}
    assert {key: found[key] for key in names & found.keys()} == {code: level}


@pytest.mark.parametrize(
    ("share", "code", "level"), [(0.9999, "fuel-first", "ok"), (1.0001, "water-first", "caution")]
)
def test_the_fuel_should_run_out_before_the_water(share: float, code: str, level: str) -> None:
    water = steam().water_time
    assert water is not None
    store = share * water.likely * 1e-5
    boiler = fired(900, 1000, 1200, rate=1e-5, store=store)

    found = steam(boiler)

    assert found.fuel_time == pytest.approx(share * water.likely)
    names = {"fuel-first", "water-first"}
    assert {key: judged(found)[key] for key in names & judged(found).keys()} == {code: level}
    assert judged(steam())["water-first"] == "caution"  # a fire that never runs out


def test_copper_takes_385_joule_a_kilogram_and_fittings_ten_to_twenty_per_cent() -> None:
    light, heavy = (steam(replace(POT, metal_mass=mass)).raising_heat for mass in (1.0, 3.0))
    rise = saturation(FOUR_BAR).temperature - 288.15

    assert heavy.low - light.low == pytest.approx(1.10 * 2 * 385 * rise)
    assert heavy.likely - light.likely == pytest.approx(1.15 * 2 * 385 * rise)
    assert heavy.high - light.high == pytest.approx(1.20 * 2 * 385 * rise)


def test_raising_steam_takes_the_time_a_step_by_step_reckoning_takes() -> None:
    """C dT/dt = Q - UA (T - T_air) in 20 000 steps; the hottest fire with the least heat."""
    found = steam()
    hot = saturation(FOUR_BAR).temperature
    assert found.raising_time is not None

    def raise_steam(heat: float, fire: float) -> float:
        mass, steps = heat / (hot - 288.15), 20_000
        step = (hot - 288.15) / steps
        middles = (288.15 + (number + 0.5) * step for number in range(steps))
        return sum(
            mass * step / (fire - LOSS * (each - 293.15) / (hot - 293.15)) for each in middles
        )

    heat = found.raising_heat
    assert found.raising_time.low == pytest.approx(raise_steam(heat.low, 1200), rel=1e-5)
    assert found.raising_time.likely == pytest.approx(raise_steam(heat.likely, 1000), rel=1e-5)
    assert found.raising_time.high == pytest.approx(raise_steam(heat.high, 900), rel=1e-5)


def test_a_lying_shell_holds_a_segment_less_its_tubes() -> None:
    """A quarter full: r² (acos 0.5 - 0.5 root 0.75), 300 mm long, a fifth of it tubes."""
    shell = Shell("horizontal", 0.1, 0.3, displaced=0.2)
    segment = 0.05**2 * (acos(0.5) - 0.5 * sqrt(0.75))

    assert find_water_between(shell, low=0.0, high=0.025) == pytest.approx(0.8 * 0.3 * segment)
    assert shell.volume == pytest.approx(pi / 4 * 0.1**2 * 0.3)
    assert shell.surface == pytest.approx(pi * 0.1 * 0.3 + 2 * pi / 4 * 0.1**2)


def test_what_reaches_the_water_is_each_end_of_the_fire_times_its_efficiency() -> None:
    fire = Firing(Band(100, 200, 400), Band(0.2, 0.3, 0.5))

    assert fire.into_water == Band(pytest.approx(20), pytest.approx(60), pytest.approx(200))


def test_an_element_is_near_enough_wholly_in_the_water() -> None:
    fire = heat_electrically(1000.0)

    assert fire.gross == Band(1000, 1000, 1000)
    assert 0.9 < fire.efficiency.low < fire.efficiency.likely < fire.efficiency.high < 1


def test_twice_the_fuel_is_twice_the_heat_for_half_the_time() -> None:
    one, two = (burn_fuel("spirit", rate, kind="spirit_pot", store=0.1) for rate in (1e-5, 2e-5))

    assert two.gross.low == pytest.approx(2 * one.gross.low)
    assert two.gross.high == pytest.approx(2 * one.gross.high)
    assert one.burning_time == pytest.approx(1e4)
    assert two.burning_time == pytest.approx(5e3)


def jet_rate(pressure: float, bore: float = 2e-4, temperature: float = 293.15) -> float:
    rate = burn_gas(
        "propane", bore, pressure=pressure, temperature=temperature, kind="gas_flue"
    ).rate
    assert rate is not None
    return rate


def test_a_jet_below_choking_follows_the_subsonic_nozzle() -> None:
    """Propane at 1.4 bar absolute, k = 1.13, 44.10 g/mol, 0.85 of the ideal, by hand."""
    ratio, specific = AIR / 1.4e5, 8.314462618 / 44.10e-3 * 293.15
    speed = sqrt(2 * 1.13 / 0.13 * specific * (1 - ratio ** (0.13 / 1.13)))
    density = 1.4e5 / specific * ratio ** (1 / 1.13)

    assert jet_rate(1.4e5) == pytest.approx(0.85 * pi / 4 * 2e-4**2 * density * speed, rel=1e-9)


def test_a_jet_chokes_where_the_air_is_the_critical_part_of_its_pressure() -> None:
    """(2/2.13)^(1.13/0.13) = 0.5785: choked flow goes with pressure, subsonic flow faster."""
    choking = AIR / (2 / 2.13) ** (1.13 / 0.13)

    def power(pressure: float) -> float:
        return log(jet_rate(pressure * 1.001) / jet_rate(pressure)) / log(1.001)

    assert power(choking * 1.0001) == pytest.approx(1.0, abs=1e-9)
    assert power(choking * 0.9) > 1.01


def test_a_jet_goes_with_its_area_and_against_the_root_of_heat() -> None:
    assert jet_rate(3e5, bore=4e-4) == pytest.approx(4 * jet_rate(3e5))
    assert jet_rate(3e5, temperature=4 * 95.0) == pytest.approx(
        jet_rate(3e5, temperature=240.0) * sqrt(240 / 380)
    )
