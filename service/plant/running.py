"""All engines running at once on the plant's own passages: where pressures and speeds settle."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import EngineeringError
from service.engineering.findings import Finding, Working
from service.engineering.saturation import saturation
from service.engineering.steam.network import (
    BoilerSupply,
    CaseBalance,
    EngineBalance,
    EngineOnBranch,
    Load,
    RunningCase,
    balance,
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
            _supply(plant, evaporation),
            _engines(plant, ways),
            cases=[RunningCase(ALL, tuple(ways.branches))],
            trunk=ways.trunk,
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
    for name in ways.unreached:
        text = "No joints lead steam from a boiler to it yet."
        yield name, Finding("caution", "engine-not-joined", text)
    for name in ways.unstated:
        text = "It stands in the steam's way and nothing is known of its bore; no drop is counted."
        yield name, Finding("caution", "bore-unknown", text)


def _judge_case(case: CaseBalance, plant: Plant) -> Iterator[tuple[str, Finding]]:
    if case.heat_bound:
        sag = case.boiler_pressure.likely
        yield (
            "boiler",
            Finding(
                "caution",
                "pressure-sags",
                f"With all engines running it settles at {_bar(sag)} bar, not at the "
                f"{_bar(plant.working_pressure)} bar it is to work at.",
                value=sag - ATMOSPHERE,
                limit=plant.working_pressure - ATMOSPHERE,
                unit="Pa gauge",
                source=SOURCE,
            ),
        )
    for engine in case.engines:
        yield engine.name, _judge_engine(engine, case.boiler_pressure.likely)


def _judge_engine(engine: EngineBalance, boiler: float) -> Finding:
    if engine.stalls:
        text = "It stalls with all engines running: too little pressure reaches it."
        return Finding("fail", "engine-stalls", text, source=SOURCE)
    drop = (boiler - engine.pressure.likely) / (boiler - ATMOSPHERE)
    words = (
        f"{_bar(engine.pressure.likely)} bar reaches it of the boiler's {_bar(boiler)} bar with "
        f"all running: the passages take {drop:.0%}"
    )
    if drop > DROP_ALLOWED:
        text = f"{words}, more than {DROP_ALLOWED:.0%}; look for the smallest bore on its way."
        return _drop_finding("caution", "passages-take-much", text, drop)
    return _drop_finding("ok", "passages-sound", f"{words}.", drop)


def _drop_finding(level: str, code: str, text: str, drop: float) -> Finding:
    return Finding(
        level,  # type: ignore[arg-type]
        code,
        text,
        value=drop,
        limit=DROP_ALLOWED,
        unit="1",
        source=SOURCE,
    )


def _bar(pressure: float) -> str:
    return f"{(pressure - ATMOSPHERE) / 1e5:.2f}"
