"""A boiler's supply put into words: what to beware of, and the arithmetic line by line."""

from service.engineering.findings import Band, Finding, Level, Working
from service.engineering.saturation import PROPERTY_SOURCE, Saturation
from service.engineering.steam.boiler.firing import Firing
from service.engineering.steam.boiler.still_air import CONVECTION_SOURCE
from service.engineering.steam.wording import flow_text

PRACTICE = "common practice"

WASTEFUL_LOSS = 0.25
"""Part of the heat in the water that the shell may lose before lagging is wanted."""


def find_holding_faults(into_water: Band, loss: float) -> list[Finding]:
    """Whether the shell's loss eats the fire.

    Source: Heat balance; the limit is common practice.
    """
    if into_water.low <= loss:
        text = (
            f"If the fire is as poor as such fires can be ({into_water.low:.0f} W into the water),"
            f" the shell's loss of {loss:.0f} W leaves nothing for steam."
        )
        return [Finding("caution", "weak_fire", text, into_water.low, loss, "W", PRACTICE)]
    share = loss / into_water.likely
    if share > WASTEFUL_LOSS:
        text = f"The shell loses {loss:.0f} W, {share:.0%} of what reaches the water: lag it."
        return [Finding("caution", "wasteful_shell", text, share, WASTEFUL_LOSS, "1", PRACTICE)]
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
        level, code = "caution", "surface_small"
        text = (
            f"{flow_text(likely)} is more than the heating surface usually gives"
            f" ({flow_text(from_surface.low)} to {flow_text(from_surface.high)}):"
            " the efficiency is probably taken too high."
        )
    elif likely < from_surface.low:
        code = "fire_small"
        text = (
            f"{flow_text(likely)} is less than the heating surface could give"
            f" ({flow_text(from_surface.low)} at least): the fire is small for the boiler."
        )
    else:
        code = "surface_agrees"
        text = f"{flow_text(likely)} agrees with the heating surface."
    return [Finding(level, code, text, likely, from_surface.high, "kg/s", PRACTICE)]


def find_endurance_faults(water_time: float, firing: Firing) -> list[Finding]:
    """Which runs out first with the feed shut: water or fuel.

    Source: Common practice: without a feed pump the fuel should run out first.
    """
    fuel_time = firing.burning_time
    if fuel_time is not None and fuel_time <= water_time:
        text = (
            f"The fuel runs out first, after {fuel_time / 60:.0f} min; the water would last"
            f" about {water_time / 60:.0f} min."
        )
        return [Finding("ok", "fuel_first", text, fuel_time, water_time, "s", PRACTICE)]
    text = (
        f"With the feed shut the water reaches its lowest safe level after about"
        f" {water_time / 60:.0f} min, and the fire still burns: watch the glass or pump."
    )
    return [Finding("caution", "water_first", text, water_time, fuel_time, "s", PRACTICE)]


def write_boiler_workings(
    firing: Firing, steam: Saturation, *, loss: float, net: Band, heat: float, water: float
) -> tuple[Working, ...]:
    """The arithmetic of a boiler's supply."""
    sources = "; ".join(firing.sources) or "given"
    return (
        Working("Q_fire", "fuel rate x LHV, or power", firing.gross.likely, "W", sources),
        Working("eta", "part that reaches the water", firing.efficiency.likely, "1", sources),
        Working("Q_loss", "shell to still air", loss, "W", CONVECTION_SOURCE),
        Working("Q_net", "eta Q_fire - Q_loss", net.likely, "W", "heat balance"),
        Working("h_g - h_feed", "from feed water to dry steam", heat, "J/kg", PROPERTY_SOURCE),
        Working("m", "Q_net/(h_g - h_feed)", net.likely / heat, "kg/s", "heat balance"),
        Working("m_unfed", "Q_net/h_fg", net.likely / steam.latent_heat, "kg/s", "heat balance"),
        Working("M_w", "V rho_f between the levels", water, "kg", PROPERTY_SOURCE),
        Working("t_w", "M_w/m_unfed", water * steam.latent_heat / net.likely, "s", "heat balance"),
    )
