"""Two pictures of a running plant: supply and demand, and pressure from boiler to engine.

SVG text without colour and without script: lines are told apart by dashes, marks and names.
"""

from collections.abc import Callable, Sequence

from service.documents.chart_frame import (
    STROKES,
    Frame,
    Point,
    draw_area,
    draw_line,
    draw_mark,
    draw_path,
    draw_text,
    frame_picture,
    part_labels,
    widen_range,
)
from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Band
from service.engineering.saying import Figure, flow, pressure
from service.engineering.steam.network import PressureLine, Station, SupplyAndDemand
from service.quantities.wording import show_figure

COLUMN = 76.0
"""Width of one part in the picture of pressures."""

ROW = 20.0
"""Height of one line of the table under it."""


def draw_supply_and_demand(curves: SupplyAndDemand) -> str:
    """Steam the fire can raise and steam the engines draw, against boiler pressure.

    Where the curves cross, the plant settles. Bands are faint areas; the bar on the axis is the
    span in which the boiler may settle.
    """
    pressures = [_bar(pressure) for pressure in curves.pressures]
    supply = [band.scaled(60e3) for band in curves.supply]
    demand = [band.scaled(60e3) for band in curves.demand]
    most = max(band.high for band in (*supply, *demand))
    frame = Frame(70, 74, 600, 392, (0, pressures[-1]), (0, widen_range(0, most)[1]))
    parts = [
        draw_text((70, 24), f"Supply and demand: {curves.case}", anchor="start", size=15),
        *frame.draw_y_axis("steam, g/min"),
        *frame.draw_x_axis("pressure in the boiler, bar (gauge)"),
        *_draw_band(frame, pressures, demand, ""),
        *_draw_band(frame, pressures, supply, STROKES[1]),
        *_draw_limit(frame, curves.pressures[-1]),
        *_name_curves(frame, pressures[-1], supply=supply[-1].likely, demand=demand[-1].likely),
        *_draw_meeting(frame, curves),
    ]
    return frame_picture(parts, width=720, height=446, title=_describe_meeting(curves))


def draw_pressure_line(lines: Sequence[PressureLine], *, title: str = "") -> str:
    """Pressure after every part on the way from the boiler to each outlet.

    The trunk is drawn once; from the block each way has its own dashes and marks. Under the axis
    stands a table that names the parts, one row a way.
    """
    trunk = lines[0].trunk
    columns = len(trunk) + max(len(line.branch) for line in lines)
    right = 84 + COLUMN * columns
    pressures = [_bar(station.pressure) for line in lines for station in (*trunk, *line.branch)]
    low, high = min(pressures), max(pressures)
    spare = 0.06 * max(high - low, 0.05)
    frame = Frame(84, 44, right, 330, (0, columns), widen_range(low - spare, high + spare))
    parts = [
        draw_text((84, 24), title or "Pressure from boiler to engine", anchor="start", size=15),
        *frame.draw_y_axis("pressure, bar (gauge)"),
        draw_line((frame.left, frame.bottom), (frame.right, frame.bottom)),
        *_draw_trunk(frame, trunk),
        *(part for number, line in enumerate(lines) for part in _draw_branch(frame, line, number)),
        *_name_ways(frame, lines),
        *_draw_table(frame, lines),
    ]
    height = frame.bottom + ROW * (len(lines) + 1) + 28
    return frame_picture(parts, width=right + 150, height=height, title=_describe_ways(lines))


# Supply and demand


def _draw_band(
    frame: Frame, pressures: Sequence[float], bands: Sequence[Band], dash: str
) -> list[str]:
    rows = list(zip(pressures, bands, strict=True))
    low = [frame.place(x, band.low) for x, band in rows]
    likely = [frame.place(x, band.likely) for x, band in rows]
    high = [frame.place(x, band.high) for x, band in rows]
    parts = [draw_path(likely, width=2.2, dash=dash)]
    if any(band.low < band.high for band in bands):
        parts.append(draw_area((*low, *reversed(high)), opacity=0.1))
        parts += [draw_path(edge, width=0.7, dash=dash, opacity=0.6) for edge in (low, high)]
    return parts


def _draw_limit(frame: Frame, limit: float) -> list[str]:
    x, _ = frame.place(_bar(limit), 0)
    return [
        draw_line((x, frame.top - 6), (x, frame.bottom), dash=STROKES[3]),
        draw_text((x, frame.top - 12), f"limit {show_figure(pressure(limit))}"),
    ]


def _name_curves(frame: Frame, pressure: float, *, supply: float, demand: float) -> list[str]:
    heights = [frame.place(pressure, value)[1] for value in (supply, demand)]
    supply_at, demand_at = part_labels(heights, apart=34)
    x = frame.right + 13
    return [
        draw_text((x, supply_at), "supply", anchor="start", weight="bold"),
        draw_text((x, supply_at + 15), "(dashed)", anchor="start", size=11),
        draw_text((x, demand_at), "demand", anchor="start", weight="bold"),
        draw_text((x, demand_at + 15), "(solid)", anchor="start", size=11),
    ]


