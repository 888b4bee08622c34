"""What engines take: bands, geometry, refusals, and what the fitter is told."""

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.findings import Band
from service.engineering.steam.engine import Engine, plant_demand, steam_demand
from service.engineering.steam.engine.cylinder import (
    find_condensation,
    find_diagram_factor,
    find_mean_pressure,
)
from service.engineering.steam.properties import vapour_enthalpy, water_enthalpy

STEAM = {"pressure": 501_325.0, "back_pressure": 111_000.0, "feed_temperature": 288.15}

SLIDE_VALVE = Engine(
    name="port engine",
    bore=0.0254,
    stroke=0.0254,
    cylinders=1,
    acting="double",
    speed=10.0,
    cut_off=0.75,
    clearance=0.10,
)

engines = st.builds(
    Engine,
    name=st.just("any"),
    bore=st.floats(0.006, 0.06),
    stroke=st.floats(0.006, 0.06),
    cylinders=st.integers(1, 4),
    acting=st.sampled_from(["single", "double"]),
    speed=st.floats(0.5, 60),
    cut_off=st.floats(0.2, 1),
    clearance=st.floats(0.01, 0.3),
)


def codes(findings) -> set[str]:
    return {finding.code for finding in findings}


def test_demand_is_worked_by_hand_from_the_steam_tables() -> None:
    """1 in x 1 in, double acting, 600 rpm, 4 bar gauge, cut-off 0.75: by pencil."""
    swept = pi / 4 * 0.0254**2 * 0.0254 * 2
    dry = 10.0 * swept * (0.85 / 0.37387 - 0.10 / 1.53655)

    found = steam_demand(replace(SLIDE_VALVE, condensation=0.8, diagram_factor=0.75), **STEAM)

    assert found.dry_steam == pytest.approx(dry, rel=1e-4)
    assert found.steam == Band(*[pytest.approx(dry * 1.8, rel=1e-4)] * 3)
    assert found.indicated_power == pytest.approx(
        found.mean_effective_pressure * swept * 10.0, rel=1e-12
    )
    heat = vapour_enthalpy(501_325.0) - water_enthalpy(501_325.0, 288.15)
    assert found.heat.likely == pytest.approx(found.steam.likely * heat, rel=1e-12)
    assert found.steam_rate is not None
    assert 40 < found.steam_rate.likely * 3.6e6 < 60  # kg/kWh: textbook 24.3 to 48.7, and small


def test_ideal_engine_takes_only_its_dry_steam_and_says_so() -> None:
    found = steam_demand(replace(SLIDE_VALVE, condensation=0.0), **STEAM)

    assert found.steam == Band(found.dry_steam, found.dry_steam, found.dry_steam)
    assert "ideal-steam" in codes(found.findings)


def test_condensation_left_open_gives_a_band_by_bore() -> None:
    found = steam_demand(SLIDE_VALVE, **STEAM)

    assert found.engine.condensation_band == find_condensation(0.0254)
    assert found.dry_steam < found.steam.low < found.steam.likely < found.steam.high


@given(st.floats(0.001, 0.3), st.floats(0.001, 0.3))
def test_smaller_cylinders_are_never_drier(one: float, other: float) -> None:
    small, large = (find_condensation(bore) for bore in sorted((one, other)))

    assert small.low >= large.low
    assert small.likely >= large.likely
    assert small.high >= large.high
    assert find_diagram_factor(one, "single") <= find_diagram_factor(one, "double")


def test_rod_takes_area_from_one_side_only() -> None:
    rod = replace(SLIDE_VALVE, piston_rod=0.0127)
    single = replace(rod, acting="single")

    assert rod.swept_volume == pytest.approx(SLIDE_VALVE.swept_volume * (2 - 0.25) / 2)
    assert single.swept_volume == pytest.approx(SLIDE_VALVE.swept_volume / 2)


def test_plant_is_the_sum_of_its_engines() -> None:
    other = replace(SLIDE_VALVE, name="starboard engine", bore=0.02)
    apart = [steam_demand(engine, **STEAM) for engine in (SLIDE_VALVE, other)]

    together = plant_demand([SLIDE_VALVE, other], **STEAM)

    assert together.engines == tuple(apart)
    assert together.steam == apart[0].steam + apart[1].steam
    assert together.heat == apart[0].heat + apart[1].heat
    assert together.indicated_power == sum(one.indicated_power for one in apart)
    assert together.cautions
    assert len(together.workings) == 22
    assert all(working.source for working in together.workings)


@given(engines, st.floats(2e5, 1.5e6))
def test_bands_stand_in_order_and_above_the_dry_steam(engine: Engine, pressure: float) -> None:
    found = steam_demand(engine, **{**STEAM, "pressure": pressure})

    assert 0 < found.dry_steam < found.steam.low <= found.steam.likely <= found.steam.high


