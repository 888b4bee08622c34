"""Twist drills: the fraction, number, letter and metric sizes."""

from bisect import bisect
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Annotated, Literal, cast

from service.engineering.data_files import need_number, read_table, read_unit
from service.engineering.errors import UnknownDrill, require

Series = Literal["fraction", "number", "letter", "metric"]


@dataclass(frozen=True, slots=True)
class Drill:
    """One size of twist drill; the diameter in metres."""

    name: str
    diameter: Annotated[float, "m"]
    series: Series


@cache
def all_drills() -> tuple[Drill, ...]:
    """Every drill of the four series, by rising diameter.

    Returns: fractions of an inch, numbers, letters and metric sizes; diameters [m].
    Source: Twist drill gauge and letter sizes (Machinery's Handbook); ISO 235 for the metric
        steps.
    """
    drills = [
        Drill(
            name=row["name"],
            diameter=need_number(row, "diameter", scale=read_unit(row)),
            series=cast(Series, row["series"]),
        )
        for row in read_table("drills.csv")
    ]
    return tuple(sorted(drills, key=lambda drill: drill.diameter))


def find_drill(name: str) -> Drill:
    """Look a drill up by name.

    name: `7/32 in`, `No. 30`, `letter Q` or `5.6 mm`.
    Returns: the drill; diameter [m].
    Raises UnknownDrill: no series has it; names the nearest.
    Source: As `all_drills`.
    """
    drills = _drills_by_name()
    if name in drills:
        return drills[name]
    raise UnknownDrill(name, tuple(get_close_matches(name[:60], drills, n=3, cutoff=0.5)))


def nearest_drill(diameter: float, *, drills: Iterable[Drill] | None = None) -> Drill:
    """The drill nearest a diameter; of two equally near, the larger.

    diameter: hole wanted [m], above 0.
    drills: the drills on hand; None for every size there is.
    Returns: the nearest; diameter [m].
    Raises OutOfRange: a diameter that is not above 0, or no drills.
    Source: Geometry.
    """
    require(diameter > 0, "diameter", "The diameter must be above 0.")
    place = bisect(all_drills(), diameter, key=lambda drill: drill.diameter)
    around = slice(max(place - 3, 0), place + 3)  # where the nearest of the full range must be
    on_hand = all_drills()[around] if drills is None else tuple(drills)
    require(bool(on_hand), "drills", "There are no drills to choose from.")
    return min(on_hand, key=lambda drill: (abs(drill.diameter - diameter), -drill.diameter))


@cache
def _drills_by_name() -> dict[str, Drill]:
    return {drill.name: drill for drill in all_drills()}
