"""A private copy of the house, in which one mutant after another is tried by its own tests."""

import os
import re
import shutil
import signal
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from typing import Literal

from tests.mutants.draw import Mutant

TESTS: dict[str, tuple[str, ...]] = {
    "engineering/threads": (
        "engineering/threads",
        "engineering/*thread*",
        "reference/*thread*",
        "api/*calculations*",
        "api/test_overlays.py",
        "api/test_kit_files.py",
    ),
    "engineering/steam": (
        "engineering/steam",
        "engineering/*steam*",
        "reference/*steam*",
        "plant",
        "api/*calculations*",
        "api/test_balances.py",
        "api/test_boilers.py",
        "api/test_passages.py",
        "api/test_relief.py",
    ),
    "engineering/block": (
        "engineering/*block*",
        "reference/*block*",
        "api/*calculations*",
        "api/test_blocks.py",
    ),
    "engineering": ("engineering", "reference"),
    "plant": ("plant", "records/test_plants.py", "api/test_plants.py"),
    "quantities": ("quantities", "api/test_quantities.py", "api/*calculations*"),
    "records/operations": ("records", "api"),
}
"""Folders and files in tests/ that answer for what begins so in service/; the longest wins."""
NOT_ASKED = {"test_schemathesis.py", "test_golden_description.py"}
"""One draws at random, the other looks at the description alone."""

COPIED = ("service", "tests", "clients", "migrations", "pyproject.toml")
SHORTEST_LIMIT = 60.0
LIMIT_FACTOR = 4.0

Verdict = Literal["survived", "by a test", "at import", "by the clock"]


def package_of(path: str) -> str:
    """The line of the table that answers for a file."""
    inside = path.removeprefix("service/")
    return max((name for name in TESTS if inside.startswith(f"{name}/")), key=len)


def find_tests(house: Path, package: str) -> list[str]:
    """The test files of a package."""
    places = [place for pattern in TESTS[package] for place in (house / "tests").glob(pattern)]
    files = {
        file
        for place in places
        for file in (place.rglob("test_*.py") if place.is_dir() else [place])
        if file.name.startswith("test_") and file.suffix == ".py" and file.name not in NOT_ASKED
    }
    return sorted(file.relative_to(house).as_posix() for file in files)


def order_tests(house: Path, tests: list[str], path: str) -> list[str]:
    """Test files so that the likeliest to see a mistake in a module is asked first.

    Those that speak with the application come last, then those that say fewer of its words.
    """
    source = (house / path).read_text(encoding="utf-8")
    names = set(re.findall(r"^(?:def|class) ([A-Za-z]\w*)", source, re.MULTILINE))
    stem = set(Path(path).stem.split("_"))

    def rank(test: str) -> tuple[bool, int, int]:
        text = (house / test).read_text(encoding="utf-8")
        said = len(names & set(re.findall(r"\w+", text)))
        told = len(stem & set(Path(test).stem.split("_")))
        return test.startswith(("tests/api/", "tests/records/")), -(said + 3 * told), len(text)

    return sorted(tests, key=rank)


@dataclass(frozen=True, slots=True)
class Yardstick:
    """The test files of a package, and how long they may take with a mutant."""

    tests: list[str]
    seconds: float
    limit: float
    """Seconds after which a run is taken for endless."""
    red: list[str]
    """What fails without a mutant too, and so can tell nothing of one."""


def leave_out(red: list[str]) -> list[str]:
    """How pytest is told of tests that are not to be run."""
    return [f"--deselect={test}" for test in red]


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy of the house in a temporary folder of its own."""

    folder: Path

    @property
    def house(self) -> Path:
        """What was copied."""
        return self.folder / "house"

    def fill(self, original: Path) -> None:
        """Copy what the tests need."""
        self.house.mkdir(parents=True)
        for name in COPIED:
            if (original / name).is_dir():
                unwanted = shutil.ignore_patterns("__pycache__", ".hypothesis")
                shutil.copytree(original / name, self.house / name, ignore=unwanted)
            elif (original / name).exists():
                shutil.copy2(original / name, self.house / name)

    def measure(self, package: str) -> Yardstick:
        """Run a package's tests without a mutant; those that fail are left out."""
        tests, red = find_tests(self.house, package), []
        while tests:
            began = perf_counter()
            code, said = self._run([*tests, *leave_out(red)], limit=1800.0)
            seconds = perf_counter() - began
            if code == 0:
                limit = max(SHORTEST_LIMIT, LIMIT_FACTOR * seconds)
                return Yardstick(tests, seconds, limit, red)
            bad = set(re.findall(r"^(?:FAILED|ERROR) (tests/.+?)(?: - .*)?$", said, re.MULTILINE))
            if not bad:
                raise SystemExit(f"{package}: pytest ends with {code}:\n{said[-2000:]}")
            files = {test for test in bad if "::" not in test or test in red}
            files = {test.partition("::")[0] for test in files}  # it is no use to name the test
            red += sorted(bad | files)
            tests = [test for test in tests if test not in files]
        raise SystemExit(f"No test of {package} passes without a mutant: {red}")

    def judge(self, mutant: Mutant, yardstick: Yardstick) -> Verdict:
        """Put a mutant in, run its tests, take it out again."""
        file = self.house / mutant.path
        text = file.read_text(encoding="utf-8")
        tests = order_tests(self.house, yardstick.tests, mutant.path)
        try:
            self._write(file, mutant.change.apply(text))
            asked = ["-x", *tests, *leave_out(yardstick.red)]
            code, said = self._run(asked, limit=yardstick.limit)
        finally:
            self._write(file, text)
        if code == 5:
            raise SystemExit(f"No test was run for {mutant.place}:\n{said[-2000:]}")
        verdicts: dict[int | None, Verdict] = {0: "survived", 2: "at import", 4: "at import"}
        return "by the clock" if code is None else verdicts.get(code, "by a test")

    @staticmethod
    def _write(file: Path, text: str) -> None:
        """Python takes a file of the same second and length for the same: its bytecode must go."""
        file.write_text(text, encoding="utf-8")
        for compiled in (file.parent / "__pycache__").glob(f"{file.stem}.*.pyc"):
            compiled.unlink()

    def _run(self, arguments: list[str], *, limit: float) -> tuple[int | None, str]:
        """Pytest in the copy, on SQLite alone; no code if it did not end in time."""
        command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider",
                   "-p", "tests.mutants.without_shrinking", "--hypothesis-profile=mutants",
                   f"--basetemp={self.folder / 'pytest'}", "-k", "not postgresql"]  # fmt: skip
        process = subprocess.Popen(
            [*command, *arguments],
            cwd=self.house,
            env={key: value for key, value in os.environ.items() if key != "PYTHONPATH"},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,  # so that it ends with whatever it started
        )
        try:
            said, _ = process.communicate(timeout=limit)
            return process.returncode, said
        except subprocess.TimeoutExpired:
            return None, ""
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
                process.communicate()
