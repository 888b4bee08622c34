"""The water space of a boiler shell: how much water stands between two levels of the glass."""

from dataclasses import dataclass
from math import acos, pi, sqrt
from typing import Literal

from service.engineering.errors import require

Lie = Literal["horizontal", "vertical"]


@dataclass(frozen=True, slots=True)
class Shell:
    """A plain cylindrical shell, inside dimensions; levels are measured from its lowest point."""

    lie: Lie
    """Whether the axis is horizontal or vertical."""
    diameter: float
    """Inside diameter [m], 10 mm to 2 m."""
    length: float
    """Inside length or height [m], 10 mm to 5 m."""
    displaced: float = 0.0
    """Part of the space between the levels that tubes and flues take, 0 to 0.9."""

    def __post_init__(self) -> None:
        require(self.lie in ("horizontal", "vertical"), "lie", "A shell lies or stands.")
        require(0.01 <= self.diameter <= 2, "diameter", "Diameter must be 10 mm to 2 m.")
        require(0.01 <= self.length <= 5, "length", "Length must be 10 mm to 5 m.")
        require(0 <= self.displaced <= 0.9, "displaced", "Tubes may take 0 to 0.9 of the space.")

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

    Parameters
    ----------
    shell : Shell
        The shell.
    low : float
        Lower level above the shell's lowest point [m].
    high : float
        Upper level above the shell's lowest point [m].

    Returns
    -------
    float
        Volume, tubes and flues taken off [m3].

    Raises
    ------
    OutOfRange
        If the levels are out of order or outside the shell.

    Source
    ------
    Area of a circular segment (geometry).
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
