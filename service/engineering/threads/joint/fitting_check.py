"""Does this male go into that female, and if not, what makes it good?"""

from dataclasses import dataclass
from typing import Annotated, Literal

from service.engineering.findings import Finding, Level, Working, worst_first, worst_level
from service.engineering.kit import Kit
from service.engineering.saturation import require_pressure
from service.engineering.threads.fit import (
    FemaleEnd,
    JointMetal,
    MaleEnd,
    Match,
    check_ends,
    engaged_length,
    inspect_joint,
    match_threads,
)
from service.engineering.threads.overlay import Overlay
from service.engineering.threads.remedies import Remedy, find_remedies
from service.engineering.threads.strength import Engagement

CAUTIONS: tuple[str, ...] = (
    "Indicative: thread data and strengths are nominal, and the parts in the hand decide. Measure "
    "before cutting.",
    "The working pressure stated by the inspector is the limit. Nothing calculated here raises it.",
    "A thread in a boiler or other pressure shell is the inspector's business: ask before it is "
    "altered, bushed or made of an unlike pair.",
)
"""The standing cautions that go with every answer about threads that hold steam."""

Verdict = Literal["goes", "goes_with_care", "make_good", "does_not_go"]


@dataclass(frozen=True, slots=True)
class FittingCheck:
    """The answer for one joint; lengths in metres, None where a dimension is not known."""

    verdict: Verdict
    overlay: Overlay  # both threads at basic size
    middle: Overlay  # both threads in the middle of their limits, by which the verdict is reached
    engagement: Engagement
    wall_over_bore: Annotated[float, "m"] | None
    boss_wall: Annotated[float, "m"] | None
    remedies: tuple[Remedy, ...]  # best first, the refused last; none where none is looked for
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = CAUTIONS


def check_fitting(
    male: MaleEnd,
    female: FemaleEnd,
    *,
    pressure: float | None = None,
    steam_temperature: float | None = None,
    kit: Kit | None = None,
) -> FittingCheck:
    """Check a joint: do the threads go together, is there metal, and what makes it good.

    `goes`: one thread and nothing against its metal. `goes_with_care`: the threads go with care, or
    something about the metal wants care. `make_good`: it does not go as it is, and some remedy
    passes its checks. `does_not_go`: it does not, and none does.

    male: the male end.
    female: the female end.
    pressure: working pressure, absolute [Pa], 1 kPa to 4 MPa; None: not known.
    steam_temperature: temperature of the steam at that pressure [K]; None: not known, and sealants
        say so.
    kit: what the workshop has; None: it has not said, and every tool there is may be named.
    Returns: verdict, overlay [m], engagement, walls [m], remedies, findings and workings.
    Raises OutOfRange: a dimension, pressure or time outside its range.
    Raises Unsuitable: an operation that the table of standard times has not.
    Raises UnknownMaterial: a metal that is not in the table.
    Source: `compatibility`, `metal`, `strength` and `making_good`, each of which names its own.
    """
    check_ends(male, female)
    if pressure is not None:
        require_pressure(pressure)
    match = match_threads(
        male.thread,
        female.thread,
        engaged_length=engaged_length(male, female),
        drilled=female.drilled,
    )
    metal = inspect_joint(male, female, pressure=pressure)
    held = () if match.level == "fail" else metal.engagement.findings  # unlike threads hold nothing
    findings = [*match.findings, *metal.around, *held]
    remedies: tuple[Remedy, ...] = ()
    if match.level != "ok" or worst_level(findings) == "fail":
        remedies = find_remedies(
            male, female, pressure=pressure, steam_temperature=steam_temperature, kit=kit
        )
    return FittingCheck(
        verdict=_verdict(worst_level(findings), remedies),
        overlay=match.basic,
        middle=match.middle,
        engagement=metal.engagement,
        wall_over_bore=metal.wall_over_bore,
        boss_wall=metal.boss_wall,
        remedies=remedies,
        findings=worst_first(findings),
        workings=_gather_workings(match, metal),
    )


def _verdict(level: Level, remedies: tuple[Remedy, ...]) -> Verdict:
    if level == "ok":
        return "goes"
    if level == "caution":
        return "goes_with_care"
    is_curable = any(not remedy.refused for remedy in remedies)
    return "make_good" if is_curable else "does_not_go"


def _gather_workings(match: Match, metal: JointMetal) -> tuple[Working, ...]:
    middle = Working(
        'i_"middle of limits"',
        '2 max(r_"male" - r_"female")',
        match.middle.diametral_interference or -match.middle.play,
        "m",
        "geometry; limits of the families' standards",
    )
    return (*match.basic.workings, middle, *metal.workings)
