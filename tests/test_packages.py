"""What is installed: every import is declared, both locks agree, and the wheel holds everything."""

import ast
import re
import sys
import tomllib
import zipfile
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest
from setuptools import build_meta

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS: dict[str, list[str]] = PROJECT["optional-dependencies"]
OURS = {"service", "migrations", "clients", "tests", "_typeshed"}
"""What is no distribution; the last is known to the type checker alone."""

NAMED = {
    "coolprop": "service",  # its compiled core is found by name, without the package
    "tzdata": "service",  # zoneinfo reads it where the system has no zones of its own
    "psycopg": "postgres",  # SQLAlchemy loads it for postgresql+psycopg://
}
"""What is needed though no import names it, by what needs it."""
TOOLS = {
    "ruff", "mypy", "import-linter", "pytest-xdist", "openapi-python-client", "setuptools", "httpx",
    "types-requests", "types-waitress",
}  # fmt: skip
"""What is run, or asked by what is run; httpx is what the generated client asks with."""


def name_of(requirement: str) -> str:
    """The distribution that a requirement is of."""
    return re.split(r"[\[<>=; ]", requirement)[0].lower().replace("_", "-")


def declared(*extras: str) -> set[str]:
    """The distributions that are declared, with those of some extras."""
    wanted = [*PROJECT["dependencies"], *(one for extra in extras for one in EXTRAS[extra])]
    return {name_of(one) for one in wanted}


def imported(*folders: str) -> set[str]:
    """The distributions that the files of some folders import."""
    found = {
        name.partition(".")[0]
        for folder in folders
        for path in (ROOT / folder).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        for name in names_in(node)
    }
    of = packages_distributions()
    foreign = found - set(sys.stdlib_module_names) - OURS
    return {of[name][0].lower().replace("_", "-") for name in foreign}


def names_in(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [each.name for each in node.names]
    return [node.module] if isinstance(node, ast.ImportFrom) and node.module else []


def test_what_the_service_imports_is_declared_and_the_other_way_round() -> None:
    by_name = {name for name, user in NAMED.items() if user == "service"}

    assert imported("service", "migrations") | by_name == declared("heic")


def test_what_a_client_imports_is_declared() -> None:
    assert imported("clients") == {name_of(one) for one in EXTRAS["clients"]}


def test_what_the_tests_import_is_declared() -> None:
    everything = declared("test", "postgres", "clients", "build")

    assert imported("tests") - everything == set()
    unused = declared("test") - declared() - imported("tests", "clients") - TOOLS
    assert unused == set()


def pins(lock: str) -> dict[str, set[str]]:
    """The versions that a lock names, each with the machines it is for."""
    found: dict[str, set[str]] = {}
    for line in (ROOT / "deploy" / lock).read_text(encoding="utf-8").splitlines():
        if match := re.match(r"([a-z0-9-]+)(?:\[.*\])?==([^ ;]+)", line):
            found.setdefault(match[1], set()).add(match[2])
    return found


def test_the_locks_agree_and_the_small_one_holds_no_tests() -> None:
    small, large = pins("requirements.lock"), pins("tests.lock")

    assert small.items() <= large.items()
    assert declared("postgres", "heic", "clients", "build") <= small.keys()
    assert declared("test") <= large.keys()
    assert {"pytest", "mypy", "scipy", "playwright"} & small.keys() == set()


@pytest.mark.parametrize("lock", ["requirements.lock", "tests.lock"])
def test_a_lock_names_no_host(lock: str) -> None:
    assert "://" not in (ROOT / "deploy" / lock).read_text(encoding="utf-8")


@pytest.mark.filterwarnings("ignore")  # setuptools has its own to say while it builds
def test_the_wheel_holds_every_file_that_the_service_reads(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    for folder in ("service", "migrations"):
        copy(ROOT / folder, tmp_path / folder)
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        (tmp_path / name).write_bytes((ROOT / name).read_bytes())
    monkeypatch.chdir(tmp_path)
    wheel = zipfile.ZipFile(build_meta.build_wheel(str(tmp_path)))
    capfd.readouterr()

    held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert held == {
        str(path.relative_to(ROOT))
        for folder in ("service", "migrations")
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


def copy(source: Path, target: Path) -> None:
    """The files of a folder, without what Python left in it."""
    for path in source.rglob("*"):
        if path.is_file() and "__pycache__" not in path.parts:
            place = target / path.relative_to(source)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(path.read_bytes())
