"""Two pictures of a running plant: supply and demand, and pressure from boiler to engine.

Lines are told apart by dashes, marks and names; nothing by colour.
"""

from collections.abc import Sequence

from service.documents.drawing.axes import Axes, draw_marker, part_labels, widen_range
from service.documents.drawing.sheet import WAYS, Hatching, Pen, Point, Sheet
from service.engineering.findings import Band
from service.engineering.saying import Figure, FigureKind
from service.engineering.steam.network import PressureLine, Station, SupplyAndDemand
from service.quantities.wording import Measure, convert_figure, show_figure

COLUMN, FIRST_COLUMN = 27.0, 44.0
"""Width of one part in the picture of pressures, and of the names before them [mm]."""

NAMES = 56.0  # room for the names of curves and ways at the right [mm]

ROW, BESIDE = 5.0, 2.0  # height of a line of the table, white beside its words [mm]

SMALL, TITLE = 2.0, 3.0  # heights of lettering beside the usual one [mm]

SUPPLY, DEMAND = Pen.DASHED, Pen.OUTLINE


def draw_supply_and_demand(curves: SupplyAndDemand, *, measure: Measure = Measure.METRIC) -> Sheet:
    """Steam the fire can raise and steam the engines draw, against boiler pressure.

    Where the curves cross, the plant settles. Bands are hatched; the bar on the axis is the span
    in which the boiler may settle.
    """
    meeting = _meeting_texts(curves, measure)
    about = f"Supply and demand of steam, {curves.case}: the boiler {' '.join(meeting)}."
    sheet = Sheet(180.0, 118.0, title=about, measure=measure, on_screen=True)
    pressures = [_plot("pressure", pressure, sheet) for pressure in curves.pressures]
    supply, demand = ([_plot_band(band, sheet) for band in bands]
                      for bands in (curves.supply, curves.demand))  # fmt: skip
    most = max(band.high for band in (*supply, *demand))
    axes = Axes(18.0, 14.0, 152.0, 92.0, (0, pressures[-1]), (0, widen_range(0, most)[1]))
    title = f"Supply and demand: {curves.case}"
    sheet.letter(title, (18.0, 112.0), height=TITLE, room=sheet.width - 18.0 - BESIDE)
    axes.draw_y(sheet, f"steam, {_unit('flow', measure)}")
    axes.draw_x(sheet, f"pressure in the boiler, {_unit('pressure', measure)} (gauge)")
    _draw_band(sheet, axes, pressures, demand, DEMAND)
    _draw_band(sheet, axes, pressures, supply, SUPPLY)
    _draw_limit(sheet, axes, curves.pressures[-1])
    _name_curves(sheet, axes, supply=supply[-1].likely, demand=demand[-1].likely)
    _draw_meeting(sheet, axes, curves)
    draw_marker(sheet, (19.0, 106.8), 0, size=1.2)
    for row, words in enumerate(meeting):
        sheet.letter(words, (22.0, 105.6 - row * 4.4))
    return sheet


def draw_pressure_line(
    lines: Sequence[PressureLine], *, title: str = "", measure: Measure = Measure.METRIC
) -> Sheet:
    """Pressure after every part on the way from the boiler to each outlet.

    The trunk is drawn once; from the block each way has its own dashes and marks. Under the axis
    stands a table that names the parts, one row a way.
    """
    trunk = lines[0].trunk
    columns = len(trunk) + max(len(line.branch) for line in lines) - 1
    foot = ROW * (len(lines) + 1) + 4.0
    right = FIRST_COLUMN + COLUMN * columns
    sheet = Sheet(right + NAMES, foot + 84.0, title=_describe_ways(lines, measure),
                  measure=measure, on_screen=True)  # fmt: skip
    pressures = [
        _plot("pressure", station.pressure, sheet)
        for line in lines
        for station in (*trunk, *line.branch)
    ]
    low, high = min(pressures), max(pressures)
    spare = 0.06 * max(high - low, 0.05)
    reach = widen_range(low - spare, high + spare)
    axes = Axes(FIRST_COLUMN, foot, right, foot + 72.0, (0, columns), reach)
    title = title or "Pressure from boiler to engine"
    sheet.letter(title, (BESIDE, foot + 79.0), height=TITLE, room=sheet.width - 2 * BESIDE)
    axes.draw_y(sheet, f"pressure, {_unit('pressure', measure)} (gauge)")
    sheet.line(Pen.THIN, (axes.left, axes.bottom), (axes.right, axes.bottom))
    _draw_trunk(sheet, axes, trunk)
    for number, line in enumerate(lines):
        _draw_branch(sheet, axes, line, number)
    _name_ways(sheet, axes, lines)
    _draw_table(sheet, axes, lines)
    return sheet


