"""How many small mistakes the tests would notice: mutants are made and each tried by its tests.

    .venv/bin/python tests/mutants/run.py --mutants 300 --survivors FILE

Nothing in the checkout is changed: the work is done in copies in a temporary folder. A survivor is
a line that no test holds, or a mistake that makes no difference; a reader has to tell which.
"""

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path
from queue import SimpleQueue
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.mutants.draw import AREAS, Mutant, draw_mutants, find_again
from tests.mutants.judge import Copy, Verdict, Yardstick, package_of

HOUSE = Path(__file__).resolve().parents[2]


def main() -> None:
    """Draw, try and tell."""
    wanted = read_arguments()
    if wanted.list:
        for mutant in choose_mutants(HOUSE, wanted):
            tell_mutant(mutant)
        return
    with tempfile.TemporaryDirectory(prefix="clackbox-mutants-") as folder:
        copies = [Copy(Path(folder) / str(number)) for number in range(wanted.workers)]
        copies[0].fill(HOUSE)
        for copy in copies[1:]:
            copy.fill(copies[0].house)
        mutants = choose_mutants(copies[0].house, wanted)
        yardsticks = dict(measure_packages(copies[0], mutants))
        began = perf_counter()
        verdicts = []
        for mutant, verdict in judge_all(copies, mutants, yardsticks):
            verdicts.append((package_of(mutant.path), verdict))
            if verdict == "survived":
                tell_survivor(mutant, wanted.survivors)
            elif verdict == "by the clock":  # endless, or the machine was too busy
                print(f"{mutant.place}  {mutant.change.kind}: out of time", flush=True)
        tell_rates(verdicts, perf_counter() - began)


def read_arguments() -> argparse.Namespace:
    """What is asked for."""
    asking = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    asking.add_argument("--mutants", type=int, default=300, help="how many to draw")
    asking.add_argument("--seed", type=int, default=1, help="another seed draws others")
    asking.add_argument(
        "--only", default="", metavar="PACKAGE", help="as engineering/threads, or one file"
    )
    asking.add_argument("--workers", type=int, choices=(1, 2), default=2, help="copies at work")
    asking.add_argument("--list", action="store_true", help="show what is drawn, try nothing")
    asking.add_argument("--survivors", type=Path, metavar="FILE", help="write the survivors here")
    asking.add_argument("--again", type=Path, metavar="FILE", help="try only those of such a file")
    wanted = asking.parse_args()
    wanted.only = wanted.only.strip("/").removeprefix("service/")
    wanted.written = wanted.again.read_text(encoding="utf-8") if wanted.again else None
    if wanted.survivors and not wanted.list:
        wanted.survivors.write_text("", encoding="utf-8")
    return wanted


def choose_mutants(house: Path, wanted: argparse.Namespace) -> list[Mutant]:
    """A new draw, or those of an earlier run."""
    if wanted.written is None:
        areas = (wanted.only,) if wanted.only else AREAS
        return draw_mutants(house, count=wanted.mutants, seed=wanted.seed, areas=areas)
    found, gone = find_again(house, wanted.written)
    for line in gone:
        print(f"not tried, its line is there no more: {line}")
    return [mutant for mutant in found if mutant.path.startswith(f"service/{wanted.only}")]


def measure_packages(copy: Copy, mutants: list[Mutant]) -> Iterator[tuple[str, Yardstick]]:
    """What each package's tests do without a mutant."""
    for package in sorted({package_of(mutant.path) for mutant in mutants}):
        yardstick = copy.measure(package)
        print(
            f"{package}: {len(yardstick.tests)} test files pass in {yardstick.seconds:.0f} s; "
            f"a mutant has {yardstick.limit:.0f} s",
            flush=True,
        )
        for test in yardstick.red:
            print(f"  left out, it fails without a mutant: {test}", flush=True)
        yield package, yardstick


def judge_all(
    copies: list[Copy], mutants: list[Mutant], yardsticks: dict[str, Yardstick]
) -> Iterator[tuple[Mutant, Verdict]]:
    """Verdicts as they come, one copy for each worker."""
    free: SimpleQueue[Copy] = SimpleQueue()
    for copy in copies:
        free.put(copy)

    def judge(mutant: Mutant) -> Verdict:
        copy = free.get()
        try:
            return copy.judge(mutant, yardsticks[package_of(mutant.path)])
        finally:
            free.put(copy)

    with ThreadPoolExecutor(len(copies)) as hands:
        asked = {hands.submit(judge, mutant): mutant for mutant in mutants}
        try:
            for done in as_completed(asked):
                yield asked[done], done.result()
        finally:
            hands.shutdown(cancel_futures=True)  # whoever breaks off waits for one run, not for all


def tell_mutant(mutant: Mutant) -> None:
    """Where it is and what it says."""
    print(f"{mutant.place}  {mutant.change.kind}")
    print(f"  - {mutant.before}\n  + {mutant.after}", flush=True)


def tell_survivor(mutant: Mutant, survivors: Path | None) -> None:
    """Print it, and write it down."""
    tell_mutant(mutant)
    if survivors:
        with survivors.open("a", encoding="utf-8") as file:
            file.write(mutant.write_down() + "\n")


def tell_rates(verdicts: list[tuple[str, Verdict]], seconds: float) -> None:
    """The share that was noticed, by package and in all, and by what."""
    for package in sorted({package for package, _ in verdicts}):
        tell_rate(package, [verdict for name, verdict in verdicts if name == package])
    tell_rate("in all", [verdict for _, verdict in verdicts])
    if verdicts:
        print(f"{seconds:.0f} s, {seconds / len(verdicts):.1f} s for each mutant")


def tell_rate(name: str, verdicts: list[Verdict]) -> None:
    """One line."""
    counts = Counter(verdicts)
    tried, survived = len(verdicts), counts.pop("survived", 0)
    rate = f"{(tried - survived) / tried:6.1%}" if tried else "     -"
    how = ", ".join(f"{number} {words}" for words, number in sorted(counts.items()))
    print(f"{name:20} {tried:4} tried {survived:4} survived  {rate} noticed  ({how})", flush=True)


if __name__ == "__main__":
    main()
