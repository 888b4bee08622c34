"""What to open out: for engines at their wanted speed, which passage costs most and what bore does.

Every engine of a case is taken at its wanted speed and chest pressure; the pressure that asks of
the boiler is marched up its branch and the trunk, and each part is judged by what it costs.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil, inf, log, sqrt
from typing import Annotated, Literal

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import require
from service.engineering.findings import Finding, worst_first
from service.engineering.saying import Said, drop, fine, length, name, say
from service.engineering.saying import pressure as gauge
from service.engineering.solving import solve_rising
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.steam.network.outlets import EngineOnBranch
from service.engineering.steam.network.plant_curves import climb_stations
from service.engineering.steam.network.running_plant import RunningCase, RunningPlant, require_known
from service.engineering.steam.passages import (
    LARGEST_DROP,
    Bend,
    Bore,
    Contraction,
    Element,
    ExpandingSteam,
    Segment,
    StopValve,
    Tee,
    Valve,
    pass_up,
    trace_line,
)

WIDENINGS = (4.0, 2.0, 1.4)  # largest openings-out looked at, over the bore as it is
NARROWING = 0.25  # smallest bore looked at, over the bore as it is
BORE_TOLERANCE = 1e-6  # how near a bore is found, over the largest looked at
DROP_SOURCE = "isothermal flow with losses; allowance of a tenth by common practice"

Stretch = Literal["trunk", "branch"]


@dataclass(frozen=True, slots=True)
class Place:
    """One part on the way to an engine."""

    stretch: Stretch
    number: int  # its number in the trunk or the branch, from 1
    element: Element
    drop: Annotated[float, "Pa difference"]  # what it costs
    share: float  # what it costs, over what the whole way costs
    smallest_diameter: Annotated[float, "m"] | None
    """Smallest bore here, all else as it is, that keeps the way within the allowance; None when
    no bore from a quarter to four times does."""


@dataclass(frozen=True, slots=True)
class PathAdvice:
    """The way to one engine in one case, at its wanted speed; pressures absolute."""

    case: str
    engine: str
    flow: Annotated[float, "kg/s"]  # steam the engine takes
    chest_pressure: Annotated[float, "Pa"]  # pressure it needs at the chest
    boiler_pressure: Annotated[float, "Pa"]  # pressure that asks of the boiler
    drop: Annotated[float, "Pa difference"]  # what the way costs
    allowed: Annotated[float, "Pa difference"]
    """What it may cost; below 0: the boiler is held below its chest."""
    places: tuple[Place, ...]  # in the order steam meets them

    @property
    def within(self) -> bool:
        """Whether the way costs no more than allowed."""
        return self.drop <= self.allowed

    @property
    def costliest(self) -> Place | None:
        """The part that costs most; None where there are no passages."""
        return max(self.places, key=lambda place: place.drop, default=None)


@dataclass(frozen=True, slots=True)
class Advice:
    """What to change, way by way."""

    paths: tuple[PathAdvice, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...] = CAUTIONS


def advise(
    plant: RunningPlant, *, cases: Iterable[RunningCase], budget: float | None = None
) -> Advice:
    """Say which passage costs most on each way, and the smallest bore at each place that would do.

    plant: boiler, passages, engines and open outlets, made ready; of the boiler only the pressure
        limit counts here, and an open outlet that runs blows at it.
    cases: what runs at once; at least one case.
    budget: what the passages may cost from boiler to chest [Pa], above 0; None: a tenth of the
        gauge pressure. It never exceeds what the pressure limit leaves above the chest.
    Returns: every way with its parts and bores [SI].
    Raises OutOfRange: if the budget is not above 0, there is no case, or one names an outlet twice.
    Raises UnknownName: if a case names something the plant has not got.
    Source: Isothermal (p v constant) flow with losses, textbook of gas dynamics; valves by IEC
        60534-2-1; allowance of a tenth by common practice.
    """
    require(budget is None or budget > 0, "budget", "The budget must be above 0.")
    gauge_limit = plant.supply.pressure_limit - ATMOSPHERE
    share = LARGEST_DROP * gauge_limit if budget is None else budget
    paths = [
        _advise_path(plant, outlet, case, share)
        for case in require_known(plant, cases)
        for outlet in plant.engines
        if outlet.name in case.running
    ]
    return Advice(tuple(paths), worst_first(_judge(plant, path) for path in paths))


@dataclass(frozen=True)
class _Way:
    """A way with its flows: from boiler to chest, at the engine's wanted speed."""

    trunk: tuple[Element, ...]
    branch: tuple[Element, ...]
    steam: ExpandingSteam
    trunk_flow: float
    branch_flow: float
    chest_pressure: float

    @cached_property
    def parts(self) -> tuple[Element, ...]:
        """From boiler to chest."""
        return (*self.trunk, *self.branch)

    @cached_property
    def pressures(self) -> tuple[float, ...]:
        """Pressures from boiler to chest [Pa], the block's once."""
        branch = climb_stations(
            self.branch, self.steam, flow=self.branch_flow, outlet=self.chest_pressure
        )
        trunk = climb_stations(self.trunk, self.steam, flow=self.trunk_flow, outlet=branch[0])
        return (*trunk, *branch[1:])

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        """Every part as it stands."""
        stretches = [stretch for stretch in (self.trunk, self.branch) if stretch]
        return tuple(one for stretch in stretches for one in trace_line(stretch).segments)

    def find_inlet(self, number: int, changed: Element) -> float:
        """Pressure asked of the boiler with one part changed, which changes how the next is met."""
        parts, begins = self.parts, (0, len(self.trunk))
        upstream = inf if number in begins else parts[number - 1].diameter
        segments = [*self.segments[:number], changed.trace(upstream)]
        if number + 1 not in (*begins, len(parts)):
            segments.append(parts[number + 1].trace(changed.diameter))
        pressure = self.pressures[len(segments)]
        for place in reversed(range(len(segments))):
            flow = self.trunk_flow if place < len(self.trunk) else self.branch_flow
            if flow > 0:
                passed = pass_up(segments[place], self.steam, flow=flow, outlet_pressure=pressure)
                pressure = passed.pressure_in
        return pressure