def _plot(kind: FigureKind, value: float, sheet: Sheet) -> float:
    return convert_figure(Figure(kind, value), sheet.measure)[0]


def _plot_band(band: Band, sheet: Sheet) -> Band:
    return Band(*(_plot("flow", value, sheet) for value in (band.low, band.likely, band.high)))


def _unit(kind: FigureKind, measure: Measure) -> str:
    return convert_figure(Figure(kind, 1.0), measure)[1]


def _show_band(kind: FigureKind, band: Band, measure: Measure) -> str:
    """`2 bar (1.5 bar to 3 bar)`, the likely one alone where all read the same."""
    low, likely, high = (
        show_figure(Figure(kind, value), measure) for value in (band.low, band.likely, band.high)
    )
    return likely if low == high else f"{likely} ({low} to {high})"


# Supply and demand


def _draw_band(
    sheet: Sheet, axes: Axes, pressures: Sequence[float], bands: Sequence[Band], pen: Pen
) -> None:
    low, likely, high = (
        [axes.place(x, value) for x, value in zip(pressures, values, strict=True)]
        for values in zip(*((band.low, band.likely, band.high) for band in bands), strict=True)
    )
    sheet.line(pen, *likely)
    if low != high:
        slope = 45.0 if pen is SUPPLY else -45.0
        sheet.marks.append(Hatching((*low, *reversed(high)), gap=2.4, slope=slope))
        for edge in (low, high):
            sheet.line(Pen.HATCH, *edge)


def _draw_limit(sheet: Sheet, axes: Axes, limit: float) -> None:
    x, text = axes.right, show_figure(Figure("pressure", limit), sheet.measure)
    sheet.line(Pen.CHAINED, (x, axes.bottom), (x, axes.top + 1.5))
    sheet.letter(f"limit {text}", (x, axes.top + 2.6), anchor="end")


def _name_curves(sheet: Sheet, axes: Axes, *, supply: float, demand: float) -> None:
    heights = [axes.place(0, value)[1] for value in (supply, demand)]
    names = (("supply", "(dashed)"), ("demand", "(solid)"))
    for words, y in zip(names, part_labels(heights, apart=8.5), strict=True):
        sheet.letter(words[0], (axes.right + 3.0, y))
        sheet.letter(words[1], (axes.right + 3.0, y - 3.4), height=SMALL)


def _draw_meeting(sheet: Sheet, axes: Axes, curves: SupplyAndDemand) -> None:
    pressure, steam = curves.meeting_pressure, curves.meeting_steam.likely
    x = _plot("pressure", pressure.likely, sheet)
    point = axes.place(x, _plot("flow", steam, sheet))
    sheet.line(Pen.HIDDEN, point, axes.place(x, 0))
    draw_marker(sheet, point, 0, size=1.2)
    start, end = (axes.place(_plot("pressure", value, sheet), 0)[0]
                  for value in (pressure.low, pressure.high))  # fmt: skip
    if start < end:
        low, high = axes.bottom + 0.4, axes.bottom + 1.6
        sheet.fill((start, low), (end, low), (end, high), (start, high))


