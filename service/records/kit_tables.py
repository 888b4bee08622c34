"""The tables of the workshop's kit, read row by row: a wrong cell is named by line and column."""

import csv
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Literal, TypeVar

from service.engineering.block import stock_sections
from service.engineering.errors import EngineeringError
from service.engineering.kit import Bar, BarShape, Price, ThreadTools
from service.engineering.materials import materials
from service.engineering.threads.catalogue import (
    Drill,
    Thread,
    extended_catalogue,
    load_series,
    nearest_drill,
)
from service.engineering.threads.remedies import check_table_of_times, hexagon_bars
from service.quantities import Kind, QuantityError, parse, parse_drill
from service.quantities.designation_parts import split_hand
from service.quantities.designations import parse_thread
from service.quantities.wording import word
from service.settings import SettingsError

Value = TypeVar("Value")

HEADINGS = {
    "threads.csv": "designation,family,form,diameter,unit,pitch,threads_per_inch,source",
    "drills.csv": "drill",
    "taps-and-dies.csv": "thread,cuts",
    "shims.csv": "thickness",
    "stock.csv": "bar,metal,length",
    "prices.csv": "name,threads,kind,price,currency,supplier",
    "times.csv": "operation,minutes",
}
"""The files, and the heading line of each."""

SAME_DRILL = 5e-6  # how far a size may lie from a drill of the tables and still be that drill [m]
MOST_SHIMS = 24
THICKEST_SHIM = 5e-3
LONGEST_BAR = 10.0
MOST_PRICE = Decimal("100000")
CUTS = {"tap": (True, False), "die": (False, True), "both": (True, True)}
METALS = tuple(material.name for material in materials())

WANTED_BAR = "Write 5/8 in square, 20 mm round, 3/8 in hexagon or 15 x 20 mm."
THINNEST, THICKEST = 0.003, 0.2  # across [m]
_SHAPED = re.compile(r"(?P<size>.+) (?P<shape>square|round|hexagon)", re.IGNORECASE)
_RECTANGLE = re.compile(r"(?P<width>.+?) ?x ?(?P<height>.+?) ?(?P<unit>in|mm|\")", re.IGNORECASE)


class TableError(SettingsError):
    """A table of the workshop's own that cannot be read; the message says where and why."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row as it is written, and the line it stands on."""

    table: str
    line: int
    cells: dict[str, str]

    def read(self, column: str, reader: Callable[[str], Value]) -> Value:
        """What `reader` makes of a cell; its refusal is told with the cell's place."""
        with told_at(f"{self.table}, line {self.line}, column {column}"):
            return reader(self.cells[column])


@contextmanager
def told_at(place: str) -> Iterator[None]:
    """Turn a refusal into one that says where it stood."""
    try:
        yield
    except TableError:
        raise  # it says where already
    except (EngineeringError, QuantityError) as problem:
        raise TableError(f"{place}: {word(problem.message)}") from None
    except ValueError as problem:
        raise TableError(f"{place}: {problem}") from None


def read_rows(text: str, table: str) -> list[TableRow]:
    """The rows under the heading; lines that start with # are remarks."""
    if text and not text.endswith(("\n", "\r")):
        # Cut short in the middle of a cell, `5.6 mm` is `5.6 m` and `No. 30` is `No. 3`.
        raise TableError(f"{table}: its last line does not end, as if it were half saved; end it.")
    wanted = HEADINGS[table].split(",")
    written = [
        (number, line)
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not line.startswith("#")
    ]
    rows = list(csv.reader((line for _, line in written), skipinitialspace=True))
    if not rows or [cell.strip() for cell in rows[0]] != wanted:
        raise TableError(f"{table} must begin with the line {HEADINGS[table]}")
    if len(rows) != len(written):
        raise TableError(f"{table}: a cell may not run over several lines; close every quote.")
    return [
        _row(table, number, wanted, cells)
        for (number, _), cells in zip(written[1:], rows[1:], strict=True)
    ]


