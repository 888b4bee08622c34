"""The cold-water test pressures that the regimes commonly ask; the user names the regime."""

from dataclasses import dataclass
from functools import cache
from typing import Annotated

from service.engineering.constants import ATMOSPHERE
from service.engineering.data_files import need_number, read_number, read_table
from service.engineering.errors import OutOfRange, Unsuitable, require
from service.engineering.findings import Finding, Working
from service.engineering.saturation import require_pressure
from service.engineering.saying import listed, name, say
from service.engineering.saying import pressure as gauge_reading
from service.engineering.steam.cautions import SHELL_CAUTIONS


@dataclass(frozen=True, slots=True)
class HydraulicRegime:
    """One set of rules and the factors it asks on the working gauge pressure."""

    key: str
    name: str
    first: float  # factor for a new shell
    repeat: float | None  # factor for repeat tests; None: as the rules say for the boiler
    hot_factor: float | None  # goes with the ratio of stresses, where it differs from `first`
    asks_stress_ratio: bool  # whether allowable stress cold over hot enters
    edition: str
    source: str


@dataclass(frozen=True, slots=True)
class HydraulicTest:
    """Test pressures under one regime; absolute."""

    regime: HydraulicRegime
    working_pressure: Annotated[float, "Pa"]  # the inspector's working pressure
    first_pressure: Annotated[float, "Pa"]  # test of a new shell
    repeat_pressure: Annotated[float, "Pa"] | None
    """Repeat test; None: as the rules say for the boiler."""
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = SHELL_CAUTIONS


def find_hydraulic_test(
    regime: str, *, working_pressure: float, stress_ratio: float | None = None
) -> HydraulicTest:
    """Cold-water test pressure that a regime commonly asks.

    regime: key of the regime.
    working_pressure: the inspector's working pressure, absolute [Pa], above one atmosphere.
    stress_ratio: allowable stress cold over hot, 1 to 5, where the regime asks for it.
    Returns: absolute test pressures [Pa].
    Raises OutOfRange: if a quantity is outside its range or missing.
    Raises Unsuitable: if the regime is unknown or its figures have not been verified.
    Source: The table of hydraulic tests, each row with its own source and edition.
    """
    rules = _find_regime(regime)
    require_pressure(working_pressure, field="working_pressure")
    above = working_pressure > ATMOSPHERE
    require(above, "working_pressure", "Working pressure must be above 0 gauge.")
    factor = _find_first_factor(rules, stress_ratio)
    gauge = working_pressure - ATMOSPHERE
    first = ATMOSPHERE + factor * gauge
    repeat = None if rules.repeat is None else ATMOSPHERE + rules.repeat * gauge
    return HydraulicTest(
        regime=rules,
        working_pressure=working_pressure,
        first_pressure=first,
        repeat_pressure=repeat,
        findings=(_describe(rules, first, repeat),),
        workings=(
            Working("P", '"working pressure"', gauge, "Pa gauge", "stated by the inspector"),
            Working("F", '"factor for a new shell"', factor, "1", rules.source),
            Working('P_"test"', "F P", first - ATMOSPHERE, "Pa gauge", rules.source),
        ),
    )


def list_regimes() -> tuple[HydraulicRegime, ...]:
    """The regimes whose figures have been verified, in the order of the table.

    Returns: the regimes; factors are pure numbers.
    Source: The table of hydraulic tests, each row with its own source and edition.
    """
    return tuple(_read_regimes().values())


def _find_regime(key: str) -> HydraulicRegime:
    regimes = _read_regimes()
    if key not in regimes:
        known = listed(map(name, regimes))
        raise Unsuitable(say(name(repr(key)), " is not one of: ", known, "."), field="regime")
    return regimes[key]


@cache
def _read_regimes() -> dict[str, HydraulicRegime]:
    rows = read_table("hydraulic_tests.csv")
    return {
        row["key"]: HydraulicRegime(
            key=row["key"],
            name=row["name"],
            first=need_number(row, "first"),
            repeat=read_number(row, "repeat"),
            hot_factor=read_number(row, "hot_factor"),
            asks_stress_ratio=row["stress_ratio"] == "yes",
            edition=row["edition"],
            source=row["source"],
        )
        for row in rows
        if row["verified"] == "yes"
    }


def _find_first_factor(regime: HydraulicRegime, stress_ratio: float | None) -> float:
    if not regime.asks_stress_ratio:
        unasked = say(name(regime.name), " does not ask for a stress ratio.")
        require(stress_ratio is None, "stress_ratio", unasked)
        return regime.first
    asked = say(name(regime.name), " asks for the allowable stress cold over hot, 1 to 5.")
    if stress_ratio is None or not 1 <= stress_ratio <= 5:
        raise OutOfRange(asked, field="stress_ratio")
    if regime.hot_factor is None:
        return regime.first * stress_ratio
    return max(regime.first, regime.hot_factor * stress_ratio)


def _describe(regime: HydraulicRegime, first: float, repeat: float | None) -> Finding:
    again = "as the rules say" if repeat is None else gauge_reading(repeat, "later")
    text = say(
        (name(regime.name), " (edition ", name(regime.edition), "): "),
        (gauge_reading(first, "first"), " with cold water for a new shell, later tests ", again),
        ". Read the rules themselves; the inspector sets the test.",
    )
    return Finding(
        "caution", "test-pressure", text, first - ATMOSPHERE, None, "Pa gauge", regime.source
    )
