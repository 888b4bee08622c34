"""A new thread in fresh metal: turn the male down, open the female out, or plug it."""

from bisect import bisect_left
from dataclasses import replace
from typing import Literal

from service.engineering.findings import Finding
from service.engineering.saying import Part, Said, fine, name, number, say, share
from service.engineering.saying import length as nominal
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import MaleEnd, judge_wall, wanted_wall
from service.engineering.threads.remedies.job_sheet import JobSheet
from service.engineering.threads.remedies.remedy import (
    Joint,
    Proposal,
    drills_by_size,
    judge_remnant,
)
from service.engineering.threads.remedies.sealing import Use, choose_sealing

Start = Literal["drill", "open out"]
"""How a tapping hole is begun: in solid metal, or in an old hole."""

UNDERCUT_DEPTH = 0.0001
"""How much smaller than the bottom of the thread an undercut is turned [m]; common practice."""

UNDERCUT_PITCHES = 2.0
TAP_LEAD_PITCHES = 2.5
"""Width of an undercut, and how far a tapping hole runs past its full thread: common practice,
from memory."""

PLUG_ROOM = 0.0005
"""How much larger than it must be a hole for a plug may be drilled [m]; judgement."""

PLUG_CLEARANCE = 0.0005
PLUG_FIT = 0.00005
"""How much larger than the old thread a hole is bored for a plug, and how much smaller than the
hole the plug is turned, on diameter [m]; from memory."""


def propose_turning_down(joint: Joint) -> tuple[Proposal, ...]:
    """Propose to turn the male down to the female's thread.

    Source: Common practice: clean where the new major diameter is within the bottom of the old
    thread.
    """
    old, new = joint.male.thread, joint.female.thread
    if joint.can_be_chased or new.major_diameter > old.major_diameter:
        return ()
    male = replace(joint.male, thread=new)
    groove = (new.major_diameter - old.root_diameter) / 2
    summary = say(
        "Turn the ", name(old.designation), " male down and cut ", name(new.designation), " on it.",
    )  # fmt: skip
    return (
        Proposal(
            kind="turn_down",
            summary=summary,
            sheet=_turn_down(joint, new),
            joints=((male, joint.female),),
            sealing=choose_sealing(
                seal_for(new), steam_temperature=joint.steam_temperature, gap=max(0.0, groove)
            ),
            alters=(joint.male,),
            findings=(judge_remnant(groove, new),),
            walls=_undercut_walls(joint.male, new),
        ),
    )


def propose_opening_out(joint: Joint) -> tuple[Proposal, ...]:
    """Propose to drill the female out and tap it with the male's thread.

    Source: Common practice: clean where the new tapping hole takes the old thread out.
    """
    old, new = joint.female.thread, joint.male.thread
    if joint.can_be_chased or new.major_diameter < old.major_diameter:
        return ()
    tapping = joint.tapping
    hole = tapping.drill.diameter
    female = replace(joint.female, thread=new, drilled=hole)
    groove = (old.major_diameter - hole) / 2
    summary = say(
        "Open the ", name(old.designation), " hole out to ", name(tapping.drill.name),
        " and tap it ", name(new.designation), ".",
    )  # fmt: skip
    return (
        Proposal(
            kind="open_out",
            summary=summary,
            sheet=_open_out(joint, new),
            joints=((joint.male, female),),
            sealing=choose_sealing(
                seal_for(new), steam_temperature=joint.steam_temperature, gap=max(0.0, groove)
            ),
            alters=(joint.female,),
            findings=(judge_remnant(groove, new),),
        ),
    )


def propose_plugging(joint: Joint) -> tuple[Proposal, ...]:
    """Propose to bore the female out, silver-solder a plug in it, and drill and tap that.

    Source: Common practice; the plug is as much larger than the new thread as its wall is
    wanted thick.
    """
    old, new = joint.female.thread, joint.male.thread
    plug = _plug_diameter(joint)
    hole = joint.tapping.drill.diameter
    female = replace(joint.female, thread=new, boss=None, drilled=hole)
    summary = say(
        "Bore the ", name(old.designation), " hole out, silver-solder a plug of ",
        fine(plug, "plug"), " in it, then drill and tap that ", name(new.designation), ".",
    )  # fmt: skip
    findings = [_heat_finding()]
    walls: tuple[float, ...] = ((plug - new.major_diameter) / 2,)
    if joint.female.boss is not None:
        wall, wanted = (joint.female.boss - plug) / 2, wanted_wall(joint.female.material, plug)
        walls += (wall,)
        findings.append(
            judge_wall(
                wall,
                wanted=wanted,
                least=wanted / 2,
                place=say("around a plug of ", fine(plug, "plug")),
                code="plug-wall",
            )
        )
    return (
        Proposal(
            kind="plug",
            summary=summary,
            sheet=_plug(joint, new, plug=plug),
            joints=((joint.male, female),),
            sealing=choose_sealing(seal_for(new), steam_temperature=joint.steam_temperature),
            alters=(joint.female,),
            findings=tuple(findings),
            walls=walls,
        ),
    )


