"""How a screwed joint is made tight, and how hot the means may get."""

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from service.engineering.constants import CELSIUS
from service.engineering.data_files import need_number, read_table
from service.engineering.errors import require
from service.engineering.findings import Finding

Use = Literal["face", "thread", "taper", "permanent"]

MARGIN = 10.0
"""How far under its limit a sealant is used [K]; judgement, from memory."""


@dataclass(frozen=True, slots=True)
class Sealant:
    """One means of sealing; temperatures in kelvin, gap in metres."""

    method: str
    use: Use
    hottest: float
    """Highest temperature in continuous steam."""
    gap: float | None
    """Widest diametral gap that it fills; None where that does not matter."""
    opens: bool
    """Whether the joint can be opened again."""
    source: str


@dataclass(frozen=True, slots=True)
class Sealing:
    """The means chosen for a joint, against the steam that it meets; temperatures in kelvin."""

    method: str
    temperature_limit: float
    steam_temperature: float | None
    """Saturation temperature at the working pressure; None when no pressure was given."""
    reversible: bool
    finding: Finding
    source: str


def choose_sealing(
    use: Use, *, steam_temperature: float | None = None, gap: float = 0.0
) -> Sealing:
    """Choose the first means of the table that stands the steam and fills the gap."""
    require(
        steam_temperature is None or CELSIUS <= steam_temperature <= 647,
        "steam_temperature",
        "The steam temperature must lie between 0 and 374 degC.",
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


def sealants() -> tuple[Sealant, ...]:
    """Every means of the table."""
    return _read_sealants()


def _judge(sealant: Sealant, steam_temperature: float | None, *, is_sound: bool) -> Finding:
    limit = sealant.hottest - CELSIUS
    if not is_sound and steam_temperature is None:
        text = f"No sealing of the table fills the gap; {sealant.method} comes nearest."
        return _finding("fail", "sealing-none", text=text, sealant=sealant, value=None)
    if steam_temperature is None:
        text = f"Seal with {sealant.method}: good to {limit:.0f} degC. No pressure was given."
        return _finding("ok", "sealing-unchecked", text=text, sealant=sealant, value=None)
    steam = steam_temperature - CELSIUS
    if is_sound:
        text = f"Seal with {sealant.method}: good to {limit:.0f} degC, the steam is {steam:.0f}."
        return _finding("ok", "sealing-sound", text=text, sealant=sealant, value=steam_temperature)
    text = (
        f"No sealing of the table stands the steam, {steam:.0f} degC, and fills the gap; "
        f"{sealant.method} is good to {limit:.0f} degC."
    )
    return _finding("fail", "sealing-none", text=text, sealant=sealant, value=steam_temperature)


def _finding(
    level: Literal["ok", "fail"], code: str, *, text: str, sealant: Sealant, value: float | None
) -> Finding:
    return Finding(level, code, text, value, sealant.hottest, "K", sealant.source)


@cache
def _read_sealants() -> tuple[Sealant, ...]:
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
