"""Items, ports and joints: a plant as calculation sees it. SI units, absolute pressures."""

from dataclasses import dataclass
from typing import Annotated, Literal

from service.engineering.constants import ATMOSPHERE, CELSIUS
from service.engineering.given import given, require_given
from service.engineering.steam.engine import Engine
from service.engineering.steam.safety_valve import SafetyValve as MeasuredValve
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import Owner

Gender = Literal["male", "female"]

COLD_FEED = CELSIUS + 15  # water as it comes in a workshop [K] (common practice)


@dataclass(frozen=True, slots=True)
class Port:
    """One screwed end or tapped hole; None where nobody has measured."""

    name: str = given("inlet")
    gender: Gender = given("male")
    thread: Thread = given("1/4 x 40 ME")
    length: Annotated[float, "m"] | None = given("1/4 in", default=None)
    """Length of the thread of a male, or full-thread depth of a female."""
    bore: Annotated[float, "m"] | None = given("1/8 in", default=None)  # bore through a male end
    boss: Annotated[float, "m"] | None = given("7/16 in", default=None)
    """Outside of the metal around a female."""
    drilled: Annotated[float, "m"] | None = given("7/32 in", default=None)
    """Tapping hole of a female."""
    material: str = given("bronze", default="brass")


@dataclass(frozen=True, slots=True)
class Boiler:
    """What is stated of a boiler."""

    inspector_pressure: Annotated[float, "Pa"] = given("60 psi")
    """The working pressure the inspector stated; the limit used everywhere."""
    evaporation: Annotated[float, "kg/s"] | None = given("57 g/min", default=None)  # as stated


@dataclass(frozen=True, slots=True)
class SafetyValve:
    """What is stated of a safety valve."""

    set_pressure: Annotated[float, "Pa"] = given("55 psi")  # pressure at which it lifts
    accumulation: float | None = given(0.1, default=None, least=0.0, most=1.0)
    """Rise over the set pressure that the rules allow, per set gauge pressure."""
    measured: MeasuredValve | None = None  # seat and lift, where they were measured

    def __post_init__(self) -> None:
        require_given(self)


@dataclass(frozen=True, slots=True)
class SteamWay:
    """The way steam takes inside an item; its ranges are those of a bore and a loss."""

    bore: Annotated[float, "m"] = given("1/8 in")
    length: Annotated[float, "m"] = given("1 1/2 in")
    loss: float = given(13, default=0.0)
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
        return f"{self.item.name} ({self.port.name})"


@dataclass(frozen=True, slots=True)
class Joint:
    """A male end screwed into a female end. Angles clockwise from the fitting's end."""

    key: int
    male: End
    female: End
    points_wanted: Annotated[float, "rad"] | None = given("90 deg", default=None)
    points_found: Annotated[float, "rad"] | None = given("20 deg", default=None)

    @property
    def label(self) -> str:
        return f"{self.male.label} into {self.female.label}"


@dataclass(frozen=True, slots=True)
class Plant:
    """One plant and the conditions it is to work under."""

    name: str = given("Harbour launch plant")
    working_pressure: Annotated[float, "Pa"] = given("50 psi")
    back_pressure: Annotated[float, "Pa"] = given("0.1 bar", default=ATMOSPHERE)
    """Pressure the engines exhaust against: the open air's."""
    feed_temperature: Annotated[float, "K"] = given("15 degC", default=COLD_FEED)
    items: tuple[Item, ...] = ()
    joints: tuple[Joint, ...] = ()

    @property
    def engines(self) -> tuple[Engine, ...]:
        return tuple(item.engine for item in self.items if item.engine is not None)
