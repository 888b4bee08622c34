"""Which bars of stock hold the block, and with which bore; what refuses the others."""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

from service.engineering.block.flow import (
    Path,
    PortDrop,
    find_worst_drop,
    keeps_budget,
    trace_paths,
)
from service.engineering.block.layout import ROUNDING, Layout, lay_out
from service.engineering.block.request import ENDS, BlockRequest
from service.engineering.block.stock import FACING_ALLOWANCE, Section
from service.engineering.block.ways import WIDEST_SHARE, Tapping, Way, ask_tapping, meet_bore
from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import NoSolution
from service.engineering.materials import find_material
from service.engineering.saying import Said, drop, fine, length, name, number, say, stress
from service.engineering.steam.passages import ExpandingSteam, find_expanding_steam
from service.engineering.thick_tube import hoop_stress
from service.engineering.threads.catalogue import Drill, all_drills
from service.engineering.threads.strength import PRESSURE_FACTOR

Unit = Literal["in", "mm"]

BORE_SERIES = {"in": "fraction", "mm": "metric"}
"""Drills that a bore is chosen from, by how the bar is sized."""

LEAST_BORE, LARGEST_BORE = 0.001, 0.030  # bores that are tried [m]


@dataclass(frozen=True, slots=True)
class Boring:
    """A bore that keeps the budget, and all that follows from it whatever the bar."""

    unit: Unit
    drill: Drill
    ways: tuple[Way, ...]
    layout: Layout
    paths: dict[int, Path]

    @property
    def bore(self) -> float:
        return self.drill.diameter


@dataclass(frozen=True, slots=True)
class Refusal:
    """A bar that does not hold the block: the first figure that refuses it."""

    section: Section
    code: str
    text: Said
    value: float
    limit: float  # what the value must reach [m]; of a stress, what it must not exceed [Pa]

    @property
    def shortfall(self) -> float:
        """How far the figure lies from what is wanted, as a part of that."""
        return abs(self.limit - self.value) / abs(self.limit)


@dataclass(frozen=True, slots=True)
class Fit:
    """A bar that holds the block."""

    section: Section
    boring: Boring


@dataclass(frozen=True, slots=True)
class Search:
    """What a search over bars found."""

    request: BlockRequest
    tappings: tuple[Tapping, ...]
    steam: ExpandingSteam
    fits: tuple[Fit, ...]  # bars that do, smallest first; one orientation of each rectangle
    refused: tuple[Refusal, ...]  # bars that do not, by area


def search_sections(request: BlockRequest, sections: Iterable[Section]) -> Search:
    """Try every bar, either way up.

    Source: The checks of `Demand`, each with its own; smallest by area of section, then by
    bore.
    """
    bars = tuple(sections)
    steam = find_expanding_steam(request.pressure)
    tappings = tuple(
        ask_tapping(
            port, material=request.material, pressure=request.pressure, drills=request.drills
        )
        for port in request.ports
    )
    yards = {
        unit: _Yard.open(request, tappings, steam, unit=unit)
        for unit in sorted({bar.unit for bar in bars})
    }
    tried = [yards[bar.unit].try_section(bar) for bar in bars]
    return Search(
        request=request,
        tappings=tappings,
        steam=steam,
        fits=tuple(sorted((t for t in tried if isinstance(t, Fit)), key=rank)),
        refused=tuple(
            sorted((t for t in tried if isinstance(t, Refusal)), key=lambda t: t.section.area)
        ),
    )


def rank(fit: Fit) -> tuple[float, float, str]:
    """What makes one fit smaller than another: the least metal first (common practice)."""
    return (round(fit.section.area, 12), fit.boring.bore, fit.section.name)


