"""What is wanted of a distribution block: its ports, its steam, and what it may cost in pressure.

The block lies along x with its left end at x = 0. Its front face is y = 0, its bottom face z = 0;
the corner of the three is the datum from which everything is set out.
"""

from dataclasses import dataclass, replace
from math import pi
from typing import Annotated, Literal

from service.engineering.constants import ATMOSPHERE, INCH
from service.engineering.errors import Unsuitable, require
from service.engineering.given import given, require_given
from service.engineering.saturation import LOWEST_PRESSURE, require_pressure
from service.engineering.saying import Figure, count, fine, flow, length, name, say
from service.engineering.steam.passages import require_pulsation
from service.engineering.threads.catalogue import Drill, Thread

Face = Literal["top", "front", "bottom", "back"]
End = Literal["left end", "right end"]
Place = Literal["top", "front", "bottom", "back", "left end", "right end"]

FACES: tuple[Face, ...] = ("top", "front", "bottom", "back")
ENDS: tuple[End, ...] = ("left end", "right end")

PLUG = "plug"  # name of the port that is there only to drill the bore through
MOST_OUTLETS = 12
MOST_CASES = 12

LEAST_WALL = INCH / 16
"""Metal left between holes and around them [m]: 1/16 in, common practice in brass and bronze."""

LEAST_WALLS = (0.0005, 0.020)  # least walls that may be asked for [m]
THREADS = (0.001, 0.060)  # major diameters of the threads that a block is planned for [m]

MOST_SPACING, WIDEST_SEAT, MOST_ENGAGEMENT = 0.5, 0.1, 0.05
"""What may be asked for one port at the most [m]."""

MOST_FLOW = 1.0  # steam of one port at the most [kg/s]
SHOULDER_SHARE = 1.5
"""Washer face of a screwed fitting over the diameter of its thread; common practice."""


@dataclass(frozen=True, slots=True)
class Port:
    """One tapped hole that is wanted."""

    thread: Thread
    place: Place | None = given("top", default=None)
    """Face or end; None: the top for an outlet, the left end for the inlet, a free end else."""
    name: str = given("port engine", default="")
    """What is screwed in: `port engine`, `whistle`; blank for none."""
    spacing: Annotated[float, "m"] | None = given(
        "5/8 in", default=None, least=1e-3, most=MOST_SPACING
    )
    """Room along the block that the valve's body and handwheel want; None: only the thread's."""
    seat: Annotated[float, "m"] | None = given("3/8 in", default=None, least=0.0, most=WIDEST_SEAT)
    """Flat wanted for the shoulder or washer, across; None: one and a half diameters."""
    engagement: Annotated[float, "m"] | None = given(
        "1/4 in", default=None, least=1e-9, most=MOST_ENGAGEMENT
    )
    """Full thread wanted; None: five turns, or more where strength asks for it."""
    pointing: Annotated[float, "rad"] | None = given(
        "90 deg", default=None, least=-2 * pi, most=2 * pi
    )
    """Where the fitting is to point, clockwise from the right end, seen from outside."""
    male_material: str = given("bronze", default="brass")

    @property
    def radius(self) -> float:
        """Half the major diameter of the thread [m]."""
        return self.thread.major_diameter / 2

    @property
    def shoulder(self) -> float:
        """Flat wanted for the shoulder or washer, across [m]."""
        return SHOULDER_SHARE * self.thread.major_diameter if self.seat is None else self.seat


@dataclass(frozen=True, slots=True)
class RunningCase:
    """The steam that each port passes at one time [kg/s]; 0 for a port that is shut."""

    name: str
    outlets: tuple[float, ...]
    ends: tuple[float, ...] = ()  # steam of the end ports, in their order; none given: all shut


@dataclass(frozen=True, slots=True)
class BlockRequest:
    """A distribution block that is wanted; SI, the pressure absolute."""

    outlets: tuple[Port, ...]
    inlet: Port
    pressure: float  # working pressure, absolute [Pa]
    drop_budget: float  # pressure that the block may cost on the way to any port [Pa]
    cases: tuple[RunningCase, ...]
    ends: tuple[Port, ...] = ()  # ports in the ends other than the inlet: whistle, gauge, drain
    material: str = "brass"
    least_wall: float = LEAST_WALL  # metal to leave between holes and around them [m], 0.5 to 20 mm
    pulsation: float = 1.2
    """Mean square over square of mean flow: 1.2 for one double-acting cylinder an outlet."""
    drills: tuple[Drill, ...] | None = None
    """Drills on hand for bore and ways; None: fractions of an inch for inch bar, else mm."""

    @property
    def ports(self) -> tuple[Port, ...]:
        """Inlet, outlets and end ports, in that order."""
        return (self.inlet, *self.outlets, *self.ends)