def _row(table: str, line: int, wanted: Sequence[str], cells: Sequence[str]) -> TableRow:
    if len(cells) != len(wanted):
        raise TableError(
            f"{table}, line {line}: {len(cells)} columns; it has {len(wanted)}: {HEADINGS[table]}"
        )
    stripped = (cell.strip() for cell in cells)
    return TableRow(table, line, dict(zip(wanted, stripped, strict=True)))


def read_threads(rows: list[TableRow]) -> tuple[Thread, ...]:
    """Threads beside the catalogue's, their designations new."""
    threads: list[Thread] = []
    for row in rows:
        place = f"{row.table}, line {row.line}"
        with told_at(place):
            try:
                threads += load_series(_series_of(row))
            except EngineeringError as problem:
                column = problem.field if problem.field in row.cells else "form"
                raise TableError(f"{place}, column {column}: {word(problem.message)}") from None
        with told_at(f"{place}, column designation"):
            extended_catalogue(threads)  # one that is taken is refused
    return tuple(threads)


def _series_of(row: TableRow) -> str:
    """The row as a series; a designation that says LH is that of a left-hand thread."""
    hand = split_hand(row.cells["designation"])[1]
    cells = ('"' + cell.replace('"', '""') + '"' for cell in (*row.cells.values(), hand))
    return f"{HEADINGS[row.table]},hand\n{','.join(cells)}\n"


def read_drills(rows: list[TableRow]) -> tuple[Drill, ...]:
    """The drills on hand."""
    return tuple(row.read("drill", _drill) for row in rows) or _refuse_empty("drills.csv")


def _drill(text: str) -> Drill:
    wanted = parse_drill(text).si
    if not wanted > 0:
        raise ValueError("A drill is above 0 in diameter.")
    drill = nearest_drill(wanted)
    if abs(drill.diameter - wanted) > SAME_DRILL:
        raise ValueError(f"No drill of the tables measures {text}; the nearest is {drill.name}.")
    return drill


def read_thread_tools(rows: list[TableRow], own: tuple[Thread, ...]) -> tuple[ThreadTools, ...]:
    """Taps and dies; a thread may stand twice, once for each."""
    tools = []
    for row in rows:
        thread = row.read("thread", lambda text: parse_thread(text, workshop_threads=own))
        tap, die = row.read("cuts", lambda text: CUTS[_one_of(text.lower(), tuple(CUTS))])
        tools.append(ThreadTools(thread, tap, die))
    return tuple(tools)


def read_shims(rows: list[TableRow]) -> tuple[float, ...]:
    """Thicknesses on hand [m]."""
    wanted = "A shim is above 0 and at most 5 mm thick."
    shim = partial(_length, most=THICKEST_SHIM, wanted=wanted)
    shims = tuple(row.read("thickness", shim) for row in rows)
    if len(set(shims)) > MOST_SHIMS:
        raise TableError(f"shims.csv: at most {MOST_SHIMS} thicknesses, please.")
    return shims or _refuse_empty("shims.csv")


def _length(text: str, *, most: float, wanted: str) -> float:
    length = parse(text, Kind.LENGTH).si
    if not 0 < length <= most:
        raise ValueError(wanted)
    return length


def read_stock(rows: list[TableRow]) -> tuple[Bar, ...]:
    """Bars on the rack."""
    bars = []
    wanted = "What is left of a bar is above 0 and at most 10 m long."
    left = partial(_length, most=LONGEST_BAR, wanted=wanted)
    for row in rows:
        metal = row.read("metal", lambda text: _one_of(text.lower(), METALS))
        length = row.read("length", left)
        bars.append(row.read("bar", partial(_bar, metal=metal, length=length)))
    return tuple(bars)


