"""A thread cut anew: over the old one in its own helix, or in fresh metal beside it."""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

import numpy as np

from service.engineering.findings import Finding
from service.engineering.saying import Part, Said, fine, name, number, say, share
from service.engineering.saying import length as nominal
from service.engineering.threads.catalogue import Range, Thread, is_same_thread, limits_of
from service.engineering.threads.fit import judge_wall, wanted_wall
from service.engineering.threads.overlay import Profile, female_profile, male_profile
from service.engineering.threads.remedies.job_sheet import JobSheet
from service.engineering.threads.remedies.remedy import (
    Joint,
    Proposal,
    drills_by_size,
    judge_depth,
    judge_remnant,
)

Start = Literal["drill", "open out"]  # a tapping hole is begun in solid metal, or in an old hole

UNDERCUT_DEPTH = 0.0001  # under the bottom of the thread, on diameter [m]; common practice
UNDERCUT_PITCHES = 2.0
TAP_LEAD_PITCHES = 2.5
"""Width of an undercut, and how far a tapping hole runs past its full thread: common practice,
from memory."""

PLUG_ROOM = 0.0005  # how much too large a hole for a plug may be drilled [m]; judgement
PLUG_CLEARANCE = 0.0005
PLUG_FIT = 0.00005
"""How much larger than the old thread a hole is bored for a plug, and how much smaller than the
hole the plug is turned, on diameter [m]; from memory."""


def propose_recutting(joint: Joint) -> Iterator[Proposal]:
    """Propose to chase the male with a die of the female's thread, or the female with a tap.

    Source: Common practice: a die or tap picks up an old helix only where the pitch is the
    same.
    """
    if not joint.can_be_chased:
        return
    if not is_same_thread(joint.male.thread, joint.female.thread):
        yield _recut_male(joint)
        yield _recut_female(joint)
    elif joint.female.bore < joint.female.thread.core_diameter:
        yield _recut_female(joint)


def propose_turning_down(joint: Joint) -> Iterator[Proposal]:
    """Propose to turn the male down to the female's thread.

    Source: Common practice: clean where the new major diameter is within the bottom of the old
    thread.
    """
    male, old, new = joint.male, joint.male.thread, joint.female.thread
    if joint.can_be_chased or new.major_diameter > old.major_diameter:
        return
    groove = (new.major_diameter - old.root_diameter) / 2
    neck = new.root_diameter - UNDERCUT_DEPTH
    yield Proposal(
        kind="turn_down",
        summary=say("Turn the ", old.named, " male down and cut ", new.named, " on it."),
        sheet=_turn_down(joint, new),
        joints=((replace(male, thread=new), joint.female),),
        sealing=joint.seal(new, gap=max(0.0, groove)),
        alters=(male,),
        findings=(judge_remnant(groove, new),),
        walls=() if male.bore is None or new.is_taper else ((neck - male.bore) / 2,),
    )


def propose_opening_out(joint: Joint) -> Iterator[Proposal]:
    """Propose to drill the female out and tap it with the male's thread.

    Source: Common practice: clean where the new tapping hole takes the old thread out.
    """
    old, new, drill = joint.female.thread, joint.male.thread, joint.tapping.drill
    if joint.can_be_chased or new.major_diameter < old.major_diameter:
        return
    groove = (old.major_diameter - drill.diameter) / 2
    summary = say(
        "Open the ", old.named, " hole out to ", name(drill.name), " and tap it ", new.named, ".",
    )  # fmt: skip
    yield Proposal(
        kind="open_out",
        summary=summary,
        sheet=_open_out(joint, new),
        joints=((joint.male, replace(joint.female, thread=new, drilled=drill.diameter)),),
        sealing=joint.seal(new, gap=max(0.0, groove)),
        alters=(joint.female,),
        findings=(judge_remnant(groove, new),),
    )


