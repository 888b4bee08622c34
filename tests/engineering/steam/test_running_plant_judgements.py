"""Where a running plant settles by hand, and where each judgement on engine and boiler turns."""

from dataclasses import replace
from math import log, pi, sqrt

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.findings import Band
from service.engineering.saturation import saturation
from service.engineering.steam.engine import Engine, steam_demand
from service.engineering.steam.network import (
    Balance,
    BoilerSupply,
    CaseBalance,
    EngineOnBranch,
    Load,
    OpenOutlet,
    RunningCase,
    balance,
    prepare_plant,
    trace_supply_and_demand,
)
from service.engineering.steam.passages import Loss, Valve
from service.engineering.steam.properties import vapour_volume, water_enthalpy

AIR = 101_325.0
LIMIT = AIR + 4e5
STEAM = saturation(LIMIT)
FEED_HEAT = STEAM.vapour_enthalpy - water_enthalpy(LIMIT, 288.15)

# Full stroke, diagram factor 1: it starts at exhaust and friction, 1.11 and 0.30 bar by practice.
ENGINE = Engine(
    name="engine",
    bore=0.02,
    stroke=0.02,
    cylinders=1,
    acting="double",
    speed=8.0,
    cut_off=1.0,
    clearance=0.1,
    condensation=0.5,
    diagram_factor=1.0,
)
START = 1.11e5 + 0.30e5
REFERENCE = AIR + 3e5
ONE = RunningCase("one", ("engine",))


def driven(kind: str, at: float | None = REFERENCE, **changes: object) -> EngineOnBranch:
    load = Load(kind, 8.0, at)  # type: ignore[arg-type]
    return EngineOnBranch(ENGINE, load, **changes)  # type: ignore[arg-type]


def settle(
    outlet: EngineOnBranch, *, limit: float = LIMIT, heat: float | Band = 1e5, **more: object
) -> Balance:
    supply = BoilerSupply(heat, limit, 288.15)
    return balance(prepare_plant(supply, [outlet], **more), cases=[ONE])  # type: ignore[arg-type]


def only(answer: Balance) -> CaseBalance:
    (case,) = answer.cases
    return case


def levels(answer: Balance) -> dict[str, str]:
    return {finding.code: finding.level for finding in answer.findings}


def draw(pressure: float, speed: float = 8.0) -> float:
    """What the engine takes at a chest pressure, by its own demand."""
    return steam_demand(
        replace(ENGINE, speed=speed),
        pressure=pressure,
        back_pressure=1.11e5,
        feed_temperature=288.15,
    ).steam.likely


def limit_for(part: float) -> float:
    """Where a load reaches a part of its speed: start + part² (reference - start)."""
    return START + part**2 * (REFERENCE - START)


@pytest.mark.parametrize("part", [0.3, 0.8, 1.2])
def test_a_propeller_turns_by_the_root_of_pressure_above_the_start(part: float) -> None:
    case = only(settle(driven("propeller"), limit=limit_for(part)))

    assert case.engines[0].speed.likely == pytest.approx(8.0 * part)
    assert case.engines[0].steam.likely == pytest.approx(draw(limit_for(part), 8.0 * part))


def test_a_governed_engine_is_throttled_to_its_reference_and_an_open_one_is_not() -> None:
    held, wide = (only(settle(driven("governed", at))) for at in (REFERENCE, None))

    assert held.engines[0].speed.likely == wide.engines[0].speed.likely == 8.0
    assert held.engines[0].steam.likely == pytest.approx(draw(REFERENCE))
    assert wide.engines[0].steam.likely == pytest.approx(draw(LIMIT))


def test_an_engine_without_a_reference_is_up_to_speed_a_tenth_above_its_start() -> None:
    for side, part in ((1.0, 1.0), (0.5, sqrt(0.5))):
        limit = START + side * 0.1 * START
        speed = only(settle(driven("governed", None), limit=limit)).engines[0].speed.likely
        assert speed == pytest.approx(8.0 * part)


def test_a_fixed_torque_stands_below_98_hundredths_of_its_pressure() -> None:
    stands = START + 0.98 * (REFERENCE - START)
    load = driven("fixed torque")

    still, turning = (only(settle(load, limit=stands + way)).engines[0] for way in (-50, 200))

    assert still.load_pressure == pytest.approx(stands)
    assert still.stalls
    assert still.steam.likely == 0
    assert not turning.stalls
    assert turning.speed.likely == pytest.approx(8 * sqrt(200 / (REFERENCE - stands)))
    assert only(settle(driven("governed"), limit=stands)).engines[0].load_pressure == START


@pytest.mark.parametrize(
    ("part", "code", "level"),
    [
        (0.0999, "stalls", "fail"),
        (0.1001, "slow", "caution"),
        (0.9499, "slow", "caution"),
        (0.9501, "at-speed", "ok"),
    ],
)
def test_an_engine_stalls_below_a_tenth_and_is_slow_below_95_hundredths(
    part: float, code: str, level: str
) -> None:
    answer = settle(driven("propeller"), limit=limit_for(part))

    names = {"stalls", "may-stall", "slow", "at-speed"}
    found = levels(answer)
    assert {key: found[key] for key in names & found.keys()} == {code: level}
    assert only(answer).engines[0].stalls is (code == "stalls")


