"""The water space of a boiler shell: how much water stands between two levels of the glass."""

from dataclasses import dataclass
from math import acos, pi, sqrt
from typing import Annotated, Literal

from service.engineering.errors import require
from service.engineering.given import given, require_given

Lie = Literal["horizontal", "vertical"]


@dataclass(frozen=True, slots=True)
class Shell:
    """A plain cylindrical shell, inside dimensions; levels are measured from its lowest point."""

    lie: Lie = given("horizontal")  # whether the axis is horizontal or vertical
    diameter: Annotated[float, "m"] = given("100 mm", least=0.01, most=2.0)  # inside diameter
    length: Annotated[float, "m"] = given("200 mm", least=0.01, most=5.0)  # inside length or height
    displaced: float = given(0.1, default=0.0, least=0.0, most=0.9)
    """Part of the space between the levels that tubes and flues take."""

    def __post_init__(self) -> None:
        require_given(self)

    @property
    def height(self) -> float:
        """Highest level the shell can hold [m]."""
        return self.diameter if self.lie == "horizontal" else self.length

    @property
    def volume(self) -> float:
        """Whole volume of the shell, tubes not taken off [m3]."""
        return pi / 4 * self.diameter**2 * self.length

    @property
    def surface(self) -> float:
        """Whole surface, both ends included [m2]."""
        return pi * self.diameter * (self.length + self.diameter / 2)


def find_water_between(shell: Shell, *, low: float, high: float) -> float:
    """Volume of water between two levels of the gauge glass.

    shell: the shell.
    low: lower level above the shell's lowest point [m].
    high: upper level above the shell's lowest point [m].
    Returns: volume, tubes and flues taken off [m3].
    Raises OutOfRange: if the levels are out of order or outside the shell.
    Source: Area of a circular segment (geometry).
    """
    require(0 <= low < high, "low", "The low level must be below the high one.")
    require(high <= shell.height, "high", "The high level is above the top of the shell.")
    if shell.lie == "vertical":
        space = pi / 4 * shell.diameter**2 * (high - low)
    else:
        radius = shell.diameter / 2
        space = shell.length * (_segment_area(radius, high) - _segment_area(radius, low))
    return space * (1 - shell.displaced)


def _segment_area(radius: float, depth: float) -> float:
    rest = radius - depth
    return radius**2 * acos(rest / radius) - rest * sqrt(max(2 * radius * depth - depth**2, 0.0))
