"""A piece between: a bush in the female, an adapter outside it, or a new fitting altogether."""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from service.engineering.errors import EngineeringError
from service.engineering.findings import Finding
from service.engineering.kit import USUAL_KIT, Kit
from service.engineering.saying import fine, length, name, say
from service.engineering.threads.catalogue import Family, Thread, threads_of, turn_left
from service.engineering.threads.fit import FemaleEnd, MaleEnd, wanted_wall
from service.engineering.threads.remedies.adapters import AdapterPlan, plan_adapter
from service.engineering.threads.remedies.job_sheet import JobSheet
from service.engineering.threads.remedies.remedy import (
    SHALLOW_REMNANT,
    Joint,
    Proposal,
    choose_tapping_drill,
    drills_by_size,
    judge_remnant,
)
from service.engineering.threads.remedies.rethreading import (
    UNDERCUT_DEPTH,
    add_male_thread,
    add_tapping,
    add_tapping_for_male,
)

BORE_SLACK = 0.0005  # how much narrower than it might be a bore is drilled [m]; judgement


def propose_bushing(joint: Joint) -> Iterator[Proposal]:
    """Propose a bush: outside the female's thread, or a larger one; inside the male's.

    Source: Common practice: wall of a bush = (bottom of the outside thread - inside major
    diameter) / 2.
    """
    outside = joint.female.thread
    if outside.root_diameter > joint.male.thread.major_diameter and not outside.is_taper:
        yield _bush_as_it_is(joint)
    larger = _choose_outside(joint)
    if larger is not None and larger.designation != outside.designation:
        yield _bush_opened_out(joint, larger)


def propose_adapting(joint: Joint) -> Iterator[Proposal]:
    """Propose an adapter: the male's thread in one end, the female's on the other."""
    bore, metal = joint.male.bore or _bore_for(joint), joint.female.material
    socket = FemaleEnd(joint.male.thread, joint.male.length, material=metal)
    stub = MaleEnd(joint.female.thread, joint.female.depth, material=metal)
    try:
        plan = plan_adapter(socket, stub, bore=bore, material=metal, kit=joint.kit)
    except EngineeringError:
        return
    yield _adapt(joint, plan)


def propose_replacing(joint: Joint) -> Iterator[Proposal]:
    """Propose a new male fitting with the female's thread, as long as the female is deep.

    Source: Common practice.
    """
    thread = joint.female.thread
    if joint.male.bore is not None and joint.male.bore >= thread.root_diameter:
        return
    male = MaleEnd(thread, joint.female.depth, joint.male.bore, joint.male.material, "bought")
    sheet = JobSheet(male.material, joint.kit)
    sheet.add("order", say("Order or make the fitting with ", thread.named, "."))
    sheet.add("gauge", say("Try it in the ", thread.named, " female, right home by hand."))
    sheet.add("fit with washer", "Fit it; give the old one back.")
    yield Proposal(
        kind="replace",
        summary=say("Put a new fitting with ", thread.named, " in place of the old one."),
        sheet=sheet,
        joints=((male, joint.female),),
        sealing=joint.seal(thread),
        sets_aside=(joint.male,),
        reversible=True,
    )


def _bush_as_it_is(joint: Joint) -> Proposal:
    inside, outside = joint.male.thread, joint.female.thread
    wall = (outside.root_diameter - inside.major_diameter) / 2
    summary = say(
        "Make a bush, ", outside.named, " outside and ", inside.named, " inside, ",
        fine(wall, "wall"), " wall.",
    )  # fmt: skip
    return Proposal(
        kind="bush",
        summary=summary,
        sheet=_make_bush(joint, outside),
        joints=_bushed_joints(joint, outside, female=joint.female),
        sealing=joint.seal(outside, "thread"),
        reversible=True,
        walls=(wall,),
    )


def _bush_opened_out(joint: Joint, outside: Thread) -> Proposal:
    inside, old = joint.male.thread, joint.female.thread
    drill = choose_tapping_drill(outside, joint.female.material, joint.kit).drill
    hole, size = drill.diameter, name(drill.name)
    summary = say(
        "Open the ", old.named, " hole out to ", outside.named,
        " and fit a bush, ", inside.named, " inside.",
    )  # fmt: skip
    sheet = JobSheet(joint.female.material, joint.kit)
    sheet.hold_block()
    add_tapping(sheet, outside, hole=hole, drill=size, length=joint.length, start="open out")
    return Proposal(
        kind="bush",
        summary=summary,
        sheet=_make_bush(joint, outside, sheet=sheet),
        joints=_bushed_joints(
            joint, outside, female=replace(joint.female, thread=outside, drilled=hole)
        ),
        sealing=joint.seal(outside, "permanent"),
        alters=(joint.female,),
        findings=(judge_remnant((old.major_diameter - hole) / 2, outside),),
        walls=((outside.root_diameter - inside.major_diameter) / 2,),
    )