def propose_plugging(joint: Joint) -> Iterator[Proposal]:
    """Propose to bore the female out, silver-solder a plug in it, and drill and tap that.

    Source: Common practice; the plug is as much larger than the new thread as its wall is
    wanted thick.
    """
    new, plug = joint.male.thread, _plug_diameter(joint)
    hole = joint.tapping.drill.diameter
    summary = say(
        "Bore the ", joint.female.thread.named, " hole out, silver-solder a plug of ",
        fine(plug, "plug"), " in it, then drill and tap that ", new.named, ".",
    )  # fmt: skip
    findings, walls = [HEAT_FINDING], [(plug - new.major_diameter) / 2]
    if joint.female.boss is not None:
        wall, wanted = (joint.female.boss - plug) / 2, wanted_wall(joint.female.material, plug)
        around = say("around a plug of ", fine(plug, "plug"))
        judged = judge_wall(wall, wanted=wanted, least=wanted / 2, place=around, code="plug-wall")
        findings.append(judged)
        walls.append(wall)
    yield Proposal(
        kind="plug",
        summary=summary,
        sheet=_plug(joint, new, plug=plug),
        joints=((joint.male, replace(joint.female, thread=new, boss=None, drilled=hole)),),
        sealing=joint.seal(new),
        alters=(joint.female,),
        findings=tuple(findings),
        walls=tuple(walls),
    )


HEAT_FINDING = Finding(
    "caution",
    "silver-solder-heat",
    say(
        "Silver-soldering heats the whole part: on a boiler only with the inspector's agreement, "
        "and never near joints made earlier."
    ),
    source="common practice",
)


def add_tapping(
    sheet: JobSheet, thread: Thread, *, hole: float, drill: Part | Said, length: float, start: Start
) -> None:
    """Add the steps that drill a hole [m] with a drill and tap a thread.

    Source: Common practice: a blind hole is drilled two and a half pitches past the full
    thread.
    """
    depth = length + TAP_LEAD_PITCHES * thread.pitch
    kept = (thread.tapping_size - hole) / (2 * thread.internal_depth)
    text = say(
        f"{start.capitalize()} to ", drill, " (", share(kept), " of full depth), ", nominal(depth),
        " deep.",
    )  # fmt: skip
    sheet.add(start, text, size=drill, diameter=hole, length=depth)
    mouth = "Countersink the mouth to the major diameter."
    sheet.add("countersink", mouth, diameter=thread.major_diameter)
    cut = "cut taper female thread" if thread.is_taper else "cut female thread"
    tap = say("Tap ", thread.named, ", ", nominal(length), " of full thread.")
    sheet.add(cut, tap, size=thread.named, length=length)
    sheet.want_tapping_hole(thread, hole)
    sheet.want_tap(thread)


def add_male_thread(sheet: JobSheet, thread: Thread, *, length: float) -> None:
    """Add the steps that turn, undercut and thread a male.

    Source: Common practice: undercut to 0.1 mm below the thread and two pitches wide.
    """
    major = thread.major_diameter
    tapering = say(", tapering 1 in ", number(1 / thread.taper)) if thread.is_taper else ""
    turn = say("Turn to ", fine(major), " for ", nominal(length), tapering, ".")
    sheet.add("turn", turn, size=fine(major), diameter=major, length=length)
    if not thread.is_taper:
        neck, width = fine(thread.root_diameter - UNDERCUT_DEPTH), UNDERCUT_PITCHES * thread.pitch
        undercut = say("Undercut at the shoulder to ", neck, ", ", fine(width), " wide.")
        sheet.add("undercut", undercut, size=neck, diameter=major)
    sheet.add("chamfer", "Chamfer the end to the bottom of the thread.", diameter=major)
    cut = "cut taper male thread" if thread.is_taper else "cut male thread"
    die = say("Cut ", thread.named, " with a die, squared by the tailstock.")
    sheet.add(cut, die, size=thread.named, length=length)
    sheet.want_die(thread)


