"""A thread described whole: its diameters, its tapping drills, and what a given hole leaves."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians

from service.engineering.findings import Finding, Working
from service.engineering.threads.catalogue.drills import Drill
from service.engineering.threads.catalogue.forms import Thread
from service.engineering.threads.catalogue.tapping import (
    BASES,
    TappingDrill,
    basis_name,
    judge_drill,
    judge_stand,
    percent_depth,
    tapping_drills,
)


@dataclass(frozen=True, slots=True)
class SmallEnd:
    """A taper thread's diameters at its small end [m]."""

    major_diameter: float
    effective_diameter: float
    core_diameter: float


@dataclass(frozen=True, slots=True)
class Drilled:
    """What a hole leaves of a thread."""

    diameter: float  # [m]
    depth_percent: float  # on the family's own basis [%]
    basis: str
    other_bases: dict[str, float]  # on the other bases in print for this angle [%]


@dataclass(frozen=True, slots=True)
class ThreadDescription:
    """A thread, its tapping drills best first, and the hole that was asked about."""

    thread: Thread
    tapping_drills: tuple[TappingDrill, ...]
    drilled: Drilled | None
    at_small_end: SmallEnd | None
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]


def describe_thread(
    thread: Thread,
    *,
    material: str = "brass",
    drilled: float | None = None,
    drills: Sequence[Drill] | None = None,
) -> ThreadDescription:
    """Describe a thread for the bench.

    thread: the thread.
    material: what it would be tapped in, a name of the table of materials.
    drilled: diameter of a hole to judge for it [m]; None for no such question.
    drills: the drills on hand; None for every size there is.
    Returns: diameters [m], tapping drills best first, the hole judged, workings.
    Raises OutOfRange: a hole that is not above 0.
    Raises UnknownMaterial: a material that is not in the table.
    Source: The standard of the thread's form; the choice of drills is common practice.
    """
    return ThreadDescription(
        thread=thread,
        tapping_drills=tapping_drills(thread, material=material, drills=drills),
        drilled=None if drilled is None else _describe_hole(thread, drilled),
        at_small_end=_describe_small_end(thread) if thread.is_taper else None,
        findings=(
            *(() if drilled is None else judge_drill(thread, drilled)),
            *judge_stand(thread, material=material, drills=drills),
        ),
        workings=_workings(thread),
    )


def _describe_hole(thread: Thread, diameter: float) -> Drilled:
    sixty = abs(thread.form.included_angle - radians(60)) < radians(0.01) and not thread.is_taper
    return Drilled(
        diameter=diameter,
        depth_percent=percent_depth(thread, diameter),
        basis=basis_name(thread),
        other_bases={
            key: percent_depth(thread, diameter, basis=key)
            for key in BASES
            if key != "own" and sixty
        },
    )


def _describe_small_end(thread: Thread) -> SmallEnd:
    basic = (thread.major_diameter, thread.effective_diameter, thread.core_diameter)
    return SmallEnd(*(diameter - thread.small_end_offset for diameter in basic))


def _workings(thread: Thread) -> tuple[Working, ...]:
    source = thread.form.source
    return (
        Working("D", '"major diameter of the size"', thread.major_diameter, "m", thread.source),
        Working("P", '"pitch of the size"', thread.pitch, "m", thread.source),
        Working("h", '"depth of the form" times P', thread.internal_depth, "m", source),
        Working("D_2", 'D - "offset of the form" times P', thread.effective_diameter, "m", source),
        Working("D_1", "D - 2 h", thread.core_diameter, "m", source),
        Working("d_3", 'D - 2 "depth of the male" times P', thread.root_diameter, "m", source),
    )
