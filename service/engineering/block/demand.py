"""What a bore and the ports on it ask of a bar, and the first figure that refuses one."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from service.engineering.block.flow import Path
from service.engineering.block.layout import ROUNDING, Layout
from service.engineering.block.request import ENDS, BlockRequest
from service.engineering.block.stock import FACING_ALLOWANCE, Section
from service.engineering.block.ways import Tapping, Way
from service.engineering.constants import ATMOSPHERE
from service.engineering.materials import find_material
from service.engineering.saying import Said, fine, length, name, number, say, stress
from service.engineering.threads.catalogue import Drill
from service.engineering.threads.strength import PRESSURE_FACTOR

Unit = Literal["in", "mm"]


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


def hoop_stress(pressure: float, radius: float, *, wall: float) -> float:
    """Hoop stress at the inside of a thick tube under pressure from inside.

    Source: Lame's thick cylinder, any textbook of strength of materials.
    """
    outside = radius + wall
    return pressure * (outside**2 + radius**2) / (outside**2 - radius**2)
