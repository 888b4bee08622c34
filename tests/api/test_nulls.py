"""Absent and null mean the same for whatever may be left out."""

import copy
from collections.abc import Iterator
from typing import Any

import pytest

from tests.api.conftest import EXAMPLES
from tests.api.test_described_answers import address
from tests.api.test_description import DOCUMENT
from tests.api.test_description import EXAMPLES as BODIES
from tests.api.test_description import demo as demo
from tests.api.test_description import owner as owner
from tests.conftest import Caller

Place = tuple[str | int, ...]


def resolve(schema: dict[str, Any]) -> dict[str, Any]:
    """The schema itself, whether it is referred to or may be null."""
    schema = schema.get("anyOf", [schema])[0]
    if "$ref" in schema:
        return resolve(DOCUMENT["components"]["schemas"][schema["$ref"].rpartition("/")[2]])
    return schema


def kind_of(schema: dict[str, Any], body: Any) -> dict[str, Any]:
    """The one of several schemas that describes a body, told by its `kind`."""
    for each in schema.get("oneOf", ()):
        resolved = resolve(each)
        if resolved.get("properties", {}).get("kind", {}).get("const") == body.get("kind"):
            return resolved
    return schema


def optional(schema: dict[str, Any], body: Any, place: Place = ()) -> Iterator[Place]:
    """Every place of a body, down to its bottom, at which something may be left out."""
    schema = resolve(schema)
    if isinstance(body, dict):
        schema = kind_of(schema, body)
        for name, inner in schema.get("properties", {}).items():
            if name not in schema.get("required", ()):
                yield (*place, name)
            if name in body:
                yield from optional(inner, body[name], (*place, name))
    elif isinstance(body, list):
        for number, inner in enumerate(body):
            yield from optional(schema.get("items", {}), inner, (*place, number))


def changed(body: dict[str, Any], place: Place, *, null: bool) -> dict[str, Any]:
    """The body with what stands at a place null, or left out."""
    copied = copy.deepcopy(body)
    *way, last = place
    at: Any = copied
    for step in way:
        at = at[step]
    if null:
        at[last] = None
    else:
        at.pop(last, None)
    return copied


def schema_of(path: str) -> dict[str, Any]:
    body: dict[str, Any] = DOCUMENT["paths"][path]["post"]["requestBody"]
    schema: dict[str, Any] = body["content"]["application/json"]["schema"]
    return schema


CALCULATED = [
    (name, place)
    for name, body in EXAMPLES.items()
    for place in optional(schema_of(f"/api/v1/calculations/{name}"), body)
]


def test_there_is_much_that_may_be_left_out() -> None:
    assert len(CALCULATED) > 100
    assert {name for name, _ in CALCULATED} >= EXAMPLES.keys() - {"blowdown", "shell"}


@pytest.mark.parametrize("name", EXAMPLES)
def test_null_is_reckoned_as_what_is_left_out(owner: Caller, name: str) -> None:
    for place in (place for calculation, place in CALCULATED if calculation == name):
        answers = [
            owner.post(f"/calculations/{name}", changed(EXAMPLES[name], place, null=null))
            for null in (True, False)
        ]
        null, absent = (_without_request(answer) for answer in answers)
        assert null == absent, place


MADE = [
    (path, body)
    for method, path, body in BODIES
    if method == "post" and "/calculations/" not in path
]


def test_every_record_that_is_made_is_looked_at() -> None:
    assert len(MADE) >= 10


@pytest.mark.parametrize(("path", "body"), MADE, ids=[path for path, _ in MADE])
def test_null_makes_the_same_record_as_what_is_left_out(
    owner: Caller, path: str, body: dict[str, Any]
) -> None:
    for place in optional(schema_of(path), body):
        records = []
        for null in (True, False):
            with owner.client.application.extensions[
                "clackbox"
            ].database.bind.begin_nested() as kept:
                if path.endswith("/joints"):  # in the demo every port is joined
                    owner.send("DELETE", "/joints/1", headers={"If-Match": '"1"'})
                answer = owner.post(address(path), changed(body, place, null=null))
                records.append(_without_request(answer))
                kept.rollback()
        assert records[0] == records[1], place


PASSING = {"id", "created_at", "updated_at", "at", "moved_at", "link", "token"}
"""What differs between two records that were made alike."""


def _without_request(answer: Any) -> Any:
    return answer.status_code, _without_passing(answer.json)


def _without_passing(part: Any) -> Any:
    if isinstance(part, dict):
        return {
            name: _without_passing(inner) for name, inner in part.items() if name not in PASSING
        }
    return [_without_passing(each) for each in part] if isinstance(part, list) else part
