"""Tapping: what share of full depth a hole leaves, and which drill to take."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from service.engineering.constants import INCH
from service.engineering.data_files import need_number, read_table
from service.engineering.errors import Unsuitable, require
from service.engineering.findings import Finding, Level
from service.engineering.materials import find_material
from service.engineering.saying import fine, listed, name, say, share
from service.engineering.threads.catalogue.drills import Drill, all_drills
from service.engineering.threads.catalogue.families import DrillSystem, find_family
from service.engineering.threads.catalogue.forms import Thread
from service.engineering.threads.catalogue.series import catalogue, find_thread

FOREIGN_DRILL_PENALTY = 10.0
"""How much nearer, in % of depth, an inch drill must be for a metric thread, or the reverse."""

DEEPER_COUNTS = 2.0
"""A hole under the size aimed at breaks taps; one over it loses a little depth: counted double."""

FINE_PITCH, FINE_SHARE = INCH / 32, 1 / 7
"""Most pitch of a fine thread [m], and that over its diameter: coarser taps are drilled freer."""

Geometry = tuple[float, float, float]  # major diameter, pitch [m] and angle [rad], rounded

CHARTED = "the drill that the charts of the trade give"

DRILLS_OFFERED, DRILLS_OFFERED_ANYHOW = 5, 3  # within practice, and where none is
ROUNDING = 1e-12  # difference of diameter that is arithmetic [m]
DEEPEST_PARALLEL = 100.0
DEEPEST_TAPER = 110.0
"""Percentage of depth from which the hole is below the core; a taper tap reams its own way in."""


@dataclass(frozen=True, slots=True)
class TappingDrill:
    """A drill for tapping, and the percentage of full depth that it leaves."""

    drill: Drill
    depth_percent: float  # on the family's own basis [%]
    basis: str
    below_core: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Practice:
    """The percentage of depth to drill for in one family and kind of metal [%]."""

    percent: float
    least: float
    most: float
    basis: str
    reason: str
    source: str


BASES = {"own": None, "17H/24": 17 / 12, "3H/4": 3 / 2}
"""What 100 % may mean: both depths together, per sharp height H. The family's own basic depth; the
depth of the male to its rounded root (ISO 68-1, ASME B1.1) and the old shop rule (Machinery's
Handbook), both for 60 degree threads alone."""

OWN_BASES = {
    "Whitworth": "2H/3",
    "British Association": "0.6 P",
    "Cycle": "0.533 P",
    "ISO metric": "5H/8",
    "Unified": "5H/8",
    "National pipe taper": "0.8 P",
}
"""What the own basis of a standard form is called."""


def percent_depth(thread: Thread, diameter: float, *, basis: str = "own") -> float:
    """Percentage of full thread depth left by a hole.

    Source: 100 (D - d) / 2h with the depth h of the basis: Machinery's Handbook.
    """
    require(diameter > 0, "diameter", "The hole must be above 0 in diameter.")
    return 100 * (thread.tapping_size - diameter) / _double_depth(thread, basis)


def diameter_of_percent(thread: Thread, percent: float, *, basis: str = "own") -> float:
    """Hole that leaves a percentage of full thread depth.

    thread: the thread to be tapped; a taper is reckoned at its small end.
    percent: percentage of full depth [%], 0 to 120.
    basis: key of `BASES`.
    Returns: diameter of the hole [m].
    Raises OutOfRange: a percentage outside 0 to 120.
    Raises Unsuitable: an unknown basis, or a 60 degree basis for another angle.
    Source: D - 2h percent / 100: Machinery's Handbook.
    """
    require(0 <= percent <= 120, "percent", "The percentage must lie between 0 and 120.")
    return thread.tapping_size - percent / 100 * _double_depth(thread, basis)


def basis_name(thread: Thread) -> str:
    """What 100 % means on the thread's own basis.

    Source: The standard of the form.
    """
    return OWN_BASES.get(thread.form.name, "own form")


def has_sixty_degree_bases(thread: Thread) -> bool:
    """Whether the bases of the 60 degree standards mean anything for this thread."""
    return OWN_BASES.get(thread.form.name) == "5H/8" and not thread.is_taper


def find_practice(thread: Thread, *, material: str = "brass") -> Practice:
    """What percentage of depth the trade drills a thread for, by its geometry alone."""
    tapping = find_material(material).tapping
    practices = _read_practices()
    scopes = (_scope_of(thread), thread.form.name, "other")
    return next(practices[scope, tapping] for scope in scopes if (scope, tapping) in practices)


def tapping_drills(
    thread: Thread, *, material: str = "brass", drills: Iterable[Drill] | None = None
) -> tuple[TappingDrill, ...]:
    """Choose drills for tapping, best first.

    In a soft metal the best is the drill that the charts give. Else it is nearest the percentage of
    common practice for the form and metal; a hole deeper than that counts double, and a drill of
    the other system of units must be clearly nearer.

    thread: the thread to be tapped.
    material: what it is tapped in.
    drills: the drills on hand; None for every size there is.
    Returns: at most five. If no drill lies in the range of practice, the three nearest whatever
        they are; each with its percentage [%] and whether it is below the core.
    Raises UnknownMaterial: a material that is not in the table.
    Raises OutOfRange: no drills to choose from.
    Source: `find_practice`; the choice among near drills is common practice.
    """
    practice = find_practice(thread, material=material)
    on_hand = all_drills() if drills is None else tuple(drills)
    require(bool(on_hand), "drills", "There are no drills to choose from.")
    least, most = _holes_of_practice(thread, practice)
    fitting = [drill for drill in on_hand if least <= drill.diameter <= most]
    charted = [drill for drill in on_hand if drill.name == _charted_drill(thread, material)][:1]
    ranked = _rank_drills(thread, fitting or on_hand, practice)
    chosen = [*charted, *(drill for drill in ranked if drill not in charted)][
        : DRILLS_OFFERED if fitting else DRILLS_OFFERED_ANYHOW
    ]
    deepest, basis = _deepest_percent(thread), basis_name(thread)
    return tuple(
        TappingDrill(drill, percent, basis, percent > deepest, reason)
        for drill in chosen
        for reason in (CHARTED if drill in charted else practice.reason,)
        for percent in (percent_depth(thread, drill.diameter),)
    )


def _scope_of(thread: Thread) -> str:
    """The row of practice of a thread's own kind: a taper or a fine one of its form."""
    is_fine = thread.pitch <= FINE_PITCH and thread.pitch <= FINE_SHARE * thread.major_diameter
    kind = "taper" if thread.is_taper else "fine" if is_fine else ""
    return f"{thread.form.name} {kind}".rstrip()