def rebore(element: Element, diameter: float) -> Element:
    """The same part made to another bore: a valve or bend keeps its proportions.

    Source: Geometric similarity: lift and radius with the bore, Kv with its square.
    """
    scale = diameter / element.diameter
    if isinstance(element, Valve):
        return replace(element, diameter=diameter, kv=element.kv * scale * scale)
    if isinstance(element, StopValve):
        return replace(element, diameter=diameter, lift=element.lift * scale)
    if isinstance(element, Bend):
        return replace(element, diameter=diameter, radius=element.radius * scale)
    return replace(element, diameter=diameter)


def _advise_path(
    plant: RunningPlant, outlet: EngineOnBranch, case: RunningCase, budget: float
) -> PathAdvice:
    way, flow = _lay_way(plant, outlet, case, budget)
    allowed = min(budget, plant.supply.pressure_limit - way.chest_pressure)
    pressures = way.pressures
    numbers = range(len(pressures) - 1)
    return PathAdvice(
        case=case.name,
        engine=outlet.name,
        flow=flow,
        chest_pressure=way.chest_pressure,
        boiler_pressure=pressures[0],
        drop=pressures[0] - way.chest_pressure,
        allowed=allowed,
        places=tuple(_judge_place(way, number, pressures, allowed) for number in numbers),
    )


def _lay_way(
    plant: RunningPlant, outlet: EngineOnBranch, case: RunningCase, budget: float
) -> tuple[_Way, float]:
    """The way to an engine while everything in the case runs as wanted, and the engine's flow."""
    steam = plant.network(case).steam_at_limit.expanding
    limit = plant.supply.pressure_limit
    chests = {outlet.name: limit for outlet in plant.open_outlets}
    chests |= {engine.name: engine.load.at_pressure or limit - budget for engine in plant.engines}
    flows = {}
    for running in case.running:
        curve = plant.outlets[running].curves["likely"]
        flows[running] = curve.at(max(curve.find_part(chests[running]), 0.0))[1]
    surge = sum((plant.outlets[one].pulsation - 1) * flow**2 for one, flow in flows.items())
    own = flows[outlet.name]
    way = _Way(
        trunk=plant.trunk,
        branch=tuple(outlet.passages),
        steam=steam,
        trunk_flow=sqrt(sum(flows.values()) ** 2 + surge),
        branch_flow=own * sqrt(plant.outlets[outlet.name].pulsation),
        chest_pressure=chests[outlet.name],
    )
    return way, own


