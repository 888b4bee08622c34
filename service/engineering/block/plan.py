"""Planning a distribution block: the smallest bar that does, how it is made, what else would do.

Indicative: a figure for the workshop, not the design of a pressure part.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Annotated

from service.engineering.block.block_findings import judge_block, write_workings
from service.engineering.block.flow import PortDrop, find_drops, find_worst_drop
from service.engineering.block.on_hand import judge_bar, judge_tools, search_rack
from service.engineering.block.operations import order_operations
from service.engineering.block.request import BlockRequest, settle_request
from service.engineering.block.setting_out import Hole, Wall, list_walls, set_out, weigh_block
from service.engineering.block.sizing import Fit, Refusal, Search, search_sections
from service.engineering.block.stock import Section
from service.engineering.errors import NoSolution, require
from service.engineering.findings import Band, Finding, Working, worst_first
from service.engineering.kit import USUAL_KIT, Kit
from service.engineering.saying import (
    Said,
    count,
    drop,
    fine,
    length,
    listed,
    mass,
    name,
    say,
    share,
)
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.threads.catalogue import all_drills
from service.engineering.threads.remedies import Step, density_of

MOST_SECTIONS = 500
ALTERNATIVES = 3
REFUSALS = 12

BLOCK_CAUTIONS: tuple[str, ...] = (
    "A block carries boiler pressure: know its material, for the inspector may ask.",
    "The drop is that of the block alone: the fittings screwed into it have bores of their own.",
    *CAUTIONS[:4],
)


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another bar that would do; lengths in metres."""

    section: Section
    bore: Annotated[float, "m"]
    length: Annotated[float, "m"]
    engagement: Annotated[float, "m"]  # least full thread of any port
    wall_least: Annotated[float, "m"]
    drop: Annotated[float, "Pa difference"]  # greatest drop of any port in any case, as reckoned
    mass: Annotated[float, "kg"]  # of the finished block
    why: Said  # what speaks for it, and why it came second


@dataclass(frozen=True, slots=True)
class BlockPlan:
    """A distribution block; SI."""

    request: BlockRequest  # as settled: every port has its place
    section: Section  # the bar as it lies in the block
    bore: Annotated[float, "m"]
    length: Annotated[float, "m"]
    bore_start: Annotated[float, "m"]
    bore_end: Annotated[float, "m"]
    """Where the bore begins and ends at full diameter, from the left end."""
    engagement: Annotated[float, "m"]  # least full thread of any port
    turns: float  # least full turns of any port
    wall_least: Annotated[float, "m"]
    walls: tuple[Wall, ...]  # the thinnest first
    breakthrough: Annotated[float, "rad"]
    """Least angle at which a cross hole meets the wall of the bore."""
    drop: Annotated[Band, "Pa difference"]
    """Of the port that loses most: with losses 40 % lower, as reckoned and higher."""
    drops: tuple[PortDrop, ...]
    mass: Annotated[float, "kg"]  # of the finished block
    minutes: float  # of all the operations
    setting_out: tuple[Hole, ...]
    operations: tuple[Step, ...]
    alternatives: tuple[Alternative, ...]
    refused: tuple[Refusal, ...]  # the largest bars that do not do, the largest first
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = BLOCK_CAUTIONS


def plan_block(
    request: BlockRequest, *, sections: Iterable[Section] | None = None, kit: Kit | None = None
) -> BlockPlan:
    """Plan the smallest distribution block that has thread enough and bore enough.

    request: ports, steam, pressure [Pa] and budget [Pa]; the limits stand with its fields.
    sections: bars to choose from, at most 500; None: those of the kit, or where it names none or
        none of them does, those that the metal is commonly kept in.
    kit: what the workshop has; None: it has not said, and every drill, tap and bar may be named.
    Returns: bar, bore, setting-out table, operations, alternatives and refusals [SI].
    Raises OutOfRange: a figure outside its range.
    Raises Unsuitable: a taper thread or ports that do not go together.
    Raises UnknownMaterial: a metal that is not in the table.
    Raises NoSolution: no bar on hand will do: says what the nearest lacks.
    Source: Thread: ASME B1.1 shear areas and five turns (common practice). Drop: p v constant flow
        with losses. Walls: common practice. The least area of section wins.
    """
    own = kit or USUAL_KIT
    known = request if request.drills is not None else replace(request, drills=own.drills)
    settled = settle_request(known)
    search, is_on_rack = _search(settled, sections, own)
    if not search.fits:
        raise NoSolution(_name_nearest_miss(search), field="sections")
    lacking = (*judge_bar(search, is_on_rack=is_on_rack), *judge_tools(search, own))
    return _describe(search, own, lacking)


def _search(
    request: BlockRequest, sections: Iterable[Section] | None, kit: Kit
) -> tuple[Search, bool]:
    """What was found, and whether no bar need be bought that the workshop has not named."""
    if sections is None:
        return search_rack(request, kit)
    bars = tuple(sections)
    most = say("Give 1 to ", count(MOST_SECTIONS, "most"), " bars.")
    require(0 < len(bars) <= MOST_SECTIONS, "sections", most)
    return search_sections(request, bars), True


