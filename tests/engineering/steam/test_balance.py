"""The balance of a plant: bands, stalls, what dominates, and sentences a driver can use."""

from dataclasses import replace
from itertools import pairwise

import pytest

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import NoSolution, OutOfRange, UnknownName
from service.engineering.findings import Band
from service.engineering.steam.engine import Engine
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
    trace_pressure_lines,
    trace_supply_and_demand,
)
from service.engineering.steam.passages import Bore, Pipe, StopValve
from service.quantities.wording import word

WAY = (Bore(3e-3, 0.04), StopValve(3e-3, 1e-3), Pipe(3e-3, 0.3))
TRUNK = (StopValve(5e-3, 2e-3), Pipe(4e-3, 0.2))
LIMIT = 4e5 + ATMOSPHERE

PORT, STARBOARD = (
    EngineOnBranch(
        Engine(
            name=name,
            bore=0.02,
            stroke=0.02,
            cylinders=1,
            acting="double",
            speed=500 / 60,
            cut_off=0.75,
            clearance=0.1,
        ),
        Load(kind, 500 / 60, 3.5e5 + ATMOSPHERE),
        WAY,
    )
    for name, kind in (("port engine", "propeller"), ("starboard engine", "governed"))
)
PUMP = EngineOnBranch(
    Engine(
        name="feed pump",
        bore=0.01,
        stroke=0.01,
        cylinders=1,
        acting="single",
        speed=200 / 60,
        cut_off=0.85,
        clearance=0.12,
    ),
    Load("fixed torque", 200 / 60, 3e5 + ATMOSPHERE),
)
WHISTLE = OpenOutlet.of_diameter("whistle", 1.5e-3)
BOTH = RunningCase("both", ("port engine", "starboard engine"))


def settle_plant(*cases: RunningCase, heat: float | Band = 1000.0, **changes: object) -> Balance:
    arguments: dict[str, object] = {"trunk": TRUNK, "open_outlets": (WHISTLE,), **changes}
    supply = BoilerSupply(heat, LIMIT, 288.15)
    return balance(prepare_plant(supply, (PORT, STARBOARD, PUMP), **arguments), cases=cases)  # type: ignore[arg-type]


def only(answer: Balance) -> CaseBalance:
    (case,) = answer.cases
    return case


def codes(answer: Balance) -> set[str]:
    return {finding.code for finding in answer.findings}


def test_every_band_is_in_order_and_the_sum_of_the_engines_is_the_steam() -> None:
    case = only(settle_plant(RunningCase("all", ("whistle", *BOTH.running, "feed pump"))))

    bands = [case.boiler_pressure, case.block_pressure, case.steam, case.surplus]
    for outlet in (*case.engines, *case.open_outlets):
        bands += [outlet.pressure, outlet.steam]
    bands += [engine.speed for engine in case.engines]
    assert all(band.low <= band.likely <= band.high for band in bands)
    drawn = sum(outlet.steam.likely for outlet in (*case.engines, *case.open_outlets))
    assert drawn == pytest.approx(case.steam.likely, rel=1e-9)


def test_a_short_fire_is_reported_with_the_pressure_it_leaves() -> None:
    answer = settle_plant(BOTH)

    case = only(answer)
    assert case.heat_bound
    assert case.surplus == Band(0, 0, 0)
    assert case.boiler_pressure.high < LIMIT
    assert {"heat-short", "slow"} <= codes(answer)


def test_an_ample_fire_holds_the_limit_and_the_rest_is_to_spare() -> None:
    answer = settle_plant(RunningCase("pump", ("feed pump",)), heat=2000.0)

    case = only(answer)
    assert case.boiler_pressure.likely == pytest.approx(LIMIT)
    assert case.surplus.likely > 10 * case.steam.likely
    assert "heat-to-spare" in codes(answer)


def test_a_governed_engine_holds_its_speed_while_pressure_suffices() -> None:
    held, sagging = (
        only(settle_plant(RunningCase("one", ("starboard engine",)), heat=heat)).engines[0]
        for heat in (2000.0, 500.0)
    )

    assert held.speed == Band(500 / 60, 500 / 60, 500 / 60)
    assert sagging.speed.likely < 450 / 60


def test_a_propeller_turns_faster_on_more_pressure_than_it_wants() -> None:
    engine = only(settle_plant(RunningCase("one", ("port engine",)), heat=2000.0)).engines[0]

    assert engine.speed.likely > 500 / 60


def test_a_load_that_cannot_be_turned_is_a_stall_and_fails() -> None:
    answer = settle_plant(RunningCase("all", (*BOTH.running, "feed pump")))

    pump = only(answer).engines[2]
    assert pump.stalls
    assert pump.speed.likely == 0
    assert pump.steam.likely == 0
    assert answer.findings[0].code == "stalls"
    assert answer.findings[0].level == "fail"
    assert "feed pump stalls" in word(answer.findings[0].text)


def test_an_engine_that_stalls_only_with_everything_against_it_is_a_caution() -> None:
    case = RunningCase("pump and port", ("feed pump", "port engine"))
    found = [settle_plant(case, heat=Band(0.7 * heat, heat, heat)) for heat in range(800, 1200, 20)]

    doubtful = [answer for answer in found if "may-stall" in codes(answer)]
    assert doubtful
    for answer in doubtful:
        pump = next(engine for engine in only(answer).engines if engine.name == "feed pump")
        assert pump.may_stall
        assert not pump.stalls
        assert pump.speed.low < 0.1 * pump.wanted_speed < pump.speed.likely


