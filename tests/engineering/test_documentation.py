"""The contract of every public engineering function: arguments, units, result, refusals, source."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent.parent
MODULES = sorted((HOUSE / "service" / "engineering").rglob("*.py"))
UNIT = re.compile(r"\[[^\]\s][^\]]*\]")
SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)
FLOATING = ("float", "Band", "ndarray")
REFUSING = {"require", "require_pressure"}


@dataclass(frozen=True)
class Documented:
    """A public function and the sections of its docstring."""

    name: str
    node: ast.FunctionDef
    sections: dict[str, str]

    @property
    def parameters(self) -> dict[str, str]:
        """What is said of each parameter, by its name."""
        entries: dict[str, str] = {}
        name = ""
        for line in self.sections.get("Parameters", "").splitlines():
            if line and not line.startswith(" "):
                name = line.partition(":")[0].strip()
                entries[name] = line.partition(":")[2]
            elif name:
                entries[name] += " " + line.strip()
        return entries


def sections_of(docstring: str) -> dict[str, str]:
    pieces = SECTION.split(docstring)
    return dict(zip(pieces[1::2], pieces[2::2], strict=True)) | {"Summary": pieces[0].strip()}


def public_functions() -> Iterator[Documented]:
    for path in MODULES:
        module = str(path.relative_to(HOUSE / "service" / "engineering").with_suffix(""))
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield Documented(
                    f"{module}.{node.name}", node, sections_of(ast.get_docstring(node) or "")
                )


FUNCTIONS = [
    function
    for function in public_functions()
    if function.name not in {"errors.require", "findings.worst_first", "findings.worst_level"}
]  # the three that every floor uses and that calculate nothing


def arguments_of(node: ast.FunctionDef) -> dict[str, str]:
    """The annotation of each argument, by its name."""
    given = node.args
    return {
        one.arg: ast.unparse(one.annotation) if one.annotation else ""
        for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)
    }


def may_refuse(node: ast.FunctionDef) -> bool:
    return any(
        isinstance(part, ast.Raise)
        or (
            isinstance(part, ast.Call)
            and isinstance(part.func, ast.Name)
            and part.func.id in REFUSING
        )
        for part in ast.walk(node)
    )


def faults_of(function: Documented) -> list[str]:
    faults = []
    arguments = arguments_of(function.node)
    if list(function.parameters) != list(arguments):
        faults.append(f"documents {list(function.parameters)}, takes {list(arguments)}")
    for name, annotation in arguments.items():
        said = function.parameters.get(name, "")
        if any(word in annotation for word in FLOATING) and not UNIT.search(said):
            faults.append(f"no [unit] for {name}")
    if not function.sections["Summary"].split("\n\n")[0].endswith("."):
        faults.append("no summary sentence")
    if not UNIT.search(function.sections.get("Returns", "")):
        faults.append("no [unit] for the result")
    if not function.sections.get("Source", "").strip():
        faults.append("no source")
    if may_refuse(function.node) and not function.sections.get("Raises", "").strip():
        faults.append("does not say what it raises")
    return faults


def test_there_are_functions_to_look_at() -> None:
    assert len(FUNCTIONS) >= 60


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.name)
def test_a_public_function_says_all_that_a_reader_needs(function: Documented) -> None:
    assert faults_of(function) == []
