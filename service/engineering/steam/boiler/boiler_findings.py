"""What to beware of in a boiler's supply, and the arithmetic line by line."""

from service.engineering.findings import Band, Finding, Level, Working
from service.engineering.saturation import PROPERTY_SOURCE, Saturation
from service.engineering.saying import duration, flow, power, say, share
from service.engineering.steam.boiler.firing import Firing
from service.engineering.steam.boiler.still_air import CONVECTION_SOURCE

PRACTICE = "common practice"

WASTEFUL_LOSS = 0.25
"""Part of the heat in the water that the shell may lose before lagging is wanted."""


def find_holding_faults(into_water: Band, loss: float) -> list[Finding]:
    """Whether the shell's loss eats the fire.

    Source: Heat balance; the limit is common practice.
    """
    if into_water.low <= loss:
        text = say(
            ("If the fire is as poor as such fires can be (", power(into_water.low, "poorest")),
            (" into the water), the shell's loss of ", power(loss, "loss")),
            " leaves nothing for steam.",
        )
        return [Finding("caution", "weak-fire", text, into_water.low, loss, "W", PRACTICE)]
    part = loss / into_water.likely
    if part > WASTEFUL_LOSS:
        text = say(
            ("The shell loses ", power(loss, "loss"), ", ", share(part)),
            " of what reaches the water: lag it.",
        )
        return [Finding("caution", "wasteful-shell", text, part, WASTEFUL_LOSS, "1", PRACTICE)]
    return []


def find_surface_faults(evaporation: Band, from_surface: Band | None) -> list[Finding]:
    """Whether the heating surface could pass the heat the fire is said to give.

    Source: 15, 25 and 45 kg/h for each square metre of heating surface: common practice.
    """
    if from_surface is None:
        return []
    likely = evaporation.likely
    level: Level = "ok"
    if likely > from_surface.high:
        level, code, against = "caution", "surface-small", " is more than"
        advice = "the efficiency is probably taken too high."
    elif likely < from_surface.low:
        code, against = "fire-small", " is less than"
        advice = "the fire is small for the boiler."
    else:
        code, against, advice = "surface-agrees", " agrees with", "the two bear each other out."
    text = say(
        ("Likely evaporation of ", flow(likely, "evaporation"), against),
        (" what such a heating surface usually gives (", flow(from_surface.low, "least")),
        (" to ", flow(from_surface.high, "most"), "): ", advice),
    )
    return [Finding(level, code, text, likely, from_surface.high, "kg/s", PRACTICE)]


def find_endurance_faults(water_time: float, firing: Firing) -> list[Finding]:
    """Which runs out first with the feed shut: water or fuel.

    Source: Common practice: without a feed pump the fuel should run out first.
    """
    fuel_time = firing.burning_time
    water = duration(water_time, "water")
    if fuel_time is not None and fuel_time <= water_time:
        text = say(
            ("By the likely figures the fuel runs out first, after ", duration(fuel_time, "fuel")),
            ("; the water would last about ", water, "."),
        )
        return [Finding("ok", "fuel-first", text, fuel_time, water_time, "s", PRACTICE)]
    text = say(
        ("With the feed shut the water reaches its lowest safe level after about ", water),
        ", and the fire still burns: watch the glass or pump.",
    )
    return [Finding("caution", "water-first", text, water_time, fuel_time, "s", PRACTICE)]


def write_boiler_workings(
    firing: Firing, steam: Saturation, *, loss: float, net: Band, heat: float, water: float
) -> tuple[Working, ...]:
    """The arithmetic of a boiler's supply."""
    sources = "; ".join(firing.sources) or "given"
    likely, latent = net.likely, steam.latent_heat
    return (
        Working('Q_"fire"', '"heat in the fuel, or power"', firing.gross.likely, "W", sources),
        Working("eta", '"part that reaches the water"', firing.efficiency.likely, "1", sources),
        Working('Q_"loss"', '"shell to still air"', loss, "W", CONVECTION_SOURCE),
        Working('Q_"net"', 'eta Q_"fire" - Q_"loss"', likely, "W", "heat balance"),
        Working('h_g - h_"feed"', '"from feed water to dry steam"', heat, "J/kg", PROPERTY_SOURCE),
        Working("m", 'Q_"net"/(h_g - h_"feed")', likely / heat, "kg/s", "heat balance"),
        Working('m_"unfed"', 'Q_"net"/h_"fg"', likely / latent, "kg/s", "heat balance"),
        Working("M_w", 'V rho_f "between the levels"', water, "kg", PROPERTY_SOURCE),
        Working("t_w", 'M_w/m_"unfed"', water * latent / likely, "s", "heat balance"),
    )
