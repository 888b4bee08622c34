"""Loading the library of water's properties, in a process that has not loaded it yet."""

import subprocess
import sys

ALL_AT_ONCE = """
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from service.engineering.saturation import saturation_temperature

ready = Barrier(8)

def ask(_):
    ready.wait()
    return saturation_temperature(400_000.0)

with ThreadPoolExecutor(8) as pool:
    print(len(set(pool.map(ask, range(8)))))
"""


def test_first_questions_asked_at_once_load_it_once() -> None:
    for _ in range(3):
        ran = subprocess.run(
            [sys.executable, "-c", ALL_AT_ONCE], capture_output=True, text=True, check=False
        )
        assert (ran.returncode, ran.stdout, ran.stderr) == (0, "1\n", "")
