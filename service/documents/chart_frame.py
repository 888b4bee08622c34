"""The frame of a drawn chart: scales, ticks, labels, and strokes that tell lines apart in print.

Everything is drawn in `currentColor` on nothing, so that a page in the dark or on paper decides.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from math import floor, log10

Point = tuple[float, float]

FONT = "font-family=\"'Liberation Sans', 'DejaVu Sans', Arial, sans-serif\""

STROKES = ("", "9 4", "2 3", "12 3 2 3", "5 2 1 2 1 2")
"""Dash patterns, the plainest first: they part lines where colour cannot."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A plotting area in pixels, and the ranges it shows."""

    left: float
    top: float
    right: float
    bottom: float
    x_range: tuple[float, float]
    y_range: tuple[float, float]

    def place(self, x: float, y: float) -> Point:
        """Where a value stands on the sheet."""
        (x_low, x_high), (y_low, y_high) = self.x_range, self.y_range
        return (
            self.left + (x - x_low) / (x_high - x_low) * (self.right - self.left),
            self.bottom - (y - y_low) / (y_high - y_low) * (self.bottom - self.top),
        )

    def draw_y_axis(self, label: str) -> list[str]:
        """Left edge, ticks with thin rules across, and the label along the edge."""
        parts = [draw_line((self.left, self.top), (self.left, self.bottom))]
        for value, text in find_ticks(*self.y_range):
            _, y = self.place(self.x_range[0], value)
            parts.append(draw_line((self.left, y), (self.right, y), width=0.5, opacity=0.25))
            parts.append(draw_text((self.left - 7, y + 4), text, anchor="end"))
        middle = (self.top + self.bottom) / 2
        parts.append(draw_text((self.left - 48, middle), label, turn=-90))
        return parts

    def draw_x_axis(self, label: str) -> list[str]:
        """Bottom edge, ticks, and the label below."""
        parts = [draw_line((self.left, self.bottom), (self.right, self.bottom))]
        for value, text in find_ticks(*self.x_range):
            x, _ = self.place(value, self.y_range[0])
            parts.append(draw_line((x, self.bottom), (x, self.bottom + 5)))
            parts.append(draw_text((x, self.bottom + 19), text))
        parts.append(draw_text(((self.left + self.right) / 2, self.bottom + 40), label))
        return parts


def find_ticks(low: float, high: float) -> tuple[tuple[float, str], ...]:
    """Round values between two ends, some five of them, each as the axis writes it."""
    step = _round_step((high - low) / 5)
    places = max(0, -floor(log10(step)))
    values = ((floor(low / step) + count) * step for count in range(20))
    inside = (value for value in values if low - step / 1e6 <= value <= high + step / 1e6)
    return tuple((value, f"{value:.{places}f}") for value in inside)


def widen_range(low: float, high: float) -> tuple[float, float]:
    """The range grown to round values at both ends."""
    step = _round_step(max(high - low, 1e-6) / 5)
    return floor(low / step) * step, -floor(-high / step) * step


def draw_line(
    start: Point, end: Point, *, width: float = 1.0, dash: str = "", opacity: float = 1.0
) -> str:
    """A straight line."""
    return draw_path((start, end), width=width, dash=dash, opacity=opacity)


def draw_path(
    points: Iterable[Point], *, width: float = 1.5, dash: str = "", opacity: float = 1.0
) -> str:
    """A line through points."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    faint = f' stroke-opacity="{opacity}"' if opacity < 1 else ""
    return (
        f'<polyline points="{_points_text(points)}" fill="none" stroke="currentColor"'
        f' stroke-width="{width}" stroke-linejoin="round"{dashed}{faint}/>'
    )


def draw_area(points: Iterable[Point], *, opacity: float) -> str:
    """A faint area without an edge."""
    return (
        f'<polygon points="{_points_text(points)}" fill="currentColor"'
        f' fill-opacity="{opacity}" stroke="none"/>'
    )


def draw_text(
    at: Point,
    text: str,
    *,
    anchor: str = "middle",
    size: float = 13,
    turn: float = 0,
    weight: str = "",
) -> str:
    """A line of text; `turn` in degrees."""
    x, y = at
    turned = f' transform="rotate({turn:g} {x:.1f} {y:.1f})"' if turn else ""
    heavy = f' font-weight="{weight}"' if weight else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size:g}"'
        f' fill="currentColor"{heavy}{turned}>{escape(text)}</text>'
    )


def draw_mark(at: Point, kind: int, *, size: float = 4.5) -> str:
    """A small mark, told from others by its shape: disc, square, triangle, diamond, ring."""
    x, y = at
    if kind % 5 in (0, 4):
        inside = "currentColor" if kind % 5 == 0 else "none"
        return (
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size:g}" fill="{inside}"'
            ' stroke="currentColor" stroke-width="1.5"/>'
        )
    corners = {
        1: ((-1, -1), (1, -1), (1, 1), (-1, 1)),
        2: ((0, -1.2), (1.15, 0.9), (-1.15, 0.9)),
        3: ((0, -1.4), (1.4, 0), (0, 1.4), (-1.4, 0)),
    }[kind % 5]
    points = _points_text((x + size * across, y + size * down) for across, down in corners)
    return f'<polygon points="{points}" fill="currentColor"/>'


def frame_picture(parts: Sequence[str], *, width: float, height: float, title: str) -> str:
    """The finished SVG text."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}"'
        f' role="img" aria-label="{escape(title)}" {FONT}>'
        f"<title>{escape(title)}</title>{''.join(parts)}</svg>"
    )


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


def _round_step(rough: float) -> float:
    """1, 2 or 5 times a power of ten, not below the rough step."""
    power = 10.0 ** floor(log10(rough))
    return next(power * times for times in (1, 2, 5, 10) if power * times >= rough * (1 - 1e-9))


def _points_text(points: Iterable[Point]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
