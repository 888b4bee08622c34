"""A safety valve against the steam it must pass, and what it would need.

No reckoning proves how far a valve lifts. Only the accumulation test does.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import require, require_within
from service.engineering.findings import Finding, Working, worst_first
from service.engineering.saturation import require_pressure
from service.engineering.saying import area as hole
from service.engineering.saying import fine, flow, length, name, number, say, share
from service.engineering.saying import pressure as gauge
from service.engineering.steam.cautions import RELIEF_CAUTIONS
from service.engineering.steam.safety_valve.safety_valve import (
    ASME_SOURCE,
    ISO_SOURCE,
    NAPIER_SOURCE,
    Capacity,
    SafetyValve,
    find_capacity,
    find_relieving_pressure,
)

LEAST_CHOKED = ATMOSPHERE / 0.577
"""Least absolute pressure from which dry saturated steam blows choked to the air [Pa]."""

PRACTICE = "common practice"

COEFFICIENT_SOURCE = "as given, else 0.6 by common practice"

RELIEVING_PRESSURE = 'p_"atm" + (p_"set" - p_"atm") (1 + "accumulation")'
EFFECTIVE_AREA = '"least of bore, exits and curtain" pi d L sin("angle"/2)'
ISO_FORMULA = '0.2883 C A K_d sqrt(p_0/v_0), "C at" k = 1.135'

ACCUMULATIONS_MET = say(
    (share(0.10), " at the steam test of hobby boiler codes; not above ", share(0.10)),
    (" in some national rules; ", share(0.06)),
    " for miniature boilers under some American state rules",
)
"""Accumulations met in rules and where; shown for choosing, none is built in."""


@dataclass(frozen=True, slots=True)
class ReliefCheck:
    """A safety valve against the steam it must pass."""

    set_pressure: float  # absolute pressure at which it lifts [Pa]
    relieving_pressure: float  # absolute pressure at which it must pass everything [Pa]
    evaporation: float  # steam it must pass [kg/s]
    effective_area: float  # area through which it blows [m2]
    capacity: Capacity
    required_area: float  # effective area wanted, by the rule that gives least [m2]
    required_lift: float | None
    """Lift wanted [m]; None when the bore is too small at any lift or no seat was given."""
    adequate: bool  # whether the lowest capacity covers the evaporation, on paper
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = RELIEF_CAUTIONS


def check_safety_valve(
    valve: SafetyValve,
    *,
    set_pressure: float,
    accumulation: float,
    evaporation: float,
    rule: str | None = None,
) -> ReliefCheck:
    """A safety valve with measured seat and lift against the steam it must pass.

    valve: the valve.
    set_pressure: absolute pressure at which it lifts [Pa], above 0.7 bar gauge once accumulated.
    accumulation: rise allowed, as a part of the set gauge pressure, 0 to 0.33.
    evaporation: largest evaporation of the boiler [kg/s], above 0.
    rule: the rule that asks for that accumulation; None if nobody has said.
    Returns: capacity by three rules, area and lift wanted [SI].
    Raises OutOfRange: if a quantity is outside its range, or the flow would not be choked.
    Source: ISO 4126-1 with k = 1.135; Napier; the 51.5 A P form. Curtain area pi d L sin(half
        angle).
    """
    check = _check_area(
        valve.effective_area,
        coefficient=valve.discharge_coefficient,
        set_pressure=set_pressure,
        accumulation=accumulation,
        evaporation=evaporation,
    )
    lift = check.required_area / valve.curtain_per_lift
    fits = check.required_area <= valve.bore_area
    return _finish(
        check,
        required_lift=lift if fits else None,
        extra=(
            *_find_valve_faults(valve, check),
            _find_rule_faults(accumulation, rule),
        ),
    )


def check_relief_area(
    area: float,
    *,
    discharge_coefficient: float,
    set_pressure: float,
    accumulation: float,
    evaporation: float,
    rule: str | None = None,
) -> ReliefCheck:
    """A safety valve known only by its effective area against the steam it must pass.

    area: effective area [m2], above 0, to 20 cm².
    discharge_coefficient: actual over ideal flow through that area, 0.05 to 1.
    set_pressure: absolute pressure at which it lifts [Pa], above 0.7 bar gauge once accumulated.
    accumulation: rise allowed, as a part of the set gauge pressure, 0 to 0.33.
    evaporation: largest evaporation of the boiler [kg/s], above 0.
    rule: the rule that asks for that accumulation; None if nobody has said.
    Returns: capacity by three rules and the area wanted [SI].
    Raises OutOfRange: if a quantity is outside its range, or the flow would not be choked.
    Source: ISO 4126-1 with k = 1.135; Napier; the 51.5 A P form.
    """
    require_within("area", area, 0, 2e-3, hole, above=True)
    require_within("discharge_coefficient", discharge_coefficient, 0.05, 1)
    check = _check_area(
        area,
        coefficient=discharge_coefficient,
        set_pressure=set_pressure,
        accumulation=accumulation,
        evaporation=evaporation,
    )
    return _finish(check, required_lift=None, extra=(_find_rule_faults(accumulation, rule),))


def _check_area(
    area: float,
    *,
    coefficient: float,
    set_pressure: float,
    accumulation: float,
    evaporation: float,
) -> ReliefCheck:
    require_pressure(set_pressure, field="set_pressure")
    require_within("accumulation", accumulation, 0, 0.33)
    require(evaporation > 0, "evaporation", "The evaporation must be above 0.")
    pressure = find_relieving_pressure(set_pressure, accumulation)
    require(
        pressure >= LEAST_CHOKED,
        "set_pressure",
        say(
            ("Below ", gauge(LEAST_CHOKED), " the steam is not choked, and these rules"),
            " over-rate a valve.",
        ),
    )
    capacity = find_capacity(area, pressure, coefficient=coefficient)
    required = area * evaporation / capacity.least
    return ReliefCheck(
        set_pressure=set_pressure,
        relieving_pressure=pressure,
        evaporation=evaporation,
        effective_area=area,
        capacity=capacity,
        required_area=required,
        required_lift=None,
        adequate=capacity.least >= evaporation,
        findings=_find_capacity_faults(capacity.least, evaporation, pressure, coefficient),
        workings=_write_workings(pressure, area, coefficient=coefficient, capacity=capacity),
    )


def _finish(
    check: ReliefCheck, *, required_lift: float | None, extra: Iterable[Finding]
) -> ReliefCheck:
    return replace(
        check,
        required_lift=required_lift,
        findings=worst_first((*check.findings, *extra)),
        workings=(
            *check.workings,
            Working('A_"req"', '(A m)/m_"least"', check.required_area, "m2", "proportion"),
        ),
    )


def _find_capacity_faults(
    passed: float, made: float, pressure: float, coefficient: float
) -> tuple[Finding, ...]:
    figures = say(
        (flow(passed, "capacity"), " at ", gauge(pressure), ", taking "),
        (number(coefficient, "coefficient"), " of the ideal flow, against "),
        (flow(made, "evaporation"), " made."),
    )
    if passed < made:
        text = say("The valve is too small on paper: ", figures, " Do not steam with it alone.")
        return (Finding("fail", "too-small", text, passed, made, "kg/s", ISO_SOURCE),)
    text = say("Enough on paper: ", figures, " Only the accumulation test proves it.")
    return (Finding("ok", "enough-on-paper", text, passed, made, "kg/s", ISO_SOURCE),)


def _find_valve_faults(valve: SafetyValve, check: ReliefCheck) -> Iterator[Finding]:
    if check.required_area > valve.bore_area:
        seat = length(valve.seat, "seat")
        text = say("A seat of ", seat, " is too small for this steam at any lift.")
        yield Finding(
            "fail", "seat-small", text, valve.bore_area, check.required_area, "m2", PRACTICE
        )
    if valve.exit_area is not None and valve.exit_area <= valve.effective_area:
        text = say("The ways out round the guide are tighter than the seat: open them.")
        yield Finding(
            "caution", "exits-tight", text, valve.exit_area, valve.bore_area, "m2", PRACTICE
        )
    if valve.lift > valve.seat / 12:
        text = say(
            ("A lift of ", fine(valve.lift, "lift"), " is more than a plain spring valve usually"),
            (" gives (", fine(valve.seat / 24, "least"), " to ", fine(valve.seat / 12, "most")),
            "): measure it while blowing.",
        )
        yield Finding("caution", "lift-doubtful", text, valve.lift, valve.seat / 12, "m", PRACTICE)


def _find_rule_faults(accumulation: float, rule: str | None) -> Finding:
    asked = share(accumulation, "accumulation")
    if rule is not None:
        text = say("Accumulation of ", asked, " as asked by: ", name(rule), ".")
        return Finding("ok", "rule-named", text, accumulation, None, "1", rule)
    text = say(
        ("No rule was named for ", asked, " accumulation; ask the inspector."),
        (" Met in rules: ", ACCUMULATIONS_MET, "."),
    )
    return Finding("caution", "rule-unnamed", text, accumulation, None, "1", PRACTICE)


def _write_workings(
    pressure: float, area: float, *, coefficient: float, capacity: Capacity
) -> tuple[Working, ...]:
    return (
        Working("p_0", RELIEVING_PRESSURE, pressure, "Pa", "definition"),
        Working("A", EFFECTIVE_AREA, area, "m2", "geometry"),
        Working("K_d", '"actual over ideal flow"', coefficient, "1", COEFFICIENT_SOURCE),
        Working('m_"ISO"', ISO_FORMULA, capacity.iso_4126, "kg/s", ISO_SOURCE),
        Working('m_"Napier"', "(A P K_d)/70", capacity.napier, "kg/s", NAPIER_SOURCE),
        Working('m_"51.5"', "51.5 A P K_d", capacity.asme_51_5, "kg/s", ASME_SOURCE),
    )
