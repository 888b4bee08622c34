"""Will this boiler run these engines: the pressure and speed each settles at, case by case."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band, Finding, Level, Working, worst_first
from service.engineering.saturation import PROPERTY_SOURCE
from service.engineering.saying import Figure, Said, drop, flow, name, say, share, speed
from service.engineering.saying import pressure as gauge
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.steam.network.case_balance import (
    CaseBalance,
    EngineBalance,
    SoftInput,
    settle_case,
)
from service.engineering.steam.network.network_tree import Drawn, Settled
from service.engineering.steam.network.outlets import LOAD_SOURCE, EngineOnBranch
from service.engineering.steam.network.running_plant import RunningCase, RunningPlant, require_known
from service.engineering.steam.passages import LARGEST_DROP

ENOUGH_SPEED = 0.95  # part of its wanted speed with which a driver is content (common practice)
NARROW_SPAN = 0.01  # span of a band, over its likely value, that is not worth telling
BALANCE_SOURCE = "mass balance of the block and energy balance of the boiler"
PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Balance:
    """The answer: every case, what to beware of, and the arithmetic."""

    cases: tuple[CaseBalance, ...]
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = CAUTIONS


def balance(plant: RunningPlant, *, cases: Iterable[RunningCase]) -> Balance:
    """Find the pressures, speeds and flows at which a plant settles in each running case.

    plant: boiler, passages, engines and open outlets, made ready.
    cases: what runs at once; at least one case.
    Returns: pressures, speeds and steam as low, likely and high [SI], with findings and workings.
    Raises OutOfRange: if there is no case, or one names an outlet twice.
    Raises UnknownName: if a case names something the plant has not got.
    Raises NoSolution: if a network does not settle.
    Source: Mass balance at the block, energy balance of the boiler (IAPWS-IF97), torque balance of
        engine and load, isothermal flow with losses (textbook of gas dynamics), valves by IEC
        60534-2-1.
    """
    cases = require_known(plant, cases)
    settled = [settle_case(plant, case) for case in cases]
    return Balance(
        cases=tuple(found for found, _ in settled),
        findings=worst_first(
            finding for found, _ in settled for finding in _find_case_faults(plant, found)
        ),
        workings=tuple(
            line
            for case, (_, likely) in zip(cases, settled, strict=True)
            for line in _write_case_workings(plant, case, likely)
        ),
    )


def _find_case_faults(plant: RunningPlant, case: CaseBalance) -> Iterator[Finding]:
    for engine in case.engines:
        yield _judge_engine(case, engine)
    for engine in case.engines:
        yield from _find_drop(case, engine)
    yield _judge_boiler(plant, case)
    yield from _name_soft_input(case)


def _write_case_workings(
    plant: RunningPlant, case: RunningCase, likely: Settled
) -> Iterator[Working]:
    """The arithmetic of one case's likely answer."""
    source, about = BALANCE_SOURCE, case.name
    engines = {outlet.name: outlet for outlet in plant.engines}
    boiler, block = likely.boiler_pressure, likely.block_pressure
    made, heat = likely.flow, likely.heat
    fed = 'h_g - h_f, "no feed"' if plant.feed_enthalpy is None else 'h_g (p_0) - h_"feed"'
    yield Working("p_0", '"boiler, settled"', boiler, "Pa", source).about(about)
    yield Working("p_b", '"block, settled"', block, "Pa", source).about(about)
    yield Working("q", fed, heat, "J/kg", PROPERTY_SOURCE).about(about)
    for outlet, drawn in zip(case.running, likely.drawn, strict=True):
        lines = _write_engine(engines[outlet], drawn) if outlet in engines else ()
        taken = Working("m", '"drawn"', drawn.flow, "kg/s", source)
        yield from (line.about(f"{outlet}, {about}") for line in (*lines, taken))
    yield Working("m", '"sum of what is drawn"', made, "kg/s", source).about(about)
    yield Working("Q", "m q", made * heat, "W", source).about(about)


def _judge_engine(case: CaseBalance, engine: EngineBalance) -> Finding:
    head = say(name(case.name), ": ", name(engine.name))
    chest = gauge(engine.pressure.likely)
    makes = say(" makes ", speed(engine.speed.likely, "speed"))
    if engine.stalls:
        return _about_speed("fail", "stalls", say(head, " stalls", _tell_why(engine)), engine)
    if engine.may_stall:
        text = say(head, makes, ", but stalls if everything soft in the reckoning goes against it.")
        return _about_speed("caution", "may-stall", text, engine)
    wanted = speed(engine.wanted_speed, "wanted")
    spread = _tell_span(engine.speed, speed)
    if engine.speed.likely < ENOUGH_SPEED * engine.wanted_speed:
        text = say(head, makes, " of its ", wanted, spread, " at ", chest, ".")
        return _about_speed("caution", "slow", text, engine)
    text = say(head, makes, spread, "; ", wanted, " is wanted.")
    return _about_speed("ok", "at-speed", text, engine)


