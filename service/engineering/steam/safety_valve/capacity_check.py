"""A safety valve against the steam it must pass, and what it would need.

No reckoning proves how far a valve lifts. Only the accumulation test does.
"""

from dataclasses import dataclass, replace

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import require
from service.engineering.findings import Finding, Working, worst_first
from service.engineering.saturation import require_pressure
from service.engineering.steam.cautions import RELIEF_CAUTIONS
from service.engineering.steam.safety_valve.safety_valve import (
    ASME_SOURCE,
    ISO_SOURCE,
    NAPIER_SOURCE,
    Capacity,
    SafetyValve,
    find_capacity,
    find_greatest_evaporation,
    find_relieving_pressure,
    require_coefficient,
)
from service.engineering.steam.wording import flow_text, gauge_text, length_text

__all__ = [
    "ACCUMULATIONS_MET",
    "Capacity",
    "ReliefCheck",
    "SafetyValve",
    "check_relief_area",
    "check_safety_valve",
    "find_capacity",
    "find_greatest_evaporation",
    "find_relieving_pressure",
]

CHOKING_RATIO = 0.577
"""Back pressure over relieving pressure up to which dry saturated steam chokes."""

PRACTICE = "common practice"

ACCUMULATIONS_MET: tuple[tuple[float, str], ...] = (
    (0.10, "10 % at the steam test of hobby boiler codes; not above 10 % in some national rules"),
    (0.06, "6 % for miniature boilers under some American state rules"),
)
"""Accumulations met in rules and where; shown for choosing, neither is built in."""


