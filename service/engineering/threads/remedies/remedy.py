"""A remedy: one way to make a joint good, with its steps, its metal and its price in minutes."""

from dataclasses import dataclass
from typing import Annotated, Literal

from service.engineering.errors import require
from service.engineering.findings import Finding, Level, worst_level
from service.engineering.kit import USUAL_KIT, Kit
from service.engineering.saying import Said, fine, name, say, share
from service.engineering.threads.catalogue import (
    Drill,
    TappingDrill,
    Thread,
    all_drills,
    nearest_drill,
    tapping_drills,
)
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies.job_sheet import JobSheet, Step
from service.engineering.threads.remedies.sealing import Sealing, Use, choose_sealing

Kind = Literal["recut", "turn_down", "open_out", "plug", "bush", "adapter", "replace"]

TITLES: dict[Kind, str] = {
    "recut": "re-cut",
    "turn_down": "turn down and re-thread",
    "open_out": "open out and re-tap",
    "plug": "plug and re-drill",
    "bush": "bush",
    "adapter": "adapter",
    "replace": "replace",
}

SHALLOW_REMNANT = 0.25  # old groove let pass under a new thread, per depth of that; judgement
LEAST_DEPTH, POOR_DEPTH = 0.60, 0.50  # shares under which a re-cut thread is thin, and refused
NEAR_BORE = 0.0001  # how far from the bore wanted a drill on hand may be [m]; judgement


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to make a joint good; lengths in metres, minutes at the bench."""

    kind: Kind
    title: str
    summary: Said
    steps: tuple[Step, ...]
    minutes: float
    wall_left: Annotated[float, "m"] | None
    """Thinnest that is cut or made; None: no dimension is known."""
    metal_checks: tuple[Finding, ...]
    alters_customers_property: bool
    decision_wanted: bool  # whether the customer must say yes before work begins
    reversible: bool
    sealing: Sealing
    refused: bool
    refusal: Finding | None

    @property
    def level(self) -> Level:
        return worst_level(self.metal_checks)

    @property
    def doubts(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.metal_checks if finding.level != "ok")


@dataclass(frozen=True, slots=True)
class Joint:
    """The joint to be made good, what is reckoned of it once, and how hot its steam is [K]."""

    male: MaleEnd
    female: FemaleEnd
    length: float  # length over which a thread must be cut [m]
    tapping: TappingDrill  # the drill for tapping the female with the male's thread
    can_be_chased: bool  # whether one thread can be cut over the other in its own helix
    steam_temperature: float | None = None
    kit: Kit = USUAL_KIT  # what the workshop has

    def seal(self, thread: Thread, use: Use = "face", *, gap: float = 0.0) -> Sealing:
        """Make a thread tight: a taper on itself, any other as `use` says (ISO 7-1, ISO 228-1)."""
        place = "taper" if thread.is_taper else use
        return choose_sealing(place, steam_temperature=self.steam_temperature, gap=gap)


def has_one_helix(male: Thread, female: Thread) -> bool:
    """Whether a die or tap of the one can run in the helix of the other."""
    apart = abs(male.major_diameter - female.major_diameter)
    return (
        abs(male.pitch - female.pitch) < 1e-3 * female.pitch
        and male.taper == female.taper
        and apart <= min(male.internal_depth, female.internal_depth)
    )


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a planner says of a remedy, before it is judged."""

    kind: Kind
    summary: Said
    sheet: JobSheet
    joints: tuple[tuple[MaleEnd, FemaleEnd], ...]  # the screwed joints that there will be
    sealing: Sealing
    alters: tuple[MaleEnd | FemaleEnd, ...] = ()  # parts that are cut
    sets_aside: tuple[MaleEnd | FemaleEnd, ...] = ()  # parts that are no longer used
    reversible: bool = False
    findings: tuple[Finding, ...] = ()  # judgements beside those of the metal of the joints
    walls: tuple[float, ...] = ()  # walls beside those of the joints [m]


def judge_remnant(groove: float, thread: Thread) -> Finding:
    """Judge how much of an old groove is left under a new thread.

    Source: Judgement, from memory.
    """
    limit = SHALLOW_REMNANT * thread.internal_depth
    source = "judgement; from memory"
    if groove <= 1e-6:
        text = say("No trace of the old thread is left.")
        return Finding("ok", "old-groove-gone", text, max(groove, 0.0), limit, "m", source)
    left = say(fine(groove, "groove"), " of the old groove is left on each side")
    if groove <= limit:
        text = say(left, ": seal it well.")
        return Finding("caution", "old-groove-shallow", text, groove, limit, "m", source)
    quarter = say(fine(limit, "limit"), ", a quarter of the new depth")
    text = say(left, "; more than ", quarter, ", is refused.")
    return Finding("fail", "old-groove-left", text, groove, limit, "m", source)


def judge_depth(depth: float) -> Finding:
    """Judge the share of full depth that a re-cut thread keeps.

    Source: Common practice: under half the depth a thread strips.
    """
    level: Level = "ok" if depth >= LEAST_DEPTH else "caution" if depth >= POOR_DEPTH else "fail"
    code = {"ok": "depth-sound", "caution": "depth-thin", "fail": "depth-too-thin"}[level]
    kept = min(depth, 1.0)
    text = say("The re-cut thread engages ", share(kept, "depth"), " of its full depth.")
    return Finding(level, code, text, kept, LEAST_DEPTH, "1", "common practice")


def choose_tapping_drill(thread: Thread, material: str, kit: Kit) -> TappingDrill:
    """The workshop's drill for tapping a thread, or the nearest to it that it has."""
    return tapping_drills(thread, material=material, drills=kit.drills)[0]


def choose_bore(bore: float, kit: Kit) -> tuple[float, Said]:
    """The bore that is drilled [m], and its drill as it is named."""
    require(bore > 0, "bore", "The bore must be above 0.")
    if kit.drills is not None:
        drill = nearest_drill(bore, drills=kit.drills)
        if abs(drill.diameter - bore) <= NEAR_BORE:
            return drill.diameter, say(name(drill.name))
    return bore, say(fine(bore))


def drills_by_size(kit: Kit) -> tuple[Drill, ...]:
    """The drills on hand, or all there are, the smallest first."""
    if kit.drills is None:
        return all_drills()
    return tuple(sorted(kit.drills, key=lambda drill: drill.diameter))