def test_the_whistle_takes_steam_from_the_engines() -> None:
    quiet, loud = settle_plant(BOTH, RunningCase("whistle", (*BOTH.running, "whistle"))).cases

    assert loud.open_outlets[0].steam.likely > 0
    for before, after in zip(quiet.engines, loud.engines, strict=True):
        assert after.speed.likely < before.speed.likely


def test_the_softest_input_is_named_and_ranked() -> None:
    wide_fire = only(settle_plant(BOTH, heat=Band(500, 1000, 1500)))
    known_fire = only(settle_plant(BOTH))

    assert wide_fire.soft_inputs[0].name == "heat into the water"
    assert known_fire.soft_inputs[0].name == "condensation"
    assert {soft.name for soft in known_fire.soft_inputs} == {"condensation", "loss coefficients"}
    spreads = [soft.speed_spread for soft in wide_fire.soft_inputs]
    assert spreads == sorted(spreads, reverse=True)


def test_with_nothing_soft_there_is_no_band() -> None:
    known = replace(PORT, engine=replace(PORT.engine, condensation=0.8), passages=())
    answer = balance(
        prepare_plant(BoilerSupply(500.0, LIMIT, 288.15), [known]),
        cases=[RunningCase("one", ("port engine",))],
    )

    case = only(answer)
    assert case.steam.low == case.steam.likely == case.steam.high
    assert case.soft_inputs == ()


def test_no_feed_pump_makes_more_steam_of_the_same_heat() -> None:
    fed, unfed = (
        only(
            balance(
                prepare_plant(BoilerSupply(500.0, LIMIT, feed), [PORT]),
                cases=[RunningCase("x", ("port engine",))],
            )
        )
        for feed in (288.15, None)
    )

    assert 1.1 < unfed.steam.likely / fed.steam.likely < 1.3


def test_the_arithmetic_ends_in_the_heat_of_the_boiler() -> None:
    answer = settle_plant(BOTH)

    assert answer.workings[-1].symbol == 'Q ("both")'
    assert answer.workings[-1].value == pytest.approx(1000.0)
    assert all(working.source for working in answer.workings)
    assert answer.cautions


def test_an_unknown_outlet_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(UnknownName, match="port engine"):
        settle_plant(RunningCase("typo", ("prt engine",)))


def test_two_outlets_of_one_name_are_refused() -> None:
    with pytest.raises(OutOfRange, match="same name"):
        balance(prepare_plant(BoilerSupply(500.0, LIMIT, None), [PORT, PORT]), cases=[BOTH])


def test_an_outlet_named_twice_in_a_case_is_refused() -> None:
    with pytest.raises(OutOfRange, match="twice"):
        settle_plant(RunningCase("twice", ("port engine", "port engine")))


@pytest.mark.parametrize("heat", [0.0, -5.0, Band(300, 200, 400)])
def test_heat_out_of_order_is_refused(heat: float | Band) -> None:
    with pytest.raises(OutOfRange, match="Heat"):
        BoilerSupply(heat, LIMIT, None)


def test_a_reference_pressure_below_the_exhaust_is_refused() -> None:
    with pytest.raises(OutOfRange, match="exhaust and friction"):
        replace(PORT, load=Load("propeller", 8.0, 1.2e5))


def test_a_cushion_larger_than_the_charge_is_refused() -> None:
    tight = replace(PORT.engine, exhaust_closure=0.9, cut_off=0.05, clearance=0.5)
    with pytest.raises(NoSolution, match="cushion"):
        balance(
            prepare_plant(
                BoilerSupply(500.0, LIMIT, None),
                [replace(PORT, engine=tight, load=Load("governed", 8.0, None), friction=0.0)],
            ),
            cases=[RunningCase("one", ("port engine",))],
        )


def test_curves_meet_where_the_balance_settles() -> None:
    supply = BoilerSupply(1000.0, LIMIT, 288.15)
    curves = trace_supply_and_demand(
        prepare_plant(supply, (PORT, STARBOARD), trunk=TRUNK), case=BOTH, points=400
    )

    gaps = [
        demand.likely - raised.likely
        for demand, raised in zip(curves.demand, curves.supply, strict=True)
    ]
    crossing = next(
        pressure for pressure, gap in zip(curves.pressures, gaps, strict=True) if gap > 0
    )
    assert crossing == pytest.approx(curves.meeting_pressure.likely, abs=2e3)
    assert curves.heat_bound


def test_pressure_falls_along_every_way_and_ends_at_the_chest() -> None:
    supply = BoilerSupply(3000.0, LIMIT, 288.15)
    case = RunningCase("all", (*BOTH.running, "whistle"))
    lines = trace_pressure_lines(
        prepare_plant(supply, (PORT, STARBOARD), trunk=TRUNK, open_outlets=(WHISTLE,)), case=case
    )
    settled = only(
        balance(
            prepare_plant(supply, (PORT, STARBOARD), trunk=TRUNK, open_outlets=(WHISTLE,)),
            cases=[case],
        )
    )

    assert [line.outlet for line in lines] == list(case.running)
    for line in lines:
        pressures = [station.pressure for station in (*line.trunk, *line.branch)]
        assert all(after <= before * (1 + 1e-12) for before, after in pairwise(pressures))
        assert pressures[0] == pytest.approx(settled.boiler_pressure.likely, rel=1e-7)
    assert lines[0].branch[-1].pressure == pytest.approx(settled.engines[0].pressure.likely)
    assert [station.name for station in lines[0].branch] == ["bore", "stop valve", "pipe"]
    assert [station.name for station in lines[2].branch] == ["direct"]
