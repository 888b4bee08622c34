"""A nipple or adapter as a part: two threads on one piece of hexagon bar over a common bore."""

from dataclasses import dataclass, replace
from math import pi, sqrt
from typing import Annotated, Literal

from service.engineering.errors import require
from service.engineering.findings import Finding, Working, worst_first
from service.engineering.kit import USUAL_KIT, Kit
from service.engineering.materials import find_material
from service.engineering.saying import Said, fine, length, name, say
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import (
    FemaleEnd,
    MaleEnd,
    check_female,
    check_male,
    judge_wall,
    wanted_wall,
)
from service.engineering.threads.remedies.bars import HexagonBar, choose_hexagon, density_of
from service.engineering.threads.remedies.job_sheet import JobSheet, Step
from service.engineering.threads.remedies.remedy import choose_bore, choose_tapping_drill
from service.engineering.threads.remedies.rethreading import (
    TAP_LEAD_PITCHES,
    UNDERCUT_DEPTH,
    UNDERCUT_PITCHES,
    add_male_thread,
    add_tapping,
)

Gender = Literal["male", "female"]

LEAST_TURNS = 6.0  # full turns cut where no length is given: five in use and one to spare
LEAST_WEB = 0.002  # metal between the bottom of a tapping hole and what is behind [m]; from memory
GRIP_OUT = 0.008  # how much further than the part the bar stands out of the chuck [m]; from memory
SPANNER_ROOM = 0.004  # hexagon left for a spanner [m]; from memory
SEAT = 0.001  # how far the hexagon stands out past a male to seat a washer, a side [m]; memory
FACING = 0.0005
PARTING_TOOL = 0.002  # left on for facing, and lost to the parting tool [m]; common practice


@dataclass(frozen=True, slots=True)
class AdapterEnd:
    """One end of an adapter as it is made; lengths in metres."""

    gender: Gender
    thread: Thread
    thread_length: Annotated[float, "m"]
    length: Annotated[float, "m"]
    """From the hexagon to the end of a male; depth of a female's tapping hole."""
    diameter: Annotated[float, "m"]  # turned diameter of a male; tapping hole of a female
    drill: Said  # tapping drill of a female, else blank
    undercut_diameter: Annotated[float, "m"] | None
    undercut_width: Annotated[float, "m"]
    wall: Annotated[float, "m"]  # thinnest wall over the bore, or around the female thread


@dataclass(frozen=True, slots=True)
class AdapterPlan:
    """A dimensioned adapter and how it is made; lengths in metres, mass in kilograms."""

    end_a: AdapterEnd
    end_b: AdapterEnd
    bore: Annotated[float, "m"]
    material: str
    stock: str
    stock_diameter: Annotated[float, "m"]  # hexagon bar, across its flats
    body_length: Annotated[float, "m"]  # hexagon between the ends; it holds the females' holes
    total_length: Annotated[float, "m"]
    drilling_depth: Annotated[float, "m"]
    """How deep the bore is drilled from the bar's end before parting off."""
    parting_length: Annotated[float, "m"]
    """Where it is parted off, counted from the bar's faced end."""
    bar_length: Annotated[float, "m"]  # bar that one piece uses up
    threading_order: tuple[str, ...]
    operations: tuple[Step, ...]
    minutes: float
    mass: Annotated[float, "kg"]
    wall_least: Annotated[float, "m"]
    findings: tuple[Finding, ...]
    stock_source: str

    @property
    def workings(self) -> tuple[Working, ...]:
        bar, body = f'"smallest bar: {self.stock}"', 'max("holes" + "web", "spanner\'s room")'
        return (
            *_end_workings("a", self.end_a),
            *_end_workings("b", self.end_b),
            Working('"AF"', bar, self.stock_diameter, "m", self.stock_source),
            Working('l_"body"', body, self.body_length, "m", "common practice"),
            Working("l", 'l_"body" + "male ends"', self.total_length, "m", "arithmetic"),
        )

    @property
    def ends(self) -> tuple[AdapterEnd, AdapterEnd]:
        return self.end_a, self.end_b


