"""The engines together against what the boilers are stated to evaporate, and the safety valves."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band, Finding, Level, Working
from service.engineering.saying import Said, flow, pressure, say
from service.engineering.steam.engine import PlantDemand
from service.engineering.steam.safety_valve import ReliefCheck, check_safety_valve
from service.plant.graph import Plant, SafetyValve

COMMON_PRACTICE = "common practice"
COMPARISON_SOURCE = "water-rate method with the condensation band; evaporation as stated"


@dataclass(frozen=True, slots=True)
class SupplyCheck:
    """What was found of the supply; each finding with its subject."""

    evaporation: float | None  # [kg/s]
    findings: tuple[tuple[str, Finding], ...]
    workings: tuple[Working, ...]


def check_supply(plant: Plant, demand: PlantDemand | None) -> SupplyCheck:
    """Compare the demand of all engines together with the stated evaporation of all boilers."""
    stated = [item.boiler.evaporation for item in plant.items if item.boiler]
    known = [evaporation for evaporation in stated if evaporation is not None]
    evaporation = sum(known) if stated and len(known) == len(stated) else None
    valves = [(item.name, item.safety_valve) for item in plant.items if item.safety_valve]
    relief = [
        (name, check)
        for name, valve in valves
        if evaporation and (check := check_relief(valve, evaporation))
    ]
    findings = [
        *_judge_supply(demand, evaporation),
        *_judge_valves(plant),
        *((name, finding) for name, check in relief for finding in check.findings),
    ]
    workings = [working for _, check in relief for working in check.workings]
    if evaporation is not None:
        formula = '"sum of the stated evaporation"'
        workings.insert(0, Working("m_b", formula, evaporation, "kg/s", "as stated"))
    return SupplyCheck(evaporation, tuple(findings), tuple(workings))


def check_relief(valve: SafetyValve, evaporation: float) -> ReliefCheck | None:
    """A valve against all that boilers make [kg/s]; None where not enough of it was measured."""
    if valve.measured is None or valve.accumulation is None:
        return None
    return check_safety_valve(
        valve.measured,
        set_pressure=valve.set_pressure,
        accumulation=valve.accumulation,
        evaporation=evaporation,
    )


def _judge_supply(
    demand: PlantDemand | None, evaporation: float | None
) -> Iterator[tuple[str, Finding]]:
    subject = "boiler and engines"
    if demand is None:
        text = say("No engine is entered: no demand is known.")
        yield subject, Finding("caution", "no-engines", text)
    elif evaporation is None:
        text = say(
            ("The engines want ", _band(demand.steam), " of steam together, and no evaporation"),
            " is stated for every boiler to compare it with.",
        )
        wanted, source = demand.steam.likely, "water-rate method"
        finding = Finding("caution", "evaporation-unknown", text, wanted, None, "kg/s", source)
        yield subject, finding
    else:
        yield subject, _compare(demand, evaporation)


def _compare(demand: PlantDemand, evaporation: float) -> Finding:
    level: Level
    if demand.steam.low > evaporation:
        level, code, words = "fail", "supply-short", "even the low figure is more than it gives"
    elif demand.steam.high > evaporation:
        level, code = "caution", "supply-close"
        words = "it depends on how much condenses; expect the pressure to sag with all running"
    else:
        level, code, words = "ok", "supply-enough", "if it does, even the high figure is covered"
    text = say(
        ("All engines together want ", _band(demand.steam), "; the boiler is stated to give "),
        (flow(evaporation, "stated"), ": ", words, "."),
    )
    return Finding(level, code, text, demand.steam.likely, evaporation, "kg/s", COMPARISON_SOURCE)


def _band(steam: Band) -> Said:
    return say(
        (flow(steam.low, "low"), " to ", flow(steam.high, "high")),
        (", likely ", flow(steam.likely, "likely")),
    )


def _judge_valves(plant: Plant) -> Iterator[tuple[str, Finding]]:
    limits = [item.boiler.inspector_pressure for item in plant.items if item.boiler]
    if not limits:
        yield "boiler", Finding("caution", "no-boiler", say("No boiler is entered."))
        return
    limit = min(limits)
    if plant.working_pressure > limit:
        yield "boiler", _judge_pressure(plant.working_pressure, limit)
    valves = [(item.name, item.safety_valve) for item in plant.items if item.safety_valve]
    if not valves:
        text = say("No safety valve is entered for the boiler.")
        yield "safety valve", Finding("fail", "no-safety-valve", text)
    for subject, valve in valves:
        yield subject, _judge_setting(valve.set_pressure, limit, plant.working_pressure)


def _judge_pressure(working: float, limit: float) -> Finding:
    text = say(
        ("The plant is to work at ", pressure(working, "working"), "; the inspector stated "),
        (pressure(limit, "stated"), ". That limit is not raised here."),
    )
    return _on_a_gauge("fail", "above-inspector-pressure", text, working, limit)


def _judge_setting(setting: float, limit: float, working: float) -> Finding:
    lifts = say("It lifts at ", pressure(setting, "lifts"), "; ")
    stated = pressure(limit, "stated")
    if setting > limit:
        text = say(lifts, "the inspector stated ", stated, " for the boiler.")
        return _on_a_gauge("fail", "valve-above-limit", text, setting, limit)
    if setting < working:
        text = say(lifts, "the plant is to work at ", pressure(working, "working"), ".")
        return _on_a_gauge("fail", "valve-below-working", text, setting, working)
    text = say(
        (lifts, "that is within the inspector's ", stated, ". Only the accumulation test"),
        " proves that it passes all the boiler makes.",
    )
    return _on_a_gauge("ok", "valve-setting", text, setting, limit)


def _on_a_gauge(level: Level, code: str, text: Said, value: float, limit: float) -> Finding:
    shown, bound = value - ATMOSPHERE, limit - ATMOSPHERE
    return Finding(level, code, text, shown, bound, "Pa gauge", COMMON_PRACTICE)
