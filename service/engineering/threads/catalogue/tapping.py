"""Tapping drills: what percentage of full depth a hole gives, and which drill to take."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from service.engineering.data_files import need_number, read_table
from service.engineering.errors import Unsuitable, require
from service.engineering.findings import Finding, Level
from service.engineering.materials import find_material
from service.engineering.saying import Said, fine, listed, name, say, share
from service.engineering.threads.catalogue.drills import Drill, Series, all_drills
from service.engineering.threads.catalogue.families import find_family
from service.engineering.threads.catalogue.forms import Thread

FOREIGN_DRILL_PENALTY = 10.0
"""How much nearer, in % of depth, an inch drill must be for a metric thread, or the reverse."""

DEEPER_COUNTS = 2.0
"""A hole under the size aimed at breaks taps; one over it loses a little depth: counted double."""

DRILLS_OFFERED, DRILLS_OFFERED_ANYHOW = 5, 3
"""How many drills are offered, within practice and where none is."""

METRIC_DRILLS: frozenset[Series] = frozenset({"metric"})
INCH_DRILLS: frozenset[Series] = frozenset({"fraction", "number", "letter"})
FOREIGN_DRILLS = {"in": METRIC_DRILLS, "mm": INCH_DRILLS}
"""To a family whose standard gives drills in one system; Whitworth threads take either."""

ROUNDING = 1e-12  # difference of diameter that is arithmetic [m]
DEEPEST_PARALLEL = 100.0
DEEPEST_TAPER = 110.0
"""Percentage of depth from which the hole is below the core; a taper tap reams its own way in."""


@dataclass(frozen=True, slots=True)
class Basis:
    """One meaning of 100 % of thread."""

    key: str
    depth: float | None
    """Both depths together, per sharp height H; None: the form's own basic depth."""
    description: str
    source: str


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


BASES = {
    basis.key: basis
    for basis in (
        Basis("own", None, "basic depth of the family's own form", "the family's standard"),
        Basis("17H/24", 17 / 12, "depth of the male to its rounded root", "ISO 68-1, ASME B1.1"),
        Basis("3H/4", 3 / 2, "old shop rule for 60 degree threads", "Machinery's Handbook"),
    )
}
"""What 100 % may mean; the last two are for 60 degree threads alone."""