def _draw_meeting(frame: Frame, curves: SupplyAndDemand) -> list[str]:
    x = _bar(curves.meeting_pressure.likely)
    point = frame.place(x, curves.meeting_steam.likely * 60e3)
    foot = frame.place(x, 0)
    span = [
        (frame.place(_bar(value), 0)[0], frame.bottom - 4)
        for value in (curves.meeting_pressure.low, curves.meeting_pressure.high)
    ]
    parts = [draw_line(point, foot, width=1, dash=STROKES[2]), draw_mark(point, 0, size=5)]
    if span[0][0] < span[1][0]:
        parts.append(draw_path(span, width=5, opacity=0.55))
    key = (frame.left + 5, 41)
    text = _tell_meeting(curves)
    return [*parts, draw_mark(key, 0, size=5), draw_text((key[0] + 11, 46), text, anchor="start")]


def _tell_meeting(curves: SupplyAndDemand) -> str:
    verb = "settles at " if curves.heat_bound else "holds its limit, "
    settled, drawn = curves.meeting_pressure, curves.meeting_steam
    return f"{verb}{_tell_band(settled, pressure)} with {_tell_band(drawn, flow)}"


def _tell_band(band: Band, figure: Callable[[float], Figure]) -> str:
    likely, low, high = (show_figure(figure(one)) for one in (band.likely, band.low, band.high))
    return likely if low == high else f"{likely} ({low} to {high})"


def _describe_meeting(curves: SupplyAndDemand) -> str:
    return f"Supply and demand of steam, {curves.case}: the boiler {_tell_meeting(curves)}."


# Pressure from boiler to engine


def _draw_trunk(frame: Frame, trunk: Sequence[Station]) -> list[str]:
    points = [frame.place(x, _bar(station.pressure)) for x, station in enumerate(trunk)]
    block = points[-1]
    return [
        draw_path(points, width=2.4),
        *(draw_mark(point, 0, size=3.5) for point in points[:-1]),
        draw_line((block[0], frame.top), (block[0], frame.bottom), width=0.8, dash=STROKES[2]),
        draw_text((block[0], frame.top - 6), "block", size=12),
        draw_text((points[0][0] + 6, points[0][1] - 9), "boiler", anchor="start", size=12),
    ]


def _draw_branch(frame: Frame, line: PressureLine, number: int) -> list[str]:
    stations = (line.trunk[-1], *line.branch)
    first = len(line.trunk) - 1
    points = [
        frame.place(first + step, _bar(station.pressure)) for step, station in enumerate(stations)
    ]
    marks = [draw_mark(point, number, size=4) for point in points[1:]]
    return [draw_path(points, width=1.8, dash=STROKES[number % len(STROKES)]), *marks]


def _name_ways(frame: Frame, lines: Sequence[PressureLine]) -> list[str]:
    """Each way's name and final pressure at the right, kept from lying on one another."""
    ends = [_end_of(frame, line) for line in lines]
    heights = part_labels([y for _, y in ends], apart=32)
    parts = []
    for (x, y), height, line in zip(ends, heights, lines, strict=True):
        at = frame.right - COLUMN + 22
        parts.append(draw_line((x + 6, y), (at - 4, height - 2), width=0.6, opacity=0.6))
        parts.append(draw_text((at, height), line.outlet, anchor="start", weight="bold"))
        parts.append(draw_text((at, height + 15), _end_text(line), anchor="start", size=12))
    return parts


def _end_of(frame: Frame, line: PressureLine) -> Point:
    stations = (*line.trunk, *line.branch)
    return frame.place(len(stations) - 1, _bar(stations[-1].pressure))


def _end_text(line: PressureLine) -> str:
    text = show_figure(pressure((*line.trunk, *line.branch)[-1].pressure))
    return text if line.flows else f"{text}, stands"


def _draw_table(frame: Frame, lines: Sequence[PressureLine]) -> list[str]:
    """The parts by name, under the stretch of line that each costs."""
    y = frame.bottom + ROW
    parts = _draw_row(frame, "trunk", lines[0].trunk[1:], 0, y)
    for number, line in enumerate(lines):
        y += ROW
        parts.append(draw_mark((frame.left - 74, y - 4), number, size=4))
        parts += _draw_row(frame, line.outlet, line.branch, len(line.trunk) - 1, y)
    return parts


def _draw_row(
    frame: Frame, name: str, stations: Sequence[Station], first: int, y: float
) -> list[str]:
    shown = name if len(name) <= 18 else f"{name[:17]}…"
    parts = [draw_text((frame.left - 64, y), shown, anchor="start", size=11)]
    for step, station in enumerate(stations):
        x, _ = frame.place(first + step + 0.5, frame.y_range[0])
        parts.append(draw_text((x, y), station.name, size=11))
    return parts


def _describe_ways(lines: Sequence[PressureLine]) -> str:
    ends = ", ".join(f"{line.outlet} {_end_text(line)}" for line in lines)
    boiler = show_figure(pressure(lines[0].trunk[0].pressure))
    return f"Pressure from boiler ({boiler}) to {ends}."


def _bar(pressure: float) -> float:
    return (pressure - ATMOSPHERE) / 1e5
