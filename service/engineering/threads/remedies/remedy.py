"""A remedy: one way to make a joint good, with its steps, its metal and its price in minutes."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from service.engineering.findings import SEVERITY, Finding, Level, worst_first, worst_level
from service.engineering.saying import Said, fine, say, share
from service.engineering.threads.catalogue import TappingDrill, Thread, tapping_drills
from service.engineering.threads.fit import (
    FemaleEnd,
    JointMetal,
    MaleEnd,
    engaged_length,
    measure_joint,
)
from service.engineering.threads.remedies.job_sheet import JobSheet, Step
from service.engineering.threads.remedies.sealing import Sealing

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

SHALLOW_REMNANT = 0.25
"""Old groove left under a new thread that is let pass, per depth of the new one; judgement."""

LEAST_DEPTH = 0.60
"""Share of full depth below which a re-cut thread is thin, and `POOR_DEPTH` refused."""

POOR_DEPTH = 0.50


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to make a joint good; lengths in metres, minutes at the bench."""

    kind: Kind
    title: str
    summary: Said
    steps: tuple[Step, ...]
    minutes: float
    wall_left: float | None
    """Thinnest wall of the parts that are cut or made; None where no dimension is known."""
    metal_checks: tuple[Finding, ...]
    alters_customers_property: bool
    decision_wanted: bool
    """Whether the customer must say yes before work begins."""
    reversible: bool
    sealing: Sealing
    refused: bool
    refusal: Finding | None


@dataclass(frozen=True, slots=True)
class Joint:
    """The joint to be made good, and what it must stand; pressure absolute [Pa], others [K]."""

    male: MaleEnd
    female: FemaleEnd
    pressure: float | None = None
    steam_temperature: float | None = None
    times: Mapping[str, float] | None = None

    @property
    def length(self) -> float:
        """Length over which a thread must be cut [m]."""
        return engaged_length(self.male, self.female)

    @property
    def has_one_pitch(self) -> bool:
        """Whether a die or tap of the one can run in the helix of the other."""
        male, female = self.male.thread, self.female.thread
        return abs(male.pitch - female.pitch) < 1e-3 * female.pitch and male.taper == female.taper

    @property
    def can_be_chased(self) -> bool:
        """Whether one thread can be cut over the other in its own helix."""
        male, female = self.male.thread, self.female.thread
        apart = abs(male.major_diameter - female.major_diameter)
        return self.has_one_pitch and apart <= min(male.internal_depth, female.internal_depth)


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a planner says of a remedy, before it is judged."""

    kind: Kind
    summary: Said
    sheet: JobSheet
    joints: tuple[tuple[MaleEnd, FemaleEnd], ...]
    """The screwed joints that there will be."""
    sealing: Sealing
    alters: tuple[MaleEnd | FemaleEnd, ...] = ()
    """Parts that are cut."""
    sets_aside: tuple[MaleEnd | FemaleEnd, ...] = ()
    """Parts that are no longer used."""
    reversible: bool = False
    findings: tuple[Finding, ...] = ()
    """Judgements beside those of the metal of the joints."""
    walls: tuple[float, ...] = ()
    """Walls beside those of the joints [m]."""


def settle(proposal: Proposal, *, pressure: float | None) -> Remedy:
    """Judge a proposal by the metal of every joint that it leaves; refuse it if one fails."""
    metals = [measure_joint(male, female, pressure=pressure) for male, female in proposal.joints]
    checks = worst_first(
        [
            *proposal.findings,
            *(finding for metal in metals for finding in metal.findings),
            proposal.sealing.finding,
        ]
    )
    is_customers = _touches_customer(proposal.alters)
    refusal = next((finding for finding in checks if finding.level == "fail"), None)
    return Remedy(
        kind=proposal.kind,
        title=TITLES[proposal.kind],
        summary=proposal.summary,
        steps=proposal.sheet.finish(),
        minutes=proposal.sheet.minutes,
        wall_left=_thinnest(proposal.walls, metals),
        metal_checks=checks,
        alters_customers_property=is_customers,
        decision_wanted=is_customers or _touches_customer(proposal.sets_aside),
        reversible=proposal.reversible,
        sealing=proposal.sealing,
        refused=refusal is not None,
        refusal=refusal,
    )


def rank_remedies(remedies: Iterable[Remedy]) -> tuple[Remedy, ...]:
    """Put remedies in order: safe before doubtful before refused, then reversible, then quick.

    Source: Common practice: safety first, then what can be undone, then minutes.
    """
    return tuple(
        sorted(
            remedies,
            key=lambda remedy: (
                SEVERITY["ok"] - SEVERITY[worst_level(remedy.metal_checks)],
                not remedy.reversible,
                remedy.minutes,
            ),
        )
    )


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


@lru_cache(maxsize=1024)
def choose_tapping_drill(thread: Thread, material: str) -> TappingDrill:
    """The workshop's drill for tapping a thread."""
    return tapping_drills(thread, material=material)[0]


def _touches_customer(parts: tuple[MaleEnd | FemaleEnd, ...]) -> bool:
    return any(part.owner == "customer" for part in parts)


def _thinnest(walls: tuple[float, ...], metals: list[JointMetal]) -> float | None:
    known = [*walls]
    for metal in metals:
        known += [wall for wall in (metal.wall_over_bore, metal.boss_wall) if wall is not None]
    return min(known, default=None)