@dataclass(frozen=True, slots=True)
class _Yard:
    """The bars of one system of units, with the bores that serve there."""

    demands: "tuple[Demand, ...]"
    over_budget: PortDrop | None  # what the widest bore costs, where even that is too much
    budget: float
    widest: float

    @classmethod
    def open(
        cls,
        request: BlockRequest,
        tappings: tuple[Tapping, ...],
        steam: ExpandingSteam,
        *,
        unit: Unit,
    ) -> "_Yard":
        candidates = _Candidates.gather(request, tappings, unit)
        borings = candidates.choose(steam)
        widest = candidates.make_boring(candidates.usable[-1])
        worst = None if borings else find_worst_drop(request, widest.paths, steam=steam)
        demands = tuple(Demand(request, tappings, boring) for boring in borings)
        return cls(demands, worst, request.drop_budget, widest.bore)

    def try_section(self, section: Section) -> Fit | Refusal:
        """The section's smallest bore that serves, on either side; else the nearest miss."""
        if self.over_budget:
            return self._refuse_drop(section, self.over_budget.drop.likely)
        sides = [section, section.turned()] if section.shape == "rectangle" else [section]
        misses = []
        for demand in self.demands:
            for side in sides:
                miss = demand.refuse(side)
                if miss is None:
                    return Fit(side, demand.boring)
                misses.append(miss)
        return min(misses, key=lambda miss: miss.shortfall)

    def _refuse_drop(self, section: Section, cost: float) -> Refusal:
        text = say(
            "The widest bore that passes the tapping hole of an end, ",
            (length(self.widest, "bore"), ", costs ", drop(cost), "; "),
            (drop(self.budget, "allowed"), " is allowed."),
        )
        return Refusal(section, "block-drop", text, cost, self.budget)


@cache
def _bore_drills(unit: Unit) -> tuple[Drill, ...]:
    return tuple(drill for drill in all_drills() if drill.series == BORE_SERIES[unit])


@dataclass(frozen=True, slots=True)
class _Candidates:
    """The bores of one system of units that could be drilled."""

    request: BlockRequest
    tappings: tuple[Tapping, ...]
    unit: Unit
    drills: tuple[Drill, ...]
    usable: tuple[Drill, ...]
    """Drills that pass the tapping hole of an end and leave a narrower one for a way."""

    @classmethod
    def gather(
        cls, request: BlockRequest, tappings: tuple[Tapping, ...], unit: Unit
    ) -> "_Candidates":
        kept = _bore_drills(unit) if request.drills is None else request.drills
        drills = tuple(sorted(kept, key=lambda drill: drill.diameter))
        widest = max(t.drill.diameter for t in tappings if t.port.place in ENDS)
        least = max(LEAST_BORE, drills[0].diameter / WIDEST_SHARE)
        most = min(widest, LARGEST_BORE) + ROUNDING
        usable = tuple(drill for drill in drills if least <= drill.diameter <= most)
        if not usable:
            must = "No drill on hand serves for the bore: it must pass a tapping hole of "
            raise NoSolution(say(must, length(widest, "widest"), "."), field="drills")
        return cls(request, tappings, unit, drills, usable)

    def choose(self, steam: ExpandingSteam) -> list[Boring]:
        """The smallest bore that keeps the budget, and each wider one that lets a tapping drill
        straight in, as such a bore can need less depth of metal; none if none keeps it."""
        count = len(self.usable)
        first = bisect_left(range(count), True, key=lambda i: self._keeps_budget(i, steam))
        straight = {self._first_straight(tapping) for tapping in self.tappings}
        chosen = {first, *(i for i in straight if i > first)} - {count}
        return [self.make_boring(self.usable[i]) for i in sorted(chosen)]

    def make_boring(self, drill: Drill) -> Boring:
        """All that follows from a bore."""
        bore = drill.diameter
        ways = tuple(meet_bore(tapping, bore, drills=self.drills) for tapping in self.tappings)
        layout = lay_out(self.request, self.tappings, ways, bore=bore, unit=self.unit)
        paths = trace_paths(self.request, self.tappings, ways, layout=layout, bore=bore)
        return Boring(self.unit, drill, ways, layout, paths)

    def _keeps_budget(self, place: int, steam: ExpandingSteam) -> bool:
        paths = self.make_boring(self.usable[place]).paths
        return keeps_budget(self.request, paths, steam=steam)

    def _first_straight(self, tapping: Tapping) -> int:
        """Place of the first bore that lets a port's tapping drill straight in."""
        if tapping.port.place in ENDS:
            return -1
        need = tapping.drill.diameter / WIDEST_SHARE
        return bisect_left(self.usable, need, key=lambda drill: drill.diameter)


@dataclass(frozen=True, slots=True)
class _PortDemand:
    """What one port in a face asks of the bar; lengths in metres."""

    name: str
    place: str
    across: float
    spent: float
    engagement: float


