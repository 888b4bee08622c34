"""A thread whole, as the bench asks for it: sizes, limits, tapping drills, a taper's lengths."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from service.engineering.findings import Finding, Working
from service.engineering.threads.catalogue.drills import Drill
from service.engineering.threads.catalogue.forms import Thread
from service.engineering.threads.catalogue.limits import Range, limits_of
from service.engineering.threads.catalogue.tapers import (
    Datum,
    TaperLengths,
    TaperPlace,
    taper_at,
    taper_lengths,
    write_lengths,
)
from service.engineering.threads.catalogue.tapping import (
    BASES,
    TappingDrill,
    basis_name,
    has_sixty_degree_bases,
    judge_drill,
    judge_stand,
    percent_depth,
    tapping_drills,
)


@dataclass(frozen=True, slots=True)
class Extent:
    """Least and largest."""

    least: Annotated[float, "m"]
    most: Annotated[float, "m"]


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """Limits of size in one class of male and of female; what no standard holds is left out."""

    male_class: str
    female_class: str
    male_major: Extent
    male_effective: Extent
    male_root_most: Annotated[float, "m"]
    female_major_least: Annotated[float, "m"]
    female_effective: Extent
    female_core: Extent
    source: str


@dataclass(frozen=True, slots=True)
class Drilled:
    """What a hole leaves of a thread."""

    diameter: Annotated[float, "m"]
    depth_percent: float  # on the family's own basis [%]
    basis: str
    other_bases: dict[str, float]  # on the other bases in print for this angle [%]


@dataclass(frozen=True, slots=True)
class ThreadDescription:
    """A thread, its tapping drills best first, and the hole that was asked about."""

    thread: Thread
    tapping_drills: tuple[TappingDrill, ...]
    drilled: Drilled | None
    limits: ThreadLimits
    """Of a taper in the gauge plane, as far as that may lie from its place."""
    at_small_end: TaperPlace | None
    at_distance: TaperPlace | None
    taper_lengths: TaperLengths | None
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]


def describe_thread(
    thread: Thread,
    *,
    material: str = "brass",
    drilled: float | None = None,
    drills: Sequence[Drill] | None = None,
    male_class: str | None = None,
    female_class: str | None = None,
    distance: float | None = None,
    distance_from: Datum = "small end",
) -> ThreadDescription:
    """Describe a thread for the bench.

    thread: the thread.
    material: what it would be tapped in, a name of the table of materials.
    drilled: diameter of a hole to judge for it [m]; None for no such question.
    drills: the drills on hand; None for every size there is.
    male_class: class of tolerance of the male, as `limits_of`; None for the usual one.
    female_class: class of the female.
    distance: where along a taper its diameters are wanted [m], as `taper_at`; None for nowhere.
    distance_from: from where that is measured.
    Returns: diameters [m], limits, tapping drills best first, the hole judged, a taper's lengths
        [m], workings.
    Raises OutOfRange: a hole that is not above 0, or a distance outside its range.
    Raises Unsuitable: a class that the family has not, or a distance along a parallel thread.
    Raises UnknownMaterial: a material that is not in the table.
    Source: The standard of the thread's form; the choice of drills is common practice.
    """
    lengths = taper_lengths(thread)
    return ThreadDescription(
        thread=thread,
        tapping_drills=tapping_drills(thread, material=material, drills=drills),
        drilled=None if drilled is None else _describe_hole(thread, drilled),
        limits=_describe_limits(thread, male_class, female_class),
        at_small_end=taper_at(thread, 0.0) if thread.is_taper else None,
        at_distance=None if distance is None else taper_at(thread, distance, distance_from),
        taper_lengths=lengths,
        findings=(
            *(() if drilled is None else judge_drill(thread, drilled)),
            *judge_stand(thread, material=material, drills=drills),
        ),
        workings=_workings(thread) + (write_lengths(thread, lengths) if lengths else ()),
    )


def _describe_hole(thread: Thread, diameter: float) -> Drilled:
    return Drilled(
        diameter=diameter,
        depth_percent=percent_depth(thread, diameter),
        basis=basis_name(thread),
        other_bases={
            key: percent_depth(thread, diameter, basis=key)
            for key in BASES
            if key != "own" and has_sixty_degree_bases(thread)
        },
    )


def _describe_limits(
    thread: Thread, male_class: str | None, female_class: str | None
) -> ThreadLimits:
    limits = limits_of(thread, male_class=male_class, female_class=female_class)

    def extent(ends: Range) -> Extent:
        return Extent(*ends)

    return ThreadLimits(
        male_class=limits.male_class,
        female_class=limits.female_class,
        male_major=extent(limits.male_major),
        male_effective=extent(limits.male_effective),
        male_root_most=limits.male_root[1],
        female_major_least=limits.female_major[0],
        female_effective=extent(limits.female_effective),
        female_core=extent(limits.female_core),
        source=limits.source,
    )


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
