"""Which bars of stock hold the block, and with which bore; why the others do not."""

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from service.engineering.block.demand import Boring, Demand, Refusal, Unit
from service.engineering.block.flow import PortDrop, find_worst_drop, keeps_budget, trace_paths
from service.engineering.block.layout import ROUNDING, lay_out
from service.engineering.block.request import ENDS, BlockRequest
from service.engineering.block.stock import Section
from service.engineering.block.ways import WIDEST_SHARE, Tapping, ask_tapping, meet_bore
from service.engineering.errors import NoSolution
from service.engineering.saying import drop, length, say
from service.engineering.steam.passages import ExpandingSteam, find_expanding_steam
from service.engineering.threads.catalogue import Drill, all_drills

BORE_SERIES = {"in": "fraction", "mm": "metric"}
"""Drills that a bore is chosen from, by how the bar is sized."""

LEAST_BORE, LARGEST_BORE = 0.001, 0.030  # bores that are tried [m]


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

    demands: tuple[Demand, ...]
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
