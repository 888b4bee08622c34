"""The parts of a steam passage, in the order steam meets them, and the line they make.

A bore, pipe, corner or bend entered from a chamber or from a wider part pays the sharp entry and
the velocity head of its own bore. A loss, a valve or a contraction is taken whole, as stated: its
coefficient holds whatever entry belongs to it. Velocity is never recovered at an enlargement.
"""

from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, pi, sqrt
from typing import Annotated, ClassVar, NamedTuple

from service.engineering.errors import require
from service.engineering.given import given, require_given
from service.engineering.steam.passages.losses import (
    CRANE_SOURCE,
    CURTAIN_SOURCE,
    PIPE_FLOW_SOURCE,
    bend_loss,
    corner_loss,
    sharp_entry_loss,
    stop_valve_loss,
    tee_branch_loss,
    valve_coefficient,
    valve_loss,
)

VALVE_NUMERAL = 31.6 / 3600 * sqrt(1e-5)  # N6 of IEC 60534-2-1 in kg/s, Pa and m3/kg
VALVE_EXPONENT_FACTOR = 1.3 / 1.4  # Fk of IEC 60534-2-1: saturated steam 1.25 to 1.32, air 1.4
HALF_TURN = pi * (1 + 1e-9)  # half a turn [rad]; the hair above is for degrees turned into radians
ONE_DEGREE = pi / 180 * (1 - 1e-9)  # likewise the hair below


class Segment(NamedTuple):
    """One part of a line, reduced to what the flow equations need."""

    area: float  # area on which the coefficients rest [m2]
    diameter: float  # bore [m]
    loss: float  # loss coefficient that does not change with flow
    slenderness: float  # length over bore, for wall friction
    roughness: float  # wall roughness over bore
    valve_area: float  # N6 Kv in SI [m2]; 0 for anything but a valve
    valve_limit: float  # Fk xT: drop over inlet pressure at which a valve chokes; 0: not a valve

    def scaled(self, factor: float) -> "Segment":
        """The segment with every loss in it multiplied by a factor."""
        return self._replace(
            loss=self.loss * factor,
            slenderness=self.slenderness * factor,
            valve_area=self.valve_area / sqrt(factor),
        )


@dataclass(frozen=True, slots=True)
class _Part(ABC):
    """What every part has; `diameter` is the bore whose velocity head counts."""

    kind: ClassVar[str]
    source: ClassVar[str] = PIPE_FLOW_SOURCE
    diameter: Annotated[float, "m"] = given("3 mm", least=2e-4, most=0.2)

    def __post_init__(self) -> None:
        require_given(self)

    @abstractmethod
    def trace(self, upstream: float) -> Segment:
        """The segment this makes when entered from a part of bore `upstream` [m].

        A part that is taken whole does not ask: what stands before it is in its own statement.
        """


@dataclass(frozen=True, slots=True)
class Bore(_Part):
    """A drilled way."""

    kind = "bore"
    length: Annotated[float, "m"] = given("40 mm", least=0.0, most=100.0)
    roughness: Annotated[float, "m"] = given("0.003 mm", default=3.2e-6, least=0.0, most=0.01)
    """Wall roughness; 3.2 µm as drilled (common practice)."""

    def __post_init__(self) -> None:
        require_given(self)
        fine = self.roughness <= 0.05 * self.diameter
        require(fine, "roughness", "Roughness must be at most a twentieth of the bore.")

    def trace(self, upstream: float) -> Segment:
        return _segment(
            self.diameter,
            entry_head(self.diameter, upstream),
            slenderness=self.length / self.diameter,
            roughness=self.roughness / self.diameter,
        )


@dataclass(frozen=True, slots=True)
class Pipe(Bore):
    """A length of drawn copper or brass pipe; `diameter` is its bore."""

    kind = "pipe"
    roughness: Annotated[float, "m"] = given("0.0015 mm", default=1.5e-6, least=0.0, most=0.01)
    """Wall roughness; 1.5 µm for drawn tube (from memory)."""


@dataclass(frozen=True, slots=True)
class Corner(_Part):
    """Two drilled holes that meet; `diameter` is that of the hole steam leaves by."""

    kind = "corner"
    angle: Annotated[float, "rad"] = given("90 deg", default=pi / 2, least=ONE_DEGREE, most=2.0)
    """Change of direction."""

    def trace(self, upstream: float) -> Segment:
        loss = corner_loss(self.angle) + entry_head(self.diameter, upstream)
        return _segment(self.diameter, loss)


@dataclass(frozen=True, slots=True)
class Bend(_Part):
    """A smooth bend in drawn pipe."""

    kind = "bend"
    radius: Annotated[float, "m"] = given("8 mm", least=1e-4, most=4.0)  # 0.7 to 20 bores
    angle: Annotated[float, "rad"] = given(
        "90 deg", default=pi / 2, least=ONE_DEGREE, most=HALF_TURN
    )
    """Change of direction."""

    def __post_init__(self) -> None:
        require_given(self)
        ratio = self.radius / self.diameter
        require(0.7 <= ratio <= 20, "radius", "A bend's radius must be 0.7 to 20 bores.")

    def trace(self, upstream: float) -> Segment:
        loss = bend_loss(self.radius / self.diameter, self.angle)
        return _segment(self.diameter, loss + entry_head(self.diameter, upstream))


