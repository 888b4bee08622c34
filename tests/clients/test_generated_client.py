"""A client that a general generator makes of the description, calling every operation of the demo.

Whoever programs against the service begins so. A description that says other than what is answered
breaks the client: it cannot read the answer, or loses some of it.
"""

import datetime as dt
import importlib
import inspect
import io
import json
import subprocess
import sys
from collections.abc import Iterator
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any, get_args

import attrs
import pytest
from PIL import Image

from tests.api.test_golden_description import describe
from tests.real_server import ROOT, RealServer, serve_demo

DESCRIPTION = describe()
PACKAGE = "clackbox_client"
METHODS = ("get", "post", "put", "patch", "delete")
BEGINS = {
    "application/pdf": b"%PDF-",
    "image/jpeg": b"\xff\xd8\xff",
    "image/svg+xml": b"<svg ",
    "image/vnd.dxf": b"  0\nSECTION",
}
"""How a file of a kind begins."""

OUT_OF_TURN = {
    "delete_joint": 0.5,  # in the demo every port is joined: it frees those of the example
    "update_joint": 0.2,  # before that
    "update_report": 5,  # all of these need what was made before
    "issue_report": 6,
    "relink_report": 7,
    "revoke_report": 8,
    "move_part": 5,
}
"""When an operation is called, where the order of the methods (get, post, ...) will not do."""

MADE_BY = {
    "update_report": "draft_report",
    "issue_report": "draft_report",
    "relink_report": "draft_report",
    "revoke_report": "draft_report",
    "move_part": "receive_part",
    "delete_item": "create_item",
    "revoke_token": "create_token",
}
"""What is called upon a record that was made here; the rest is called upon the demo's first."""

OTHERWISE = {"update_commission": {"reference": "26-016"}}
"""Members that the example of an operation cannot have, since another made them before."""


