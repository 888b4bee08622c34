"""The rules of the house that a program can hold: what a review would otherwise say twice."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent
SOURCES = sorted((HOUSE / "service").rglob("*.py"))
LONGEST_FILE = 400
LONGEST_FUNCTION = 40
MIDDLE_FUNCTION = 12
"""Median; the aim is 10, with some room before the build breaks."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


def place(path: Path) -> str:
    return str(path.relative_to(HOUSE))


def parse(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def functions(path: Path) -> Iterator[Function]:
    for node in ast.walk(parse(path)):
        if isinstance(node, Function):
            yield node


def length(function: Function) -> int:
    """Lines of a function without its docstring."""
    assert function.end_lineno is not None
    lines = function.end_lineno - function.lineno + 1
    first = function.body[0]
    if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
        lines -= (first.end_lineno or first.lineno) - first.lineno + 1
    return lines


def called_names(path: Path) -> Iterator[tuple[str, int]]:
    for node in ast.walk(parse(path)):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else ""
            yield (node.func.id if isinstance(node.func, ast.Name) else name), node.lineno


def within(*folders: str) -> list[Path]:
    return [
        path for path in SOURCES if place(path).startswith(tuple(f"service/{f}" for f in folders))
    ]


def median(numbers: list[int]) -> int:
    return sorted(numbers)[len(numbers) // 2]


def test_there_is_something_to_hold_to_the_rules() -> None:
    assert len(SOURCES) > 100


def test_routes_and_pages_ask_operations_and_write_no_queries() -> None:
    found = [
        (place(path), line, name)
        for path in within("api", "pages")
        for name, line in called_names(path)
        if name in {"select", "commit", "flush", "add", "scalars", "scalar", "execute"}
        and not (name == "add" and "session" not in path.read_text())
    ]

    assert found == []


def test_transactions_end_in_one_place() -> None:
    found = [
        (place(path), line)
        for path in SOURCES
        for name, line in called_names(path)
        if name == "commit"
    ]

    assert found == []  # sessionmaker's begin() in records/database.py commits, and nothing else


def test_no_file_is_a_drawer_for_odds_and_ends() -> None:
    drawers = {"utils", "util", "helpers", "helper", "common", "misc", "manager", "base_service"}
    found = [
        place(path)
        for folder in ("service", "migrations", "clients", "tests", "deploy")
        for path in (HOUSE / folder).rglob("*")
        if path.stem in drawers and ".pyc" not in path.suffix
    ]

    assert found == []


def test_no_file_is_too_long_to_hold_in_the_head() -> None:
    lengths = {place(path): len(path.read_text().splitlines()) for path in SOURCES}

    assert {name: lines for name, lines in lengths.items() if lines > LONGEST_FILE} == {}


def test_no_function_is_too_long_to_see_at_once() -> None:
    lengths = {
        f"{place(path)}:{function.lineno} {function.name}": length(function)
        for path in SOURCES
        for function in functions(path)
    }

    assert {name: lines for name, lines in lengths.items() if lines > LONGEST_FUNCTION} == {}
    assert median(list(lengths.values())) <= MIDDLE_FUNCTION


def imports(path: Path) -> Iterator[str]:
    for node in ast.walk(parse(path)):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{name.name}" for name in node.names)


def test_nothing_is_mocked() -> None:
    everything = [*SOURCES, *(HOUSE / "tests").rglob("*.py"), *(HOUSE / "clients").rglob("*.py")]
    found = [
        place(path) for path in everything if any(name.startswith("unittest.mock") or name == "mock"
                                                  for name in imports(path))
    ]  # fmt: skip

    assert found == []


def test_only_the_edges_look_the_clock_up() -> None:
    """Operations are handed the moment; engineering knows no clock at all."""
    found = [
        (place(path), line, name)
        for path in within("records", "engineering", "plant", "quantities", "documents")
        for name, line in called_names(path)
        if name in {"now", "today", "utcnow"}
    ]

    assert found == []


def test_pint_is_asked_in_one_place_for_names_that_stand_there() -> None:
    """pint evaluates what it is given; so it is given nothing but what is written in the file."""
    askers = [place(path) for path in SOURCES if "pint" in {n.split(".")[0] for n in imports(path)}]
    calls = [
        node
        for node in ast.walk(parse(HOUSE / "service/quantities/units.py"))
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "_size"
    ]
    uses = (HOUSE / "service/quantities/units.py").read_text().count("UnitRegistry")

    assert askers == ["service/quantities/units.py"]
    assert uses == 2  # the import, and the one registry
    assert len(calls) >= 10
    assert [
        ast.unparse(call)
        for call in calls
        if call.keywords
        or ast.unparse(call.args[0]) != "_ONE"
        or not all(isinstance(a, ast.Constant) for a in call.args[1:])
    ] == []


def test_verbs_are_handed_a_session_and_a_signature() -> None:
    verbs = ("create_", "update_", "delete_", "move_", "receive_", "log_", "post_", "draft_",
             "issue_", "relink_", "revoke_", "enter_")  # fmt: skip
    found = []
    for path in within("records/operations"):
        for node in parse(path).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith(verbs):
                named = {one.arg for one in (*node.args.args, *node.args.kwonlyargs)}
                if node.args.args[0].arg != "session" or "signed" not in named:
                    found.append(f"{place(path)} {node.name}")

    assert found == []


@pytest.mark.parametrize("noun", ["customers", "commissions", "parts", "labour", "plants",
                                  "progress", "reports", "tokens"])  # fmt: skip
def test_a_noun_has_the_same_name_on_every_floor(noun: str) -> None:
    for file in (
        f"service/records/models/{noun}.py",
        f"service/records/operations/{noun}.py",
        f"service/api/schemas/{noun}.py",
        f"service/api/routes/{noun}.py",
        f"tests/api/test_{noun}.py",
    ):
        assert (HOUSE / file).exists(), file


def test_every_module_class_and_public_function_says_what_it_is() -> None:
    silent = []
    for path in SOURCES:
        tree = parse(path)
        if tree.body and not ast.get_docstring(tree):
            silent.append(place(path))
        for node in tree.body:
            if (
                isinstance(node, ast.ClassDef | ast.FunctionDef)
                and not node.name.startswith("_")
                and not ast.get_docstring(node)
            ):
                silent.append(f"{place(path)} {node.name}")

    assert silent == []


def test_every_table_names_its_sources() -> None:
    import csv

    tables = sorted((HOUSE / "service/engineering/tables").glob("*.csv"))
    assert tables
    for table in tables:
        lines = [line for line in table.read_text().splitlines() if not line.startswith("#")]
        header, *rows = csv.reader(lines)
        assert header[-1] == "source", table.name
        assert [number for number, row in enumerate(rows, 2) if not row[-1].strip()] == [], table


def faced_packages() -> dict[str, set[str]]:
    """The packages of engineering that show a face, each with the names in it."""
    faces = {}
    for path in within("engineering"):
        if path.name == "__init__.py" and (names := listed_names(path)):
            faces[".".join(path.parent.relative_to(HOUSE).parts)] = names
    return faces


def listed_names(path: Path) -> set[str]:
    for node in parse(path).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return set(ast.literal_eval(node.value))
    return set()


def test_outside_a_package_only_its_face_is_imported() -> None:
    faces = faced_packages()
    found = []
    for path in SOURCES:
        own = ".".join(path.parent.relative_to(HOUSE).parts)
        for node in ast.walk(parse(path)):
            if not isinstance(node, ast.ImportFrom) or not node.module:
                continue
            package = next((p for p in faces if f"{node.module}.".startswith(f"{p}.")), None)
            if package is None or own == package:
                continue
            strange = {alias.name for alias in node.names} - faces[package]
            if node.module != package or strange:
                found.append(f"{place(path)}:{node.lineno} {node.module} {sorted(strange)}")

    assert len(faces) >= 14
    assert found == []


def test_engineering_and_plant_write_no_figure_out() -> None:
    """A number becomes words in `quantities.wording` alone, in the measure asked for."""
    found = [
        f"{place(path)}:{node.lineno}"
        for path in within("engineering", "plant")
        for node in ast.walk(parse(path))
        if (isinstance(node, ast.FormattedValue) and node.format_spec is not None)
        or (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr == "format"
        )
    ]

    assert found == []