def add_tapping_for_male(sheet: JobSheet, joint: Joint, *, start: Start) -> None:
    """Add the steps that drill and tap the male's thread in the female's metal."""
    hole, drill = joint.tapping.drill.diameter, name(joint.tapping.drill.name)
    thread, length = joint.male.thread, joint.length
    add_tapping(sheet, thread, hole=hole, drill=drill, length=length, start=start)


def _recut_male(joint: Joint) -> Proposal:
    old, new = joint.male.thread, joint.female.thread
    removed, missing = _compare(male_profile(old), male_profile(new))
    crest = min(old.major_diameter, new.major_diameter)
    summary = say(
        "Run a ", new.named, " die over the ", old.named, " male: the helix is the same, ",
        fine(removed, "removed"), " a side comes off.",
    )  # fmt: skip
    return Proposal(
        kind="recut",
        summary=summary,
        sheet=_chase_male(joint),
        joints=((replace(joint.male, thread=new), joint.female),),
        sealing=joint.seal(new, "thread", gap=2 * missing),  # old metal may be missing there
        alters=(joint.male,),
        findings=(
            _helix_finding(joint, removed),
            judge_remnant(_beyond_tolerance(missing, limits_of(new).male_effective), new),
            judge_depth((crest - joint.female.bore) / (2 * new.internal_depth)),
        ),
    )


def _recut_female(joint: Joint) -> Proposal:
    old, new, bore = joint.female.thread, joint.male.thread, joint.female.bore
    # opened out only where the new tap would bind in it
    hole = bore if bore >= new.core_diameter else joint.tapping.drill.diameter
    missing, removed = _compare(female_profile(old), female_profile(new))
    summary = say(
        "Run a ", new.named, " tap through the ", old.named, " hole: the helix is the same, ",
        fine(removed, "removed"), " a side comes off.",
    )  # fmt: skip
    return Proposal(
        kind="recut",
        summary=summary,
        sheet=_chase_female(joint, hole),
        joints=((joint.male, replace(joint.female, thread=new, drilled=hole)),),
        sealing=joint.seal(new, "thread", gap=2 * missing),
        alters=(joint.female,),
        findings=(
            _helix_finding(joint, removed),
            judge_remnant(_beyond_tolerance(missing, limits_of(new).female_effective), new),
            judge_depth((new.major_diameter - hole) / (2 * new.internal_depth)),
        ),
    )


def _chase_male(joint: Joint) -> JobSheet:
    new, major = joint.female.thread, joint.female.thread.major_diameter
    sheet = JobSheet(joint.male.material, joint.kit)
    sheet.add("hold fitting", "Hold the male so that its thread runs true.")
    if joint.male.thread.major_diameter > major + 1e-5:
        skim = say("Skim the crests to ", fine(major), ".")
        sheet.add("turn", skim, size=fine(major), diameter=major, length=joint.length)
    die = say(new.named, " die")
    run = say("Start a ", die, " in the old thread by hand and run it to the shoulder.")
    sheet.add("chase male thread", run, size=die, length=joint.length)
    sheet.want_die(new)
    _finish(sheet, mate=new)
    return sheet


def _chase_female(joint: Joint, hole: float) -> JobSheet:
    new = joint.male.thread
    sheet = JobSheet(joint.female.material, joint.kit)
    sheet.hold_block()
    if hole > joint.female.bore:
        size = name(joint.tapping.drill.name)
        crests = say("Open the crests out to ", size, ".")
        sheet.add("open out", crests, size=size, diameter=hole, length=joint.length)
        sheet.want_tapping_hole(new, hole)
    tap = say(new.named, " plug tap")
    run = say("Start a ", tap, " in the old thread by hand and run it to the bottom.")
    sheet.add("chase female thread", run, size=tap, length=joint.length)
    sheet.want_tap(new)
    _finish(sheet, mate=new)
    return sheet