class Demand:
    """What a bore and the ports on it ask of a bar, reduced to a few figures."""

    def __init__(self, request: BlockRequest, tappings: Sequence[Tapping], boring: Boring) -> None:
        self.boring = boring
        self.wall = request.least_wall
        self.pressure = request.pressure - ATMOSPHERE
        self.allowed = find_material(request.material).steam_strength / PRESSURE_FACTOR
        self.ends = [tapping.port for tapping in tappings if tapping.port.place in ENDS]
        asked = {
            _PortDemand(
                name=tapping.port.thread.designation,
                place=str(tapping.port.place),
                across=tapping.across(self.wall),
                spent=way.spent,
                engagement=tapping.engagement,
            )
            for tapping, way in zip(tappings, boring.ways, strict=True)
            if tapping.port.place not in ENDS
        }
        self.ports = sorted(asked, key=lambda port: -(port.spent + port.engagement))

    def refuse(self, bar: Section) -> Refusal | None:
        """The first figure that refuses a bar; None if it will do."""
        return (
            self._refuse_ports(bar)
            or self._refuse_bore(bar)
            or self._refuse_ends(bar)
            or self._refuse_length(bar)
        )

    def _refuse_ports(self, bar: Section) -> Refusal | None:
        for port in self.ports:
            breadth = bar.breadth(port.place)
            if breadth < port.across - ROUNDING:
                text = say(
                    ("The ", port.place, " is ", length(breadth, "width"), " wide; the seat of "),
                    (name(port.name), " and the walls beside it want "),
                    (length(port.across, "wanted"), "."),
                )
                return Refusal(bar, "block-face", text, breadth, port.across)
            room = bar.reach(port.place, port.across) - port.spent
            if room < port.engagement - ROUNDING:
                text = say(
                    ("Only ", fine(max(room, 0.0), "room"), " of full thread for "),
                    (name(port.name), " above ", self._a_bore(), "; "),
                    (fine(port.engagement, "wanted"), " wanted."),
                )
                return Refusal(bar, "block-thread", text, room, port.engagement)
        return None

    def _refuse_bore(self, bar: Section) -> Refusal | None:
        wall = self._least_reach(bar) - self.boring.bore / 2
        if wall < self.wall - ROUNDING:
            text = say(
                ("Only ", fine(max(wall, 0.0), "wall"), " of metal beside ", self._a_bore()),
                ("; ", fine(self.wall, "wanted"), " wanted."),
            )
            return Refusal(bar, "block-wall", text, wall, self.wall)
        return self._refuse_stress(bar, self.boring.bore / 2, wall)

    def _a_bore(self) -> Said:
        return say("a bore of ", length(self.boring.bore, "bore"))

    def _refuse_ends(self, bar: Section) -> Refusal | None:
        reach = self._least_reach(bar)
        for port in self.ends:
            thread, place = name(port.thread.designation), str(port.place)
            wall = reach - port.radius
            if wall < self.wall - ROUNDING:
                text = say(
                    ("Only ", fine(max(wall, 0.0), "wall"), " of metal around ", thread),
                    (" in the ", place, "; ", fine(self.wall, "wanted"), " wanted."),
                )
                return Refusal(bar, "block-end-wall", text, wall, self.wall)
            breadth = bar.breadth(place)
            if breadth < port.shoulder - ROUNDING:
                text = say(
                    ("The ", place, " is ", length(breadth, "width"), " across; the seat of "),
                    (thread, " wants ", length(port.shoulder, "wanted"), "."),
                )
                return Refusal(bar, "block-end-face", text, breadth, port.shoulder)
        widest = max(port.radius for port in self.ends)
        return self._refuse_stress(bar, widest, reach - widest)

    def _refuse_length(self, bar: Section) -> Refusal | None:
        wanted = self.boring.layout.length + FACING_ALLOWANCE
        if bar.left is None or bar.left >= wanted - ROUNDING:
            return None
        text = say(
            ("Only ", length(bar.left, "left"), " of the bar is left; "),
            (length(wanted, "wanted"), " is wanted."),
        )
        return Refusal(bar, "block-length", text, bar.left, wanted)

    def _refuse_stress(self, bar: Section, radius: float, wall: float) -> Refusal | None:
        """Hoop stress at the wall of a hole, as in a thick tube with that wall (Lame)."""
        hoop = hoop_stress(self.pressure, radius, wall=wall)
        if hoop <= self.allowed:
            return None
        text = say(
            ("Hoop stress ", stress(hoop), " in ", fine(wall, "wall"), " of metal; the strength"),
            (" in steam over ", number(PRESSURE_FACTOR, "factor"), " is "),
            (stress(self.allowed, "allowed"), "."),
        )
        return Refusal(bar, "block-stress", text, hoop, self.allowed)

    def _least_reach(self, bar: Section) -> float:
        """From the middle to the nearest face, or to the deepest flat of a round bar [m]."""
        if bar.shape != "round":
            return min(bar.width, bar.height) / 2
        return min(bar.reach(port.place, port.across) for port in self.ports)
