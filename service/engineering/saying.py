"""Sentences as parts: text of our own, and figures of which words are made at the edge.

Engineering never writes a number out. `say("It has ", pressure(p), ".")` keeps the pressure as it
is; `quantities.wording` alone makes the sentence, in the measure asked for. A name that a person
typed is a figure too (`name(engine)`), so whatever stands in it stays what it is.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

FigureKind = Literal[
    "name", "length", "fine", "area", "volume", "mass", "force", "torque", "pressure", "drop",
    "stress", "temperature", "rise", "speed", "velocity", "flow", "power", "heat_loss", "angle",
    "duration", "share", "turns", "number", "count",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a sentence: its kind, its value in SI, and what it is called on the wire."""

    kind: FigureKind
    value: float | str
    called: str = ""

    def __str__(self) -> str:
        """Refuse: words are made of a figure in one place only, where the measure is known."""
        raise TypeError("a figure has no words of its own; leave it in say(...)")

    def __format__(self, _: str) -> str:
        """Refuse, as `str` does."""
        return str(self)


Part = str | Figure
Said = tuple[Part, ...]
Sayable: TypeAlias = "Part | tuple[Sayable, ...]"
"""What a sentence is put together of: parts, and groups of them however deep."""


def say(*parts: Sayable) -> Said:
    """A sentence of texts, figures, groups of them and sentences already said."""
    said: list[Part] = []
    for part in parts:
        if isinstance(part, tuple):
            said += say(*part)
        else:
            said.append(part)
    return tuple(said)


def listed(items: Iterable[Sayable], *, between: str = ", ", last: str | None = None) -> Said:
    """Parts one after another; `last` stands between the last two where it is not the same."""
    members = list(items)
    said: list[Sayable] = []
    for number, member in enumerate(members):
        if number:
            said.append(last if last and number == len(members) - 1 else between)
        said.append(member)
    return say(*said)


class Maker:
    """Makes figures of one kind from a value in SI, or from the text of a name."""

    def __init__(self, kind: FigureKind) -> None:
        self.kind = kind

    def __call__(self, value: float | str, called: str = "") -> Figure:
        """The figure; `called` is its name on the wire where its kind says too little."""
        return Figure(self.kind, value, called)


name = Maker(
    "name"
)  # what a person or the trade calls a thing: an engine, a thread, a drill, a bar
length = Maker("length")  # nominal [m]: a bar, a spacing, a length to saw; a 64th where it is one
fine = Maker("fine")  # read with a micrometer [m]: a thread's diameter, overlap, gap, wall or shim
area = Maker("area")  # an area [m2]
volume = Maker("volume")  # a volume [m3]
mass = Maker("mass")  # a mass [kg]
force = Maker("force")  # a force [N]
torque = Maker("torque")  # a torque [N m]
pressure = Maker("pressure")  # an absolute pressure [Pa], to be read as a gauge shows it
drop = Maker("drop")  # a difference of two pressures [Pa]
stress = Maker("stress")  # a stress or a strength [Pa]
temperature = Maker("temperature")  # a temperature [K]
rise = Maker("rise")  # a difference of two temperatures [K]
speed = Maker("speed")  # a speed of turning [1/s]
velocity = Maker("velocity")  # a velocity [m/s]
flow = Maker("flow")  # a mass flow [kg/s]
power = Maker("power")  # a power or a flow of heat [W]
heat_loss = Maker("heat_loss")  # heat lost by a length of pipe [W/m]
angle = Maker("angle")  # an angle [rad]
duration = Maker("duration")  # a span of time [s]
share = Maker("share")  # a part of a whole, 1 for all of it; read as a percentage
turns = Maker("turns")  # turns of a thread, to a tenth
number = Maker("number")  # a plain number, such as a factor or a ratio
count = Maker("count")  # how many; a whole number