OWN_BASES = {
    "Whitworth": "2H/3",
    "British Association": "0.6 P",
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
    return 100 * (_tapping_size(thread) - diameter) / _double_depth(thread, basis)


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
    return _tapping_size(thread) - percent / 100 * _double_depth(thread, basis)


def basis_name(thread: Thread) -> str:
    """What 100 % means on the thread's own basis.

    Source: The standard of the form.
    """
    return OWN_BASES.get(thread.form.name, "own form")


def find_practice(thread: Thread, *, material: str = "brass") -> Practice:
    """What percentage of depth the trade drills a thread for."""
    tapping = find_material(material).tapping
    practices = _read_practices()
    scopes = (thread.family, thread.form.name, "other")
    return next(practices[scope, tapping] for scope in scopes if (scope, tapping) in practices)


def tapping_drills(
    thread: Thread, *, material: str = "brass", drills: Iterable[Drill] | None = None
) -> tuple[TappingDrill, ...]:
    """Choose drills for tapping, best first.

    The best is nearest the percentage of common practice for the family and metal; a hole deeper
    than that counts double, and a drill of the other system of units must be clearly nearer.

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
    ranked = _rank_drills(thread, fitting or on_hand, practice)
    chosen = ranked[: DRILLS_OFFERED if fitting else DRILLS_OFFERED_ANYHOW]
    return _describe_drills(thread, chosen, practice)


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
    size = found.diameter
    return (
        Finding("caution", "no-drill-near", text, size, wanted.diameter, "m", "the drills on hand"),
    )


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
    core = diameter_of_percent(thread, 100)
    hole, cut = fine(diameter, "hole"), thread.named
    depth = say(share(percent / 100, "depth"), " of full depth")
    if percent > _deepest_percent(thread):
        return (_below_core_finding(thread, diameter, percent=percent, core=core),)
    if percent > 90:
        text = say(hole, " is ", depth, " for ", cut, ": near full, wants a sharp tap.")
        return (_depth_finding("ok", "drill-near-full", text, percent=percent, limit=100),)
    if percent >= 60:
        text = say(hole, " is ", depth, " for ", cut, ".")
        return (_depth_finding("ok", "drill-sound", text, percent=percent, limit=60),)
    if percent >= 50:
        text = say(hole, " leaves ", cut, " only ", depth, ": allow more engagement.")
        return (_depth_finding("caution", "drill-shallow", text, percent=percent, limit=60),)
    if percent > 0:
        text = say(hole, " leaves ", cut, " only ", depth, ": the thread will strip.")
        return (_depth_finding("fail", "drill-too-shallow", text, percent=percent, limit=50),)
    text = say(hole, " is as large as ", cut, " itself: no thread can be cut in it.")
    return (_depth_finding("fail", "drill-no-thread", text, percent=percent, limit=0),)


def _below_core_finding(thread: Thread, diameter: float, *, percent: float, core: float) -> Finding:
    text = say(
        fine(diameter, "hole"), " is below the core of ", thread.named, " by ",
        fine(core - diameter, "shortfall"), " (", share(percent / 100, "depth"),
        " of full depth): the tap will bind or break. The core is ", fine(core, "core"), ".",
    )  # fmt: skip
    level: Level = "fail" if percent > _deepest_percent(thread) + 5 else "caution"
    return _depth_finding(level, "drill-below-core", text, percent=percent, limit=100)


def _depth_finding(level: Level, code: str, text: Said, *, percent: float, limit: float) -> Finding:
    return Finding(
        level=level,
        code=code,
        text=text,
        value=percent / 100,
        limit=limit / 100,
        unit="1",
        source="common practice",
    )


def _tapping_size(thread: Thread) -> float:
    return thread.major_diameter - thread.small_end_offset


def _double_depth(thread: Thread, basis: str) -> float:
    if basis not in BASES:
        said = say("No basis is called ", name(repr(basis)), ": ", listed(BASES), ".")
        raise Unsuitable(said, field="basis")
    depth = BASES[basis].depth
    if depth is None:
        return 2 * thread.internal_depth
    if OWN_BASES.get(thread.form.name) != "5H/8":
        said = say("The basis ", basis, " is for 60 degree threads, which ")
        raise Unsuitable(say(said, thread.named, " is not."), field="basis")
    return depth * thread.form.sharp_height * thread.pitch


def _rank_drills(thread: Thread, drills: Iterable[Drill], practice: Practice) -> list[Drill]:
    """The drills, nearest to practice first; of two equally near, the larger."""
    size, depth = _tapping_size(thread), _double_depth(thread, practice.basis)
    foreign = _foreign_series(thread)

    def rank(drill: Drill) -> tuple[float, float]:
        excess = 100 * (size - drill.diameter) / depth - practice.percent
        distance = excess * DEEPER_COUNTS if excess > 0 else -excess
        penalty = FOREIGN_DRILL_PENALTY if drill.series in foreign else 0.0
        return (round(distance + penalty, 6), -drill.diameter)

    return sorted(drills, key=rank)


def _foreign_series(thread: Thread) -> frozenset[Series]:
    """The series of drills of the other system of units."""
    family = find_family(thread.family)
    return FOREIGN_DRILLS.get(family.drills, frozenset()) if family else frozenset()


def _holes_of_practice(thread: Thread, practice: Practice) -> tuple[float, float]:
    """The smallest and the largest hole of common practice, clear of the core [m]."""
    size, depth = _tapping_size(thread), _double_depth(thread, practice.basis)
    clear_of_core = size - _deepest_percent(thread) / 100 * 2 * thread.internal_depth
    least = max(size - practice.most / 100 * depth, clear_of_core)
    return least - ROUNDING, size - practice.least / 100 * depth + ROUNDING


def _deepest_percent(thread: Thread) -> float:
    return DEEPEST_TAPER if thread.is_taper else DEEPEST_PARALLEL


def _describe_drills(
    thread: Thread, drills: list[Drill], practice: Practice
) -> tuple[TappingDrill, ...]:
    size, depth = _tapping_size(thread), _double_depth(thread, "own")
    basis, deepest = basis_name(thread), _deepest_percent(thread)
    described = []
    for drill in drills:
        percent = 100 * (size - drill.diameter) / depth
        below = percent > deepest
        described.append(TappingDrill(drill, percent, basis, below, practice.reason))
    return tuple(described)


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
