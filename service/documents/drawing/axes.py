"""The axes of a chart: scales, ticks, labels, and marks told apart by their shape."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, floor, log10, pi, sin

from service.documents.drawing.sheet import Pen, Point, Sheet

SHAPES: tuple[tuple[Point, ...], ...] = (
    tuple((cos(pi * step / 12), sin(pi * step / 12)) for step in range(24)),
    ((-1, -1), (1, -1), (1, 1), (-1, 1)),
    ((0, 1.2), (1.15, -0.9), (-1.15, -0.9)),
    ((0, 1.4), (1.4, 0), (0, -1.4), (-1.4, 0)),
)
"""Disc, square, triangle, lozenge; a ring follows them."""


@dataclass(frozen=True, slots=True)
class Axes:
    """A plotting area on a sheet [mm], and the ranges it shows."""

    left: float
    bottom: float
    right: float
    top: float
    x_range: tuple[float, float]
    y_range: tuple[float, float]

    def place(self, x: float, y: float) -> Point:
        """Where a value stands on the sheet."""
        (x_low, x_high), (y_low, y_high) = self.x_range, self.y_range
        return (
            self.left + (x - x_low) / (x_high - x_low) * (self.right - self.left),
            self.bottom + (y - y_low) / (y_high - y_low) * (self.top - self.bottom),
        )

    def draw_y(self, sheet: Sheet, label: str) -> None:
        """Left edge, ticks with thin rules across, and the label over it."""
        sheet.line(Pen.THIN, (self.left, self.top), (self.left, self.bottom))
        for value, text in find_ticks(*self.y_range):
            _, y = self.place(self.x_range[0], value)
            sheet.line(Pen.HATCH, (self.left - 1.2, y), (self.right, y))
            sheet.letter(text, (self.left - 2.0, y - 1.2), anchor="end")
        sheet.letter(label, (self.left - 14.0, (self.top + self.bottom) / 2), anchor="middle",
                     turn=90.0)  # fmt: skip

    def draw_x(self, sheet: Sheet, label: str) -> None:
        """Bottom edge, ticks, and the label below."""
        sheet.line(Pen.THIN, (self.left, self.bottom), (self.right, self.bottom))
        for value, text in find_ticks(*self.x_range):
            x, _ = self.place(value, self.y_range[0])
            sheet.line(Pen.THIN, (x, self.bottom), (x, self.bottom - 1.2))
            sheet.letter(text, (x, self.bottom - 4.8), anchor="middle")
        middle = (self.left + self.right) / 2
        sheet.letter(label, (middle, self.bottom - 10.0), anchor="middle")


def find_ticks(low: float, high: float) -> tuple[tuple[float, str], ...]:
    """Round values between two ends, some five of them, each as the axis writes it."""
    step = round_step((high - low) / 5)
    places = max(0, -floor(log10(step)))
    values = ((floor(low / step) + count) * step for count in range(20))
    inside = (value for value in values if low - step / 1e6 <= value <= high + step / 1e6)
    return tuple((value, f"{value:.{places}f}") for value in inside)


def widen_range(low: float, high: float) -> tuple[float, float]:
    """The range grown to round values at both ends."""
    step = round_step(max(high - low, 1e-6) / 5)
    return floor(low / step) * step, -floor(-high / step) * step


def round_step(rough: float) -> float:
    """1, 2 or 5 times a power of ten, not below the rough step."""
    power = 10.0 ** floor(log10(rough))
    return next(power * times for times in (1, 2, 5, 10) if power * times >= rough * (1 - 1e-9))


def draw_marker(sheet: Sheet, at: Point, kind: int, *, size: float = 1.0) -> None:
    """A small mark, told from others by its shape."""
    if (shape := kind % (len(SHAPES) + 1)) == len(SHAPES):
        sheet.arc(Pen.THIN, at, size)
    else:
        sheet.fill(*((at[0] + size * across, at[1] + size * up) for across, up in SHAPES[shape]))


def part_labels(heights: Sequence[float], *, apart: float) -> tuple[float, ...]:
    """Heights moved as little as keeps labels `apart`, in the order given."""
    order = sorted(range(len(heights)), key=heights.__getitem__)
    moved = [0.0] * len(heights)
    for rank, index in enumerate(order):
        lowest = moved[order[rank - 1]] + apart if rank else heights[index]
        moved[index] = max(heights[index], lowest)
    if not order:
        return ()
    excess = (moved[order[-1]] - heights[order[-1]]) / 2
    return tuple(height - excess for height in moved)
