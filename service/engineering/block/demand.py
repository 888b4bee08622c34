"""What a bore and the ports on it ask of a bar, and the first figure that refuses one."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from service.engineering.block.layout import ROUNDING, Layout
from service.engineering.block.paths import Path
from service.engineering.block.request import ENDS, BlockRequest
from service.engineering.block.stock import Section
from service.engineering.block.ways import Tapping, Way
from service.engineering.constants import ATMOSPHERE
from service.engineering.materials import find_material
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
        """Diameter of the bore [m]."""
        return self.drill.diameter


@dataclass(frozen=True, slots=True)
class Refusal:
    """A bar that does not hold the block: the first figure that refuses it."""

    section: Section
    code: str
    text: str
    value: float
    limit: float
    """What the value must reach [m]; of a stress, what it must not exceed [Pa]."""

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
        return self._refuse_ports(bar) or self._refuse_bore(bar) or self._refuse_ends(bar)

    def _refuse_ports(self, bar: Section) -> Refusal | None:
        for port in self.ports:
            breadth = bar.breadth(port.place)
            if breadth < port.across - ROUNDING:
                return Refusal(
                    bar,
                    "block-face",
                    f"The {port.place} is {breadth * 1e3:.2f} mm wide; the seat of {port.name} and"
                    f" the walls beside it want {port.across * 1e3:.2f} mm.",
                    breadth,
                    port.across,
                )
            room = bar.reach(port.place, port.across) - port.spent
            if room < port.engagement - ROUNDING:
                return Refusal(
                    bar,
                    "block-thread",
                    f"Only {max(room, 0.0) * 1e3:.2f} mm of full thread for {port.name} above"
                    f" a {self.boring.bore * 1e3:.2f} mm bore; {port.engagement * 1e3:.2f} mm"
                    " wanted.",
                    room,
                    port.engagement,
                )
        return None

    def _refuse_bore(self, bar: Section) -> Refusal | None:
        wall = self._least_reach(bar) - self.boring.bore / 2
        if wall < self.wall - ROUNDING:
            return Refusal(
                bar,
                "block-wall",
                f"Only {max(wall, 0.0) * 1e3:.2f} mm of metal beside a {self.boring.bore * 1e3:.2f}"
                f" mm bore; {self.wall * 1e3:.2f} mm wanted.",
                wall,
                self.wall,
            )
        return self._refuse_stress(bar, self.boring.bore / 2, wall)

    def _refuse_ends(self, bar: Section) -> Refusal | None:
        reach = self._least_reach(bar)
        for port in self.ends:
            name = port.thread.designation
            wall = reach - port.radius
            if wall < self.wall - ROUNDING:
                return Refusal(
                    bar,
                    "block-end-wall",
                    f"Only {max(wall, 0.0) * 1e3:.2f} mm of metal around {name} in the"
                    f" {port.place}; {self.wall * 1e3:.2f} mm wanted.",
                    wall,
                    self.wall,
                )
            breadth = bar.breadth(str(port.place))
            if breadth < port.shoulder - ROUNDING:
                return Refusal(
                    bar,
                    "block-end-face",
                    f"The {port.place} is {breadth * 1e3:.2f} mm across; the seat of {name} wants"
                    f" {port.shoulder * 1e3:.2f} mm.",
                    breadth,
                    port.shoulder,
                )
        widest = max(port.radius for port in self.ends)
        return self._refuse_stress(bar, widest, reach - widest)

    def _refuse_stress(self, bar: Section, radius: float, wall: float) -> Refusal | None:
        """Hoop stress at the wall of a hole, as in a thick tube with that wall (Lame)."""
        stress = hoop_stress(self.pressure, radius, wall=wall)
        if stress <= self.allowed:
            return None
        return Refusal(
            bar,
            "block-stress",
            f"Hoop stress {stress / 1e6:.1f} MPa in {wall * 1e3:.2f} mm of metal; an eighth of the"
            f" strength in steam is {self.allowed / 1e6:.1f} MPa.",
            stress,
            self.allowed,
        )

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