@pytest.mark.parametrize(("part", "may"), [(0.0999, True), (0.1001, False)])
def test_an_engine_may_stall_when_the_poorest_fire_leaves_it_below_a_tenth(
    part: float, may: bool
) -> None:
    """The poorest fire makes just what the engine takes at that part of its speed."""
    pressure = limit_for(part)
    heat = saturation(pressure).vapour_enthalpy - water_enthalpy(LIMIT, 288.15)
    poorest = draw(pressure, 8.0 * part) * heat

    answer = settle(driven("propeller"), heat=Band(poorest, 1e4, 1e4))

    assert only(answer).engines[0].may_stall is may
    assert (levels(answer).get("may-stall") == "caution") is may
    assert only(answer).engines[0].speed.low == pytest.approx(8.0 * part, rel=1e-6)


@pytest.mark.parametrize(
    ("share", "code", "level"), [(0.9999, "heat-short", "caution"), (1.0001, "heat-to-spare", "ok")]
)
def test_the_fire_is_short_when_it_makes_less_than_is_drawn_at_the_limit(
    share: float, code: str, level: str
) -> None:
    wanted = draw(LIMIT) * FEED_HEAT

    answer = settle(driven("governed", None), heat=share * wanted)

    case = only(answer)
    assert {key: levels(answer)[key] for key in levels(answer) if key.startswith("heat-")} == {
        code: level
    }
    assert case.heat_bound is (share < 1)
    if case.heat_bound:
        assert case.boiler_pressure.likely < LIMIT
        assert case.surplus.likely == 0
    else:
        assert case.boiler_pressure.likely == pytest.approx(LIMIT, rel=1e-9)
        assert case.surplus.likely == pytest.approx(1e-4 * draw(LIMIT), rel=1e-3)


def loss_for(drop: float, *, pulsation: float) -> float:
    """K of 3 mm that costs `drop` of the limit: (p1² - p2²)/(phi G² p v) - 2 ln(p1/p2)."""
    chest = LIMIT - drop
    flux = draw(chest) / (pi / 4 * 3e-3**2)
    square = pulsation * flux**2 * LIMIT * STEAM.vapour_volume
    return (LIMIT**2 - chest**2) / square - 2 * log(LIMIT / chest)


@pytest.mark.parametrize("place", ["branch", "trunk"])
@pytest.mark.parametrize(("share", "large"), [(0.0999, False), (0.1001, True)])
def test_passages_may_cost_a_tenth_of_the_boilers_gauge_pressure(
    place: str, share: float, large: bool
) -> None:
    """One double-acting cylinder pulses by 1.2 in the mean square."""
    way = (Loss(3e-3, loss_for(share * 4e5, pulsation=1.2)),)
    if place == "branch":
        answer = settle(driven("governed", None, passages=way))
    else:
        answer = settle(driven("governed", None), trunk=way)

    assert only(answer).engines[0].pressure.likely == pytest.approx(LIMIT - share * 4e5, rel=1e-6)
    assert (levels(answer).get("large-drop") == "caution") is large


def test_a_stated_pulsation_is_the_one_that_counts() -> None:
    way = (Loss(3e-3, loss_for(0.4e5, pulsation=3.0)),)

    case = only(settle(driven("governed", None, passages=way, pulsation=3.0)))

    assert case.engines[0].pressure.likely == pytest.approx(LIMIT - 0.4e5, rel=1e-6)


def test_loss_is_soft_by_forty_per_cent_either_way() -> None:
    """The low chest pressure is that of 1.4 times the loss."""
    loss = loss_for(0.8e5, pulsation=1.2)
    soft = only(settle(driven("governed", None, passages=(Loss(3e-3, loss),))))
    ends = [
        only(settle(driven("governed", None, passages=(Loss(3e-3, loss * factor),))))
        for factor in (1.4, 1 / 1.4)
    ]

    found = soft.engines[0].pressure
    assert (found.low, found.high) == pytest.approx(
        [end.engines[0].pressure.likely for end in ends], rel=1e-6
    )


def test_a_valve_is_soft_by_the_root_of_it() -> None:
    """The least pressure at the chest: most condensation through the stiffest valve."""
    wet = find_condensation_band()

    def chest(kv: float, condensation: float | None) -> Band:
        outlet = driven("governed", None, passages=(Valve(4e-3, kv),))
        fixed = replace(outlet, engine=replace(ENGINE, condensation=condensation))
        return only(settle(fixed)).engines[0].pressure

    found = chest(0.1, None)
    assert found.low == pytest.approx(chest(0.1 / sqrt(1.4), wet.high).likely, rel=1e-6)
    assert found.high == pytest.approx(chest(0.1 * sqrt(1.4), wet.low).likely, rel=1e-6)


def find_condensation_band() -> Band:
    """The band of this bore, as nobody has measured it."""
    return replace(ENGINE, condensation=None).condensation_band


