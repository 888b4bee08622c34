"""Steps at the bench: what is done, with which tool, how fast and for how long."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from math import pi
from typing import Literal

from service.engineering.data_files import need_number, read_table
from service.engineering.errors import OutOfRange, Unsuitable, require
from service.engineering.findings import Finding
from service.engineering.kit import USUAL_KIT, Kit
from service.engineering.materials import find_material
from service.engineering.saying import Part, Said, duration, fine, name, say
from service.engineering.threads.catalogue import Thread, judge_stand, nearest_drill

SpeedClass = Literal["fast", "medium", "slow", "by hand", "still"]

FAST, MEDIUM = 1000 / 60, 300 / 60  # spindle speeds from which a cut is called fast, medium [1/s]
SAME_SIZE = 5e-6  # difference of diameter that no drill keeps to [m]
LONGEST_MINUTES = 600.0  # the most minutes that a standard time may be


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a job in bench order."""

    number: int
    text: Said
    tool: str
    size: Said  # size of the tool or cut as it is marked, blank where there is none
    speed_class: SpeedClass
    minutes: float


@dataclass(frozen=True, slots=True)
class StandardTime:
    """What an operation takes, in minutes, and minutes more per metre worked."""

    operation: str
    minutes: float
    minutes_per_length: float
    tool: str
    speed: str
    source: str


@dataclass(slots=True)
class JobSheet:
    """Collects the steps of one job, timing each from the table of standard times."""

    material: str
    kit: Kit = USUAL_KIT
    steps: list[Step] = field(default_factory=list)
    minutes: float = 0.0  # minutes of all the steps
    wants: list[Finding] = field(default_factory=list)  # tools not on hand

    def add(
        self,
        operation: str,
        text: Said | str,
        *,
        size: Part | Said = (),
        diameter: float = 0.0,
        length: float = 0.0,
        tool: str | None = None,
    ) -> None:
        """Add a step; `diameter` [m] sets its speed, `length` [m] its time."""
        standard = find_standard_time(operation, table=self.kit.times)
        minutes = standard.minutes + standard.minutes_per_length * length
        speed: SpeedClass = "by hand" if standard.speed == "threading" else "still"
        if standard.speed == "cutting" and diameter:
            speed = choose_speed_class(diameter, self.material)
        self.minutes += minutes
        place, used = len(self.steps) + 1, standard.tool if tool is None else tool
        self.steps.append(Step(place, say(text), used, say(size), speed, minutes))

    def hold_block(self) -> None:
        self.add("hold block", "Set the female up square under the drill.")
        self.add("find hole", "Bring the hole under the spindle.")

    def wash(self) -> None:
        self.add("deburr and wash", "Take off the burr and wash out the swarf.")

    def want_tap(self, thread: Thread) -> None:
        if self.kit.lacks_tap(thread):
            self._want("tap", thread)

    def want_die(self, thread: Thread) -> None:
        if self.kit.lacks_die(thread):
            self._want("die", thread)

    def want_hole(self, diameter: float) -> None:
        """Note a hole [m] for which no drill is on hand."""
        self.wants += judge_hole(diameter, self.kit)

    def want_tapping_hole(self, thread: Thread, diameter: float) -> None:
        """Note a tapping hole [m] that no drill on hand makes, or makes as it should be."""
        drills = self.kit.drills
        if drills is None:
            return
        if any(abs(drill.diameter - diameter) < SAME_SIZE for drill in drills):
            self.wants += judge_stand(thread, material=self.material, drills=drills)
        else:
            self.want_hole(diameter)

    def _want(self, tool: str, thread: Thread) -> None:
        text, code = say(f"No {tool} for ", thread.named, " is on hand."), f"no-{tool}-on-hand"
        self.wants.append(Finding("caution", code, text, source="the tools on hand"))

    def finish(self) -> tuple[Step, ...]:
        return tuple(self.steps)


def judge_hole(diameter: float, kit: Kit) -> tuple[Finding, ...]:
    """A finding where a list of drills is kept and none on it makes the hole [m]."""
    if kit.drills is None:
        return ()
    nearest = nearest_drill(diameter, drills=kit.drills)
    if abs(nearest.diameter - diameter) < SAME_SIZE:
        return ()
    text = say(
        "No drill on hand makes a hole of ", fine(diameter, "wanted"), ": the nearest is ",
        name(nearest.name, "nearest"), ", ", fine(nearest.diameter), ".",
    )  # fmt: skip
    size, source = nearest.diameter, "the drills on hand"
    return (Finding("caution", "no-drill-near", text, size, diameter, "m", source),)


def find_standard_time(operation: str, *, table: Mapping[str, float] | None = None) -> StandardTime:
    """What an operation takes at the bench."""
    standard = standard_times().get(operation)
    if standard is None:
        said = say("No operation is called ", name(repr(operation)), ".")
        raise Unsuitable(said, field="operation")
    if table is None or operation not in table:
        return standard
    minutes = table[operation]
    longest = say(f"{operation}: from 0 to ", duration(60 * LONGEST_MINUTES), ".")
    require(0 <= minutes <= LONGEST_MINUTES, "table_of_times", longest)
    return replace(standard, minutes=minutes, source="the workshop's own time")


def check_table_of_times(table: Mapping[str, float] | None) -> None:
    """Refuse a workshop's table that names unknown operations or unsound times.

    table: minutes for one piece by operation [min], 0 to 600.
    Raises Unsuitable: an operation that is not in the table of standard times.
    Raises OutOfRange: minutes outside 0 to 600.
    Source: `standard_times.csv`.
    """
    for operation in table or {}:
        find_standard_time(operation, table=table)


def choose_speed_class(diameter: float, material: str) -> SpeedClass:
    """Spindle speed, as a class, for a cut of a given diameter."""
    require(diameter > 0, "diameter", "The diameter must be above 0.")
    speeds = _read_cutting_speeds()
    slowest = min(speeds.values())  # for a metal without a row
    turns_a_second = speeds.get(find_material(material).name, slowest) / (pi * diameter)
    if turns_a_second >= FAST:
        return "fast"
    return "medium" if turns_a_second >= MEDIUM else "slow"


@cache
def _read_cutting_speeds() -> dict[str, float]:
    """Surface speeds [m/s]."""
    return {
        row["material"]: need_number(row, "speed", scale=1 / 60)
        for row in read_table("bar_metals.csv")
    }


@cache
def standard_times() -> dict[str, StandardTime]:
    """The table of standard times, by operation."""
    times = {}
    for row in read_table("standard_times.csv"):
        if row["operation"] in times:
            said = say(name(row["operation"]), " stands twice in the table of standard times.")
            raise OutOfRange(said)
        times[row["operation"]] = StandardTime(
            operation=row["operation"],
            minutes=need_number(row, "minutes"),
            minutes_per_length=need_number(row, "minutes_per_length", scale=1 / 0.010),
            tool=row["tool"],
            speed=row["speed"],
            source=row["source"],
        )
    return times