def _bar(text: str, *, metal: str, length: float) -> Bar:
    """Bar by a name of the tables, or by its shape and size."""
    name = " ".join(text.split())
    shape, width, height, unit = _of_the_tables(name) or _of_its_own_size(name)
    if not (min(width, height) >= THINNEST and max(width, height) <= THICKEST):
        raise ValueError("A bar is 3 to 200 mm across.")
    return Bar(name, shape, width, height, unit, metal, length)


Found = tuple[BarShape, float, float, Literal["in", "mm"]]


def _of_the_tables(name: str) -> Found | None:
    for section in stock_sections():
        if section.name.lower() == name.lower():
            return section.shape, section.width, section.height, section.unit
    for bar in hexagon_bars():
        if bar.name.lower() == name.lower():
            return "hexagon", bar.size, bar.size, _unit_of(name)
    return None


def _of_its_own_size(name: str) -> Found:
    if found := _SHAPED.fullmatch(name):
        size = parse(found["size"], Kind.LENGTH).si
        shape: BarShape = found["shape"].lower()  # type: ignore[assignment]
        return shape, size, size, _unit_of(found["size"])
    if found := _RECTANGLE.fullmatch(name):
        width, height = (
            parse(f"{found[side]} {found['unit']}", Kind.LENGTH).si for side in ("width", "height")
        )
        return "rectangle", width, height, _unit_of(name)
    raise ValueError(f"{name!r} is no bar. {WANTED_BAR}")


def _unit_of(text: str) -> Literal["in", "mm"]:
    return "mm" if "mm" in text.lower() else "in"


def read_prices(rows: list[TableRow], own: tuple[Thread, ...]) -> tuple[Price, ...]:
    """What bought fittings cost; each is named by its threads, its kind, or both."""
    prices = []
    for row in rows:
        threads = row.read("threads", lambda text: _designations(text, own))
        if not threads:
            row.read("kind", lambda text: _filled(text, "a kind, or else threads"))
        prices.append(
            Price(
                name=row.read("name", lambda text: _filled(text, "the fitting's name")),
                threads=threads,
                kind=row.cells["kind"],
                amount=row.read("price", _amount),
                currency=row.read("currency", _currency),
                supplier=row.cells["supplier"],
            )
        )
    return tuple(prices)


def _designations(text: str, own: tuple[Thread, ...]) -> tuple[str, ...]:
    written = [part for part in text.split(";") if part.strip()]
    return tuple(parse_thread(part, workshop_threads=own).designation for part in written)


def _filled(text: str, what: str) -> str:
    if not text:
        raise ValueError(f"Write {what}.")
    return text


def _amount(text: str) -> Decimal:
    """The text is not repeated: whoever reads how the service is need not read the prices."""
    whole, point, places = text.partition(".")
    plain = text.isascii() and whole.isdigit() and (not point or places.isdigit())
    if not plain or len(text) > 12 or len(places) > 2 or Decimal(text) > MOST_PRICE:
        raise ValueError("Write the price with at most two places, as 12.50.")
    return Decimal(text)


def _currency(text: str) -> str:
    if not (len(text) == 3 and text.isascii() and text.isalpha() and text.isupper()):
        raise ValueError("Write the currency by its three letters, as GBP, EUR or USD.")
    return text


def read_times(rows: list[TableRow]) -> dict[str, float]:
    """The workshop's own minutes by operation."""
    times: dict[str, float] = {}
    for row in rows:
        name = row.cells["operation"]
        row.read("operation", lambda text: check_table_of_times({text: 1.0}))
        minutes = row.read("minutes", _minutes)
        with told_at(f"{row.table}, line {row.line}, column minutes"):
            check_table_of_times({name: minutes})
        times[name] = minutes
    return times


def _minutes(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise ValueError(f"{text!r} is no number of minutes; they lie from 0 to 600.") from None


def _one_of(text: str, legal: tuple[str, ...]) -> str:
    if text not in legal:
        raise ValueError(f"{text!r} is none of {', '.join(legal)}.")
    return text


def _refuse_empty(table: str) -> tuple[()]:
    raise TableError(f"{table} has no rows; take the file away to use the project's own.")
