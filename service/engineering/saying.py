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


def name(text: str, called: str = "") -> Figure:
    """What a person or the trade calls a thing: an engine, a thread, a drill, a bar of stock."""
    return Figure("name", text, called)


def length(metres: float, called: str = "") -> Figure:
    """A nominal length [m]: a bar, a spacing, a length to saw or turn; 64ths where it is one."""
    return Figure("length", metres, called)


def fine(metres: float, called: str = "") -> Figure:
    """A length read with a micrometer [m]: a thread's diameter, overlap, gap, wall or shim."""
    return Figure("fine", metres, called)


def area(square_metres: float, called: str = "") -> Figure:
    """An area [m2]."""
    return Figure("area", square_metres, called)


def volume(cubic_metres: float, called: str = "") -> Figure:
    """A volume [m3]."""
    return Figure("volume", cubic_metres, called)


def mass(kilograms: float, called: str = "") -> Figure:
    """A mass [kg]."""
    return Figure("mass", kilograms, called)


def force(newtons: float, called: str = "") -> Figure:
    """A force [N]."""
    return Figure("force", newtons, called)


def torque(newton_metres: float, called: str = "") -> Figure:
    """A torque [N m]."""
    return Figure("torque", newton_metres, called)


def pressure(absolute: float, called: str = "") -> Figure:
    """An absolute pressure [Pa], to be read as a gauge shows it."""
    return Figure("pressure", absolute, called)


def drop(pascals: float, called: str = "") -> Figure:
    """A difference of two pressures [Pa]."""
    return Figure("drop", pascals, called)


def stress(pascals: float, called: str = "") -> Figure:
    """A stress or a strength [Pa]."""
    return Figure("stress", pascals, called)


def temperature(kelvin: float, called: str = "") -> Figure:
    """A temperature [K]."""
    return Figure("temperature", kelvin, called)


def rise(kelvin: float, called: str = "") -> Figure:
    """A difference of two temperatures [K]."""
    return Figure("rise", kelvin, called)


def speed(turns_a_second: float, called: str = "") -> Figure:
    """A speed of turning [1/s]."""
    return Figure("speed", turns_a_second, called)


def velocity(metres_a_second: float, called: str = "") -> Figure:
    """A velocity [m/s]."""
    return Figure("velocity", metres_a_second, called)


def flow(kilograms_a_second: float, called: str = "") -> Figure:
    """A mass flow [kg/s]."""
    return Figure("flow", kilograms_a_second, called)


def power(watts: float, called: str = "") -> Figure:
    """A power or a flow of heat [W]."""
    return Figure("power", watts, called)


def heat_loss(watts_a_metre: float, called: str = "") -> Figure:
    """Heat lost by a length of pipe [W/m]."""
    return Figure("heat_loss", watts_a_metre, called)


def angle(radians: float, called: str = "") -> Figure:
    """An angle [rad]."""
    return Figure("angle", radians, called)


def duration(seconds: float, called: str = "") -> Figure:
    """A span of time [s]."""
    return Figure("duration", seconds, called)


def share(part: float, called: str = "") -> Figure:
    """A part of a whole, 1 for all of it; read as a percentage."""
    return Figure("share", part, called)


def turns(number_of_turns: float, called: str = "") -> Figure:
    """Turns of a thread, to a tenth."""
    return Figure("turns", number_of_turns, called)


def number(value: float, called: str = "") -> Figure:
    """A plain number, such as a factor or a ratio."""
    return Figure("number", value, called)


def count(value: int, called: str = "") -> Figure:
    """How many; a whole number."""
    return Figure("count", value, called)
