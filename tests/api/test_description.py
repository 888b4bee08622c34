"""The description of the API: valid, complete, honest, and with examples that work."""

import importlib
import json
import pkgutil
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from openapi_spec_validator import OpenAPIV31SpecValidator

import service
from service import create_app
from service.api.problems import STATUS_OF
from service.demo.loading import load_demo
from service.records.blobs import BlobStore
from service.records.database import Database, UnusableDatabase, make_engine
from service.records.models import Scope
from service.records.schema import upgrade
from service.settings import Settings, SettingsError
from tests.conftest import NOW, Caller, make_caller


def document_of(app: Flask) -> dict[str, Any]:
    document: dict[str, Any] = app.test_client().get("/api/v1/openapi.json").json
    return document


DOCUMENT = document_of(create_app(Settings(data=Path("nowhere")), Database("sqlite://")))
OPERATIONS = [
    (method, path, operation)
    for path, methods in DOCUMENT["paths"].items()
    for method, operation in methods.items()
    if method != "parameters"
]
EXAMPLES = [
    (method, path, content["example"])
    for method, path, operation in OPERATIONS
    if (content := operation.get("requestBody", {}).get("content", {}).get("application/json"))
    and "example" in content
]


def test_the_description_is_valid_openapi() -> None:
    assert DOCUMENT["openapi"] == "3.1.0"
    assert [error.message for error in OpenAPIV31SpecValidator(DOCUMENT).iter_errors()] == []


def test_every_operation_is_named_once_and_says_what_it_does() -> None:
    names = Counter(operation["operationId"] for _, _, operation in OPERATIONS)

    assert [name for name, times in names.items() if times > 1] == []
    for method, path, operation in OPERATIONS:
        assert operation["summary"].endswith("."), (method, path)
        assert operation["tags"]


def test_every_body_shows_an_example() -> None:
    without = [
        (method, path)
        for method, path, operation in OPERATIONS
        if "application/json" in operation.get("requestBody", {}).get("content", {})
        and not operation["requestBody"]["content"]["application/json"].get("example")
    ]

    assert without == []
    assert len(EXAMPLES) >= 20


def test_every_operation_says_which_token_it_needs() -> None:
    scopes = {scope.value for scope in Scope}
    for method, path, operation in OPERATIONS:
        (needed,) = operation["security"]
        assert set(needed["token"]) <= scopes, (method, path)


def test_every_refusal_is_documented_as_a_problem() -> None:
    for method, path, operation in OPERATIONS:
        assert {"401", "403", "422"} <= operation["responses"].keys(), (method, path)
        for status, response in operation["responses"].items():
            if status.startswith("4"):
                content = resolve(response)["content"]
                assert list(content) == ["application/problem+json"], (method, path, status)


def test_refusals_are_documented_only_where_they_can_come() -> None:
    for method, path, operation in OPERATIONS:
        statuses = operation["responses"].keys()
        takes_json = "application/json" in operation.get("requestBody", {}).get("content", {})
        takes_body = "requestBody" in operation
        takes_version = "If-Match" in str(operation.get("parameters"))
        told = (method, path)
        assert ("404" in statuses) is ("{" in path), told
        assert ("400" in statuses) is takes_json, told
        assert ("415" in statuses) is ("413" in statuses) is takes_body, told
        assert ("412" in statuses) is ("428" in statuses) is takes_version, told
        assert ("409" in statuses) is ("Idempotency-Key" in str(operation.get("parameters"))), told


def test_money_is_text_and_answers_may_grow() -> None:
    schemas = DOCUMENT["components"]["schemas"]

    assert schemas["CommissionOut"]["properties"]["hourly_rate"]["type"] == ["string", "null"]
    for name, schema in schemas.items():
        if name.endswith("In") or name.endswith("Patch"):
            assert schema.get("additionalProperties") is False, name
        if name.endswith("Out") or name.endswith("Page"):
            assert schema.get("additionalProperties") is not False, name


def test_every_quantity_says_how_it_is_written_and_how_it_is_shown() -> None:
    for name, schema in DOCUMENT["components"]["schemas"].items():
        if name.endswith("Text") and name != "DrillText":
            assert re.search(r"with its unit, as .+; .+\. Units: .+\.", schema["description"]), name
        if "const" in (unit := schema.get("properties", {}).get("unit", {})):
            assert f"{name}Text" in DOCUMENT["components"]["schemas"]
            assert unit["const"] is not None
    pressure = DOCUMENT["components"]["schemas"]["PressureText"]["description"]
    assert "gauge unless the text says abs" in pressure


