"""Cutting one thread over the other in its own helix, with a die or with a tap."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from service.engineering.findings import Finding
from service.engineering.saying import fine, name, say
from service.engineering.threads.catalogue import Range, Thread, limits_of
from service.engineering.threads.fit import is_same_thread
from service.engineering.threads.overlay import Profile, female_profile, male_profile
from service.engineering.threads.remedies.job_sheet import JobSheet
from service.engineering.threads.remedies.remedy import Joint, Proposal, judge_depth, judge_remnant


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
