"""The contract of every function in a face of engineering: units, result, refusals, source."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent.parent
MODULES = sorted((HOUSE / "service" / "engineering").rglob("*.py"))
UNIT = re.compile(r"\[[^\]\s][^\]]*\]")
PURE_NUMBERS = {
    "accumulation", "condensation", "diameter_ratio", "discharge_coefficient", "loss_factor",
    "pulsation", "scale", "share", "stress_ratio", "taper", "threads_per_inch", "low", "high",
    "tolerance", "percent", "factor", "lowest", "highest",
}  # fmt: skip
"""Arguments that have no unit to say."""
SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)
FLOATING = ("float", "Band", "ndarray")
REFUSING = {"require", "require_pressure", "require_within"}


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


def faces() -> Iterator[tuple[str, Path, str]]:
    """Each name that a package or a module beside the packages shows: package, file, name."""
    root = HOUSE / "service" / "engineering"
    for path in root.glob("*.py"):
        if path.name not in {"__init__.py", "saying.py"}:  # the figures say their unit in a line
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                    yield path.stem, path, node.name
    for path in root.rglob("__init__.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ImportFrom) and node.module:
                home = HOUSE / f"{node.module.replace('.', '/')}.py"
                yield from ((path.parent.name, home, alias.name) for alias in node.names)


def face_functions() -> Iterator[Documented]:
    for package, path, name in faces():
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name == name:
                sections = sections_of(ast.get_docstring(node) or "")
                yield Documented(f"{package}.{name}", node, sections)


FUNCTIONS = [
    function
    for function in face_functions()
    if function.name
    not in {
        "errors.require",
        "errors.require_within",
        "findings.worst_first",
        "findings.worst_level",
    }
]  # those that every floor uses and that calculate nothing


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
    result = ast.unparse(function.node.returns) if function.node.returns else "None"
    if list(function.parameters) != list(arguments):
        faults.append(f"documents {list(function.parameters)}, takes {list(arguments)}")
    for name, annotation in arguments.items():
        said = function.parameters.get(name, "")
        is_measured = any(word in annotation for word in FLOATING) and name not in PURE_NUMBERS
        if is_measured and not UNIT.search(said):
            faults.append(f"no [unit] for {name}")
    if not function.sections["Summary"].split("\n\n")[0].endswith("."):
        faults.append("no summary sentence")
    if result != "None" and not function.sections.get("Returns", "").strip():
        faults.append("does not say what it returns")
    if may_refuse(function.node) and not function.sections.get("Raises", "").strip():
        faults.append("does not say what it raises")
    if any(word in result for word in FLOATING) and not function.sections.get("Source", "").strip():
        faults.append("no source")
    return faults


def test_there_are_functions_to_look_at() -> None:
    assert len(FUNCTIONS) >= 60


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.name)
def test_a_function_of_a_face_says_all_that_a_reader_needs(function: Documented) -> None:
    assert faults_of(function) == []