@given(engines, st.floats(1.01, 1.5))
def test_more_speed_or_bore_never_takes_less(engine: Engine, factor: float) -> None:
    plain = steam_demand(replace(engine, condensation=0.5), **STEAM)
    quicker = replace(engine, condensation=0.5, speed=engine.speed * factor)
    wider = replace(engine, condensation=0.5, bore=engine.bore * factor)

    assert steam_demand(quicker, **STEAM).dry_steam > plain.dry_steam
    assert steam_demand(wider, **STEAM).dry_steam > plain.dry_steam


@given(st.floats(0.05, 1), st.floats(0.001, 0.5), st.floats(0, 0.9))
def test_mean_pressure_lies_between_nothing_and_the_full_difference(
    cut_off: float, clearance: float, closure: float
) -> None:
    mean = find_mean_pressure(
        5e5, back_pressure=1e5, cut_off=cut_off, clearance=clearance, exhaust_closure=closure
    )
    open_longer = find_mean_pressure(5e5, back_pressure=1e5, cut_off=1.0, clearance=clearance)

    assert open_longer == pytest.approx(4e5)
    assert mean <= open_longer * (1 + 1e-12)  # equal but for the last bit at full admission


def test_compression_without_clearance_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        find_mean_pressure(5e5, back_pressure=1e5, cut_off=0.5, exhaust_closure=0.1)

    assert refusal.value.field == "clearance"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("bore", 0.0),
        ("bore", -0.02),
        ("bore", float("nan")),
        ("stroke", 0.0),
        ("cylinders", 0),
        ("acting", "both"),
        ("speed", 0.0),
        ("speed", float("inf")),
        ("cut_off", 1.4),
        ("cut_off", 0.0),
        ("clearance", 0.0),
        ("clearance", 0.6),
        ("condensation", -0.1),
        ("condensation", 6.0),
        ("diagram_factor", 0.0),
        ("diagram_factor", 1.1),
        ("piston_rod", 0.0254),
        ("piston_rod", -0.001),
        ("exhaust_closure", 0.95),
    ],
)
def test_engine_outside_its_ranges_is_refused_by_field(field: str, value: object) -> None:
    with pytest.raises(OutOfRange) as refusal:
        replace(SLIDE_VALVE, **{field: value})

    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"pressure": 5.0e6}, "pressure"),
        ({"back_pressure": 501_325.0}, "back_pressure"),
        ({"back_pressure": 10.0}, "back_pressure"),
        ({"feed_temperature": 600.0}, "feed_temperature"),
    ],
)
def test_steam_outside_its_ranges_is_refused_by_field(change: dict, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        steam_demand(SLIDE_VALVE, **{**STEAM, **change})

    assert refusal.value.field == field


def test_plant_without_engines_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        plant_demand([], **STEAM)

    assert refusal.value.field == "engines"


def test_cushion_that_holds_more_than_is_let_in_is_refused() -> None:
    stuffed = replace(SLIDE_VALVE, cut_off=0.01, clearance=0.5, exhaust_closure=0.9)

    with pytest.raises(NoSolution) as refusal:
        steam_demand(stuffed, pressure=2e5, back_pressure=1.9e5, feed_temperature=288.15)

    assert refusal.value.field == "exhaust_closure"


@pytest.mark.parametrize(
    ("engine", "steam", "code", "level"),
    [
        ({"bore": 0.008, "stroke": 0.008}, {}, "wet-small-cylinder", "caution"),
        ({"bore": 0.08}, {}, "condensation-held", "caution"),
        ({"acting": "single", "cut_off": 0.5}, {}, "early-cut-off", "caution"),
        ({"cut_off": 0.1, "clearance": 0.02}, {"pressure": 2e5}, "no-work", "fail"),
        ({}, {"pressure": 1.8e5}, "little-work", "caution"),
        ({"cut_off": 0.1, "clearance": 0.02}, {}, "expands-too-far", "caution"),
        ({"exhaust_closure": 0.6}, {}, "compresses-too-far", "caution"),
        ({}, {"back_pressure": 2.5e5}, "high-exhaust-pressure", "caution"),
    ],
)
def test_faults_are_told(engine: dict, steam: dict, code: str, level: str) -> None:
    found = steam_demand(replace(SLIDE_VALVE, **engine), **{**STEAM, **steam})

    assert (code, level) in {(finding.code, finding.level) for finding in found.findings}


def test_sound_engine_draws_no_remark() -> None:
    assert steam_demand(SLIDE_VALVE, **STEAM).findings == ()


def test_engine_that_gives_no_power_has_no_steam_rate() -> None:
    beaten = replace(SLIDE_VALVE, cut_off=0.1, clearance=0.02)

    found = steam_demand(beaten, **{**STEAM, "pressure": 2e5})

    assert found.indicated_power < 0
    assert found.steam_rate is None
