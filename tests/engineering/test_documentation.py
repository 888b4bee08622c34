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
LABEL = re.compile(r"(?P<label>Returns|Source|Raises \w+|[a-z_]+[0-9]?): (?P<text>.*)")
FLOATING = ("float", "Band", "ndarray")
REFUSING = {"require", "require_pressure", "require_within"}


@dataclass(frozen=True)
class Documented:
    """A function of a face: its summary, and what its docstring says under each label."""

    name: str
    node: ast.FunctionDef
    docstring: str

    @property
    def summary(self) -> str:
        return self.docstring.split("\n\n")[0]

    @property
    def said(self) -> dict[str, str]:
        """What stands behind `name:`, `Returns:`, `Raises Error:` and `Source:`, with its lines."""
        entries: dict[str, str] = {}
        label = ""
        for line in self.docstring.splitlines():
            if found := LABEL.match(line):
                label = found["label"]
                entries[label] = found["text"]
            elif label and line.startswith("    "):
                entries[label] += " " + line.strip()
        return entries


def faces() -> Iterator[tuple[str, Path, str]]:
    """Each name that a package or a module beside the packages shows: package, file, name."""
    root = HOUSE / "service" / "engineering"
    for path in (*root.glob("*.py"), *root.glob("steam/*.py")):
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
                yield Documented(f"{package}.{name}", node, ast.get_docstring(node) or "")


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


def is_floating(annotation: str) -> bool:
    return not annotation.startswith("Callable") and any(word in annotation for word in FLOATING)


def faults_of(function: Documented) -> list[str]:
    faults = []
    said, arguments = function.said, arguments_of(function.node)
    result = ast.unparse(function.node.returns) if function.node.returns else "None"
    documented = [label for label in said if label.islower()]
    if documented != list(arguments):
        faults.append(f"documents {documented}, takes {list(arguments)}")
    for name, annotation in arguments.items():
        is_measured = is_floating(annotation) and name not in PURE_NUMBERS
        if is_measured and not UNIT.search(said.get(name, "")):
            faults.append(f"no [unit] for {name}")
    if not function.summary.endswith("."):
        faults.append("no summary sentence")
    if result != "None" and "Returns" not in said:
        faults.append("does not say what it returns")
    if may_refuse(function.node) and not any(label.startswith("Raises") for label in said):
        faults.append("does not say what it raises")
    if is_floating(result) and "Source" not in said:
        faults.append("no source")
    return faults


def test_there_are_functions_to_look_at() -> None:
    assert len(FUNCTIONS) >= 60


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.name)
def test_a_function_of_a_face_says_all_that_a_reader_needs(function: Documented) -> None:
    assert faults_of(function) == []