def test_every_word_to_choose_from_has_a_meaning() -> None:
    """A list of words stands in the description once, each word with what it means."""
    schemas = DOCUMENT["components"]["schemas"]
    listed = {name: schema for name, schema in schemas.items() if "enum" in schema}
    chosen = re.findall(r'"enum": \[[^],]*,', json.dumps(DOCUMENT))  # one word leaves no choice

    assert len(chosen) == len(listed) >= 25
    for name, schema in listed.items():
        for word in schema["enum"]:
            assert re.search(rf"(^|; ){re.escape(word)}: \w", schema["description"]), (name, word)


def test_headers_are_described_where_they_come() -> None:
    for method, path, operation in OPERATIONS:
        for status, response in operation["responses"].items():
            headers = resolve(response).get("headers", {})
            told = (method, path, status)
            assert "X-Request-Id" in headers, told
            if status == "201" and "Idempotency-Key" in str(operation.get("parameters")):
                assert "Location" in headers, told
            if status == "200" and "cursor" in str(operation.get("parameters")):
                assert "Link" in headers, told
            if status == "409":
                assert "Retry-After" in headers, told
        if "/calculations/" in path and not path.endswith((".pdf", ".svg", ".dxf")):
            headers = operation["responses"]["200"]["headers"]
            assert {"ETag", "Vary", "Preference-Applied"} <= headers.keys(), path


def resolve(response: dict[str, Any]) -> dict[str, Any]:
    if "$ref" in response:
        found: dict[str, Any] = DOCUMENT["components"]["responses"][
            response["$ref"].rpartition("/")[2]
        ]
        return found
    return response


def own_errors() -> Iterator[type[Exception]]:
    """Every exception class that a module of the service defines."""
    for module in pkgutil.walk_packages(service.__path__, "service."):
        for thing in vars(importlib.import_module(module.name)).values():
            if (
                isinstance(thing, type)
                and issubclass(thing, Exception)
                and thing.__module__ == module.name
                and not issubclass(thing, SettingsError | UnusableDatabase)  # before any request
                and not thing.__name__.startswith("_")
            ):
                yield thing


BASES = {"RecordError", "RequestError"}
"""Classes that only their children are raised as."""


def test_every_error_of_ours_has_a_status() -> None:
    without = [
        f"{kind.__module__}.{kind.__name__}"
        for kind in own_errors()
        if kind.__name__ not in BASES and not any(base in STATUS_OF for base in kind.__mro__)
    ]

    assert without == []
    assert len(list(own_errors())) >= 15


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Settings, Database]]:
    """A database of its own that holds the demo, so that records have the numbers of examples."""
    settings = Settings(data=tmp_path_factory.mktemp("demo"))
    engine = make_engine(settings.database_address)
    with engine.connect() as connection:
        upgrade(connection)
    database = Database(engine)
    load_demo(database, BlobStore(settings.data / "blobs"), now=NOW)
    yield settings, database
    database.dispose()


@pytest.fixture
def owner(demo: tuple[Settings, Database]) -> Iterator[Caller]:
    """The owner, in a transaction that is rolled back: each example finds the demo as it was."""
    settings, database = demo
    with database.bind.connect() as connection:  # type: ignore[union-attr]
        transaction = connection.begin()
        app = create_app(settings, Database(connection))
        caller = make_caller(app, Scope.OWNER)
        caller.make(
            "/reports", {"commission_id": 1, "from_day": "2026-11-01", "to_day": "2026-11-14"}
        )
        yield caller
        transaction.rollback()


@pytest.mark.parametrize(
    ("method", "path", "example"), EXAMPLES, ids=[f"{m} {p}" for m, p, _ in EXAMPLES]
)
def test_every_example_works_on_the_demo(
    owner: Caller, method: str, path: str, example: dict[str, Any]
) -> None:
    address = "/".join("1" if part.startswith("{") else part for part in path.split("/"))
    headers = {}
    if method == "patch":
        headers["If-Match"] = owner.get(address).headers["ETag"]
    if path.endswith("/joints"):  # in the demo every port is joined: free those of the example
        owner.send("DELETE", "/joints/1", headers={"If-Match": '"1"'})
    answer = owner.send(method.upper(), address, json=example, headers=headers)

    assert answer.status_code in {200, 201}, answer.get_data(as_text=True)[:500]


@pytest.mark.parametrize("path", [path for method, path, _ in OPERATIONS if method == "get"])
def test_everything_that_can_be_read_is_read_on_the_demo(owner: Caller, path: str) -> None:
    address = "/".join("1" if part.startswith("{") else part for part in path.split("/"))

    assert owner.get(address).status_code == 200