def _tell_why(engine: EngineBalance) -> Said:
    if engine.speed.likely > 0:
        return say(": ", speed(engine.speed.likely, "speed"), " is too slow to keep on turning.")
    return say(
        (". ", gauge(engine.pressure.likely), " reaches it; its load stands below "),
        (gauge(engine.load_pressure, "load"), "."),
    )


def _find_drop(case: CaseBalance, engine: EngineBalance) -> Iterator[Finding]:
    boiler = case.boiler_pressure.likely
    cost = boiler - engine.pressure.likely
    limit = LARGEST_DROP * max(boiler - ATMOSPHERE, 0.0)
    if cost > limit:
        text = say(
            (name(case.name), ": the passages to ", name(engine.name), " cost ", drop(cost)),
            (" of ", gauge(boiler), "; keep it under ", drop(limit, "limit"), "."),
        )
        yield Finding("caution", "large-drop", text, cost, limit, "Pa difference", PRACTICE)


def _judge_boiler(plant: RunningPlant, case: CaseBalance) -> Finding:
    limit = plant.supply.pressure_limit
    held, settled = gauge(limit, "limit"), case.boiler_pressure
    if case.heat_bound:
        text = say(
            (name(case.name), ": the fire is short. The boiler settles at "),
            (gauge(settled.likely, "settled"), _tell_span(settled, gauge), ", not at ", held, "."),
        )
        figures = (settled.likely - ATMOSPHERE, limit - ATMOSPHERE)
        return Finding("caution", "heat-short", text, *figures, "Pa gauge", BALANCE_SOURCE)
    text = say(
        (name(case.name), ": the boiler holds ", held, " with "),
        (flow(case.surplus.likely, "surplus"), _tell_span(case.surplus, flow), " to spare;"),
        " turn the burner down or the safety valve lifts.",
    )
    return Finding("ok", "heat-to-spare", text, case.surplus.likely, None, "kg/s", BALANCE_SOURCE)


def _name_soft_input(case: CaseBalance) -> Iterator[Finding]:
    if not case.soft_inputs:
        return
    first = case.soft_inputs[0]
    text = say(
        (name(case.name), f": the spread comes mostly of {first.name}: alone it moves "),
        (_tell_effect(case, first), "."),
    )
    spread = first.speed_spread if first.engine else first.steam_spread
    source = "the balance solved at its ends"
    yield Finding("ok", "softest-input", text, spread, None, "1", source)


def _tell_effect(case: CaseBalance, soft: SoftInput) -> Said:
    if soft.engine is None:
        return say("the steam by ", share(soft.steam_spread))
    wanted = next(engine.wanted_speed for engine in case.engines if engine.name == soft.engine)
    return say(name(soft.engine), " by ", speed(soft.speed_spread * wanted))


def _tell_span(band: Band, figure: Callable[[float], Figure]) -> Said:
    if band.high - band.low <= NARROW_SPAN * band.likely:
        return ()
    return say(" (", figure(band.low), " to ", figure(band.high), ")")


def _write_engine(outlet: EngineOnBranch, drawn: Drawn) -> tuple[Working, ...]:
    load, start, reference = outlet.load, outlet.load_pressure, outlet.reference_pressure
    turning = load.speed * min(max(drawn.part, 0.0), load.top_part)
    formula = f'n_0 sqrt((p - p_"start")/(p_"ref" - p_"start")), "{load.kind}"'
    return (
        Working("p", '"chest, settled"', drawn.pressure, "Pa", BALANCE_SOURCE),
        Working('p_"start"', 'p_m = p_f + "load at rest"', start, "Pa", LOAD_SOURCE),
        Working('p_"ref"', '"given with the speed"', reference, "Pa", "given"),
        Working("n", formula, turning, "1/s", LOAD_SOURCE),
    )


def _about_speed(level: Level, code: str, text: Said, engine: EngineBalance) -> Finding:
    return Finding(level, code, text, engine.speed.likely, engine.wanted_speed, "1/s", LOAD_SOURCE)
