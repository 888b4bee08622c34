"""Making a joint good: every remedy there is, the best first and the refused last."""

from collections.abc import Callable, Iterable

from service.engineering.errors import require
from service.engineering.findings import SEVERITY, worst_first
from service.engineering.kit import USUAL_KIT, Kit
from service.engineering.threads.fit import (
    FemaleEnd,
    MaleEnd,
    check_ends,
    engaged_length,
    measure_joint,
)
from service.engineering.threads.remedies.job_sheet import check_table_of_times
from service.engineering.threads.remedies.new_parts import (
    propose_adapting,
    propose_bushing,
    propose_replacing,
)
from service.engineering.threads.remedies.remedy import (
    TITLES,
    Joint,
    Proposal,
    Remedy,
    choose_tapping_drill,
    has_one_helix,
)
from service.engineering.threads.remedies.rethreading import (
    propose_opening_out,
    propose_plugging,
    propose_recutting,
    propose_turning_down,
)

PLANNERS: tuple[Callable[[Joint], Iterable[Proposal]], ...] = (
    propose_recutting,
    propose_turning_down,
    propose_opening_out,
    propose_bushing,
    propose_adapting,
    propose_plugging,
    propose_replacing,
)


def find_remedies(
    male: MaleEnd,
    female: FemaleEnd,
    *,
    pressure: float | None = None,
    steam_temperature: float | None = None,
    kit: Kit | None = None,
) -> tuple[Remedy, ...]:
    """Plan every way to make a joint good.

    male: the male end.
    female: the female end.
    pressure: working pressure, absolute [Pa], above 0; None: not known.
    steam_temperature: saturation temperature at that pressure [K], 273.15 to 647; None: not known.
    kit: what the workshop has; None: it has not said, and every tool there is may be named.
    Returns: best first: safety, then what can be undone, then minutes; the refused last. None for
        a left-hand thread and a right-hand one, which are made so to be kept apart.
    Raises OutOfRange: a dimension, pressure, temperature or time outside its range.
    Raises Unsuitable: an operation that the table of standard times has not.
    Raises UnknownMaterial: a metal that is not in the table.
    Source: Common practice, from memory; each finding names its own.
    """
    require(pressure is None or pressure > 0, "pressure", "An absolute pressure is above 0.")
    check_ends(male, female)
    if male.thread.hand != female.thread.hand:
        return ()
    own = kit or USUAL_KIT
    check_table_of_times(own.times)
    joint = Joint(
        male=male,
        female=female,
        length=engaged_length(male, female),
        tapping=choose_tapping_drill(male.thread, female.material, own),
        can_be_chased=has_one_helix(male.thread, female.thread),
        steam_temperature=steam_temperature,
        kit=own,
    )
    proposals = [proposal for plan in PLANNERS for proposal in plan(joint)]
    return rank_remedies(_settle(each, pressure) for each in proposals)


def rank_remedies(remedies: Iterable[Remedy]) -> tuple[Remedy, ...]:
    """Put remedies in order: safe, doubtful, refused; then what can be undone; then minutes.

    Source: Common practice: safety first, then what can be undone, then minutes.
    """

    def rank(remedy: Remedy) -> tuple[int, bool, float]:
        danger = SEVERITY["ok"] - SEVERITY[remedy.metal_checks[0].level]
        return danger, not remedy.reversible, remedy.minutes

    return tuple(sorted(remedies, key=rank))


def _settle(proposal: Proposal, pressure: float | None) -> Remedy:
    """Judge a proposal by the metal of every joint that it leaves; refuse it if one fails."""
    found, walls = [*proposal.findings, *proposal.sheet.wants], [*proposal.walls]
    for male, female in proposal.joints:
        metal = measure_joint(male, female, pressure=pressure)
        found += (*metal.around, *metal.engagement.findings)
        walls += [wall for wall in (metal.wall_over_bore, metal.boss_wall) if wall is not None]
    checks = worst_first([*found, proposal.sealing.finding])
    refusal = checks[0] if checks[0].level == "fail" else None
    is_customers = _touches_customer(proposal.alters)
    return Remedy(
        kind=proposal.kind,
        title=TITLES[proposal.kind],
        summary=proposal.summary,
        steps=proposal.sheet.finish(),
        minutes=proposal.sheet.minutes,
        wall_left=min(walls, default=None),
        metal_checks=checks,
        alters_customers_property=is_customers,
        decision_wanted=is_customers or _touches_customer(proposal.sets_aside),
        reversible=proposal.reversible,
        sealing=proposal.sealing,
        refused=refusal is not None,
        refusal=refusal,
    )


def _touches_customer(parts: tuple[MaleEnd | FemaleEnd, ...]) -> bool:
    return "customer" in {part.owner for part in parts}