def _bushed_joints(
    joint: Joint, outside: Thread, *, female: FemaleEnd
) -> tuple[tuple[MaleEnd, FemaleEnd], ...]:
    """The bush in the female, and the male in the bush."""
    inside = joint.male.thread
    bush = MaleEnd(outside, joint.length, inside.major_diameter, joint.female.material)
    hole = joint.tapping.drill.diameter
    socket = FemaleEnd(inside, joint.female.depth, None, hole, joint.female.material)
    return ((bush, female), (joint.male, socket))


def _make_bush(joint: Joint, outside: Thread, *, sheet: JobSheet | None = None) -> JobSheet:
    inside = joint.male.thread
    sheet = sheet or JobSheet(joint.female.material, joint.kit)
    metal = name(joint.female.material)
    sheet.add("hold round work", say("Chuck ", metal, " bar for the bush."))
    sheet.add("face", "Face the end.", diameter=outside.major_diameter)
    add_male_thread(sheet, outside, length=joint.length)
    sheet.add("centre", "Centre.", diameter=inside.core_diameter)
    add_tapping_for_male(sheet, joint, start="drill")
    sheet.add("part off", "Part off behind a thin flange.", diameter=outside.major_diameter)
    sheet.wash()
    sheet.add("fit with sealant", "Degrease, seal and screw the bush hard home.")
    sheet.add("gauge", say("Try the ", inside.named, " male right home by hand."))
    return sheet


def _choose_outside(joint: Joint) -> Thread | None:
    """Smallest fine thread that takes the old one out and leaves the bush a good wall."""
    inside, old = joint.male.thread, joint.female.thread
    wall = max(wanted_wall(joint.female.material, inside.major_diameter), inside.internal_depth)
    for thread in _bush_threads(joint.kit.bush_families()):
        if (
            thread.root_diameter - inside.major_diameter >= 2 * wall
            and old.major_diameter - thread.core_diameter
            <= 2 * SHALLOW_REMNANT * thread.internal_depth
        ):
            # in the hand of what goes in it, which else unscrews the bush when it is tightened
            return turn_left(thread) if inside.is_left else thread
    return None


@lru_cache(maxsize=8)
def _bush_threads(families: tuple[Family, ...]) -> tuple[Thread, ...]:
    """The threads for the outside of a bush, the smallest first; of one size the best liked."""
    threads = [thread for family in families for thread in threads_of(family.key)]
    return tuple(sorted(threads, key=lambda thread: thread.major_diameter))


def _adapt(joint: Joint, plan: AdapterPlan) -> Proposal:
    socket, stub = plan.ends
    metal, hexagon = joint.female.material, plan.stock_diameter
    female = FemaleEnd(socket.thread, socket.thread_length, hexagon, socket.diameter, metal)
    summary = say(
        "Make an adapter from ", name(plan.stock), " ", name(metal), ": ",
        socket.thread.named, " female, ", stub.thread.named, " male, ",
        fine(plan.bore, "bore"), " bore, ", length(plan.total_length), " long.",
    )  # fmt: skip
    return Proposal(
        kind="adapter",
        summary=summary,
        sheet=JobSheet(metal, joint.kit, list(plan.operations), plan.minutes),
        joints=(
            (joint.male, female),
            (MaleEnd(stub.thread, stub.thread_length, plan.bore, metal), joint.female),
        ),
        sealing=joint.seal(stub.thread),
        reversible=True,
        findings=(*plan.findings, _longer_finding(plan)),
        walls=(plan.wall_least,),
    )


def _longer_finding(plan: AdapterPlan) -> Finding:
    further = plan.body_length
    text = say("It sets the fitting ", length(further, "further"), " further out: is there room?")
    return Finding("ok", "adapter-length", text, further, None, "m", "geometry")


def _bore_for(joint: Joint) -> float:
    """Largest drilled bore that leaves both ends a good wall [m]; the male's bore is not known."""
    stub = joint.female.thread
    bottom = min(stub.root_diameter - stub.small_end_offset, joint.male.thread.core_diameter)
    wall = max(wanted_wall(joint.female.material, stub.major_diameter), stub.external_depth)
    room = bottom - UNDERCUT_DEPTH - 2 * wall
    wanted = _largest_within(room, USUAL_KIT) or bottom / 2
    on_hand = _largest_within(room, joint.kit)
    return on_hand if on_hand and on_hand >= wanted - BORE_SLACK else wanted


def _largest_within(room: float, kit: Kit) -> float | None:
    drills = drills_by_size(kit)
    place = bisect_right(drills, room, key=lambda drill: drill.diameter)
    return drills[place - 1].diameter if place else None
