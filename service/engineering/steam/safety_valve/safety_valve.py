"""A safety valve against the steam it must pass, and what it would need.

The rules agree on the flow through a hole within 1 % from 4 to 8 bar, within 4 % from 1 to 15 bar;
what the hole is, the valve's lift decides.
No reckoning proves how far a valve lifts. Only the accumulation test does.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, sin, sqrt
from typing import Annotated

from service.engineering.constants import (
    ATMOSPHERE,
    INCH,
    LEAST_FLOW,
    MOST_FLOW,
    POUND,
    POUND_PER_SQUARE_INCH,
)
from service.engineering.errors import require, require_within
from service.engineering.findings import Finding, Working, worst_first
from service.engineering.given import given, require_given
from service.engineering.saturation import require_pressure, saturation
from service.engineering.saying import area as hole
from service.engineering.saying import fine, flow, length, name, number, say, share
from service.engineering.saying import power as watts
from service.engineering.saying import pressure as gauge
from service.engineering.steam.cautions import RELIEF_CAUTIONS
from service.engineering.steam.properties import STEAM_EXPONENT, vapour_volume

LEAST_CHOKED = ATMOSPHERE / 0.577
"""Least absolute pressure from which dry saturated steam blows choked to the air [Pa]."""

FLAT = pi * (1 + 1e-9)  # A flat seat [rad]; the hair above is for degrees turned into radians
ISO_SOURCE = "ISO 4126-1 with k = 1.135"
NAPIER_SOURCE = "Napier's rule, W = A P/70 in pounds, inches and seconds"
ASME_SOURCE = "ASME form, W = 51.5 A P K in pounds an hour"
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
class SafetyValve:
    """A safety valve by what can be measured on it."""

    seat: Annotated[float, "m"] = given("4 mm", least=5e-4, most=0.05)  # bore of the seat
    lift: Annotated[float, "m"] = given("0.16 mm", least=1e-6, most=0.025)  # to half the seat
    seat_angle: Annotated[float, "rad"] = given("90 deg", default=pi, least=pi / 6, most=FLAT)
    """Included angle of the conical seat; half a turn for a flat seat."""
    discharge_coefficient: float = given(0.6, default=0.6, least=0.05, most=1.0)
    """Actual over ideal flow through the effective area; ISO 4126-1 asks for 0.9 of the measured
    one."""
    exit_area: Annotated[float, "m2"] | None = given("8 mm2", default=None, least=1e-8, most=0.01)
    """Area of the ways out round guide and adjuster; None if they are ample."""

    def __post_init__(self) -> None:
        require_given(self)
        require(self.lift <= self.seat / 2, "lift", "Lift is at most half the seat bore.")

    @property
    def bore_area(self) -> float:
        """Area of the seat bore [m2]."""
        return pi / 4 * self.seat**2

    @property
    def curtain_per_lift(self) -> float:
        """Curtain area for each metre of lift [m]."""
        return pi * self.seat * sin(self.seat_angle / 2)

    @property
    def effective_area(self) -> float:
        """The least of bore, curtain and exits [m2]."""
        ways = [self.bore_area, self.curtain_per_lift * self.lift]
        if self.exit_area is not None:
            ways.append(self.exit_area)
        return min(ways)


@dataclass(frozen=True, slots=True)
class Capacity:
    """Dry steam passed, by three rules [kg/s]."""

    iso_4126: Annotated[float, "kg/s"]  # by ISO 4126-1 with k = 1.135
    napier: Annotated[float, "kg/s"]  # by Napier's rule
    asme_51_5: Annotated[float, "kg/s"]  # by the 51.5 A P form

    @property
    def least(self) -> float:
        """The lowest of the three [kg/s]."""
        return min(self.iso_4126, self.napier, self.asme_51_5)


@dataclass(frozen=True, slots=True)
class ReliefCheck:
    """A safety valve against the steam it must pass."""

    set_pressure: Annotated[float, "Pa"]  # absolute pressure at which it lifts
    relieving_pressure: Annotated[float, "Pa"]  # absolute pressure at which it must pass everything
    evaporation: Annotated[float, "kg/s"]  # steam it must pass
    effective_area: Annotated[float, "m2"]  # area through which it blows
    capacity: Capacity
    required_area: Annotated[float, "m2"]  # effective area wanted, by the rule that gives least
    required_lift: Annotated[float, "m"] | None
    """Lift wanted; None when the bore is too small at any lift or no seat was given."""
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
    return _check(
        valve.effective_area,
        valve.discharge_coefficient,
        set_pressure=set_pressure,
        accumulation=accumulation,
        evaporation=evaporation,
        rule=rule,
        valve=valve,
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
    require_within("area", area, 1e-9, 2e-3, hole)
    require_within("discharge_coefficient", discharge_coefficient, 0.05, 1)
    return _check(
        area,
        discharge_coefficient,
        set_pressure=set_pressure,
        accumulation=accumulation,
        evaporation=evaporation,
        rule=rule,
    )


def _check(
    area: float,
    coefficient: float,
    *,
    set_pressure: float,
    accumulation: float,
    evaporation: float,
    rule: str | None,
    valve: SafetyValve | None = None,
) -> ReliefCheck:
    require_pressure(set_pressure, field="set_pressure")
    require_within("accumulation", accumulation, 0, 0.33)
    require_within("evaporation", evaporation, LEAST_FLOW, MOST_FLOW, flow)
    pressure = find_relieving_pressure(set_pressure, accumulation)
    unfit = say("Below ", gauge(LEAST_CHOKED), " the steam is not choked, and these rules")
    require(pressure >= LEAST_CHOKED, "set_pressure", say(unfit, " over-rate a valve."))
    capacity = find_capacity(area, pressure, coefficient=coefficient)
    required = area * evaporation / capacity.least
    return ReliefCheck(
        set_pressure=set_pressure,
        relieving_pressure=pressure,
        evaporation=evaporation,
        effective_area=area,
        capacity=capacity,
        required_area=required,
        required_lift=_find_lift(valve, required),
        adequate=capacity.least >= evaporation,
        findings=worst_first(
            (
                _judge_capacity(capacity.least, evaporation, pressure, coefficient),
                *(_find_valve_faults(valve, required) if valve else ()),
                _judge_rule(accumulation, rule),
            )
        ),
        workings=_write_workings(pressure, area, coefficient, capacity, required=required),
    )


def _find_lift(valve: SafetyValve | None, required_area: float) -> float | None:
    if valve is None or required_area > valve.bore_area:
        return None
    return required_area / valve.curtain_per_lift


def _judge_capacity(passed: float, made: float, pressure: float, coefficient: float) -> Finding:
    figures = say(
        (flow(passed, "capacity"), " at ", gauge(pressure), ", taking "),
        (number(coefficient, "coefficient"), " of the ideal flow, against "),
        (flow(made, "evaporation"), " made."),
    )
    if passed < made:
        text = say("The valve is too small on paper: ", figures, " Do not steam with it alone.")
        return Finding("fail", "too-small", text, passed, made, "kg/s", ISO_SOURCE)
    text = say("Enough on paper: ", figures, " Only the accumulation test proves it.")
    return Finding("ok", "enough-on-paper", text, passed, made, "kg/s", ISO_SOURCE)


def _find_valve_faults(valve: SafetyValve, required_area: float) -> Iterator[Finding]:
    if required_area > valve.bore_area:
        seat = length(valve.seat, "seat")
        text = say("A seat of ", seat, " is too small for this steam at any lift.")
        yield Finding("fail", "seat-small", text, valve.bore_area, required_area, "m2", PRACTICE)
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


def _judge_rule(accumulation: float, rule: str | None) -> Finding:
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
    pressure: float, area: float, coefficient: float, capacity: Capacity, *, required: float
) -> tuple[Working, ...]:
    return (
        Working("p_0", RELIEVING_PRESSURE, pressure, "Pa", "definition"),
        Working("A", EFFECTIVE_AREA, area, "m2", "geometry"),
        Working("K_d", '"actual over ideal flow"', coefficient, "1", COEFFICIENT_SOURCE),
        Working('m_"ISO"', ISO_FORMULA, capacity.iso_4126, "kg/s", ISO_SOURCE),
        Working('m_"Napier"', "(A P K_d)/70", capacity.napier, "kg/s", NAPIER_SOURCE),
        Working('m_"51.5"', "51.5 A P K_d", capacity.asme_51_5, "kg/s", ASME_SOURCE),
        Working('A_"req"', '(A m)/m_"least"', required, "m2", "proportion"),
    )


def find_relieving_pressure(set_pressure: float, accumulation: float) -> float:
    """Pressure at which the valve must pass everything: the gauge reading grows, not the air's.

    set_pressure: absolute pressure at which the valve lifts [Pa].
    accumulation: rise allowed, as a part of the set gauge pressure.
    Returns: absolute pressure [Pa].
    Source: Definition of accumulation in boiler codes.
    """
    return ATMOSPHERE + (set_pressure - ATMOSPHERE) * (1 + accumulation)


def find_greatest_evaporation(heat: float, *, relieving_pressure: float) -> float:
    """Most steam a fire can make while the valve blows: water at the boil, feed shut.

    heat: largest heat into the water [W], above 0.
    relieving_pressure: absolute pressure while blowing [Pa].
    Returns: steam [kg/s].
    Raises OutOfRange: if the heat is not above 0 or the pressure is outside its range.
    Source: Heat over latent heat (IAPWS-IF97); cold feed would only lower it.
    """
    require_within("heat", heat, 1e-3, 1e7, watts)
    return heat / saturation(relieving_pressure).latent_heat


def find_capacity(area: float, pressure: float, *, coefficient: float) -> Capacity:
    """Dry saturated steam a choked hole passes, by three rules.

    Source: ISO 4126-1: 0.2883 C A K root(p/v), C = 3.948 root(k (2/(k+1))^((k+1)/(k-1))), k =
    1.135, in kg/h, mm², bar, m3/kg. Napier: A P/70. ASME form: 51.5 A P K.
    """
    k = STEAM_EXPONENT
    flow_function = 3.948 * sqrt(k * (2 / (k + 1)) ** ((k + 1) / (k - 1)))
    root = sqrt(pressure / 1e5 / vapour_volume(pressure))
    imperial = area / INCH**2 * pressure / POUND_PER_SQUARE_INCH * POUND * coefficient
    return Capacity(
        iso_4126=0.2883 * flow_function * area * 1e6 * coefficient * root / 3600,
        napier=imperial / 70,
        asme_51_5=51.5 * imperial / 3600,
    )