def seal_for(thread: Thread) -> Use:
    """Where a thread of this sort is made tight.

    Source: ISO 7-1 and ISO 228-1: joints made on the thread, and on a washer.
    """
    return "taper" if thread.is_taper else "face"


def add_tapping(
    sheet: JobSheet, thread: Thread, *, hole: float, drill: Part | Said, length: float, start: Start
) -> None:
    """Add the steps that drill a hole [m] with a drill and tap a thread.

    Source: Common practice: a blind hole is drilled two and a half pitches past the full
    thread.
    """
    depth = length + TAP_LEAD_PITCHES * thread.pitch
    kept = (thread.major_diameter - thread.small_end_offset - hole) / (2 * thread.internal_depth)
    text = say(
        f"{start.capitalize()} to ", drill, " (", share(kept), " of full depth), ", nominal(depth),
        " deep.",
    )  # fmt: skip
    sheet.add(start, text, size=drill, diameter=hole, length=depth)
    sheet.add(
        "countersink",
        "Countersink the mouth to the major diameter.",
        diameter=thread.major_diameter,
    )
    sheet.add(
        "cut taper female thread" if thread.is_taper else "cut female thread",
        say("Tap ", name(thread.designation), ", ", nominal(length), " of full thread."),
        size=name(thread.designation),
        length=length,
    )
    sheet.want_tapping_hole(thread, hole)
    sheet.want_tap(thread)


def add_male_thread(sheet: JobSheet, thread: Thread, *, length: float) -> None:
    """Add the steps that turn, undercut and thread a male.

    Source: Common practice: undercut to 0.1 mm below the thread and two pitches wide.
    """
    major = thread.major_diameter
    tapering = say(", tapering 1 in ", number(1 / thread.taper)) if thread.is_taper else ""
    sheet.add(
        "turn",
        say("Turn to ", fine(major), " for ", nominal(length), tapering, "."),
        size=fine(major),
        diameter=major,
        length=length,
    )
    if not thread.is_taper:
        neck, width = thread.root_diameter - UNDERCUT_DEPTH, UNDERCUT_PITCHES * thread.pitch
        sheet.add(
            "undercut",
            say("Undercut at the shoulder to ", fine(neck), ", ", fine(width), " wide."),
            size=fine(neck),
            diameter=major,
        )
    sheet.add("chamfer", "Chamfer the end to the bottom of the thread.", diameter=major)
    sheet.add(
        "cut taper male thread" if thread.is_taper else "cut male thread",
        say("Cut ", name(thread.designation), " with a die, squared by the tailstock."),
        size=name(thread.designation),
        length=length,
    )
    sheet.want_die(thread)


def add_tapping_for_male(sheet: JobSheet, joint: Joint, *, start: Start) -> None:
    """Add the steps that drill and tap the male's thread in the female's metal."""
    chosen = joint.tapping.drill
    add_tapping(
        sheet,
        joint.male.thread,
        hole=chosen.diameter,
        drill=name(chosen.name),
        length=joint.length,
        start=start,
    )


def _turn_down(joint: Joint, new: Thread) -> JobSheet:
    sheet = JobSheet(joint.male.material, joint.kit)
    sheet.add("hold fitting", "Hold the male by its other end so that the thread runs true.")
    add_male_thread(sheet, new, length=joint.length)
    sheet.add("deburr and wash", "Take off the burr and wash out the swarf.")
    home = say("Try it in the ", name(new.designation), " female, right home by hand.")
    sheet.add("gauge", home)
    return sheet


def _open_out(joint: Joint, new: Thread) -> JobSheet:
    sheet = JobSheet(joint.female.material, joint.kit)
    sheet.add("hold block", "Set the female up square under the drill.")
    sheet.add("find hole", "Bring the hole under the spindle.")
    add_tapping_for_male(sheet, joint, start="open out")
    sheet.add("deburr and wash", "Take off the burr and wash out the swarf.")
    sheet.add("gauge", say("Try the ", name(new.designation), " male right home by hand."))
    return sheet


def _plug(joint: Joint, new: Thread, *, plug: float) -> JobSheet:
    depth = joint.length + TAP_LEAD_PITCHES * new.pitch
    size = fine(plug)
    sheet = JobSheet(joint.female.material, joint.kit)
    sheet.add("hold block", "Set the female up square under the drill.")
    sheet.add("find hole", "Bring the hole under the spindle.")
    sheet.add(
        "open out",
        say("Bore the old thread right out, ", size, ", ", nominal(depth), " deep."),
        size=size,
        diameter=plug,
        length=depth,
    )
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
    sheet.add("deburr and wash", "Take off the burr and wash out the swarf.")
    sheet.add("leak test", "Test the solder with water before the fitting goes in.")
    return sheet


def _undercut_walls(male: MaleEnd, new: Thread) -> tuple[float, ...]:
    if male.bore is None or new.is_taper:
        return ()
    return ((new.root_diameter - UNDERCUT_DEPTH - male.bore) / 2,)


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


def _heat_finding() -> Finding:
    return Finding(
        "caution",
        "silver-solder-heat",
        say(
            "Silver-soldering heats the whole part: on a boiler only with the inspector's "
            "agreement, and never near joints made earlier."
        ),
        source="common practice",
    )
