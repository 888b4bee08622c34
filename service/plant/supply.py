"""The engines together against what the boilers are stated to evaporate, and the safety valves."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Finding, Working
from service.engineering.steam.engine import PlantDemand
from service.engineering.steam.safety_valve import ReliefCheck, check_safety_valve
from service.plant.graph import Plant

COMMON_PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class SupplyCheck:
    """What was found of the supply; each finding with its subject."""

    evaporation: float | None
    """[kg/s]"""
    findings: tuple[tuple[str, Finding], ...]
    workings: tuple[Working, ...]


def check_supply(plant: Plant, demand: PlantDemand | None) -> SupplyCheck:
    """Compare the demand of all engines together with the stated evaporation of all boilers."""
    stated = [item.boiler.evaporation for item in plant.items if item.boiler]
    known = [evaporation for evaporation in stated if evaporation is not None]
    evaporation = sum(known) if stated and len(known) == len(stated) else None
    relief = list(_check_relief(plant, evaporation)) if evaporation else []
    findings = [
        *_judge_supply(demand, evaporation),
        *_judge_valves(plant),
        *((name, finding) for name, check in relief for finding in check.findings),
    ]
    workings = [working for _, check in relief for working in check.workings]
    if evaporation is not None:
        formula = "sum of the stated evaporation"
        workings.insert(0, Working("m_b", formula, evaporation, "kg/s", "as stated"))
    return SupplyCheck(evaporation, tuple(findings), tuple(workings))


def _check_relief(plant: Plant, evaporation: float) -> Iterator[tuple[str, ReliefCheck]]:
    """Each safety valve of which enough was measured, against all the boilers make."""
    for item in plant.items:
        valve = item.safety_valve
        if valve and valve.measured and valve.accumulation is not None:
            yield (
                item.name,
                check_safety_valve(
                    valve.measured,
                    set_pressure=valve.set_pressure,
                    accumulation=valve.accumulation,
                    evaporation=evaporation,
                ),
            )


def _judge_supply(
    demand: PlantDemand | None, evaporation: float | None
) -> Iterator[tuple[str, Finding]]:
    subject = "boiler and engines"
    if demand is None:
        yield subject, Finding("caution", "no-engines", "No engine is entered: no demand is known.")
        return
    if evaporation is None:
        yield (
            subject,
            Finding(
                "caution",
                "evaporation-unknown",
                f"The engines want {_band(demand)} of steam together, and no evaporation is stated "
                "for every boiler to compare it with.",
                value=demand.steam.likely,
                unit="kg/s",
                source="water-rate method",
            ),
        )
        return
    yield subject, _compare(demand, evaporation)


def _compare(demand: PlantDemand, evaporation: float) -> Finding:
    gives = f"the boiler is stated to give {_grams(evaporation)} g/min"
    if demand.steam.low > evaporation:
        level, code, words = "fail", "supply-short", "even the low figure is more than it gives"
    elif demand.steam.high > evaporation:
        level, code = "caution", "supply-close"
        words = "it depends on how much condenses; expect the pressure to sag with all running"
    else:
        level, code, words = "ok", "supply-enough", "it carries them even at the high figure"
    return Finding(
        level,  # type: ignore[arg-type]
        code,
        f"All engines together want {_band(demand)}; {gives}: {words}.",
        value=demand.steam.likely,
        limit=evaporation,
        unit="kg/s",
        source="water-rate method with the condensation band; evaporation as stated",
    )


def _judge_valves(plant: Plant) -> Iterator[tuple[str, Finding]]:
    limits = [item.boiler.inspector_pressure for item in plant.items if item.boiler]
    valves = [item for item in plant.items if item.safety_valve]
    if not limits:
        yield "boiler", Finding("caution", "no-boiler", "No boiler is entered.")
        return
    limit = min(limits)
    if plant.working_pressure > limit:
        yield "boiler", _judge_pressure(plant.working_pressure, limit)
    if not valves:
        yield (
            "safety valve",
            Finding("fail", "no-safety-valve", "No safety valve is entered for the boiler."),
        )
    for item in valves:
        if item.safety_valve is not None:
            yield item.name, _judge_setting(item.safety_valve.set_pressure, limit, plant)


def _judge_pressure(working: float, limit: float) -> Finding:
    return _setting(
        "fail",
        "above-inspector-pressure",
        f"The plant is to work at {_bar(working)} bar; the inspector stated {_bar(limit)} bar. "
        "That limit is not raised here.",
        working,
        limit,
    )


def _judge_setting(setting: float, limit: float, plant: Plant) -> Finding:
    words = f"It lifts at {_bar(setting)} bar; "
    if setting > limit:
        return _setting(
            "fail",
            "valve-above-limit",
            words + f"the inspector stated {_bar(limit)} bar for the boiler.",
            setting,
            limit,
        )
    if setting < plant.working_pressure:
        return _setting(
            "fail",
            "valve-below-working",
            words + f"the plant is to work at {_bar(plant.working_pressure)} bar.",
            setting,
            plant.working_pressure,
        )
    return _setting(
        "ok",
        "valve-setting",
        words + f"that is within the inspector's {_bar(limit)} bar. Only the accumulation test "
        "proves that it passes all the boiler makes.",
        setting,
        limit,
    )


def _setting(level: str, code: str, text: str, setting: float, limit: float) -> Finding:
    return Finding(
        level,  # type: ignore[arg-type]
        code,
        text,
        value=setting - ATMOSPHERE,
        limit=limit - ATMOSPHERE,
        unit="Pa gauge",
        source=COMMON_PRACTICE,
    )


def _band(demand: PlantDemand) -> str:
    steam = demand.steam
    return f"{_grams(steam.low)} to {_grams(steam.high)} g/min, likely {_grams(steam.likely)}"


def _grams(flow: float) -> str:
    return f"{flow * 60_000:.0f}"


def _bar(pressure: float) -> str:
    return f"{(pressure - ATMOSPHERE) / 1e5:.2f}"