def test_everything_against_the_plant_is_worse_than_any_one_thing() -> None:
    """The slowest it may turn: most condensation on the poorest fire, and the reverse."""
    wet = replace(driven("propeller"), engine=replace(ENGINE, condensation=None))
    band = wet.engine.condensation_band

    def speed(condensation: float, heat: float) -> float:
        fixed = replace(wet, engine=replace(ENGINE, condensation=condensation))
        return only(settle(fixed, heat=heat)).engines[0].speed.likely

    found = only(settle(wet, heat=Band(500, 600, 700))).engines[0].speed

    assert (found.low, found.likely, found.high) == pytest.approx(
        (speed(band.high, 500), speed(band.likely, 600), speed(band.low, 700)), rel=1e-6
    )


@pytest.mark.parametrize(("share", "named"), [(0.9, None), (1.1, "engine")])
def test_a_spread_of_speed_below_a_ten_thousandth_is_none(share: float, named: str | None) -> None:
    def soften(half: float) -> CaseBalance:
        return only(settle(driven("propeller"), heat=Band(600 * (1 - half), 600, 600 * (1 + half))))

    wide = soften(1e-3).soft_inputs[0]
    assert wide.engine == "engine"

    (found,) = soften(1e-3 * share * 1e-4 / wide.speed_spread).soft_inputs
    assert found.speed_spread == pytest.approx(share * 1e-4, rel=0.02)
    assert found.engine == named


def test_condensation_left_open_is_soft_at_both_ends() -> None:
    wet = replace(driven("governed", None), engine=replace(ENGINE, condensation=None))
    dry = draw(LIMIT) / 1.5

    found = only(settle(wet)).steam

    band = wet.engine.condensation_band
    assert (found.low, found.likely, found.high) == pytest.approx(
        (dry * (1 + band.low), dry * (1 + band.likely), dry * (1 + band.high)), rel=1e-9
    )


def test_a_whistle_blows_as_a_sharp_hole_chokes_and_unchoked() -> None:
    """0.62 of the isentropic nozzle with k = 1.135; it chokes where the air is 0.5774 of it."""
    k, area = 1.135, pi / 4 * 1.5e-3**2
    critical = (2 / (k + 1)) ** (k / (k - 1))
    for pressure in (AIR * 1.2, AIR / critical * 0.99, AIR / critical * 1.01, LIMIT):
        ratio = max(AIR / pressure, critical)
        shape = 2 * k / (k - 1) * (ratio ** (2 / k) - ratio ** ((k + 1) / k))
        expected = 0.62 * area * sqrt(pressure / vapour_volume(pressure) * shape)
        whistle = OpenOutlet.of_diameter("whistle", 1.5e-3)
        (case,) = balance(
            prepare_plant(BoilerSupply(1e5, pressure, None), [], open_outlets=[whistle]),
            cases=[RunningCase("blow", ("whistle",))],
        ).cases
        assert case.open_outlets[0].steam.likely == pytest.approx(expected, rel=1e-6)


def test_without_a_feed_pump_steam_costs_its_latent_heat() -> None:
    for feed, heat in ((None, STEAM.latent_heat), (288.15, FEED_HEAT)):
        supply = BoilerSupply(1e5, LIMIT, feed)
        (case,) = balance(prepare_plant(supply, [driven("governed", None)]), cases=[ONE]).cases
        assert case.surplus.likely == pytest.approx(1e5 / heat - draw(LIMIT))


@pytest.mark.parametrize(
    ("cases", "field"),
    [([], "cases"), ([ONE, replace(ONE, running=("engine", "engine"))], "running")],
)
def test_a_case_names_every_outlet_once(cases: list[RunningCase], field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        balance(prepare_plant(BoilerSupply(1e3, LIMIT, None), [driven("governed")]), cases=cases)
    assert refusal.value.field == field


def test_supply_and_demand_rise_to_the_limit_as_bands() -> None:
    wet = replace(driven("governed", None), engine=replace(ENGINE, condensation=None))
    band = wet.engine.condensation_band
    way = Loss(3e-3, 12.0)
    curves = trace_supply_and_demand(
        prepare_plant(
            BoilerSupply(Band(500, 600, 700), LIMIT, 288.15), [replace(wet, passages=(way,))]
        ),
        case=ONE,
        points=4,
    )

    assert curves.pressures == pytest.approx([AIR + 1e5 * step for step in (1, 2, 3, 4)])
    supply, demand = curves.supply[-1], curves.demand[-1]
    assert (supply.low, supply.likely, supply.high) == pytest.approx(
        (500 / FEED_HEAT, 600 / FEED_HEAT, 700 / FEED_HEAT)
    )
    ends = ((demand.low, band.low, 1.4), (demand.likely, band.likely, 1),
            (demand.high, band.high, 1 / 1.4))  # fmt: skip
    for found, condensation, factor in ends:
        fixed = replace(
            wet,
            engine=replace(ENGINE, condensation=condensation),
            passages=(Loss(3e-3, 12.0 * factor),),
        )
        assert found == pytest.approx(only(settle(fixed)).steam.likely, rel=1e-6)