@dataclass(frozen=True, slots=True)
class ReliefCheck:
    """A safety valve against the steam it must pass."""

    set_pressure: float
    """Absolute pressure at which it lifts [Pa]."""
    relieving_pressure: float
    """Absolute pressure at which it must pass everything [Pa]."""
    evaporation: float
    """Steam it must pass [kg/s]."""
    effective_area: float
    """Area through which it blows [m2]."""
    capacity: Capacity
    required_area: float
    """Effective area wanted, by the rule that gives least [m2]."""
    required_lift: float | None
    """Lift wanted [m]; None when the bore is too small at any lift or no seat was given."""
    adequate: bool
    """Whether the lowest capacity covers the evaporation, on paper."""
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

    Parameters
    ----------
    valve : SafetyValve
        The valve.
    set_pressure : float
        Absolute pressure at which it lifts [Pa], above 0.7 bar gauge once accumulated.
    accumulation : float
        Rise allowed, as a part of the set gauge pressure, 0 to 0.33.
    evaporation : float
        Largest evaporation of the boiler [kg/s], above 0.
    rule : str | None
        The rule that asks for that accumulation; None if nobody has said.

    Returns
    -------
    ReliefCheck
        Capacity by three rules, area and lift wanted [SI].

    Raises
    ------
    OutOfRange
        If a quantity is outside its range, or the flow would not be choked.

    Source
    ------
    ISO 4126-1 with k = 1.135; Napier; the 51.5 A P form. Curtain area pi d L sin(half angle).
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
            *_find_rule_faults(accumulation, rule),
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

    Parameters
    ----------
    area : float
        Effective area [m2], above 0, to 20 cm².
    discharge_coefficient : float
        Actual over ideal flow through that area, 0.05 to 1.
    set_pressure : float
        Absolute pressure at which it lifts [Pa], above 0.7 bar gauge once accumulated.
    accumulation : float
        Rise allowed, as a part of the set gauge pressure, 0 to 0.33.
    evaporation : float
        Largest evaporation of the boiler [kg/s], above 0.
    rule : str | None
        The rule that asks for that accumulation; None if nobody has said.

    Returns
    -------
    ReliefCheck
        Capacity by three rules and the area wanted [SI].

    Raises
    ------
    OutOfRange
        If a quantity is outside its range, or the flow would not be choked.

    Source
    ------
    ISO 4126-1 with k = 1.135; Napier; the 51.5 A P form.
    """
    require(0 < area <= 2e-3, "area", "The area must be above 0 and at most 2000 mm².")
    require_coefficient(discharge_coefficient)
    check = _check_area(
        area,
        coefficient=discharge_coefficient,
        set_pressure=set_pressure,
        accumulation=accumulation,
        evaporation=evaporation,
    )
    return _finish(check, required_lift=None, extra=_find_rule_faults(accumulation, rule))


def _check_area(
    area: float,
    *,
    coefficient: float,
    set_pressure: float,
    accumulation: float,
    evaporation: float,
) -> ReliefCheck:
    require_pressure(set_pressure, field="set_pressure")
    require(0 <= accumulation <= 0.33, "accumulation", "Accumulation must be 0 to 0.33.")
    require(evaporation > 0, "evaporation", "The evaporation must be above 0.")
    pressure = find_relieving_pressure(set_pressure, accumulation)
    require(
        pressure >= ATMOSPHERE / CHOKING_RATIO,
        "set_pressure",
        "Below 0.74 bar gauge the steam is not choked, and these rules over-rate a valve.",
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
        findings=_find_capacity_faults(capacity.least, evaporation, pressure),
        workings=_write_workings(pressure, area, coefficient=coefficient, capacity=capacity),
    )


def _finish(
    check: ReliefCheck, *, required_lift: float | None, extra: tuple[Finding, ...]
) -> ReliefCheck:
    return replace(
        check,
        required_lift=required_lift,
        findings=worst_first((*check.findings, *extra)),
        workings=(
            *check.workings,
            Working("A_req", "A m/m_least", check.required_area, "m2", "proportion"),
        ),
    )


def _find_capacity_faults(
    capacity: float, evaporation: float, pressure: float
) -> tuple[Finding, ...]:
    figures = f"{flow_text(capacity)} at {gauge_text(pressure)} against {flow_text(evaporation)}"
    if capacity < evaporation:
        text = f"The valve is too small on paper: {figures} made. Do not steam with it alone."
        return (Finding("fail", "too_small", text, capacity, evaporation, "kg/s", ISO_SOURCE),)
    text = f"Enough on paper: {figures} made. Only the accumulation test proves it."
    return (Finding("ok", "enough_on_paper", text, capacity, evaporation, "kg/s", ISO_SOURCE),)


def _find_valve_faults(valve: SafetyValve, check: ReliefCheck) -> tuple[Finding, ...]:
    found = []
    if check.required_area > valve.bore_area:
        text = f"A seat of {length_text(valve.seat)} is too small for this steam at any lift."
        found.append(
            Finding(
                "fail", "seat_small", text, valve.bore_area, check.required_area, "m2", PRACTICE
            )
        )
    if valve.exit_area is not None and valve.exit_area <= valve.effective_area:
        text = "The ways out round the guide are tighter than the seat: open them."
        found.append(
            Finding(
                "caution", "exits_tight", text, valve.exit_area, valve.bore_area, "m2", PRACTICE
            )
        )
    if valve.lift > valve.seat / 12:
        text = (
            f"A lift of {length_text(valve.lift)} is more than a plain spring valve usually gives"
            f" ({length_text(valve.seat / 24)} to {length_text(valve.seat / 12)}): measure it"
            " while blowing."
        )
        found.append(
            Finding("caution", "lift_doubtful", text, valve.lift, valve.seat / 12, "m", PRACTICE)
        )
    return tuple(found)


def _find_rule_faults(accumulation: float, rule: str | None) -> tuple[Finding, ...]:
    if rule is not None:
        text = f"Accumulation of {accumulation:.0%} as asked by: {rule}."
        return (Finding("ok", "rule_named", text, accumulation, None, "1", rule),)
    met = " ".join(f"{words[0].upper()}{words[1:]}." for _, words in ACCUMULATIONS_MET)
    text = f"No rule was named for {accumulation:.0%} accumulation; ask the inspector. {met}"
    return (Finding("caution", "rule_unnamed", text, accumulation, None, "1", PRACTICE),)


def _write_workings(
    pressure: float, area: float, *, coefficient: float, capacity: Capacity
) -> tuple[Working, ...]:
    return (
        Working("p0", "p_atm + (p_set - p_atm)(1 + accumulation)", pressure, "Pa", "definition"),
        Working("A", "least of bore, curtain pi d L sin(angle/2), exits", area, "m2", "geometry"),
        Working("Kd", "actual over ideal flow", coefficient, "1", "given"),
        Working(
            "m_ISO", "0.2883 C A Kd root(p0/v0), C(1.135)", capacity.iso_4126, "kg/s", ISO_SOURCE
        ),
        Working("m_Napier", "A P Kd/70", capacity.napier, "kg/s", NAPIER_SOURCE),
        Working("m_51.5", "51.5 A P Kd", capacity.asme_51_5, "kg/s", ASME_SOURCE),
    )
