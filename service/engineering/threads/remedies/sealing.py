"""How a screwed joint is made tight, and how hot the means may get."""

from dataclasses import dataclass
from functools import cache
from typing import Annotated, Literal, cast

from service.engineering.constants import CELSIUS
from service.engineering.data_files import need_number, read_table
from service.engineering.errors import require
from service.engineering.findings import Finding, Level
from service.engineering.saying import name, say, temperature

Use = Literal["face", "thread", "taper", "permanent"]

COOLEST, HOTTEST = CELSIUS, 647.0  # what steam may be here, up to about the critical point [K]
MARGIN = 10.0  # how far under its limit a sealant is used [K]; judgement, from memory


@dataclass(frozen=True, slots=True)
class Sealant:
    """One means of sealing; temperatures in kelvin, gap in metres."""

    method: str
    use: Use
    hottest: float  # highest temperature in continuous steam
    gap: float | None  # widest diametral gap that it fills; None where that does not matter
    opens: bool  # whether the joint can be opened again
    source: str


@dataclass(frozen=True, slots=True)
class Sealing:
    """The means chosen for a joint, against the steam that it meets; temperatures in kelvin."""

    method: str
    temperature_limit: Annotated[float, "K"]
    steam_temperature: Annotated[float, "K"] | None
    """Saturation temperature at the working pressure; None when no pressure was given."""
    reversible: bool
    finding: Finding
    source: str


def choose_sealing(
    use: Use, *, steam_temperature: float | None = None, gap: float = 0.0
) -> Sealing:
    """Choose the first means of the table that stands the steam and fills the gap."""
    least, most = COOLEST, HOTTEST
    require(
        steam_temperature is None or least <= steam_temperature <= most,
        "steam_temperature",
        say("The steam must lie between ", temperature(least), " and ", temperature(most), "."),
    )
    require(gap >= 0, "gap", "The gap cannot be negative.")
    offered = [sealant for sealant in sealants() if sealant.use == use]
    filling = [sealant for sealant in offered if sealant.gap is None or gap <= sealant.gap]
    hot = CELSIUS if steam_temperature is None else steam_temperature
    standing = [sealant for sealant in filling if hot + MARGIN <= sealant.hottest]
    chosen = standing[0] if standing else max(offered, key=lambda sealant: sealant.hottest)
    return Sealing(
        method=chosen.method,
        temperature_limit=chosen.hottest,
        steam_temperature=steam_temperature,
        reversible=chosen.opens,
        finding=_judge(chosen, steam_temperature, is_sound=bool(standing)),
        source=chosen.source,
    )


def _judge(sealant: Sealant, steam_temperature: float | None, *, is_sound: bool) -> Finding:
    means, limit = name(sealant.method), temperature(sealant.hottest, "limit")
    steam = None if steam_temperature is None else temperature(steam_temperature, "steam")
    level: Level = "ok" if is_sound else "fail"
    code = "sealing-none"
    if is_sound:
        code = "sealing-sound" if steam else "sealing-unchecked"
        known = say(", the steam is ", steam, ".") if steam else ". No pressure was given."
        text = say("Seal with ", means, ": good to ", limit, known)
    elif steam:
        text = say(
            "No sealing of the table stands the steam, ", steam, ", and fills the gap; ",
            means, " is good to ", limit, ".",
        )  # fmt: skip
    else:
        text = say("No sealing of the table fills the gap; ", means, " comes nearest.")
    return Finding(level, code, text, steam_temperature, sealant.hottest, "K", sealant.source)


@cache
def sealants() -> tuple[Sealant, ...]:
    """Every means of the table."""
    return tuple(
        Sealant(
            method=row["method"],
            use=cast(Use, row["use"]),
            hottest=need_number(row, "hottest") + CELSIUS,
            gap=need_number(row, "gap", scale=1e-3) if row["gap"] else None,
            opens=row["life"] == "opens",
            source=row["source"],
        )
        for row in read_table("sealants.csv")
    )