@dataclass(frozen=True, slots=True)
class _Made:
    """A fit worked out as far as comparing needs."""

    fit: Fit
    holes: tuple[Hole, ...]
    walls: tuple[Wall, ...]
    mass: float
    worst: PortDrop

    @property
    def engagement(self) -> float:
        return min(hole.full_thread for hole in self.holes if hole.thread)


def _describe(search: Search, kit: Kit, lacking: tuple[Finding, ...]) -> BlockPlan:
    request, fit = search.request, search.fits[0]
    boring = fit.boring
    drops = find_drops(request, boring.paths, steam=search.steam)
    made = _work_out(search, fit, max(drops, key=lambda drop: drop.drop.likely))
    holes = made.holes
    drills = tuple(d for d in all_drills() if d.series == boring.drill.series)
    operations = order_operations(
        made.fit,
        holes,
        material=request.material,
        bore_drills=drills if request.drills is None else request.drills,
        kit=kit,
    )
    judged = judge_block(search, made.fit, holes, walls=made.walls, worst=made.worst)
    return BlockPlan(
        request=request,
        section=made.fit.section,
        bore=boring.bore,
        length=boring.layout.length,
        bore_start=boring.layout.bore_start,
        bore_end=boring.layout.bore_end,
        engagement=made.engagement,
        turns=min(hole.turns for hole in holes if hole.thread),
        wall_least=made.walls[0].thickness,
        walls=made.walls,
        breakthrough=min(hole.breakthrough for hole in holes if hole.breakthrough is not None),
        drop=made.worst.drop,
        drops=drops,
        mass=made.mass,
        minutes=sum(step.minutes for step in operations),
        setting_out=holes,
        operations=operations,
        alternatives=_list_alternatives(search, made),
        refused=tuple(reversed(search.refused))[:REFUSALS],
        findings=worst_first((*judged, *lacking)),
        workings=write_workings(search, made.fit, holes, walls=made.walls, worst=made.worst),
    )


def _work_out(search: Search, fit: Fit, worst: PortDrop) -> _Made:
    request = search.request
    holes = set_out(fit, request, search.tappings)
    return _Made(
        fit=fit,
        holes=holes,
        walls=list_walls(fit, holes),
        mass=weigh_block(fit, holes, density=density_of(request.material)),
        worst=worst,
    )


def _list_alternatives(search: Search, winner: _Made) -> tuple[Alternative, ...]:
    """The next best of the same kind, of another shape and in the other units."""
    best, others = search.fits[0].section, search.fits[1:]
    wanted = (
        lambda s: s.unit != best.unit,
        lambda s: s.shape != best.shape,
        lambda s: s.shape == best.shape and s.unit == best.unit,
        lambda s: True,
    )
    chosen: dict[str, Fit] = {}
    for is_wanted in wanted:
        found = next(
            (f for f in others if is_wanted(f.section) and f.section.name not in chosen), None
        )
        if found:
            chosen[found.section.name] = found
    fits = sorted(list(chosen.values())[:ALTERNATIVES], key=lambda fit: fit.section.area)
    request, steam = search.request, search.steam
    worst = (find_worst_drop(request, fit.boring.paths, steam=steam) for fit in fits)
    made = (_work_out(search, fit, drop) for fit, drop in zip(fits, worst, strict=True))
    return tuple(_compare(each, winner) for each in made)


def _compare(made: _Made, winner: _Made) -> Alternative:
    return Alternative(
        section=made.fit.section,
        bore=made.fit.boring.bore,
        length=made.fit.boring.layout.length,
        engagement=made.engagement,
        wall_least=made.walls[0].thickness,
        drop=made.worst.drop.likely,
        mass=made.mass,
        why=_tell_difference(made, winner),
    )


def _tell_difference(made: _Made, winner: _Made) -> Said:
    best = winner.fit.section
    more = made.fit.section.area / best.area - 1
    against = (
        say(share(more, "more"), " more metal in the bar than ", name(best.name))
        if more > 0.005
        else say("as much metal as ", name(best.name), ", and a bore no smaller")
    )
    gains = _list_gains(made, winner)
    if not gains:
        return say("Against it: ", against, ".")
    return say("For it: ", listed(gains), ". Against it: ", against, ".")


def _list_gains(made: _Made, winner: _Made) -> list[Said]:
    gains = []
    thread = made.engagement - winner.engagement
    if thread > 1e-5:
        gains.append(say(length(thread, "thread"), " more thread"))
    wall = made.walls[0].thickness
    if wall > winner.walls[0].thickness + 1e-5:
        gains.append(say("walls from ", fine(wall, "wall")))
    saved = winner.worst.drop.likely - made.worst.drop.likely
    if saved > 50:
        gains.append(say(drop(saved), " less drop"))
    if made.mass < winner.mass:
        gains.append(say(mass(winner.mass - made.mass), " lighter when finished"))
    return gains


def _name_nearest_miss(search: Search) -> Said:
    nearest = min(search.refused, key=lambda refusal: refusal.shortfall)
    bar = name(nearest.section.name)
    return say("No bar on hand will do. The nearest is ", bar, ": ", nearest.text)
