"""What a fitter should beware of in an engine, put into words."""

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Finding
from service.engineering.steam.engine.cylinder import Engine, SteamConditions
from service.engineering.steam.engine.engine_defaults import CONDENSATION_SOURCE, table_limits
from service.engineering.steam.wording import difference_text, gauge_text, length_text

WET_BORE = 0.0125
"""Bore below which condensation is most of the steam [m] (common practice)."""

FRICTION_PRESSURE = 50_000.0
"""Mean pressure friction may take [Pa]: 0.2 to 0.5 bar in small engines (common practice)."""

EARLIEST_OSCILLATOR = 0.8
"""Cut-off below which a single-acting engine has more than plain oscillating ports."""

PRACTICE = "common practice"


def find_faults(
    engine: Engine, conditions: SteamConditions, *, mean_pressure: float
) -> tuple[Finding, ...]:
    """What a fitter should be told about this engine on this steam.

    Source: Common practice; the limits stand at the head of the module.
    """
    return (
        *_find_turning(engine, mean_pressure),
        *_find_diagram(engine, conditions),
        *_find_wetness(engine),
    )


def _find_turning(engine: Engine, mean_pressure: float) -> tuple[Finding, ...]:
    if mean_pressure <= 0:
        text = f"{engine.name} will not turn: the exhaust pushes harder than the steam."
        return (Finding("fail", "no_work", text, mean_pressure, 0.0, "Pa difference", PRACTICE),)
    if mean_pressure < FRICTION_PRESSURE:
        text = (
            f"{engine.name} may not turn itself over: mean pressure"
            f" {difference_text(mean_pressure)}, friction alone takes 0.2 to 0.5 bar."
        )
        return (
            Finding(
                "caution",
                "little_work",
                text,
                mean_pressure,
                FRICTION_PRESSURE,
                "Pa difference",
                PRACTICE,
            ),
        )
    return ()


def _find_diagram(engine: Engine, conditions: SteamConditions) -> tuple[Finding, ...]:
    found = []
    back = conditions.back_pressure
    release = conditions.pressure * (engine.cut_off + engine.clearance) / (1 + engine.clearance)
    cushion = back * (engine.exhaust_closure + engine.clearance) / engine.clearance
    if release < back:
        text = (
            f"{engine.name}: steam expands to {gauge_text(release)}, below the exhaust;"
            " cut off later or raise the pressure."
        )
        found.append(Finding("caution", "expands_too_far", text, release, back, "Pa", PRACTICE))
    if cushion > conditions.pressure:
        text = (
            f"{engine.name}: compression reaches {gauge_text(cushion)}, above admission;"
            " let the exhaust close later."
        )
        found.append(
            Finding(
                "caution",
                "compresses_too_far",
                text,
                cushion,
                conditions.pressure,
                "Pa",
                PRACTICE,
            )
        )
    limit = ATMOSPHERE + 0.2 * max(conditions.pressure - ATMOSPHERE, 0.0)
    if back > limit:
        text = (
            f"{engine.name}: exhaust at {gauge_text(back)} is more than a fifth of the steam"
            " pressure; open out the exhaust pipe."
        )
        found.append(Finding("caution", "high_exhaust_pressure", text, back, limit, "Pa", PRACTICE))
    return tuple(found)


def _find_wetness(engine: Engine) -> tuple[Finding, ...]:
    found = []
    if engine.acting == "single" and engine.cut_off < EARLIEST_OSCILLATOR:
        text = (
            f"{engine.name}: cut-off {engine.cut_off:.2f} is early for a single-acting engine;"
            " plain oscillating ports stay open for 0.85 to 0.95 of the stroke."
        )
        found.append(
            Finding(
                "caution",
                "early_cut_off",
                text,
                engine.cut_off,
                EARLIEST_OSCILLATOR,
                "1",
                PRACTICE,
            )
        )
    if engine.condensation == 0:
        text = f"{engine.name}: no condensation counted; a small engine takes 1.5 to 3 times this."
        found.append(Finding("caution", "ideal_steam", text, 0.0, None, "1", CONDENSATION_SOURCE))
    elif engine.condensation is None:
        found.extend(_find_band_trust(engine))
    return tuple(found)


def _find_band_trust(engine: Engine) -> tuple[Finding, ...]:
    smallest, largest = table_limits()
    if engine.bore < WET_BORE:
        text = (
            f"{engine.name}: in a {length_text(engine.bore)} bore most steam condenses on the"
            " walls; the figure is a wide band, so measure the water used."
        )
        return (
            Finding(
                "caution",
                "wet_small_cylinder",
                text,
                engine.bore,
                WET_BORE,
                "m",
                CONDENSATION_SOURCE,
            ),
        )
    if engine.bore > largest:
        text = (
            f"{engine.name}: condensation for a {length_text(engine.bore)} bore is held at that"
            f" of {length_text(largest)}, the largest in the table (smallest"
            f" {length_text(smallest)})."
        )
        return (
            Finding(
                "caution",
                "condensation_held",
                text,
                engine.bore,
                largest,
                "m",
                CONDENSATION_SOURCE,
            ),
        )
    return ()
