"""How quickly the demo's plant is checked, how long its answer is, and what one fresh joint costs.

    PYTHONPATH=. .venv/bin/python tests/benchmarks/plant_speed.py

The yardstick of the same run is one state of saturated steam by the pure-Python IF97 package, so
that a ratio can be set beside one of another day or machine. "Once" is what the same line gave
before the house was laid anew; half of it was the aim, and a third for the calls.
"""

import cProfile
import datetime as dt
import json
import os
import pstats
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import Any

from iapws import IAPWS97

from service import create_app
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.joint import check_fitting
from service.records.database import Database
from service.records.history import Signature
from service.records.models import Scope
from service.records.operations.tokens import create_token
from service.settings import Settings

PAIRS = (
    ("1/4-40 UNS", "1/4 x 40 ME"), ("M6 x 0.75", "1/4 x 40 ME"), ("3/8 x 26 brass", "3/8 x 32 ME"),
    ("1/8-27 NPT", "1/8 BSP"), ("1/4 x 32 ME", "1/4-28 UNF"),
)  # fmt: skip


def main() -> None:
    """Measure everything in turn; the first check in a process of its own."""
    yardstick = best(lambda: IAPWS97(P=0.45, x=1), times=20)
    print(f"yardstick: one state of steam by IF97 in Python  {yardstick * 1e3:8.3f} ms")
    count_calls("1/4 x 40 ME", "3/16 x 40 ME")  # reads the tables
    calls = [count_calls(*pair) for pair in PAIRS]
    print(f"calls for a fresh joint, mean {sum(calls) / len(calls):,.0f}  (once 28,944)")
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "CLACKBOX_DATA": folder, "PYTHONPATH": os.getcwd()}
        for command in ("migrate", "demo"):
            run = f"from service.cli import main; main([{command!r}])"
            subprocess.run(
                [sys.executable, "-c", run], env=environment, check=True, stdout=subprocess.DEVNULL
            )
        ask = asker(Path(folder))
        began = process_time()
        answer = ask("")
        report("first check of the plant", process_time() - began, yardstick, "once 1,450 x")
        report("a check after that", best(lambda: ask(""), times=20), yardstick, "once 176 x")
        whole = ask("?joints=full")
        print(f"its answer {len(answer):,} bytes, in full {len(whole):,}  (once 277,025)")


def asker(folder: Path) -> Callable[[str], bytes]:
    """Asks the check of the demo's plant as the phone would."""
    settings = Settings(data=folder)
    database = Database(settings.database_address)
    with database.writing() as session:
        signed = Signature(person="benchmark", now=dt.datetime.now(dt.UTC))
        secret = create_token(session, name="benchmark", scope=Scope.OWNER, signed=signed)[1]
    client = create_app(settings, database).test_client()
    headers = {"Authorization": f"Bearer {secret}"}

    def ask(query: str) -> bytes:
        answer = client.get(f"/api/v1/plants/1/check{query}", headers=headers)
        json.loads(answer.data)
        return bytes(answer.data)

    return ask


def count_calls(male: str, female: str) -> int:
    """Calls of functions in one check that has never been asked for."""
    ends = (
        MaleEnd(find_thread(male), length=0.0061, bore=0.0021),
        FemaleEnd(find_thread(female), depth=0.0079, boss=0.0173),
    )
    profile = cProfile.Profile()
    profile.runcall(check_fitting, *ends, pressure=5.1e5)
    statistics: Any = pstats.Stats(profile)
    return int(statistics.total_calls)


def best(call: Callable[[], Any], times: int, rounds: int = 5) -> float:
    """Seconds of processor for one call: the mean of the best round."""
    call()
    spent = []
    for _ in range(rounds):
        began = process_time()
        for _ in range(times):
            call()
        spent.append((process_time() - began) / times)
    return min(spent)


def report(what: str, seconds: float, yardstick: float, target: str) -> None:
    """One line."""
    print(
        f"{what:26} {seconds * 1e3:8.1f} ms  {seconds / yardstick:7.1f} x the yardstick  ({target})"
    )


if __name__ == "__main__":
    main()