def settle_request(request: BlockRequest) -> BlockRequest:
    """Check a request and give every port its place.

    request: the request; its limits stand with its fields [SI].
    Returns: the same with no place left open.
    Raises OutOfRange: a figure outside its range.
    Raises Unsuitable: a taper thread, two ports in one end, an outlet in an end or an end port in
        a face.
    Source: The project's own limits: common practice.
    """
    _check_figures(request)
    for port in request.ports:
        _check_port(port)
    settled = replace(
        request,
        inlet=_placed(request.inlet, "left end"),
        outlets=tuple(_placed(outlet, "top") for outlet in request.outlets),
    )
    settled = replace(settled, ends=_settle_ends(settled))
    _check_places(settled)
    _check_cases(settled)
    return _with_plug(settled)


def _placed(port: Port, place: Place) -> Port:
    return port if port.place else replace(port, place=place)


def _settle_ends(request: BlockRequest) -> tuple[Port, ...]:
    taken = {port.place for port in (request.inlet, *request.ends)}
    free = [end for end in reversed(ENDS) if end not in taken]
    settled = []
    for port in request.ends:
        if port.place is None and not free:
            raise Unsuitable("A block has two ends: too many ports are put in them.", field="ends")
        settled.append(port if port.place else replace(port, place=free.pop(0)))
    return tuple(settled)


def _with_plug(request: BlockRequest) -> BlockRequest:
    """The request with a plugged end, where no end was open to drill the bore from."""
    if any(port.place in ENDS for port in request.ports):
        return request
    plug = Port(request.inlet.thread, "left end", name=PLUG, male_material=request.material)
    return replace(request, ends=(plug,))


def _check_figures(request: BlockRequest) -> None:
    require_pressure(request.pressure)
    require_pulsation(request.pulsation)
    require(request.pressure > ATMOSPHERE, "pressure", "The block must be under pressure.")
    require(
        0 < request.drop_budget < request.pressure - LOWEST_PRESSURE,
        "drop_budget",
        "The drop that is allowed must be above 0 and below the working pressure.",
    )
    least, most = LEAST_WALLS
    walls = say("The least wall is ", fine(least, "least"), " to ", fine(most, "most"), ".")
    require(least <= request.least_wall <= most, "least_wall", walls)
    outlets = say("A block has 1 to ", count(MOST_OUTLETS, "most"), " outlets.")
    require(1 <= len(request.outlets) <= MOST_OUTLETS, "outlets", outlets)
    require(request.drills is None or bool(request.drills), "drills", "There are no drills.")


def _check_port(port: Port) -> None:
    thread = name(port.thread.designation)
    if port.thread.is_taper:
        raise Unsuitable(
            say(
                (thread, " is a taper thread: it spreads a small block and cannot be made to"),
                " point. Take a parallel thread that seals on a washer.",
            ),
            field="thread",
        )
    _check_thread(port, thread)
    require_given(port)


def _check_thread(port: Port, thread: Figure) -> None:
    least, most = THREADS
    sizes = say(
        (thread, " lies outside the ", length(least, "least"), " to ", length(most, "most")),
        " for which a block is planned.",
    )
    require(least <= port.thread.major_diameter <= most, "thread", sizes)
    seat = say("The seat of ", thread, " must be at least as wide as the thread.")
    require(port.seat is None or port.thread.major_diameter <= port.seat, "seat", seat)


def _check_places(request: BlockRequest) -> None:
    if any(outlet.place not in FACES for outlet in request.outlets):
        raise Unsuitable("An outlet lies in a face; name end ports as ends.", field="outlets")
    if any(port.place not in ENDS for port in request.ends):
        raise Unsuitable("An end port lies in an end of the block.", field="ends")
    in_ends = [port.place for port in request.ports if port.place in ENDS]
    if len(in_ends) > len(set(in_ends)):
        raise Unsuitable("Two ports are put in the same end.", field="ends")


def _check_cases(request: BlockRequest) -> None:
    cases = say("Give 1 to ", count(MOST_CASES, "most"), " running cases.")
    require(1 <= len(request.cases) <= MOST_CASES, "flows", cases)
    for case in request.cases:
        _check_case(case, request)


def _check_case(case: RunningCase, request: BlockRequest) -> None:
    flows, said = (*case.outlets, *case.ends), say("Case ", name(repr(case.name)))
    require(
        len(case.outlets) == len(request.outlets),
        "flows",
        say(said, " must give the steam of every outlet, 0 for one that is shut."),
    )
    require(
        len(case.ends) in (0, len(request.ends)),
        "flows",
        say(said, " must give the steam of every end port, or of none."),
    )
    require(
        all(0 <= each <= MOST_FLOW for each in flows),
        "flows",
        say(said, " has a flow that is negative or above ", flow(MOST_FLOW, "most"), "."),
    )
    require(any(flows), "flows", say(said, " passes no steam at all."))
