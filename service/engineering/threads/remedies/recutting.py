"""Cutting one thread over the other in its own helix, with a die or with a tap."""

from dataclasses import replace

import numpy as np

from service.engineering.findings import Finding
from service.engineering.saying import fine, name, say
from service.engineering.threads.catalogue import Range, Thread, limits_of
from service.engineering.threads.fit import is_same_thread
from service.engineering.threads.overlay import Profile, female_profile, male_profile
from service.engineering.threads.remedies.job_sheet import JobSheet
from service.engineering.threads.remedies.remedy import Joint, Proposal, judge_depth, judge_remnant
from service.engineering.threads.remedies.sealing import Sealing, choose_sealing


def propose_recutting(joint: Joint) -> tuple[Proposal, ...]:
    """Propose to chase the male with a die of the female's thread, or the female with a tap.

    Source: Common practice: a die or tap picks up an old helix only where the pitch is the
    same.
    """
    if not joint.can_be_chased:
        return ()
    if is_same_thread(joint.male.thread, joint.female.thread):
        is_scant = joint.female.bore < joint.female.thread.core_diameter
        return (_recut_female(joint),) if is_scant else ()
    return (_recut_male(joint), _recut_female(joint))


def _recut_male(joint: Joint) -> Proposal:
    old, new = joint.male.thread, joint.female.thread
    male = replace(joint.male, thread=new)
    removed, missing = _compare(male_profile(old), male_profile(new))
    crest = min(old.major_diameter, new.major_diameter)
    summary = say(
        "Run a ", name(new.designation), " die over the ", name(old.designation), " male: the "
        "helix is the same, ", fine(removed, "removed"), " a side comes off.",
    )  # fmt: skip
    return Proposal(
        kind="recut",
        summary=summary,
        sheet=_chase_male(joint),
        joints=((male, joint.female),),
        sealing=_seal(joint, new, missing=missing),
        alters=(joint.male,),
        findings=(
            _helix_finding(joint, removed),
            judge_remnant(_beyond_tolerance(missing, limits_of(new).male_effective), new),
            judge_depth((crest - joint.female.bore) / (2 * new.internal_depth)),
        ),
    )


def _recut_female(joint: Joint) -> Proposal:
    old, new = joint.female.thread, joint.male.thread
    hole = _hole_for(joint)
    female = replace(joint.female, thread=new, drilled=hole)
    missing, removed = _compare(female_profile(old), female_profile(new))
    summary = say(
        "Run a ", name(new.designation), " tap through the ", name(old.designation), " hole: the "
        "helix is the same, ", fine(removed, "removed"), " a side comes off.",
    )  # fmt: skip
    return Proposal(
        kind="recut",
        summary=summary,
        sheet=_chase_female(joint, hole),
        joints=((joint.male, female),),
        sealing=_seal(joint, new, missing=missing),
        alters=(joint.female,),
        findings=(
            _helix_finding(joint, removed),
            judge_remnant(_beyond_tolerance(missing, limits_of(new).female_effective), new),
            judge_depth((new.major_diameter - hole) / (2 * new.internal_depth)),
        ),
    )


def _hole_for(joint: Joint) -> float:
    """The hole that is tapped [m]: as it is, or opened out where the new tap would bind in it."""
    new, bore = joint.male.thread, joint.female.bore
    if bore >= new.core_diameter:
        return bore
    return joint.tapping.drill.diameter


def _chase_male(joint: Joint) -> JobSheet:
    old, new = joint.male.thread, joint.female.thread
    sheet = JobSheet(joint.male.material, joint.kit)
    sheet.add("hold fitting", "Hold the male so that its thread runs true.")
    if old.major_diameter > new.major_diameter + 1e-5:
        size = fine(new.major_diameter)
        sheet.add(
            "turn",
            say("Skim the crests to ", size, "."),
            size=size,
            diameter=new.major_diameter,
            length=joint.length,
        )
    die = say(name(new.designation), " die")
    sheet.add(
        "chase male thread",
        say("Start a ", die, " in the old thread by hand and run it to the shoulder."),
        size=die,
        length=joint.length,
    )
    sheet.want_die(new)
    _finish(sheet, mate=new)
    return sheet


def _chase_female(joint: Joint, hole: float) -> JobSheet:
    new = joint.male.thread
    sheet = JobSheet(joint.female.material, joint.kit)
    sheet.add("hold block", "Set the female up square under the drill.")
    sheet.add("find hole", "Bring the hole under the spindle.")
    if hole > joint.female.bore:
        size = name(joint.tapping.drill.name)
        sheet.add(
            "open out",
            say("Open the crests out to ", size, "."),
            size=size,
            diameter=hole,
            length=joint.length,
        )
        sheet.want_tapping_hole(new, hole)
    tap = say(name(new.designation), " plug tap")
    sheet.add(
        "chase female thread",
        say("Start a ", tap, " in the old thread by hand and run it to the bottom."),
        size=tap,
        length=joint.length,
    )
    sheet.want_tap(new)
    _finish(sheet, mate=new)
    return sheet


def _seal(joint: Joint, new: Thread, *, missing: float) -> Sealing:
    """On the thread, since old metal may be missing there."""
    return choose_sealing(
        "taper" if new.is_taper else "thread",
        steam_temperature=joint.steam_temperature,
        gap=2 * missing,
    )


def _compare(old: Profile, new: Profile) -> tuple[float, float]:
    """Along the new flank, how far the old outline stands above it and below it at most [m]."""
    along = np.linspace(new.outer_edges[-1], new.pitch / 2 - new.inner_edges[-1], 33)
    above = old.radius_at(along) - new.radius_at(along)
    return float(max(above.max(), 0.0)), float(max(-above.min(), 0.0))


def _beyond_tolerance(missing: float, limits: Range) -> float:
    """A hollow [m]; none where a good thread may lie as low as that by its limits."""
    return missing if missing > (limits[1] - limits[0]) / 2 else 0.0


def _helix_finding(joint: Joint, removed: float) -> Finding:
    pitch = fine(joint.male.thread.pitch, "pitch")
    text = say("Both threads advance ", pitch, " a turn: the old helix leads the tool. ")
    text = say(text, fine(removed, "removed"), " a side comes off.")
    return Finding("ok", "helix-survives", text, removed, None, "m", "common practice")


def _finish(sheet: JobSheet, *, mate: Thread) -> None:
    sheet.add("deburr and wash", "Take off the burr and wash out the swarf.")
    part = say("Try the mating part (", name(mate.designation), ")")
    sheet.add("gauge", say(part, " right home, by hand, without shake."))
