"""What stalls in a running case, what is slow, what is short, and the arithmetic."""

from collections.abc import Callable, Iterator

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band, Finding, Level, Working
from service.engineering.saturation import PROPERTY_SOURCE
from service.engineering.saying import Figure, Said, drop, flow, name, say, share, speed
from service.engineering.saying import pressure as gauge
from service.engineering.steam.network.case_balance import CaseBalance, EngineBalance, SoftInput
from service.engineering.steam.network.network_tree import Drawn, Settled
from service.engineering.steam.network.outlets import LOAD_SOURCE, EngineOnBranch
from service.engineering.steam.network.running_plant import RunningCase, RunningPlant
from service.engineering.steam.passages import LARGEST_DROP

ENOUGH_SPEED = 0.95  # part of its wanted speed with which a driver is content (common practice)
NARROW_SPAN = 0.01  # span of a band, over its likely value, that is not worth telling
BALANCE_SOURCE = "mass balance of the block and energy balance of the boiler"
PRACTICE = "common practice"


def find_case_faults(plant: RunningPlant, case: CaseBalance) -> tuple[Finding, ...]:
    """What the driver should be told about one running case.

    Source: The balance itself; the limits stand at the head of the module.
    """
    return (
        *(_judge_engine(case, engine) for engine in case.engines),
        *(finding for engine in case.engines for finding in _find_drop(case, engine)),
        _judge_boiler(plant, case),
        *_name_soft_input(case),
    )


def write_case_workings(
    plant: RunningPlant, case: RunningCase, likely: Settled
) -> tuple[Working, ...]:
    """The arithmetic of one case's likely answer."""
    engines = {outlet.name: outlet for outlet in plant.engines}
    boiler, block = likely.boiler_pressure, likely.block_pressure
    flow_made, heat = likely.flow, likely.heat
    lines = [
        Working("p_0", '"boiler, settled"', boiler, "Pa", BALANCE_SOURCE).about(case.name),
        Working("p_b", '"block, settled"', block, "Pa", BALANCE_SOURCE).about(case.name),
        Working("q", _heat_formula(plant), heat, "J/kg", PROPERTY_SOURCE).about(case.name),
    ]
    for outlet, drawn in zip(case.running, likely.drawn, strict=True):
        about = f"{outlet}, {case.name}"
        if outlet in engines:
            lines += [line.about(about) for line in _write_engine(engines[outlet], drawn)]
        lines.append(Working("m", '"drawn"', drawn.flow, "kg/s", BALANCE_SOURCE).about(about))
    summed = '"sum of what is drawn"'
    return (
        *lines,
        Working("m", summed, flow_made, "kg/s", BALANCE_SOURCE).about(case.name),
        Working("Q", "m q", flow_made * heat, "W", BALANCE_SOURCE).about(case.name),
    )


def _judge_engine(case: CaseBalance, engine: EngineBalance) -> Finding:
    head = say(name(case.name), ": ", name(engine.name))
    chest = gauge(engine.pressure.likely)
    makes = say(" makes ", speed(engine.speed.likely, "speed"))
    if engine.stalls:
        return _about_speed("fail", "stalls", say(head, " stalls", _tell_why(engine)), engine)
    if engine.may_stall:
        text = say(
            (head, makes),
            ", but stalls if everything soft in the reckoning goes against it.",
        )
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


def _heat_formula(plant: RunningPlant) -> str:
    return 'h_g - h_f, "no feed"' if plant.feed_enthalpy is None else 'h_g (p_0) - h_"feed"'


def _about_speed(level: Level, code: str, text: Said, engine: EngineBalance) -> Finding:
    return Finding(level, code, text, engine.speed.likely, engine.wanted_speed, "1/s", LOAD_SOURCE)