def _charted_drill(thread: Thread, material: str) -> str | None:
    """The drill of the charts, which are for soft metals, by the thread's geometry."""
    if thread.is_taper or find_material(material).tapping != "soft":
        return None
    return _read_charts().get(_geometry_of(thread))


def judge_stand(
    thread: Thread, *, material: str = "brass", drills: Iterable[Drill] | None = None
) -> tuple[Finding, ...]:
    """Say whether any drill on hand lies in the range of practice for tapping a thread.

    thread: the thread to be tapped.
    material: what it is tapped in.
    drills: the drills on hand; None for every size there is.
    Returns: none where one does; else one that names the nearest on hand and the one wanted.
    Raises UnknownMaterial: a material that is not in the table.
    Raises OutOfRange: no drills to choose from.
    Source: `find_practice`.
    """
    if drills is None:
        return ()
    nearest = tapping_drills(thread, material=material, drills=drills)[0]
    least, most = _holes_of_practice(thread, find_practice(thread, material=material))
    if least <= nearest.drill.diameter <= most:
        return ()
    wanted = tapping_drills(thread, material=material)[0].drill
    found, depth = nearest.drill, nearest.depth_percent / 100
    kept = say(share(depth, "depth"), " of full depth") if depth > 0 else say("no thread at all")
    text = say(
        "No drill on hand is near enough to tap ", thread.named, ": ",
        name(wanted.name, "wanted"), " is wanted; the nearest on hand is ",
        name(found.name, "nearest"), ", which leaves ", kept, ".",
    )  # fmt: skip
    size, limit, source = found.diameter, wanted.diameter, "the drills on hand"
    return (Finding("caution", "no-drill-near", text, size, limit, "m", source),)


