"""What every calculation hands back beside its numbers: findings, workings and bands.

Units are SI and are named by one of `UNITS`; the floors above turn them into workshop units.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from service.engineering.saying import Said

Level = Literal["ok", "caution", "fail"]
SEVERITY: dict[Level, int] = {"fail": 0, "caution": 1, "ok": 2}

Unit = Literal[
    "m", "m2", "m3", "m3/kg", "Pa", "Pa gauge", "Pa difference", "Pa stress", "kg/s", "kg/s/m2",
    "kg", "W", "W/m", "J", "J/kg", "J/kg/K", "K", "K difference", "s", "1/s", "m/s", "rad", "N",
    "N m", "kg/m3", "Pa s", "1",
]  # fmt: skip
"""Unit names a working or finding may carry: "Pa" is absolute, "1" is a pure number."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One judgement: how bad, a stable code, one sentence as parts, the figures behind it.

    `value` and `limit` are in `unit`; the sentence carries figures of its own.
    """

    level: Level
    code: str
    text: Said
    value: float | None = None
    limit: float | None = None
    unit: Unit | None = None
    source: str | None = None


@dataclass(frozen=True, slots=True)
class Working:
    """One line of arithmetic: symbol and formula, the number it gave, and its source.

    Symbol and formula are typst mathematics, words in quotes. `source` is a standard, a handbook,
    "common practice" or "from memory".
    """

    symbol: str
    formula: str
    value: float
    unit: Unit
    source: str

    def about(self, name: str) -> "Working":
        """The line with the name of what it is about; marks that would end the name are changed."""
        return replace(self, symbol=f'{self.symbol} ("{name.translate(_MARKS)}")')


_MARKS = str.maketrans({'"': "''", "\\": "/"})


@dataclass(frozen=True, slots=True)
class Band:
    """An estimate from soft inputs: the low, likely and high value of one quantity."""

    low: float
    likely: float
    high: float

    def scaled(self, factor: float) -> "Band":
        """The band with every value multiplied by `factor`."""
        return Band(self.low * factor, self.likely * factor, self.high * factor)

    def __add__(self, other: "Band") -> "Band":
        return Band(self.low + other.low, self.likely + other.likely, self.high + other.high)


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings ordered fail, caution, ok; within a level in the order found."""
    found = tuple(findings)
    return tuple([each for level in SEVERITY for each in found if each.level == level])


def worst_level(findings: Iterable[Finding]) -> Level:
    """The most severe level among the findings; "ok" when there are none."""
    levels = {finding.level for finding in findings}
    return "fail" if "fail" in levels else "caution" if "caution" in levels else "ok"
