"""All engines running at once on the plant's own passages: where pressures and speeds settle."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import EngineeringError
from service.engineering.findings import Finding, Working
from service.engineering.saturation import saturation
from service.engineering.saying import pressure, say, share
from service.engineering.steam.network import (
    BoilerSupply,
    CaseBalance,
    EngineBalance,
    EngineOnBranch,
    Load,
    RunningCase,
    balance,
    prepare_plant,
)
from service.engineering.steam.properties import water_enthalpy
from service.plant.graph import Plant
from service.plant.ways import Ways, trace_ways

ALL = "all engines"
DROP_ALLOWED = 0.10
"""Share of the boiler's gauge pressure that passages may take: common practice is 5 to 10 %."""

SOURCE = "mass balance at the block, p v = const flow with losses, boiler's stated evaporation"


@dataclass(frozen=True, slots=True)
class Running:
    """Where the plant settles with every engine running, and what was found; None if unsolved."""

    case: CaseBalance | None
    findings: tuple[tuple[str, Finding], ...]
    workings: tuple[Working, ...]


def run_plant(plant: Plant, evaporation: float | None) -> Running:
    """Settle the plant with all engines at their stated speeds, throttles wide open.

    Nothing is solved while no evaporation is stated [kg/s], or while no joints lead to an engine;
    the findings then say so.
    """
    ways = trace_ways(plant)
    findings = list(_judge_ways(ways))
    if evaporation is None or not ways.branches:
        return Running(None, tuple(findings), ())
    try:
        answer = balance(
            prepare_plant(_supply(plant, evaporation), _engines(plant, ways), trunk=ways.trunk),
            cases=[RunningCase(ALL, tuple(ways.branches))],
        )
    except EngineeringError as error:
        findings.append((ALL, Finding("caution", "does-not-settle", error.message)))
        return Running(None, tuple(findings), ())
    (case,) = answer.cases
    findings += [*_judge_case(case, plant), *(("plant", finding) for finding in answer.findings)]
    return Running(case, tuple(findings), answer.workings)


def _supply(plant: Plant, evaporation: float) -> BoilerSupply:
    """The stated evaporation as heat into the water at the working pressure."""
    steam = saturation(plant.working_pressure)
    feed = water_enthalpy(plant.working_pressure, plant.feed_temperature)
    return BoilerSupply(
        net_heat=evaporation * (steam.vapour_enthalpy - feed),
        pressure_limit=plant.working_pressure,
        feed_temperature=plant.feed_temperature,
    )


def _engines(plant: Plant, ways: Ways) -> list[EngineOnBranch]:
    return [
        EngineOnBranch(
            engine=engine,
            load=Load(kind="governed", speed=engine.speed, at_pressure=None),
            passages=ways.branches[engine.name],
            back_pressure=plant.back_pressure,
        )
        for engine in plant.engines
        if engine.name in ways.branches
    ]


def _judge_ways(ways: Ways) -> Iterator[tuple[str, Finding]]:
    for engine in ways.unreached:
        text = say("No joints lead steam from a boiler to it yet.")
        yield engine, Finding("caution", "engine-not-joined", text)
    for item in ways.unstated:
        text = say(
            "It stands in the steam's way and nothing is known of its bore; no drop is counted."
        )
        yield item, Finding("caution", "bore-unknown", text)


def _judge_case(case: CaseBalance, plant: Plant) -> Iterator[tuple[str, Finding]]:
    settled = case.boiler_pressure.likely
    if case.heat_bound:
        text = say(
            ("With all engines running it settles at ", pressure(settled, "settled")),
            (", not at the ", pressure(plant.working_pressure, "working")),
            " it is to work at.",
        )
        shown, limit = settled - ATMOSPHERE, plant.working_pressure - ATMOSPHERE
        yield "boiler", Finding("caution", "pressure-sags", text, shown, limit, "Pa gauge", SOURCE)
    for engine in case.engines:
        yield engine.name, _judge_engine(engine, settled)


def _judge_engine(engine: EngineBalance, boiler: float) -> Finding:
    if engine.stalls:
        text = say("It stalls with all engines running: too little pressure reaches it.")
        return Finding("fail", "engine-stalls", text, source=SOURCE)
    reaches = engine.pressure.likely
    taken = (boiler - reaches) / (boiler - ATMOSPHERE)
    words = say(
        (pressure(reaches), " reaches it of the boiler's ", pressure(boiler, "boiler")),
        (" with all running: the passages take ", share(taken, "taken")),
    )
    if taken <= DROP_ALLOWED:
        text = say(words, ".")
        return Finding("ok", "passages-sound", text, taken, DROP_ALLOWED, "1", SOURCE)
    allowed = share(DROP_ALLOWED, "allowed")
    text = say(words, ", more than ", allowed, "; look for the smallest bore on its way.")
    return Finding("caution", "passages-take-much", text, taken, DROP_ALLOWED, "1", SOURCE)
