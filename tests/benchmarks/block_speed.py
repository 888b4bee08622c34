"""How quickly a distribution block is planned and drawn.

Run it by hand: python tests/benchmarks/block_speed.py. The aim is a search over 60 bars of stock in
under 50 ms. The first plan of a process is told apart: it reads the tables and starts the steam
library.
"""

import datetime as dt
from collections.abc import Callable
from statistics import median
from time import perf_counter

from service.documents.block_drawing import draw_block
from service.documents.drawing.surroundings import DrawingTitle
from service.documents.drawing.writing import ENDINGS, write_sheet
from service.engineering.block import (
    BlockRequest,
    Place,
    Port,
    RunningCase,
    plan_block,
    stock_sections,
)
from service.engineering.threads.catalogue.series import find_thread

GRAMS = 1 / 60e3
FACES: tuple[Place, ...] = ("top", "front", "back")


def make_request(outlets: int, *, cases: int) -> BlockRequest:
    """A block with outlets of two threads on three faces, and a whistle."""
    threads = find_thread("1/4 x 40 ME"), find_thread("3/16 x 40 ME")
    return BlockRequest(
        outlets=tuple(
            Port(threads[count % 2], FACES[count % 3], spacing=0.016) for count in range(outlets)
        ),
        inlet=Port(threads[0]),
        ends=(Port(threads[1]),),
        pressure=515e3,
        drop_budget=15e3,
        cases=tuple(
            RunningCase(f"case {case}", tuple((5 + case) * GRAMS for _ in range(outlets)))
            for case in range(cases)
        ),
    )


def measure(task: Callable[[], object], *, times: int) -> float:
    """Median time of a task [ms]."""
    return 1e3 * median(_time(task) for _ in range(times))


def _time(task: Callable[[], object]) -> float:
    start = perf_counter()
    task()
    return perf_counter() - start


def main() -> None:
    """Print the table."""
    small, large = make_request(3, cases=2), make_request(6, cases=6)
    sixty, all_bars = stock_sections()[:60], stock_sections()
    print(f"first plan of the process: {_time(lambda: plan_block(small)) * 1e3:8.1f} ms")
    for words, request in (("3 outlets, 2 cases", small), ("6 outlets, 6 cases", large)):
        for bars in (sixty, all_bars):
            spent = measure(lambda r=request, b=bars: plan_block(r, sections=b), times=15)  # type: ignore[misc]
            print(f"plan, {words}, {len(bars)} bars: {spent:8.1f} ms")
    plan = plan_block(small)
    title = DrawingTitle(title="Distribution block", drawn_on=dt.date(2026, 11, 25))
    for ending in ENDINGS:
        spent = measure(lambda e=ending: write_sheet(draw_block(plan, title=title), e), times=9)  # type: ignore[misc]
        print(f"drawing, {ending}: {spent:8.1f} ms")


if __name__ == "__main__":
    main()
