"""What draws steam at the end of a branch: engines with a load, and nozzles that blow.

A load fixes how mean pressure and speed hang together, and mean pressure rises in a straight line
with chest pressure; so every load is one curve in the part of its wanted speed that it reaches:
chest pressure = start + part² (reference - start).
"""

from dataclasses import dataclass
from math import inf, pi
from typing import Annotated, Literal

from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.given import given, require_given
from service.engineering.saturation import HIGHEST_PRESSURE, LOWEST_PRESSURE, require_pressure
from service.engineering.saying import listed, say
from service.engineering.saying import name as called
from service.engineering.saying import pressure as gauge
from service.engineering.steam.engine import Engine, find_engine_pressure
from service.engineering.steam.passages import Element, find_pulsation

LoadKind = Literal["governed", "propeller", "fixed torque"]
LOAD_KINDS: tuple[LoadKind, ...] = ("governed", "propeller", "fixed torque")

KNOWN_LOADS = say("A load is one of: ", listed(LOAD_KINDS), ".")

LOAD_SOURCE = "torque balance of engine and load; square law of propellers (textbook)"

STEADY_SHARE = 0.98
"""Part of a fixed torque that is there from rest; the rest grows with the square of speed.

Bearings and stirred water see to that; it also says how two such engines share scarce steam.
"""

IDLE_RISE = 1.1  # chest over starting pressure at which an unloaded engine is up to speed
FRICTION_PRESSURE = 0.3e5
"""Mean pressure an engine spends on its own friction [Pa difference]: 0.2 to 0.5 bar (common
practice)."""

EXHAUST_PRESSURE = 1.11e5  # absolute, of a freely led exhaust [Pa]: 0.1 bar gauge (common practice)
NOZZLE_COEFFICIENT = 0.62  # discharge coefficient of a sharp hole: 0.60 to 0.65 (handbook)


@dataclass(frozen=True, slots=True)
class Load:
    """What an engine drives: its speed at a chest pressure, and how the two hang together.

    governed: holds its speed, throttling what it does not need; below, it falls off like a
    propeller. propeller: torque as the square of speed. fixed torque: holds its speed, throttled by
    hand, while the pressure carries the load; below, it slows to what steam it gets, or stands.
    """

    kind: LoadKind
    speed: Annotated[float, "1/s"] = given("500 rpm", least=1 / 60, most=200.0)  # at the reference
    at_pressure: Annotated[float, "Pa"] | None = given("4 bar", default=None)
    """Reference: absolute chest pressure that gives that speed [Pa]; None for an engine held at its
    speed by other means, its throttle wide open (not for a propeller)."""

    def __post_init__(self) -> None:
        require_given(self)
        if self.at_pressure is not None:
            require_pressure(self.at_pressure, field="at_pressure")
        elif self.kind == "propeller":
            fault = "Say at what pressure the propeller turns at that speed."
            raise OutOfRange(fault, field="at_pressure")

    @property
    def top_part(self) -> float:
        """Part of its speed beyond which it is held; infinite for a propeller."""
        return inf if self.kind == "propeller" else 1.0


@dataclass(frozen=True, slots=True)
class EngineOnBranch:
    """An engine, its load, and the passages from the block to its chest."""

    engine: Engine
    load: Load
    passages: tuple[Element, ...] = ()  # in the order steam meets them
    back_pressure: Annotated[float, "Pa"] = given("0.1 bar", default=EXHAUST_PRESSURE)
    """Of the exhaust, absolute."""
    friction: Annotated[float, "Pa difference"] = given(
        "0.3 bar", default=FRICTION_PRESSURE, least=0.0, most=5e5
    )
    """Mean pressure spent on friction in the engine."""
    pulsation: float | None = given(1.2, default=None, least=1.0, most=10.0)
    """Mean square over square of mean flow; None: by cylinders and acting."""

    def __post_init__(self) -> None:
        require_given(self)
        require_pressure(self.back_pressure, field="back_pressure")
        reference = self.load.at_pressure
        if reference is not None and reference <= self.start_pressure:
            short = ": that pressure does not even overcome exhaust and friction."
            raise OutOfRange(say(called(self.name), short), field="at_pressure")

    @property
    def name(self) -> str:
        """The engine's name."""
        return self.engine.name

    @property
    def pulsation_factor(self) -> float:
        """The stated pulsation, or the one for this kind of engine."""
        if self.pulsation is None:
            return find_pulsation(self.engine.acting, self.engine.cylinders)
        return self.pulsation

    @property
    def start_pressure(self) -> float:
        """Absolute chest pressure at which the engine just turns over unloaded [Pa]."""
        return find_start_pressure(
            self.engine, back_pressure=self.back_pressure, friction=self.friction
        )

    @property
    def reference_pressure(self) -> float:
        """Absolute chest pressure at which it reaches its speed [Pa]."""
        return self.load.at_pressure or self.start_pressure * IDLE_RISE

    @property
    def load_pressure(self) -> float:
        """Absolute chest pressure below which its load stands [Pa]."""
        start = self.start_pressure
        if self.load.kind != "fixed torque" or self.load.at_pressure is None:
            return start
        return start + STEADY_SHARE * (self.load.at_pressure - start)


@dataclass(frozen=True, slots=True)
class OpenOutlet:
    """A whistle, drain or blower: a hole that blows to the open air when its valve is open."""

    name: str = given("whistle")
    area: Annotated[float, "m2"] = given("2 mm2", least=1e-9, most=1e-3)  # of the hole
    passages: tuple[Element, ...] = ()
    coefficient: float = given(NOZZLE_COEFFICIENT, default=NOZZLE_COEFFICIENT, least=0.05, most=1.0)
    """Of discharge."""

    def __post_init__(self) -> None:
        require_given(self)

    @classmethod
    def of_diameter(cls, name: str, diameter: float) -> "OpenOutlet":
        """A plain round hole of a diameter [m], fed without loss."""
        return cls(name, pi / 4 * diameter**2)


def find_start_pressure(engine: Engine, *, back_pressure: float, friction: float) -> float:
    """Chest pressure at which an engine just turns over with nothing to drive.

    Source: Mean effective pressure, straight in the chest pressure, equal to that of friction.
    """
    low, high = LOWEST_PRESSURE, HIGHEST_PRESSURE
    at_low = find_engine_pressure(engine, pressure=low, back_pressure=back_pressure)
    at_high = find_engine_pressure(engine, pressure=high, back_pressure=back_pressure)
    start = low + (friction - at_low) * (high - low) / (at_high - at_low)
    if start > high:
        text = say(called(engine.name), ": no steam up to ", gauge(high), " would turn it.")
        raise NoSolution(text, field="friction")
    return max(start, LOWEST_PRESSURE)
