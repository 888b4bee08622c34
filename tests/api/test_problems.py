"""Refusals: each has a code of the table, and the name of its request."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import service
from service.api.vocabularies import VOCABULARIES
from tests.conftest import ONE_DATABASE, Caller

CODES = set(VOCABULARIES["ProblemCode"])
FLOORS = ("records", "documents", "api", "pages")
"""Where refusals are made that bear a code of their own; findings bear codes of engineering."""


def codes_of(path: Path) -> Iterator[str]:
    """The codes that a module gives to refusals, whether a class bears them or a call."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        in_call = isinstance(node, ast.keyword) and node.arg == "code"
        in_class = isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "code"
        value = getattr(node, "value", None) if in_call or in_class else None
        if isinstance(value, ast.Constant) and isinstance(value.value, str):
            yield value.value


def test_every_code_of_a_refusal_stands_in_the_table() -> None:
    folder = Path(service.__file__).parent
    found = {
        code
        for floor in FLOORS
        for path in (folder / floor).rglob("*.py")
        for code in codes_of(path)
    }

    assert found - CODES == set()
    assert len(found) >= 20


def test_codes_are_kebab_case() -> None:
    assert [code for code in CODES if not re.fullmatch(r"[a-z]+(-[a-z]+)*", code)] == []


@pytest.mark.parametrize(
    ("method", "path", "kw", "status", "code"),
    [
        ("GET", "/customers/999", {}, 404, "not-found"),
        ("GET", "/nothing", {}, 404, "not-found"),
        ("PUT", "/customers", {"json": {}}, 405, "method-not-allowed"),
        ("POST", "/customers", {"json": {}}, 422, "invalid"),
        ("POST", "/customers", {"data": "{", "content_type": "application/json"}, 400,
         "unreadable-body"),
        ("POST", "/customers", {"data": "x", "content_type": "text/plain"}, 415,
         "wrong-content-type"),
        ("GET", "/customers?colour=blue", {}, 422, "invalid"),
        ("PATCH", "/customers/1", {"json": {"name": "M"}}, 428, "version-needed"),
        ("POST", "/calculations/thread", {"json": {"thread": "1/4 x 41 ME"}}, 422, "invalid"),
    ],
)  # fmt: skip
def test_a_refusal_bears_its_code_and_the_name_of_its_request(
    owner: Caller, method: str, path: str, kw: dict, status: int, code: str
) -> None:
    answer = owner.send(method, path, **kw)

    assert (answer.status_code, answer.json["code"]) == (status, code)
    assert answer.json["id"] == answer.headers["X-Request-Id"]


def test_a_stranger_is_refused_with_code_and_name(stranger: Caller) -> None:
    answer = stranger.get("/customers")

    assert answer.json["code"] == "not-recognised"
    assert answer.json["id"] == answer.headers["X-Request-Id"]


@pytest.mark.parametrize("name", ["bench-phone-17", "A", "x" * 64, "9f86d081:1.2_3"])
def test_a_sound_name_of_the_callers_is_taken(owner: Caller, name: str) -> None:
    answer = owner.get("/customers", headers={"X-Request-Id": name})

    assert answer.headers["X-Request-Id"] == name


@pytest.mark.parametrize("name", ["", "x" * 65, "a b", "-a", "a;b", "<b>", "ü", "a,b"])
def test_a_name_that_is_not_sound_is_replaced(owner: Caller, name: str) -> None:
    answers = [owner.get("/customers", headers={"X-Request-Id": name}) for _ in "12"]

    made = [answer.headers["X-Request-Id"] for answer in answers]
    assert all(re.fullmatch(r"[0-9a-f]{16}", each) for each in made)
    assert made[0] != made[1]


@ONE_DATABASE
def test_the_address_of_every_problem_is_a_place_on_the_page(stranger: Caller) -> None:
    page = stranger.client.get("/api/docs").get_data(as_text=True)

    assert [
        code for code in VOCABULARIES["ProblemCode"] if f'id="problem-{code}"' not in page
    ] == []
