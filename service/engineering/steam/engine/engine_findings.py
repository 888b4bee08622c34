"""What a fitter should beware of in an engine."""

from collections.abc import Iterator

from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Finding
from service.engineering.saying import Said, drop, length, name, number, pressure, say
from service.engineering.steam.engine.cylinder import Engine, SteamConditions
from service.engineering.steam.engine.engine_defaults import CONDENSATION_SOURCE, table_limits

WET_BORE = 0.0125  # bore below which condensation is most of the steam [m] (common practice)

LEAST_FRICTION, FRICTION_PRESSURE = 20_000.0, 50_000.0
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


def _find_turning(engine: Engine, mean: float) -> Iterator[Finding]:
    if mean <= 0:
        text = say(name(engine.name), " will not turn: the exhaust pushes harder than the steam.")
        yield Finding("fail", "no-work", text, mean, 0.0, "Pa difference", PRACTICE)
    elif mean < FRICTION_PRESSURE:
        text = say(
            (name(engine.name), " may not turn itself over: mean pressure "),
            (drop(mean, "mean_pressure"), ", friction alone takes ", drop(LEAST_FRICTION)),
            (" to ", drop(FRICTION_PRESSURE), "."),
        )
        yield Finding(
            "caution", "little-work", text, mean, FRICTION_PRESSURE, "Pa difference", PRACTICE
        )


def _find_diagram(engine: Engine, conditions: SteamConditions) -> Iterator[Finding]:
    back, chest = conditions.back_pressure, conditions.pressure
    release = chest * (engine.cut_off + engine.clearance) / (1 + engine.clearance)
    cushion = back * (engine.exhaust_closure + engine.clearance) / engine.clearance
    if release < back:
        text = say(
            (name(engine.name), ": steam expands to ", pressure(release, "release")),
            ", below the exhaust; cut off later or raise the pressure.",
        )
        yield _about_pressure("expands-too-far", text, release, back)
    if cushion > chest:
        text = say(
            (name(engine.name), ": compression reaches ", pressure(cushion, "cushion")),
            ", above admission; let the exhaust close later.",
        )
        yield _about_pressure("compresses-too-far", text, cushion, chest)
    limit = ATMOSPHERE + 0.2 * max(chest - ATMOSPHERE, 0.0)
    if back > limit:
        text = say(
            (name(engine.name), ": exhaust at ", pressure(back, "exhaust")),
            " is more than a fifth of the steam pressure; open out the exhaust pipe.",
        )
        yield _about_pressure("high-exhaust-pressure", text, back, limit)


def _about_pressure(code: str, text: Said, absolute: float, limit: float) -> Finding:
    """A caution about a pressure, both figures as a gauge shows them."""
    return Finding(
        "caution", code, text, absolute - ATMOSPHERE, limit - ATMOSPHERE, "Pa gauge", PRACTICE
    )


def _find_wetness(engine: Engine) -> Iterator[Finding]:
    if engine.acting == "single" and engine.cut_off < EARLIEST_OSCILLATOR:
        text = say(
            (name(engine.name), ": cut-off ", number(engine.cut_off, "cut_off")),
            " is early for a single-acting engine;"
            " plain oscillating ports stay open for 0.85 to 0.95 of the stroke.",
        )
        yield Finding(
            "caution", "early-cut-off", text, engine.cut_off, EARLIEST_OSCILLATOR, "1", PRACTICE
        )
    if engine.condensation == 0:
        text = say(
            name(engine.name),
            ": no condensation counted; a small engine takes 1.5 to 3 times this.",
        )
        yield Finding("caution", "ideal-steam", text, 0.0, None, "1", CONDENSATION_SOURCE)
    elif engine.condensation is None:
        yield from _find_band_trust(engine)


def _find_band_trust(engine: Engine) -> Iterator[Finding]:
    smallest, largest = table_limits()
    bore = length(engine.bore, "bore")
    if engine.bore < WET_BORE:
        code, limit = "wet-small-cylinder", WET_BORE
        text = say(
            (name(engine.name), ": in a bore of ", bore, " most steam condenses on the walls;"),
            " the figure is a wide band, so measure the water used.",
        )
    elif engine.bore > largest:
        code, limit = "condensation-held", largest
        text = say(
            (name(engine.name), ": condensation for a bore of ", bore, " is held at that of "),
            (length(largest), ", the largest in the table (smallest ", length(smallest), ")."),
        )
    else:
        return
    yield Finding("caution", code, text, engine.bore, limit, "m", CONDENSATION_SOURCE)