def _compare(old: Profile, new: Profile) -> tuple[float, float]:
    """Along the new flank, how far the old outline stands above it and below it at most [m]."""
    along = np.linspace(new.outer_edges[-1], new.pitch / 2 - new.inner_edges[-1], 33)
    above = old.radius_at(along) - new.radius_at(along)
    return float(max(above.max(), 0.0)), float(max(-above.min(), 0.0))


def _beyond_tolerance(missing: float, limits: Range) -> float:
    """A hollow [m]; none where a good thread may lie as low as that by its limits."""
    return missing if missing > (limits[1] - limits[0]) / 2 else 0.0


def _helix_finding(joint: Joint, removed: float) -> Finding:
    text = say(
        "Both threads advance ", fine(joint.male.thread.pitch, "pitch"), " a turn: the old helix "
        "leads the tool. ", fine(removed, "removed"), " a side comes off.",
    )  # fmt: skip
    return Finding("ok", "helix-survives", text, removed, None, "m", "common practice")


def _finish(sheet: JobSheet, *, mate: Thread) -> None:
    home = say("Try the mating part (", mate.named, ") right home, by hand, without shake.")
    sheet.wash()
    sheet.add("gauge", home)


def _turn_down(joint: Joint, new: Thread) -> JobSheet:
    sheet = JobSheet(joint.male.material, joint.kit)
    sheet.add("hold fitting", "Hold the male by its other end so that the thread runs true.")
    add_male_thread(sheet, new, length=joint.length)
    sheet.wash()
    sheet.add("gauge", say("Try it in the ", new.named, " female, right home by hand."))
    return sheet


def _open_out(joint: Joint, new: Thread) -> JobSheet:
    sheet = JobSheet(joint.female.material, joint.kit)
    sheet.hold_block()
    add_tapping_for_male(sheet, joint, start="open out")
    sheet.wash()
    sheet.add("gauge", say("Try the ", new.named, " male right home by hand."))
    return sheet


def _plug(joint: Joint, new: Thread, *, plug: float) -> JobSheet:
    depth, size = joint.length + TAP_LEAD_PITCHES * new.pitch, fine(plug)
    sheet = JobSheet(joint.female.material, joint.kit)
    sheet.hold_block()
    bored = say("Bore the old thread right out, ", size, ", ", nominal(depth), " deep.")
    sheet.add("open out", bored, size=size, diameter=plug, length=depth)
    sheet.want_hole(plug)
    sheet.add("hold round work", "Chuck bar for the plug.")
    turned = say("Turn the plug ", fine(PLUG_FIT), " under ", size, ".")
    sheet.add("turn", turned, size=size, diameter=plug, length=depth)
    sheet.add("part off", "Part the plug off a little long.", diameter=plug)
    sheet.add("silver solder", "Flux, seat and silver-solder the plug.")
    sheet.add("pickle and clean", "Pickle, wash and look for a full fillet.")
    sheet.add("hold block", "Set the female up again and face the plug flush.")
    sheet.add("centre", "Centre the plug on the old axis.", diameter=new.core_diameter)
    add_tapping_for_male(sheet, joint, start="drill")
    sheet.wash()
    sheet.add("leak test", "Test the solder with water before the fitting goes in.")
    return sheet


def _plug_diameter(joint: Joint) -> float:
    """Hole for a plug [m]: takes the old thread out and leaves a wall; a drill on hand."""
    new, old = joint.male.thread, joint.female.thread
    wall = wanted_wall(joint.female.material, new.major_diameter)
    least = max(old.major_diameter + PLUG_CLEARANCE, new.major_diameter + 2 * wall)
    sizes = [drill.diameter for drill in drills_by_size(joint.kit)]
    place = bisect_left(sizes, least)
    if place == len(sizes) or (joint.kit.drills and sizes[place] > least + PLUG_ROOM):
        return least
    return sizes[place]