def plan_adapter(
    end_a: MaleEnd | FemaleEnd,
    end_b: MaleEnd | FemaleEnd,
    *,
    bore: float,
    material: str = "brass",
    kit: Kit | None = None,
) -> AdapterPlan:
    """Work an adapter out: bar, lengths, undercuts, drilling, order of threading, operations, mass.

    end_a: one end wanted on the adapter itself; length or depth [m] may be left to the plan.
    end_b: the other end.
    bore: hole right through [m], above 0 and below every thread's bottom.
    material: metal of the bar.
    kit: what the workshop has. A bore within 0.1 mm of a drill on hand is drilled with that; None:
        every drill and bar there is may be named.
    Returns: lengths [m], mass [kg], minutes, findings and workings.
    Raises OutOfRange: a dimension outside its range, or a bore that breaks into a thread.
    Raises NoSolution: no hexagon bar of the table is large enough.
    Raises UnknownMaterial: a metal that is not in the table.
    Source: Common practice, from memory: undercut 0.1 mm under the thread and two pitches wide,
        tapping hole two and a half pitches past the full thread, walls of `metal`; bars of
        `hexagon_bars.csv`.
    """
    metal, own = find_material(material).name, kit or USUAL_KIT
    bore, drill = choose_bore(bore, own)
    a, b = (_plan_end(end, bore, material=metal, kit=own) for end in (end_a, end_b))
    body = _body_length(a, b)
    total = body + sum(end.length for end in (a, b) if end.gender == "male")
    wanted = total + 2 * FACING + PARTING_TOOL
    across = max(_needed_across_flats(end, metal) for end in (a, b))
    bar, lacking = choose_hexagon(across, metal=metal, length=wanted, stock=own.stock)
    a, b = (_with_wall(end, bar) for end in (a, b))
    first, second = _order_ends(a, b)
    sheet = JobSheet(metal, own)
    _add_operations(sheet, first, second, bore=bore, drill=drill, bar=bar, total=total)
    return AdapterPlan(
        end_a=a,
        end_b=b,
        bore=bore,
        material=metal,
        stock=bar.name,
        stock_diameter=bar.size,
        body_length=body,
        total_length=total,
        drilling_depth=total + FACING + PARTING_TOOL,
        parting_length=total + FACING,
        bar_length=wanted,
        threading_order=(first.thread.designation, second.thread.designation),
        operations=sheet.finish(),
        minutes=sheet.minutes,
        mass=_mass(a, b, bore=bore, bar=bar, body=body, material=metal),
        wall_least=min(a.wall, b.wall),
        findings=worst_first([*_judge_ends(a, b, metal), *lacking, *sheet.wants]),
        stock_source=bar.source,
    )


def _plan_end(end: MaleEnd | FemaleEnd, bore: float, *, material: str, kit: Kit) -> AdapterEnd:
    if isinstance(end, MaleEnd):
        return _plan_male(end, bore)
    return _plan_female(end, bore, material=material, kit=kit)


def _plan_male(end: MaleEnd, bore: float) -> AdapterEnd:
    check_male(end)
    thread, bottom = end.thread, end.bottom
    least = say("The bore must be under ", fine(bottom), ", the bottom of ", thread.named)
    require(bore < bottom, "bore", least)
    threaded = end.length or _usual_length(thread)
    width = 0.0 if thread.is_taper else UNDERCUT_PITCHES * thread.pitch
    neck = None if thread.is_taper else thread.root_diameter - UNDERCUT_DEPTH
    thinnest = bottom if neck is None else neck
    return AdapterEnd(
        gender="male",
        thread=thread,
        thread_length=threaded,
        length=threaded + width,
        diameter=thread.major_diameter,
        drill=(),
        undercut_diameter=neck,
        undercut_width=width,
        wall=(thinnest - bore) / 2,
    )


def _plan_female(end: FemaleEnd, bore: float, *, material: str, kit: Kit) -> AdapterEnd:
    check_female(end)
    thread = end.thread
    chosen = None if end.drilled else choose_tapping_drill(thread, material, kit).drill
    hole = end.drilled or (chosen.diameter if chosen else 0.0)
    least = say("The bore must be under ", fine(hole), ", the hole of ", thread.named)
    require(bore < hole, "bore", least)
    depth = end.depth or _usual_length(thread)
    return AdapterEnd(
        gender="female",
        thread=thread,
        thread_length=depth,
        length=depth + TAP_LEAD_PITCHES * thread.pitch,
        diameter=hole,
        drill=say(name(chosen.name) if chosen else fine(hole)),
        undercut_diameter=None,
        undercut_width=0.0,
        wall=((end.boss or 0.0) - thread.major_diameter) / 2,
    )


