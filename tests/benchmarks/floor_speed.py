"""How quickly the lower floors work: reading notation, and the thread bench.

    PYTHONPATH=. .venv/bin/python tests/benchmarks/floor_speed.py

Each line is the best of several rounds, with what it is aimed at. Pairs of threads are fresh each
time, so that no answer comes out of a cache.
"""

from collections.abc import Callable, Iterator
from itertools import product
from math import radians
from time import perf_counter

from service.engineering.constants import INCH
from service.engineering.threads.catalogue import catalogue, custom_thread
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.identify import Measurement, identify_thread
from service.engineering.threads.joint import check_fitting, index_fitting
from service.engineering.threads.overlay import overlay
from service.quantities import Kind, QuantityError, parse, parse_drill, parse_thread
from tests.quantities.hostile import HOSTILE

MILLIMETRE = 1e-3


def main() -> None:
    """Measure everything in turn."""
    tell("1 7/32 in read", best(lambda: parse("1 7/32 in", Kind.LENGTH)), "under 0.1 ms")
    tell("worst hostile text", worst_hostile(), "under 1 ms")
    tell("thread identified", best(identify), "under 20 ms")
    tell("24 kinds of shim searched", best(index_a_full_drawer, rounds=5), "quick at the bench")
    tell("fresh pair laid together", mean(lay_fresh_pairs()), "under 5 ms")
    tell("fresh joint checked", mean(check_fresh_joints()), "under 3 ms")


def worst_hostile() -> float:
    """Seconds that the slowest of the hostile texts takes, at its best."""
    return max(best(reader) for text in HOSTILE for reader in readers(text))


def readers(text: str) -> Iterator[Callable[[], None]]:
    """Every way in which a text may be read; a refusal is an answer too."""

    def quietly(read: Callable[[], object]) -> Callable[[], None]:
        def attempt() -> None:
            try:
                read()
            except QuantityError:
                return

        return attempt

    for kind in Kind:
        yield quietly(lambda kind=kind: parse(text, kind))
    yield quietly(lambda: parse_thread(text))
    yield quietly(lambda: parse_drill(text))


def identify() -> None:
    """One unknown male, counted over half an inch."""
    identify_thread(Measurement("male", 6.28 * MILLIMETRE, count=20, over=INCH / 2))


def index_a_full_drawer() -> None:
    """A stack out of 24 thicknesses, none of which is exact."""
    index_fitting(
        find_thread("1/4 x 40 ME"),
        found=radians(17.3),
        wanted=radians(24.1),
        shims=[(0.01 + 0.013 * step) * MILLIMETRE for step in range(24)],
        tolerance=0.0,
    )


def lay_fresh_pairs() -> Iterator[Callable[[], object]]:
    """A taper in parallel threads that differ a little each time."""
    male = find_thread("1/8-27 NPT")
    for step in range(40):
        female = custom_thread(
            "x", diameter=(10 + step / 100) * MILLIMETRE, pitch=0.9e-3, included_angle=0.96
        )
        yield lambda female=female: overlay(male, female, engaged_length=8e-3)


def check_fresh_joints() -> Iterator[Callable[[], object]]:
    """Every fifth thread about a quarter inch in every other."""
    near = [thread for thread in catalogue() if 5.5e-3 < thread.major_diameter < 7.5e-3]
    for male, female in list(product(near, near))[::5]:
        yield lambda male=male, female=female: check_fitting(
            MaleEnd(male, length=6e-3, bore=2e-3), FemaleEnd(female, depth=6e-3), pressure=5e5
        )


def best(call: Callable[[], object], rounds: int = 20) -> float:
    """Seconds of one call when nothing else has the machine."""
    call()
    return min(timed(call) for _ in range(rounds))


def mean(calls: Iterator[Callable[[], object]]) -> float:
    """Mean seconds of calls that are each made once."""
    spent = [timed(call) for call in calls]
    return sum(spent[1:]) / (len(spent) - 1)  # the first one fills the tables


def timed(call: Callable[[], object]) -> float:
    """Seconds of one call."""
    began = perf_counter()
    call()
    return perf_counter() - began


def tell(what: str, seconds: float, target: str) -> None:
    """One line."""
    print(f"{what:28} {seconds * 1000:8.3f} ms  ({target})", flush=True)


if __name__ == "__main__":
    main()