def _judge_place(way: _Way, number: int, pressures: tuple[float, ...], allowed: float) -> Place:
    on_trunk = number < len(way.trunk)
    drop = pressures[number] - pressures[number + 1]
    whole = pressures[0] - pressures[-1]
    return Place(
        stretch="trunk" if on_trunk else "branch",
        number=number + 1 if on_trunk else number + 1 - len(way.trunk),
        element=way.parts[number],
        drop=drop,
        share=drop / whole if whole > 0 else 0.0,
        smallest_diameter=_find_bore(way, number, allowed),
    )


def _find_bore(way: _Way, number: int, allowed: float) -> float | None:
    """The smallest bore of one part that keeps the way within its allowance; 0 is at the boiler."""
    if allowed < 0:
        return None
    element, wanted = way.parts[number], way.chest_pressure + allowed
    least, most = _bore_limits(element)

    def spare(diameter: float) -> float:
        return log(wanted / way.find_inlet(number, rebore(element, diameter)))

    wide = [min(widening * element.diameter, most) for widening in WIDENINGS]
    high = next((bore for bore in wide if spare(bore) >= 0), None)
    if high is None:
        return None
    low = max(NARROWING * element.diameter, least)
    if low >= high or spare(low) >= 0:
        return min(low, high)  # it hardly counts here
    found = solve_rising(spare, low, high=high, tolerance=BORE_TOLERANCE)
    return min(found + BORE_TOLERANCE * high, high)


def _bore_limits(element: Element) -> tuple[float, float]:
    """The smallest and largest bore the part can have where it stands."""
    least, most = 2e-4, 0.2
    if isinstance(element, Bore):
        least = max(least, 20.001 * element.roughness)
    if isinstance(element, Contraction):
        most = 0.999 * element.upstream_diameter
    if isinstance(element, Tee):
        most = element.run_diameter
    return least, most


def _judge(plant: RunningPlant, path: PathAdvice) -> Finding:
    figures = (path.drop, path.allowed)
    if path.allowed <= 0:
        text = say(
            (name(path.case), ": ", name(path.engine), " wants "),
            (gauge(path.chest_pressure, "wanted"), " at its chest; the boiler is held at "),
            (gauge(plant.supply.pressure_limit, "limit"), ". No bore helps."),
        )
        return Finding("fail", "out-of-reach", text, *figures, "Pa difference", "given")
    text = say(
        (name(path.case), ": the way to ", name(path.engine), " at its wanted speed costs "),
        (drop(path.drop), "; ", drop(path.allowed, "allowed"), " is allowed."),
    )
    if path.within:
        return Finding("ok", "within-budget", text, *figures, "Pa difference", DROP_SOURCE)
    text = say(text, _name_costliest(path))
    return Finding("caution", "over-budget", text, *figures, "Pa difference", DROP_SOURCE)


def _name_costliest(path: PathAdvice) -> Said:
    place = path.costliest
    if place is None:
        return ()
    kind = place.element.kind.replace("_", " ")
    if place.smallest_diameter is not None:
        remedy = say(fine(_round_up(place.smallest_diameter), "smallest_bore"), " there would do.")
    elif any(other.smallest_diameter is not None for other in path.places):
        remedy = say("no bore there is enough by itself, but another part's is.")
    else:
        remedy = say("no single part is enough; open out several.")
    return say(
        (f" The {kind} of ", length(place.element.diameter, "bore")),
        (f" ({place.stretch} part {place.number}) costs most, ", drop(place.drop, "most"), ": "),
        remedy,
    )


def _round_up(diameter: float) -> float:
    """A bore rounded up to the next tenth of a millimetre."""
    return ceil(diameter * 1e4 - 1e-6) / 1e4