def _usual_length(thread: Thread) -> float:
    """Full thread on an end whose length is not given [m], to the next half millimetre."""
    least = max(thread.major_diameter * 0.8, LEAST_TURNS * thread.pitch)
    if thread.gauge_length:
        least = thread.gauge_length + LEAST_TURNS / 2 * thread.pitch
    return -(-least // 0.0005) * 0.0005


def _needed_across_flats(end: AdapterEnd, material: str) -> float:
    major = end.thread.major_diameter
    if end.gender == "male":
        return major + 2 * SEAT
    least = max(wanted_wall(material, major), end.thread.internal_depth)
    return max(major + 2 * least, major + 2 * end.wall)


def _with_wall(end: AdapterEnd, bar: HexagonBar) -> AdapterEnd:
    wall = end.wall if end.gender == "male" else (bar.size - end.thread.major_diameter) / 2
    return replace(end, wall=wall)


def _body_length(a: AdapterEnd, b: AdapterEnd) -> float:
    """Hexagon [m]: holds the females' holes and a web, and gives a spanner its room."""
    holes = sum(end.length for end in (a, b) if end.gender == "female")
    least = holes + LEAST_WEB if holes else 0.0
    return -(-max(least, SPANNER_ROOM) // 0.0005) * 0.0005


def _add_operations(
    sheet: JobSheet,
    first: AdapterEnd,
    second: AdapterEnd,
    *,
    bore: float,
    drill: Said,
    bar: HexagonBar,
    total: float,
) -> None:
    out = length(total + GRIP_OUT)
    sheet.add("hold round work", say("Chuck ", name(bar.name), " bar, ", out, " out."))
    sheet.add("face", "Face the end.", diameter=bar.size)
    sheet.add("centre", "Centre.", diameter=bore)
    depth = total + FACING + PARTING_TOOL
    drilled = say("Drill the bore ", drill, ", ", length(depth), " deep.")
    sheet.add("drill", drilled, size=drill, diameter=bore, length=depth)
    sheet.want_hole(bore)
    _add_end(sheet, first)
    parted = say("Part off ", length(total + FACING), " from the faced end.")
    sheet.add("part off", parted, diameter=bar.size)
    sheet.add("hold round work", "Reverse, hold by the hexagon.")
    sheet.add("face", say("Face to ", length(total), " over all."), diameter=bar.size)
    _add_end(sheet, second)
    sheet.add("deburr and wash", "Take the burr off both ends of the bore; wash out the swarf.")
    sheet.add("gauge", "Try both mating parts, right home by hand.")


def _order_ends(a: AdapterEnd, b: AdapterEnd) -> tuple[AdapterEnd, AdapterEnd]:
    """First from the bar, where it is stiffest: a male before a female, the longer before the
    shorter."""
    first, second = sorted((a, b), key=lambda end: (end.gender != "male", -end.length))
    return first, second


def _add_end(sheet: JobSheet, end: AdapterEnd) -> None:
    if end.gender == "male":
        add_male_thread(sheet, end.thread, length=end.length)
        return
    hole, drill, full = end.diameter, end.drill, end.thread_length
    add_tapping(sheet, end.thread, hole=hole, drill=drill, length=full, start="open out")


def _mass(
    a: AdapterEnd, b: AdapterEnd, *, bore: float, bar: HexagonBar, body: float, material: str
) -> float:
    """Mass [kg]; a thread counts as a cylinder of its effective diameter."""
    volume = sqrt(3) / 2 * bar.size**2 * body
    through = body
    for end in (a, b):
        if end.gender == "male":
            volume += pi / 4 * end.thread.effective_diameter**2 * end.thread_length
            if end.undercut_diameter:
                volume += pi / 4 * end.undercut_diameter**2 * end.undercut_width
            through += end.length
        else:
            volume -= pi / 4 * (end.thread.effective_diameter**2 - bore**2) * end.thread_length
            tail = end.length - end.thread_length
            volume -= pi / 4 * (end.diameter**2 - bore**2) * tail
    return (volume - pi / 4 * bore**2 * through) * density_of(material)


def _judge(end: AdapterEnd, material: str) -> Finding:
    male = end.gender == "male"
    major = end.thread.major_diameter
    return judge_wall(
        end.wall,
        wanted=wanted_wall(material, major) * (1 if male or not end.thread.is_taper else 2),
        least=end.thread.external_depth if male else end.thread.internal_depth,
        place=say("over the bore at " if male else "around ", end.thread.named),
        code="wall-over-bore" if male else "boss-wall",
    )


def _judge_ends(a: AdapterEnd, b: AdapterEnd, material: str) -> tuple[Finding, ...]:
    return (_judge(a, material), _judge(b, material), *_judge_hands(a, b))


def _judge_hands(a: AdapterEnd, b: AdapterEnd) -> tuple[Finding, ...]:
    if a.thread.hand == b.thread.hand:
        return ()
    left, right = (a, b) if a.thread.is_left else (b, a)
    text = say(
        left.thread.named, " is left-hand and ", right.thread.named, " right-hand: a left hand "
        "often marks fuel gas and keeps it from the rest. Be sure that this is to be joined.",
    )  # fmt: skip
    return (Finding("caution", "hands-differ", text, source="common practice"),)


def _end_workings(letter: str, end: AdapterEnd) -> tuple[Working, Working]:
    if end.gender == "female":
        wall = '("across flats" - "major diameter") / 2'
        reach = f'"full thread" + {TAP_LEAD_PITCHES} P'
    elif end.thread.is_taper:
        wall, reach = '("bottom at the small end" - "bore") / 2', '"full thread"'
    else:
        wall, reach = '("undercut" - "bore") / 2', f'"full thread" + {UNDERCUT_PITCHES} P'
    return (
        Working(f'w_"{letter}"', wall, end.wall, "m", "geometry"),
        Working(f'l_"{letter}"', reach, end.length, "m", "common practice"),
    )