@pytest.fixture(scope="session")
def package(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The generated package, ready to be imported."""
    folder = tmp_path_factory.mktemp("generated")
    (folder / "openapi.json").write_text(json.dumps(DESCRIPTION), encoding="utf-8")
    made = subprocess.run(
        [
            sys.executable, "-m", "openapi_python_client", "generate", "--meta", "none",
            "--path", "openapi.json", "--config", ROOT / "clients/generated.yml",
            "--output-path", PACKAGE, "--fail-on-warning",
        ],
        cwd=folder, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert made.returncode == 0, made.stdout + made.stderr
    sys.path.insert(0, str(folder))
    yield folder / PACKAGE
    sys.path.remove(str(folder))
    for name in [name for name in sys.modules if name.partition(".")[0] == PACKAGE]:
        del sys.modules[name]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealServer]:
    """A demo of its own: every operation is called upon it."""
    with serve_demo(tmp_path_factory.mktemp("generated-demo")) as server:
        yield server


@pytest.fixture
def programmer(package: Path, server: RealServer) -> Iterator["Programmer"]:
    """Somebody who programs with the generated package."""
    module = importlib.import_module(f"{PACKAGE}.client")
    with module.AuthenticatedClient(
        base_url=server.address, token=server.token, httpx_args={"trust_env": False}
    ) as client:
        yield Programmer(package, client)


class Programmer:
    """Calls operations by their names, with what the description shows as arguments."""

    def __init__(self, package: Path, client: Any) -> None:
        self.client = client
        self.made: dict[str, int] = {}
        self.modules = {
            path.stem: f"{PACKAGE}.api.{path.parent.name}.{path.stem}"
            for path in package.glob("api/*/*.py")
        }

    def call(self, method: str, path: str, operation: dict[str, Any]) -> Any:
        """Call an operation; its answer."""
        name = operation["operationId"]
        function = importlib.import_module(self.modules[name]).sync_detailed
        wanted = inspect.signature(function).parameters
        given = self._from_parameters(name, operation, wanted)
        number = self.made[MADE_BY[name]] if name in MADE_BY else 1
        places = {part[1:-1]: number for part in path.split("/") if part.startswith("{")}
        if "body" in wanted:
            given["body"] = self._body(name, operation, wanted["body"].annotation)
        if "if_match" in wanted:
            given["if_match"] = self._version(path.format_map(places))
        if "idempotency_key" in wanted:
            given["idempotency_key"] = f"generated-{name}"
        answer = function(client=self.client, **places, **given)
        if method == "post" and answer.status_code == 201:
            self.made[name] = json.loads(answer.content)["id"]
        return answer

    def _from_parameters(self, name: str, operation: dict[str, Any], wanted: Any) -> dict[str, Any]:
        shown = {
            each["name"]: each["schema"]["example"]
            for each in map(resolve, operation.get("parameters", []))
            if each["in"] == "query" and "example" in each["schema"]
        }
        return {key: fit(shown[key], wanted[key].annotation) for key in shown}

    def _body(self, name: str, operation: dict[str, Any], kind: Any) -> Any:
        content = operation["requestBody"]["content"]
        if "application/json" not in content:
            (file,) = {each for each in get_args(kind) if each.__name__ == "File"}
            return file(payload=io.BytesIO(draw_picture()))
        shown: dict[str, Any] = content["application/json"]["example"]
        return kind.from_dict(shown | OTHERWISE.get(name, {}))

    def _version(self, address: str) -> str:
        for action in ("/issue", "/link", "/revoke", "/logo"):
            address = address.removesuffix(action)
        tag: str = self.client.get_httpx_client().get(address).headers["ETag"]
        return tag


@cache
def draw_picture() -> bytes:
    """A picture of the kind that the generated client says it sends: the last that is described."""
    written = io.BytesIO()
    Image.new("RGB", (40, 30), "navy").save(written, "WEBP")
    return written.getvalue()


def resolve(part: dict[str, Any]) -> dict[str, Any]:
    """What a reference refers to."""
    if "$ref" not in part:
        return part
    found: Any = DESCRIPTION
    for name in part["$ref"].removeprefix("#/").split("/"):
        found = found[name]
    return dict(found)


def fit(example: Any, kind: Any) -> Any:
    """An example of the description as the value that the generated function takes."""
    for each in get_args(kind) or (kind,):
        if inspect.isclass(each) and issubclass(each, Enum):
            return each(example)
        if each is dt.date:
            return dt.date.fromisoformat(example)
    return example


def find_fault(operation: dict[str, Any], answer: Any) -> str | None:
    """What is wrong with an answer and with what the generated client made of it."""
    statuses = [status for status in operation["responses"] if status.startswith("2")]
    if str(int(answer.status_code)) not in statuses:
        return f"{answer.status_code} instead of {statuses}: {answer.content[:300]!r}"
    content = resolve(operation["responses"][str(int(answer.status_code))]).get("content", {})
    if not content:
        return None if not answer.content else "there should be nothing in it"
    kind = next(iter(content))
    if not answer.headers["Content-Type"].startswith(kind):
        return f"{answer.headers['Content-Type']} instead of {kind}"
    if kind in BEGINS:
        return None if answer.content.startswith(BEGINS[kind]) else f"no {kind}"
    if (left := find_unread(answer.parsed)) is not None:
        return f"not read into a model: {left!r}"
    difference = list(differences(json.loads(answer.content), answer.parsed.to_dict()))
    return f"read otherwise than answered: {difference[:3]}" if difference else None


def find_unread(read: Any) -> Any:
    """A part of an answer that was left as it came, since it fitted none of its models."""
    if isinstance(read, dict):
        return read
    inner = read if isinstance(read, list) else []
    if attrs.has(type(read)):
        inner = [getattr(read, each.name) for each in attrs.fields(type(read))]
        inner = [
            part for part in inner if not isinstance(part, dict) or part is not open_part(read)
        ]
    return next((left for part in inner if (left := find_unread(part)) is not None), None)


def open_part(model: Any) -> Any:
    """The members of a model that the description leaves open."""
    return getattr(model, "additional_properties", None)


def differences(answered: Any, read: Any, place: str = "$") -> Iterator[str]:
    """Where what was read, written again, is not what was answered; a moment may be spelt anew."""
    if isinstance(answered, dict) and isinstance(read, dict):
        for name in answered.keys() | read.keys():
            yield from differences(answered.get(name, "?"), read.get(name, "?"), f"{place}.{name}")
    elif isinstance(answered, list) and isinstance(read, list) and len(answered) == len(read):
        for number, pair in enumerate(zip(answered, read, strict=True)):
            yield from differences(*pair, f"{place}[{number}]")
    elif answered != read and not same_moment(answered, read):
        yield f"{place}: {answered!r} as {read!r}"


def same_moment(one: Any, other: Any) -> bool:
    """Whether two texts are one moment."""
    try:
        return dt.datetime.fromisoformat(one) == dt.datetime.fromisoformat(other)
    except (TypeError, ValueError):
        return False


def in_order() -> list[tuple[str, str, dict[str, Any]]]:
    """Every operation: what reads first, what makes before what changes, what ends it last."""
    found = [
        (method, path, operation)
        for path, methods in DESCRIPTION["paths"].items()
        for method, operation in methods.items()
        if method in METHODS
    ]
    return sorted(
        found, key=lambda one: OUT_OF_TURN.get(one[2]["operationId"], METHODS.index(one[0]))
    )


def test_every_operation_is_called_and_its_answer_read(programmer: Programmer) -> None:
    faults = {}
    for method, path, operation in in_order():
        try:
            fault = find_fault(operation, programmer.call(method, path, operation))
        except Exception as problem:
            fault = f"{type(problem).__name__}: {problem}"
        if fault is not None:
            faults[operation["operationId"]] = fault

    assert faults == {}
    assert len(in_order()) > 100


def test_a_refusal_is_read_as_a_problem(programmer: Programmer) -> None:
    function = importlib.import_module(programmer.modules["get_customer"]).sync_detailed

    answer = function(client=programmer.client, customer_id=999_999)

    assert answer.status_code == 404
    assert (answer.parsed.code, answer.parsed.status) == ("not-found", 404)