def judge_drill(thread: Thread, diameter: float) -> tuple[Finding, ...]:
    """Say what a hole of a given size means for the thread.

    thread: the thread to be tapped.
    diameter: diameter of the hole [m], above 0.
    Returns: one finding: below core, near full depth, sound, shallow, too shallow or no thread.
    Raises OutOfRange: a diameter that is not above 0.
    Source: Common practice: 60 to 90 % is sound, under 50 % strips, over 100 % the tap binds or
        breaks.
    """
    percent = percent_depth(thread, diameter)
    share_left, source = percent / 100, "common practice"
    hole, cut = fine(diameter, "hole"), thread.named
    depth = say(share(share_left, "depth"), " of full depth")
    if percent > _deepest_percent(thread):
        core = diameter_of_percent(thread, 100)
        level: Level = "fail" if percent > _deepest_percent(thread) + 5 else "caution"
        text = say(
            hole, " is below the core of ", cut, " by ", fine(core - diameter, "shortfall"), " (",
            depth, "): the tap will bind or break. The core is ", fine(core, "core"), ".",
        )  # fmt: skip
        return (Finding(level, "drill-below-core", text, share_left, 1.0, "1", source),)
    if percent > 90:
        text = say(hole, " is ", depth, " for ", cut, ": near full, wants a sharp tap.")
        return (Finding("ok", "drill-near-full", text, share_left, 1.0, "1", source),)
    if percent >= 60:
        text = say(hole, " is ", depth, " for ", cut, ".")
        return (Finding("ok", "drill-sound", text, share_left, 0.6, "1", source),)
    if percent >= 50:
        text = say(hole, " leaves ", cut, " only ", depth, ": allow more engagement.")
        return (Finding("caution", "drill-shallow", text, share_left, 0.6, "1", source),)
    if percent > 0:
        text = say(hole, " leaves ", cut, " only ", depth, ": the thread will strip.")
        return (Finding("fail", "drill-too-shallow", text, share_left, 0.5, "1", source),)
    text = say(hole, " is as large as ", cut, " itself: no thread can be cut in it.")
    return (Finding("fail", "drill-no-thread", text, share_left, 0.0, "1", source),)


def _double_depth(thread: Thread, basis: str) -> float:
    if basis not in BASES:
        said = say("No basis is called ", name(repr(basis)), ": ", listed(BASES), ".")
        raise Unsuitable(said, field="basis")
    depth = BASES[basis]
    if depth is None:
        return 2 * thread.internal_depth
    if OWN_BASES.get(thread.form.name) != "5H/8":
        said = say("The basis ", basis, " is for 60 degree threads, which ")
        raise Unsuitable(say(said, thread.named, " is not."), field="basis")
    return depth * thread.form.sharp_height * thread.pitch


def _rank_drills(thread: Thread, drills: Iterable[Drill], practice: Practice) -> list[Drill]:
    """The drills, nearest to practice first; of two equally near, the larger."""
    depth, system = _double_depth(thread, practice.basis), _drill_system(thread)

    def rank(drill: Drill) -> tuple[float, float]:
        excess = 100 * (thread.tapping_size - drill.diameter) / depth - practice.percent
        distance = excess * DEEPER_COUNTS if excess > 0 else -excess
        is_foreign = system == ("in" if drill.series == "metric" else "mm")
        return (round(distance + FOREIGN_DRILL_PENALTY * is_foreign, 6), -drill.diameter)

    return sorted(drills, key=rank)


def _drill_system(thread: Thread) -> DrillSystem:
    """The drills of its family; of a measured thread those of the thread that measures so."""
    family = find_family(thread.family)
    return family.drills if family else _systems_by_geometry().get(_geometry_of(thread), "either")


@cache
def _systems_by_geometry() -> dict[Geometry, DrillSystem]:
    families = ((thread, find_family(thread.family)) for thread in catalogue())
    return {_geometry_of(thread): family.drills for thread, family in families if family}


def _holes_of_practice(thread: Thread, practice: Practice) -> tuple[float, float]:
    """The smallest and the largest hole of common practice, clear of the core [m]."""
    size, depth = thread.tapping_size, _double_depth(thread, practice.basis)
    clear_of_core = size - _deepest_percent(thread) / 100 * 2 * thread.internal_depth
    least = max(size - practice.most / 100 * depth, clear_of_core)
    return least - ROUNDING, size - practice.least / 100 * depth + ROUNDING


def _deepest_percent(thread: Thread) -> float:
    return DEEPEST_TAPER if thread.is_taper else DEEPEST_PARALLEL


def _geometry_of(thread: Thread) -> Geometry:
    angle = thread.form.included_angle
    return round(thread.major_diameter, 6), round(thread.pitch, 7), round(angle, 4)


@cache
def _read_charts() -> dict[Geometry, str]:
    rows = read_table("tapping_charts.csv")
    return {_geometry_of(find_thread(row["thread"])): row["drill"] for row in rows}


@cache
def _read_practices() -> dict[tuple[str, str], Practice]:
    return {
        (row["scope"], row["tapping"]): Practice(
            percent=need_number(row, "percent"),
            least=need_number(row, "least"),
            most=need_number(row, "most"),
            basis=row["basis"],
            reason=row["reason"],
            source=row["source"],
        )
        for row in read_table("tapping_practice.csv")
    }
