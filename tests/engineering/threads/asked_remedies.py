"""The remedies for two threads with 8 mm of metal each, and what tests ask of them."""

from dataclasses import replace

from service.engineering.findings import Finding
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import Remedy, find_remedies
from service.quantities.wording import word

MM = 1e-3


def remedies(
    male: Thread, female: Thread, *, male_end=None, female_end=None, **circumstances
) -> tuple[Remedy, ...]:
    return find_remedies(
        MaleEnd(male, **({"length": 8 * MM} | (male_end or {}))),
        FemaleEnd(female, **({"depth": 8 * MM} | (female_end or {}))),
        **circumstances,
    )


def of_kind(kind: str, found: tuple[Remedy, ...]) -> list[Remedy]:
    return [remedy for remedy in found if remedy.kind == kind]


def check(remedy: Remedy, stem: str) -> Finding:
    """The one finding of a remedy whose code begins so."""
    (finding,) = [each for each in remedy.metal_checks if each.code.startswith(stem)]
    return finding


def sizes(remedy: Remedy) -> set[str]:
    return {word(step.size) for step in remedy.steps}


def at(thread: Thread, major: float, name: str = "another") -> Thread:
    return replace(thread, designation=name, major_diameter=major)
