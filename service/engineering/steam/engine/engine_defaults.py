"""What to assume of an engine nobody has measured: condensation and diagram factor by its bore."""

from functools import cache
from itertools import pairwise
from math import log
from typing import Literal

from service.engineering.data_files import read_table
from service.engineering.findings import Band

Acting = Literal["single", "double"]

CONDENSATION_SOURCE = "inference from full-size missing quantity; common practice"
DIAGRAM_FACTOR_SOURCE = "common practice for miniature engines"


@cache
def find_condensation(bore: float) -> Band:
    """Steam lost to wet walls and leakage, as a part of the indicated steam, by size of bore.

    Nobody publishes the steam rate of engines below 15 mm bore: the band is wide, and is held at
    its end values outside 8 to 50 mm.

    Source: Inference: missing quantity of 25 to 60 % of all steam in full-size engines
    (textbook of mechanical engineering), grown with surface over volume; common practice.
    """
    rows = read_table("engine_condensation.csv")
    bores = [float(row["bore_mm"]) / 1e3 for row in rows]
    return Band(
        *(
            _interpolate(bore, bores, [float(row[column]) for row in rows])
            for column in ("low", "likely", "high")
        )
    )


@cache
def find_diagram_factor(bore: float, acting: Acting) -> float:
    """Actual over ideal mean effective pressure, by size of bore; held outside 8 to 50 mm.

    Source: Common practice: 0.6 to 0.75 for small oscillating engines, 0.7 to 0.8 for small
    slide valves.
    """
    rows = [row for row in read_table("engine_diagram_factors.csv") if row["acting"] == acting]
    bores = [float(row["bore_mm"]) / 1e3 for row in rows]
    return _interpolate(bore, bores, [float(row["factor"]) for row in rows])


@cache
def table_limits() -> tuple[float, float]:
    """Smallest and largest bore for which the condensation table speaks."""
    bores = [float(row["bore_mm"]) / 1e3 for row in read_table("engine_condensation.csv")]
    return bores[0], bores[-1]


def _interpolate(bore: float, bores: list[float], values: list[float]) -> float:
    """Straight line on the logarithm of the bore, held at both ends."""
    if bore <= bores[0]:
        return values[0]
    for (left, right), (low, high) in zip(pairwise(bores), pairwise(values), strict=True):
        if bore <= right:
            return low + (high - low) * log(bore / left) / log(right / left)
    return values[-1]
