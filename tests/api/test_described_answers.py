"""Every answer is what the description says it is, with nothing in it that is not described."""

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.api.conftest import EXAMPLES
from tests.api.test_description import DOCUMENT, OPERATIONS
from tests.api.test_description import EXAMPLES as BODIES
from tests.api.test_description import demo as demo
from tests.api.test_description import owner as owner
from tests.conftest import Caller

Schema = dict[str, Any]


def forbid_more(part: Any) -> Any:
    """The description, held to say everything: no member beside those it names."""
    if isinstance(part, list):
        return [forbid_more(each) for each in part]
    if not isinstance(part, dict):
        return part
    held = {name: forbid_more(inner) for name, inner in part.items()}
    if "properties" in held and held.get("additionalProperties") is True:
        held["additionalProperties"] = False
    return held


COMPONENTS = forbid_more(copy.deepcopy(DOCUMENT["components"]))


def faults(schema: Schema, answer: Any) -> list[str]:
    """What an answer has that its schema has not, and the other way round."""
    validator = Draft202012Validator({**schema, "components": COMPONENTS})
    return [f"{error.json_path}: {error.message[:200]}" for error in validator.iter_errors(answer)]


def schema_of(method: str, path: str, status: int) -> Schema | None:
    """What the description says of the JSON answer of an operation."""
    response = DOCUMENT["paths"][path][method]["responses"][str(status)]
    if "$ref" in response:
        response = DOCUMENT["components"]["responses"][response["$ref"].rpartition("/")[2]]
    content = response.get("content", {})
    described = content.get("application/json") or content.get("application/problem+json")
    return None if described is None else forbid_more(copy.deepcopy(described["schema"]))


def address(path: str) -> str:
    return "/".join("1" if part.startswith("{") else part for part in path.split("/"))


@pytest.mark.parametrize("measure", ["metric", "imperial", "us"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_an_answer_of_a_calculation_is_as_described(owner: Caller, name: str, measure: str) -> None:
    headers = {"Prefer": f"measure={measure}, pictures"}
    answer = owner.post(f"/calculations/{name}", EXAMPLES[name], headers=headers)

    schema = schema_of("post", f"/api/v1/calculations/{name}", 200)
    assert schema is not None
    assert faults(schema, answer.json) == []


@pytest.mark.parametrize("path", [path for method, path, _ in OPERATIONS if method == "get"])
def test_what_is_read_is_as_described(owner: Caller, path: str) -> None:
    schema = schema_of("get", path, 200)
    if schema is not None:
        assert faults(schema, owner.get(address(path)).json) == []


CREATED = [(path, body) for method, path, body in BODIES if method == "post"]


@pytest.mark.parametrize(
    ("path", "body"),
    [(path, body) for path, body in CREATED if "/calculations/" not in path],
    ids=[path for path, _ in CREATED if "/calculations/" not in path],
)
def test_what_is_made_is_as_described(owner: Caller, path: str, body: dict[str, Any]) -> None:
    if path.endswith("/joints"):  # in the demo every port is joined: free those of the example
        owner.send("DELETE", "/joints/1", headers={"If-Match": '"1"'})
    answer = owner.post(address(path), body)

    schema = schema_of("post", path, answer.status_code)
    assert schema is not None
    assert faults(schema, answer.json) == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_refusal_is_as_described(owner: Caller, name: str) -> None:
    answer = owner.post(f"/calculations/{name}", EXAMPLES[name] | {"colour": "blue"})

    schema = schema_of("post", f"/api/v1/calculations/{name}", 422)
    assert schema is not None
    assert answer.status_code == 422
    assert faults(schema, answer.json) == []


def parts(part: Any, place: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every object of the description that is no example, by its place."""
    if isinstance(part, dict):
        yield place, part
        for name, inner in part.items():
            if name not in ("example", "examples", "default", "enum", "const"):
                yield from parts(inner, f"{place}/{name}")
    elif isinstance(part, list):
        for number, inner in enumerate(part):
            yield from parts(inner, f"{place}/{number}")


def test_nothing_is_described_by_nothing() -> None:
    assert [place for place, part in parts(DOCUMENT) if part == {}] == []
