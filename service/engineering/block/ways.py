"""One port of the block: the thread it asks for, and how its hole meets the centre bore.

A tapping drill clearly smaller than the bore may run straight into it. A wider one would tear out
along the sides of the bore, so the hole is stepped: a narrower way down to the bore, and the
tapping size above it to a floor short of the bore.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import acos, cos, radians, tan

from service.engineering.block.request import Port
from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import NoSolution
from service.engineering.saying import fine, say
from service.engineering.threads.catalogue import (
    Drill,
    TappingDrill,
    Thread,
    judge_stand,
    tapping_drills,
)
from service.engineering.threads.strength import (
    PRESSURE_FACTOR,
    SPANNER_FACTOR,
    end_load,
    needed_length,
    spanner_load,
)

LEAST_BREAKTHROUGH = radians(30)
"""Least angle at which a cross hole may meet the wall of the bore [rad]: below it the drill runs
off along the wall and leaves a feather edge; judgement, common practice."""

WIDEST_SHARE = cos(LEAST_BREAKTHROUGH)  # widest cross hole over the bore that it meets
FLOOR = 0.0005
"""Metal left between the bottom of a stepped hole and the bore [m]; steam is on both sides, so it
need only keep its shape: judgement, common practice."""

LEAD_TURNS = 2.0  # turns of lead of a plug tap, which cut no full thread; common practice
POINT_SLOPE = tan(radians(31))
"""Depth of a drill's point over the radius it spans: 118 degree point, ISO 5419."""


@dataclass(frozen=True, slots=True)
class Tapping:
    """What a port's thread asks for, whatever bar it stands in; lengths in metres."""

    port: Port
    chosen: TappingDrill
    engagement: float  # full thread wanted: for five turns, for strength, or as asked

    @property
    def drill(self) -> Drill:
        return self.chosen.drill

    @property
    def lead(self) -> float:
        """Length below the full thread that the tap needs for its lead [m]."""
        return LEAD_TURNS * self.port.thread.pitch

    @property
    def depth(self) -> float:
        """Full thread to cut where there is room: one diameter, or more if wanted [m]."""
        return max(self.engagement, self.port.thread.major_diameter)

    def across(self, wall: float) -> float:
        """Width of face wanted for the shoulder, and for walls beside the thread [m]."""
        return max(self.port.shoulder, 2 * (self.port.radius + wall))


@dataclass(frozen=True, slots=True)
class Way:
    """How a port's hole goes down to a bore of one size; lengths in metres."""

    feed: Drill
    """The drill that meets the bore; the tapping drill itself where it runs right through."""
    is_stepped: bool
    spent: float  # what lies between the middle of the bore and the end of the full thread
    breakthrough: float
    """Angle between the wall of the cross hole and the wall of the bore where they meet [rad]."""

    def room(self, reach: float) -> float:
        """Full thread that fits between the bore and a face `reach` [m] from its middle [m]."""
        return reach - self.spent


def ask_tapping(
    port: Port, *, material: str, pressure: float, drills: tuple[Drill, ...] | None
) -> Tapping:
    """Choose a port's tapping drill and the thread it needs.

    Source: `needed_length`: five turns; 8 on the end load and 1.5 on a spanner's pull (common
    practice).
    """
    chosen = _choose_drill(port.thread, material, drills)
    if chosen.depth_percent <= 0:
        told = judge_stand(port.thread, material=material, drills=drills)
        raise NoSolution(told[0].text, field="drills")
    load = max(
        PRESSURE_FACTOR * end_load(port.thread, pressure - ATMOSPHERE),
        SPANNER_FACTOR * spanner_load(port.thread.major_diameter),
    )
    needed = needed_length(
        port.thread,
        port.thread,
        load=load,
        drilled=chosen.drill.diameter,
        male_material=port.male_material,
        female_material=material,
    )
    return Tapping(port, chosen, max(needed, port.engagement or 0.0))


def meet_bore(tapping: Tapping, bore: float, *, drills: Sequence[Drill]) -> Way:
    """How a port's hole goes down to a bore.

    Source: Geometry of two cylinders whose axes cross: the angle is acos(hole / bore).
    """
    widest = WIDEST_SHARE * bore
    if tapping.drill.diameter <= widest:
        return Way(tapping.drill, False, bore / 2, acos(tapping.drill.diameter / bore))
    feed = max(
        (drill for drill in drills if drill.diameter <= widest),
        key=lambda drill: drill.diameter,
        default=None,
    )
    if feed is None:
        raise NoSolution(
            say("No drill on hand is under ", fine(widest, "widest"), "."), field="drills"
        )
    point = (tapping.drill.diameter - feed.diameter) / 2 * POINT_SLOPE
    spent = bore / 2 + FLOOR + point + tapping.lead
    return Way(feed, True, spent, acos(feed.diameter / bore))


@cache
def _choose_drill(thread: Thread, material: str, drills: tuple[Drill, ...] | None) -> TappingDrill:
    return tapping_drills(thread, material=material, drills=drills)[0]
