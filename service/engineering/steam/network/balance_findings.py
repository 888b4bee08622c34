"""A running case put into words: what stalls, what is slow, what is short, and the arithmetic."""

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band, Finding, Level, Unit, Working
from service.engineering.saturation import PROPERTY_SOURCE
from service.engineering.steam.network.case_balance import CaseBalance, EngineBalance, SoftInput
from service.engineering.steam.network.network import Settled
from service.engineering.steam.network.outlets import LOAD_SOURCE, EngineOnBranch
from service.engineering.steam.network.running_plant import RunningCase, RunningPlant
from service.engineering.steam.passages import LARGEST_DROP
from service.engineering.steam.wording import difference_text, flow_text, gauge_text

ENOUGH_SPEED = 0.95
"""Part of its wanted speed with which a driver is content (common practice)."""

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
    lines = [
        _line(case, "p0", "boiler, settled", likely.boiler_pressure, "Pa", BALANCE_SOURCE),
        _line(case, "pb", "block, settled", likely.block_pressure, "Pa", BALANCE_SOURCE),
        _line(case, "q", _heat_formula(plant), likely.heat, "J/kg", PROPERTY_SOURCE),
    ]
    for name, drawn in zip(case.running, likely.drawn, strict=True):
        if name in engines:
            lines += _write_engine(case, engines[name], drawn.pressure, drawn.part)
        lines.append(_line(case, f"m {name}", "drawn", drawn.flow, "kg/s", BALANCE_SOURCE))
    lines.append(_line(case, "m", "sum of what is drawn", likely.flow, "kg/s", BALANCE_SOURCE))
    lines.append(_line(case, "Q", "m q", likely.flow * likely.heat, "W", BALANCE_SOURCE))
    return tuple(lines)


def _judge_engine(case: CaseBalance, engine: EngineBalance) -> Finding:
    if engine.stalls:
        text = (
            f"{case.name}: {engine.name} stalls. {gauge_text(engine.pressure.likely)} reaches it;"
            f" its load stands below {gauge_text(engine.load_pressure)}."
        )
        return _about_speed("fail", "stalls", text, engine)
    if engine.may_stall:
        text = (
            f"{case.name}: {engine.name} makes {_rpm(engine.speed.likely)} rpm, but stalls if"
            " everything soft in the reckoning goes against it."
        )
        return _about_speed("caution", "may_stall", text, engine)
    wanted = _rpm(engine.wanted_speed)
    if engine.speed.likely < ENOUGH_SPEED * engine.wanted_speed:
        text = (
            f"{case.name}: {engine.name} makes {_rpm(engine.speed.likely)} of its {wanted} rpm"
            f"{_span_text(engine.speed)} at {gauge_text(engine.pressure.likely)}."
        )
        return _about_speed("caution", "slow", text, engine)
    text = (
        f"{case.name}: {engine.name} makes {_rpm(engine.speed.likely)} rpm"
        f"{_span_text(engine.speed)}; {wanted} is wanted."
    )
    return _about_speed("ok", "at_speed", text, engine)


def _find_drop(case: CaseBalance, engine: EngineBalance) -> tuple[Finding, ...]:
    drop = case.boiler_pressure.likely - engine.pressure.likely
    limit = LARGEST_DROP * max(case.boiler_pressure.likely - ATMOSPHERE, 0.0)
    if drop <= limit:
        return ()
    text = (
        f"{case.name}: the passages to {engine.name} cost {difference_text(drop)} of"
        f" {gauge_text(case.boiler_pressure.likely)}; keep it under {difference_text(limit)}."
    )
    return (Finding("caution", "large_drop", text, drop, limit, "Pa difference", PRACTICE),)


def _judge_boiler(plant: RunningPlant, case: CaseBalance) -> Finding:
    limit = plant.supply.pressure_limit
    pressure = case.boiler_pressure
    if case.heat_bound:
        text = (
            f"{case.name}: the fire is short. The boiler settles at {gauge_text(pressure.likely)}"
            f" ({(pressure.low - ATMOSPHERE) / 1e5:.2f} to"
            f" {(pressure.high - ATMOSPHERE) / 1e5:.2f}), not at {gauge_text(limit)}."
        )
        return Finding("caution", "heat_short", text, pressure.likely, limit, "Pa", BALANCE_SOURCE)
    text = (
        f"{case.name}: the boiler holds {gauge_text(limit)} with"
        f" {flow_text(case.surplus.likely)} to spare; turn the burner down or the safety valve"
        " lifts."
    )
    return Finding("ok", "heat_to_spare", text, case.surplus.likely, None, "kg/s", BALANCE_SOURCE)


def _name_soft_input(case: CaseBalance) -> tuple[Finding, ...]:
    if not case.soft_inputs:
        return ()
    first = case.soft_inputs[0]
    text = f"{case.name}: the spread comes mostly of {first.name}: {_effect_text(case, first)}."
    spread = first.speed_spread if first.engine else first.steam_spread
    source = "the balance solved at its ends"
    return (Finding("ok", "softest_input", text, spread, None, "1", source),)


def _effect_text(case: CaseBalance, soft: SoftInput) -> str:
    if soft.engine is None:
        return f"alone it moves the steam by {soft.steam_spread:.0%}"
    wanted = next(engine.wanted_speed for engine in case.engines if engine.name == soft.engine)
    return f"alone it moves {soft.engine} by {_rpm(soft.speed_spread * wanted)} rpm"


def _write_engine(
    case: RunningCase, outlet: EngineOnBranch, pressure: float, part: float
) -> list[Working]:
    name = outlet.name
    start, reference = outlet.load_pressure, outlet.reference_pressure
    speed = outlet.load.speed * min(max(part, 0.0), outlet.load.top_part)
    formula = f"n0 root((p - p_start)/(p_ref - p_start)), {outlet.load.kind}"
    return [
        _line(case, f"p {name}", "chest, settled", pressure, "Pa", BALANCE_SOURCE),
        _line(case, f"p_start {name}", "pm = pf + load at rest", start, "Pa", LOAD_SOURCE),
        _line(case, f"p_ref {name}", "given with the speed", reference, "Pa", "given"),
        _line(case, f"n {name}", formula, speed, "1/s", LOAD_SOURCE),
    ]


def _heat_formula(plant: RunningPlant) -> str:
    return "h_g - h_f, no feed" if plant.feed_enthalpy is None else "h_g(p0) - h_feed"


def _line(
    case: RunningCase, symbol: str, formula: str, value: float, unit: Unit, source: str
) -> Working:
    return Working(f"{symbol} ({case.name})", formula, value, unit, source)


def _about_speed(level: Level, code: str, text: str, engine: EngineBalance) -> Finding:
    return Finding(level, code, text, engine.speed.likely, engine.wanted_speed, "1/s", LOAD_SOURCE)


def _rpm(speed: float) -> str:
    return f"{speed * 60:.0f}"


def _span_text(speed: Band) -> str:
    low, high = _rpm(speed.low), _rpm(speed.high)
    return "" if low == high else f" ({low} to {high})"
