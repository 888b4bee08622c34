"""Every number a calculation is given has two ends to its range; no solver meets the rest."""

import dataclasses
import importlib
import pkgutil
from collections.abc import Iterator

import pytest

import service.engineering
from service.engineering.given import GivenField, given_fields

HELD_ELSEWHERE = {
    # Pressures and temperatures: the range of the steam tables, which every calculation asks.
    "Pa", "K",
}  # fmt: skip
ANOTHER_MEMBER_HOLDS = {
    "Engine.piston_rod": "below the bore",
    "Boiler.low_level": "below the full level, which lies within the shell",
    "Boiler.high_level": "within the shell",
    "MaleEnd.length": "held by the joint that it is in",
    "MaleEnd.bore": "below the core of the thread",
    "FemaleEnd.depth": "held by the joint that it is in",
    "FemaleEnd.boss": "above the thread",
    "FemaleEnd.drilled": "by the thread",
}


def list_fields() -> Iterator[tuple[str, GivenField]]:
    """Every number of every dataclass in engineering that has its range on the field."""
    seen = set()
    for module in pkgutil.walk_packages(service.engineering.__path__, "service.engineering."):
        for thing in vars(importlib.import_module(module.name)).values():
            if not dataclasses.is_dataclass(thing) or thing in seen or not isinstance(thing, type):
                continue
            seen.add(thing)
            marked = {each.name for each in dataclasses.fields(thing) if "given" in each.metadata}
            for each in given_fields(thing) if marked else ():
                if each.name in marked and each.kind in (int, float):
                    yield f"{thing.__name__}.{each.name}", each


FIELDS = dict(list_fields())


def test_there_are_numbers_to_look_at() -> None:
    assert {"Valve.kv", "Engine.bore", "Measurement.caliper_error"} <= FIELDS.keys()


@pytest.mark.parametrize("name", FIELDS)
def test_a_number_has_a_least_and_a_most(name: str) -> None:
    each = FIELDS[name]
    if each.unit in HELD_ELSEWHERE or name in ANOTHER_MEMBER_HOLDS:
        return
    assert each.given.least is not None, "such a number may be all but nought"
    assert each.given.most is not None


@pytest.mark.parametrize("name", FIELDS)
def test_what_is_all_but_nought_is_refused_or_may_be_nought_itself(name: str) -> None:
    given = FIELDS[name].given
    assert given.holds(5e-324) == given.holds(0.0) or FIELDS[name].unit in HELD_ELSEWHERE


def test_exceptions_are_still_needed() -> None:
    assert ANOTHER_MEMBER_HOLDS.keys() <= FIELDS.keys()
    for name in ANOTHER_MEMBER_HOLDS:
        assert FIELDS[name].given.least is None or FIELDS[name].given.most is None