def _meeting_texts(curves: SupplyAndDemand, measure: Measure) -> tuple[str, str]:
    verb = "settles at" if curves.heat_bound else "holds its limit,"
    return (
        f"{verb} {_show_band('pressure', curves.meeting_pressure, measure)}",
        f"with {_show_band('flow', curves.meeting_steam, measure)}",
    )


# Pressure from boiler to engine


def _draw_trunk(sheet: Sheet, axes: Axes, trunk: Sequence[Station]) -> None:
    points = _place_stations(sheet, axes, trunk, first=0)
    sheet.line(Pen.OUTLINE, *points)
    for point in points[:-1]:
        draw_marker(sheet, point, 0, size=0.9)
    x = points[-1][0]
    sheet.line(Pen.HIDDEN, (x, axes.bottom), (x, axes.top))
    sheet.letter("block", (x, axes.top + 1.5), anchor="middle")
    sheet.letter("boiler", (points[0][0] + 1.5, points[0][1] + 2.2))


def _draw_branch(sheet: Sheet, axes: Axes, line: PressureLine, number: int) -> None:
    first = len(line.trunk) - 1
    points = _place_stations(sheet, axes, (line.trunk[-1], *line.branch), first=first)
    sheet.line(WAYS[number % len(WAYS)], *points)
    for point in points[1:]:
        draw_marker(sheet, point, number)


def _place_stations(
    sheet: Sheet, axes: Axes, stations: Sequence[Station], *, first: int
) -> list[Point]:
    pressures = (_plot("pressure", station.pressure, sheet) for station in stations)
    return [axes.place(first + step, pressure) for step, pressure in enumerate(pressures)]


def _name_ways(sheet: Sheet, axes: Axes, lines: Sequence[PressureLine]) -> None:
    """Each way's name and final pressure at the right, kept from lying on one another."""
    ends = [_place_stations(sheet, axes, line.branch, first=len(line.trunk))[-1] for line in lines]
    at = axes.right + 7.0
    heights = part_labels([y for _, y in ends], apart=8.5)
    for (x, y), height, line in zip(ends, heights, lines, strict=True):
        sheet.line(Pen.HATCH, (x + 1.5, y), (at - 1.0, height))
        sheet.letter(line.outlet, (at, height), room=NAMES - 7.0 - BESIDE)
        sheet.letter(_end_text(line, sheet.measure), (at, height - 3.4), height=SMALL)


def _end_text(line: PressureLine, measure: Measure) -> str:
    text = show_figure(Figure("pressure", line.branch[-1].pressure), measure)
    return text if line.flows else f"{text}, stands"


def _draw_table(sheet: Sheet, axes: Axes, lines: Sequence[PressureLine]) -> None:
    """The parts by name, under the stretch of line that each costs."""
    y = axes.bottom - ROW
    _draw_row(sheet, axes, "trunk", lines[0].trunk[1:], first=0, y=y)
    for number, line in enumerate(lines):
        y -= ROW
        draw_marker(sheet, (BESIDE + 1.0, y + 1.0), number)
        _draw_row(sheet, axes, line.outlet, line.branch, first=len(line.trunk) - 1, y=y)


def _draw_row(
    sheet: Sheet, axes: Axes, name: str, stations: Sequence[Station], *, first: int, y: float
) -> None:
    left = 2 * BESIDE + 1.0
    sheet.letter(name, (left, y), height=SMALL, room=FIRST_COLUMN - left - 1.0)
    for step, station in enumerate(stations):
        x, _ = axes.place(first + step + 0.5, axes.y_range[0])
        sheet.letter(station.name, (x, y), height=SMALL, anchor="middle", room=COLUMN - 1.0)


def _describe_ways(lines: Sequence[PressureLine], measure: Measure) -> str:
    boiler = show_figure(Figure("pressure", lines[0].trunk[0].pressure), measure)
    ends = ", ".join(f"{line.outlet} {_end_text(line, measure)}" for line in lines)
    return f"Pressure from boiler ({boiler}) to {ends}."