@dataclass(frozen=True, slots=True)
class Contraction(_Part):
    """A sharp step down to a smaller bore; taken whole, velocity head included."""

    kind = "contraction"
    upstream_diameter: Annotated[float, "m"] = given("5 mm", least=2e-4, most=0.2)  # the larger

    def __post_init__(self) -> None:
        require_given(self)
        fits = self.diameter < self.upstream_diameter
        require(fits, "diameter", "A contraction must lead to a smaller bore.")

    def trace(self, upstream: float) -> Segment:
        return _segment(self.diameter, entry_head(self.diameter, self.upstream_diameter))


@dataclass(frozen=True, slots=True)
class Tee(_Part):
    """A square branch off a run, as an outlet drilled into a block's centre bore; taken whole."""

    kind = "tee"
    source = "TP-410 form of the diverging branch at 90 degrees"
    run_diameter: Annotated[float, "m"] = given(
        "5 mm", least=2e-4, most=0.2
    )  # the branch's or more
    share: float = given(0.5, default=1.0, least=0.05, most=1.0)  # of the run's flow

    def __post_init__(self) -> None:
        require_given(self)
        require(self.diameter <= self.run_diameter, "diameter", "A branch cannot exceed its run.")

    def trace(self, upstream: float) -> Segment:
        loss = tee_branch_loss(self.diameter / self.run_diameter, self.share)
        return _segment(self.diameter, loss + 1.0)


@dataclass(frozen=True, slots=True)
class Loss(_Part):
    """Anything whose loss coefficient is known; taken whole, as stated."""

    kind = "loss"
    source = "given"
    k: float = given(14.5, least=0.0, most=1e5)  # loss coefficient

    def trace(self, upstream: float) -> Segment:
        return _segment(self.diameter, self.k)


@dataclass(frozen=True, slots=True)
class Valve(_Part):
    """A valve whose Kv is known; taken whole. It chokes by IEC 60534."""

    kind = "valve"
    source = "IEC 60534-2-1"
    diameter: Annotated[float, "m"] = given("4 mm", least=2e-4, most=0.2)  # bore either side
    kv: float = given(0.1764, least=1e-5, most=1000.0)  # cubic metres of water an hour at one bar
    xt: float = given(0.7, default=0.7, least=0.1, most=1.0)
    """Pressure drop ratio at which air chokes; 0.7 for a globe valve."""

    def __post_init__(self) -> None:
        require_given(self)
        fault = "Such a Kv would pass more than an open bore of that diameter."
        require(valve_loss(self.diameter, self.kv) >= 0.05, "kv", fault)

    def trace(self, upstream: float) -> Segment:
        loss = valve_loss(self.diameter, self.kv)
        limit = VALVE_EXPONENT_FACTOR * self.xt
        if loss < 8 / 9 * limit / (1 - limit) ** 2:  # so open that its bore chokes before its plug
            return _segment(self.diameter, loss)
        return _segment(self.diameter, 0.0, valve_area=VALVE_NUMERAL * self.kv, valve_limit=limit)


@dataclass(frozen=True, slots=True)
class StopValve(_Part):
    """A screw-down stop valve known by its seat and its lift; taken whole."""

    kind = "stop_valve"
    source = f"{CRANE_SOURCE}; {CURTAIN_SOURCE}"
    lift: Annotated[float, "m"] = given("1 mm", least=4e-6, most=0.4)  # of the disc, d/50 to 2 d
    xt: float = given(0.7, default=0.7, least=0.1, most=1.0)
    """Pressure drop ratio at which air chokes."""

    def __post_init__(self) -> None:
        require_given(self)
        likely = self.diameter / 50 <= self.lift <= 2 * self.diameter
        require(likely, "lift", "Lift must be from a fiftieth to twice the seat bore.")

    @property
    def kv(self) -> float:
        """Flow coefficient Kv at this lift."""
        return valve_coefficient(self.diameter, stop_valve_loss(self.diameter, self.lift))

    def trace(self, upstream: float) -> Segment:
        return Valve(self.diameter, self.kv, self.xt).trace(upstream)


Element = Bore | Pipe | Corner | Bend | Contraction | Tee | Loss | Valve | StopValve


@dataclass(frozen=True, slots=True)
class Line:
    """Elements in series, reduced to segments once so that a solver may ask often."""

    elements: tuple[Element, ...]
    segments: tuple[Segment, ...]  # in the order steam meets them


def trace_line(elements: Iterable[Element] | Line) -> Line:
    """Reduce elements in series to the line the flow equations work on.

    elements: the parts in the order steam meets them, at least one; a line is handed back as it
        is.
    Returns: the line, from a chamber at rest to a chamber at rest [SI].
    Raises OutOfRange: if there are no elements.
    Source: Named with each element.
    """
    if isinstance(elements, Line):
        return elements
    parts = tuple(elements)
    require(bool(parts), "elements", "A passage needs at least one element.")
    segments = []
    upstream = inf
    for part in parts:
        segments.append(part.trace(upstream))
        upstream = part.diameter
    return Line(parts, tuple(segments))


def entry_head(diameter: float, upstream: float) -> float:
    """Sharp entry and velocity head paid on going from a wider part into a bore.

    Source: Rennels and Hudson, Pipe Flow: sharp contraction; change of velocity head without
    recovery.
    """
    ratio = diameter / upstream
    if ratio >= 1:
        return 0.0
    return sharp_entry_loss(ratio) + 1.0 - ratio**4


def _segment(
    diameter: float,
    loss: float,
    *,
    slenderness: float = 0.0,
    roughness: float = 0.0,
    valve_area: float = 0.0,
    valve_limit: float = 0.0,
) -> Segment:
    area = pi / 4 * diameter**2
    return Segment(area, diameter, loss, slenderness, roughness, valve_area, valve_limit)
