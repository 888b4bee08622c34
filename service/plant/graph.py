"""Items, ports and joints: a plant as calculation sees it. SI units, absolute pressures."""

from dataclasses import dataclass
from typing import Literal

from service.engineering.steam.engine import Engine
from service.engineering.steam.safety_valve import SafetyValve as MeasuredValve
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import Owner

Gender = Literal["male", "female"]


@dataclass(frozen=True, slots=True)
class Port:
    """One screwed end or tapped hole. Lengths in metres; None where nobody has measured."""

    name: str
    gender: Gender
    thread: Thread
    length: float | None = None
    """Length of the thread of a male, or full-thread depth of a female [m]."""
    bore: float | None = None
    """Bore through a male end [m]."""
    boss: float | None = None
    """Outside of the metal around a female [m]."""
    drilled: float | None = None
    """Tapping hole of a female [m]."""
    material: str = "brass"


@dataclass(frozen=True, slots=True)
class Boiler:
    """What is stated of a boiler."""

    inspector_pressure: float
    """The working pressure the inspector stated; the limit used everywhere [Pa absolute]."""
    evaporation: float | None = None
    """Stated evaporation [kg/s]."""


@dataclass(frozen=True, slots=True)
class SafetyValve:
    """What is stated of a safety valve."""

    set_pressure: float
    """Pressure at which it lifts [Pa absolute]."""
    accumulation: float | None = None
    """Rise over the set pressure that the rules allow, per set gauge pressure."""
    measured: MeasuredValve | None = None
    """Seat and lift, where they were measured."""


@dataclass(frozen=True, slots=True)
class SteamWay:
    """The way steam takes inside an item."""

    bore: float
    """[m]"""
    length: float
    """[m]"""
    loss: float = 0.0
    """Velocity heads lost on that bore beside friction: seats, corners."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing in the plant, whose it is, and its ports."""

    name: str
    kind: str
    owner: Owner
    ports: tuple[Port, ...]
    engine: Engine | None = None
    boiler: Boiler | None = None
    safety_valve: SafetyValve | None = None
    steam_way: SteamWay | None = None


@dataclass(frozen=True, slots=True)
class End:
    """One end of a joint: an item and one of its ports."""

    item: Item
    port: Port

    @property
    def label(self) -> str:
        """The end as a person names it."""
        return f"{self.item.name} ({self.port.name})"


@dataclass(frozen=True, slots=True)
class Joint:
    """A male end screwed into a female end. Angles in radians, clockwise from the fitting's end."""

    key: int
    male: End
    female: End
    points_wanted: float | None = None
    points_found: float | None = None

    @property
    def label(self) -> str:
        """The joint as a person names it."""
        return f"{self.male.label} into {self.female.label}"


@dataclass(frozen=True, slots=True)
class Plant:
    """One plant and the conditions it is to work under."""

    name: str
    working_pressure: float
    """[Pa absolute]"""
    back_pressure: float
    """Pressure the engines exhaust against [Pa absolute]."""
    feed_temperature: float
    """[K]"""
    items: tuple[Item, ...]
    joints: tuple[Joint, ...]

    @property
    def engines(self) -> tuple[Engine, ...]:
        """The engines, in the order of the items."""
        return tuple(item.engine for item in self.items if item.engine is not None)
