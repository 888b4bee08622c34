"""The manners that every part of the API shares, tried on every route they concern."""

import datetime as dt
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import sqlalchemy as sa
from flask import Flask

from service import create_app
from service.records.database import Database
from service.settings import Settings
from tests.api.conftest import draw_picture
from tests.conftest import ONE_DATABASE, Caller


def describe() -> dict[str, Any]:
    app = create_app(Settings(data=Path("nowhere")), Database("sqlite://"))
    document: dict[str, Any] = app.extensions["flask-smorest"]["apis"][""]["ext_obj"].spec.to_dict()
    return document


def operations() -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in describe()["paths"].items():
        for method, operation in methods.items():
            if method != "parameters":
                yield method.upper(), path, operation


OPERATIONS = list(operations())
LISTS = [path for method, path, one in OPERATIONS if "limit" in str(one.get("parameters"))]
READS = [path for method, path, _ in OPERATIONS if method == "GET"]
PLAIN_READS = [
    path
    for method, path, one in OPERATIONS
    if method == "GET" and "'query'" not in str(one.get("parameters"))
]
UPDATES = [
    (method, path) for method, path, one in OPERATIONS if "If-Match" in str(one.get("parameters"))
]
JSON_BODIES = [
    (method, path)
    for method, path, one in OPERATIONS
    if "application/json" in one.get("requestBody", {}).get("content", {})
]
TAGGED = [
    path for method, path in UPDATES if method == "PATCH"
]  # what can be changed is read with a version


def test_the_kit_of_routes_are_not_empty() -> None:
    assert len(LISTS) >= 10
    assert len(UPDATES) >= 12
    assert len(JSON_BODIES) >= 20


# Reading


STRANGE_QUERIES = (
    "limit=0", "limit=101", "limit=-1", "limit=x", "limit=", "limit=1.0", "limit=+1", "limit=1e1",
    "limit=%D9%A3", "limit=99999999999999999999", "cursor=0", "cursor=-1", "cursor=2147483648",
    "cursor=99999999999999999999999", "cursor=%00", "page=2", "comission_id=1", "limit=1&x=1",
)  # fmt: skip


@ONE_DATABASE
@pytest.mark.parametrize("path", LISTS)
def test_a_list_refuses_a_query_it_does_not_know(
    owner: Caller, one_of_each: dict[str, int], path: str
) -> None:
    for query in STRANGE_QUERIES:
        answer = owner.get(f"{path.format_map(one_of_each)}?{query}")

        assert answer.status_code == 422, query
        assert answer.mimetype == "application/problem+json"
        assert query.split("&")[-1].split("=")[0] in answer.json["errors"]


@pytest.mark.parametrize("path", LISTS)
def test_a_list_answers_items_and_the_next_page(
    owner: Caller, one_of_each: dict[str, int], path: str
) -> None:
    answer = owner.get(f"{path.format_map(one_of_each)}?limit=1")

    assert answer.status_code == 200
    assert {"items", "next"} <= answer.json.keys()
    assert len(answer.json["items"]) <= 1
    assert owner.get(f"{path.format_map(one_of_each)}?cursor=1").json["items"] == []


def test_the_pages_hold_everything_once_newest_first(owner: Caller, bench: Caller) -> None:
    names = [f"customer {number}" for number in range(7)]
    for name in names:
        owner.make("/customers", {"name": name})

    seen: list[str] = []
    address: str | None = "/customers?limit=3"
    while address:
        page = owner.get(address).json
        seen += [one["name"] for one in page["items"]]
        address = page["next"] and f"{urlsplit(page['next']).path}?{urlsplit(page['next']).query}"
        owner.make("/customers", {"name": "comes while somebody reads"})
    assert seen == names[::-1]


def test_the_next_page_keeps_the_filters(owner: Caller, commission: dict) -> None:
    for minutes in (1, 2, 3):
        owner.make(
            "/labour",
            {"commission_id": commission["id"], "operation": "filing", "minutes": minutes},
        )
    following = owner.get(f"/labour?commission_id={commission['id']}&limit=2").json["next"]

    query = urlsplit(following).query
    assert f"commission_id={commission['id']}" in query
    assert "limit=2" in query
    page = owner.get(f"/labour?{query}").json
    assert [one["minutes"] for one in page["items"]] == [1]
    assert page["next"] is None


def test_the_last_page_may_be_full(owner: Caller) -> None:
    for name in "ab":
        owner.make("/customers", {"name": name})

    assert owner.get("/customers?limit=2").json["next"] is None


@ONE_DATABASE
@pytest.mark.parametrize("path", PLAIN_READS)
def test_what_takes_no_query_refuses_one(
    owner: Caller, one_of_each: dict[str, int], path: str
) -> None:
    answer = owner.get(f"{path.format_map(one_of_each)}?colour=red")

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["colour"]


def version_of(tag: str) -> int:
    """The version in a tag; a draft's tag bears a digest of what it says behind it."""
    return int(tag.strip('"').partition(".")[0])


@pytest.mark.parametrize("path", TAGGED)
def test_what_was_read_before_is_not_sent_again(
    owner: Caller, one_of_each: dict[str, int], path: str
) -> None:
    address = path.format_map(one_of_each)
    tag = owner.get(address).headers["ETag"]

    assert version_of(tag) == 1
    for given in (tag, f"W/{tag}", f'"9", {tag}', "*"):
        answer = owner.get(address, headers={"If-None-Match": given})
        assert (answer.status_code, answer.data) == (304, b"")
        assert answer.headers["ETag"] == tag
    assert owner.get(address, headers={"If-None-Match": '"9"'}).status_code == 200


@pytest.mark.parametrize("path", [path for path in READS if "{" in path])
def test_a_record_that_is_not_there_is_not_found(owner: Caller, path: str) -> None:
    head, _, tail = path.partition("{")
    for number in ("2000000000", "0", "-1", "9" * 20, "x", "1.0", "%00", "1%2F2", "%D9%A3"):
        answer = owner.get(head + number + tail.partition("}")[2])

        assert answer.status_code == 404, number
        assert answer.mimetype == "application/problem+json"


def test_an_address_that_is_not_there_is_a_problem_too(stranger: Caller) -> None:
    answer = stranger.get("/api/v1/nothing")

    assert answer.status_code == 404
    assert answer.json["title"] == "Not Found"
    assert answer.json["instance"] == "/api/v1/nothing"


@ONE_DATABASE
@pytest.mark.parametrize("path", sorted({path for _, path, _ in OPERATIONS}))
def test_a_method_that_is_not_there_is_refused_with_those_that_are(
    owner: Caller, one_of_each: dict[str, int], path: str
) -> None:
    taken = {method for method, other, _ in OPERATIONS if other == path}
    strange = next(method for method in ("PUT", "PATCH", "DELETE") if method not in taken)
    answer = owner.send(strange, path.format_map(one_of_each))

    assert answer.status_code == 405
    assert answer.mimetype == "application/problem+json"
    documented = {method for method, other, _ in OPERATIONS if other == path}
    allowed = {method.strip() for method in answer.headers["Allow"].split(",")}
    assert allowed - {"HEAD", "OPTIONS"} == documented


# Bodies


OTHER_KINDS = (
    "text/plain", "application/x-www-form-urlencoded", "application/merge-patch+json", "",
)  # fmt: skip
NO_JSON = (
    "{", "{'a': 1}", '{"a": 1,}', b'{"name": "\xff"}', "[" * 100_000, '{"a":' * 3000,
    '{"a": ' + "1" * 5000 + "}", "\x00",
)  # fmt: skip
NO_OBJECTS = ("[]", '"text"', "7", "null", "true", "[{}]")
STRANGE_MEMBERS = ("colour", "Name", "", "na\ud800me", "id", "created_at")


@ONE_DATABASE
@pytest.mark.parametrize(("method", "path"), JSON_BODIES)
def test_a_body_of_another_kind_is_refused(
    owner: Caller, one_of_each: dict[str, int], method: str, path: str
) -> None:
    for kind in OTHER_KINDS:
        answer = owner.send(method, path.format_map(one_of_each), data="{}", content_type=kind)

        assert answer.status_code == 415, kind
        assert "application/json" in answer.json["detail"]


@ONE_DATABASE
@pytest.mark.parametrize(("method", "path"), JSON_BODIES)
def test_a_body_that_is_no_json_or_no_object_is_refused(
    owner: Caller, one_of_each: dict[str, int], method: str, path: str
) -> None:
    address = path.format_map(one_of_each)
    for status, bodies in ((400, NO_JSON), (422, NO_OBJECTS)):
        for body in bodies:
            answer = send_json(owner, method, address, body)

            assert answer.status_code == status, body[:20]
            assert answer.mimetype == "application/problem+json"


@ONE_DATABASE
@pytest.mark.parametrize(("method", "path"), JSON_BODIES)
def test_a_member_that_is_not_known_is_refused(
    owner: Caller, one_of_each: dict[str, int], method: str, path: str
) -> None:
    for name in STRANGE_MEMBERS:
        answer = send_json(owner, method, path.format_map(one_of_each), json.dumps({name: 1}))

        assert answer.status_code == 422
        assert (name or "body") in answer.json["errors"]


@ONE_DATABASE
@pytest.mark.parametrize(("method", "path"), JSON_BODIES)
def test_a_body_over_the_limit_is_refused(
    owner: Caller, one_of_each: dict[str, int], method: str, path: str
) -> None:
    answer = send_json(owner, method, path.format_map(one_of_each), b" " * 20_000_001)

    assert answer.status_code == 413
    assert answer.json["code"] == "too-large"


TEXTS = [
    ("POST", "/customers", {"name": "{}"}, "name"),
    ("POST", "/customers", {"name": "M", "address": "{}"}, "address"),
    ("PATCH", "/customers/{customer_id}", {"name": "{}"}, "name"),
    ("POST", "/commissions", {"customer_id": 1, "title": "{}"}, "title"),
    ("POST", "/labour", {"commission_id": 1, "operation": "filing", "minutes": 5, "note": "{}"},
     "note"),
    ("POST", "/parts", {"commission_id": 1, "name": "{}"}, "name"),
    ("POST", "/progress", {"commission_id": 1, "text": "{}"}, "text"),
    ("POST", "/tokens", {"scope": "bench", "name": "{}"}, "name"),
    ("POST", "/commissions/{commission_id}/plants", {"working_pressure": "2 bar", "name": "{}"},
     "name"),
    ("POST", "/commissions/{commission_id}/plants", {"working_pressure": "2 bar{}", "name": "x"},
     "working_pressure"),
]  # fmt: skip


@pytest.mark.parametrize(("method", "path", "body", "field"), TEXTS)
def test_signs_that_cannot_be_kept_are_refused(
    owner: Caller, one_of_each: dict[str, int], method: str, path: str, body: dict, field: str
) -> None:
    for sign in ("\u0000", "\ud800", "\udfff", "\u001b", "\u007f", "\u0085"):
        filled = {
            name: value.replace("{}", f"a{sign}b") if isinstance(value, str) else value
            for name, value in body.items()
        }
        answer = owner.send(method, path.format_map(one_of_each), json=filled)

        assert answer.status_code == 422, ascii(sign)
        assert field in answer.json["errors"]


@pytest.mark.parametrize("text", ["Ærøskøbing ½ in × 40", "蒸気機関", "a\u0301", "🚂", "x\tx"])
def test_all_other_text_is_kept_as_it_is(owner: Caller, text: str) -> None:
    record = owner.make("/customers", {"name": "M", "private_notes": text})

    assert owner.get(f"/customers/{record['id']}").json["private_notes"] == text


@pytest.mark.parametrize(
    "query", ["reference=a%00b", "reference=%ED%A0%80", "stage=%00", "customer_id=1%00"]
)
def test_a_filter_takes_no_sign_that_cannot_be_kept(owner: Caller, query: str) -> None:
    answer = owner.get(f"/commissions?{query}")

    assert answer.status_code in {200, 422}
    if answer.status_code == 200:  # undecodable bytes reach us as U+FFFD, which is found nowhere
        assert answer.json["items"] == []


def send_json(caller: Caller, method: str, address: str, body: Any) -> Any:
    headers = {"If-Match": '"1"'}
    return caller.send(method, address, data=body, content_type="application/json", headers=headers)


# Versions


@pytest.mark.parametrize(("method", "path"), UPDATES)
def test_a_change_says_which_version_it_changes(
    owner: Caller, one_of_each: dict[str, int], everything_kept: Callable[[], str],
    method: str, path: str,
) -> None:  # fmt: skip
    before = everything_kept()
    address = path.format_map(one_of_each)
    body: dict[str, Any] = {"json": {}} if method == "PATCH" else {}
    if method == "PUT":  # a picture is looked at before a version
        body = {"data": draw_picture((8, 2)), "content_type": "image/png"}

    assert owner.send(method, address, **body).status_code == 428
    for tag in ('"2"', '"0"', '"abc"', '"2", "3"', "1.0", '"-1"', '"' + "9" * 40 + '"', '"١"'):
        answer = owner.send(
            method, address, headers={"If-Match": tag.encode().decode("latin-1")}, **body
        )
        assert answer.status_code == 412, tag
        assert answer.json["code"] == "stale-version"
    assert everything_kept() == before


def test_two_clients_edit_one_record_and_the_second_is_told(owner: Caller, customer: dict) -> None:
    address = f"/customers/{customer['id']}"
    first = owner.patch(address, {"phone": "1"}, version=1)
    second = owner.patch(address, {"phone": "2"}, version=1)

    assert (first.status_code, second.status_code) == (200, 412)
    assert owner.get(address).json["phone"] == "1"


@pytest.mark.parametrize("path", TAGGED)
def test_a_change_of_nothing_is_no_change(
    owner: Caller, one_of_each: dict[str, int], path: str
) -> None:
    answer = owner.patch(path.format_map(one_of_each), {}, version=1)

    assert answer.status_code == 200
    assert version_of(answer.headers["ETag"]) == 1
    assert answer.json == owner.get(path.format_map(one_of_each)).json


# Repeats


def keyed(key: str, **more: str) -> dict[str, dict[str, str]]:
    return {"headers": {"Idempotency-Key": key, **more}}


def test_a_repeat_gets_the_first_answer_and_makes_one_row(
    owner: Caller, rows_of: Callable[[str], int]
) -> None:
    first = owner.post("/customers", {"name": "M"}, **keyed("k-1"))
    again = owner.post("/customers", {"name": "M"}, **keyed("k-1"))
    quoted = owner.post("/customers", {"name": "M"}, **keyed('"k-1"'))

    assert first.status_code == again.status_code == quoted.status_code == 201
    assert first.data == again.data == quoted.data
    for name in ("Location", "ETag", "Content-Type", "Cache-Control"):
        assert again.headers[name] == first.headers[name]
    assert "Idempotency-Replayed" not in first.headers
    assert again.headers["Idempotency-Replayed"] == "true"
    assert rows_of("customers") == 1
    assert rows_of("idempotency_keys") == 1


def test_a_key_used_for_something_else_is_refused(
    owner: Caller, rows_of: Callable[[str], int]
) -> None:
    owner.post("/customers", {"name": "M"}, **keyed("k-1"))
    other_body = owner.post("/customers", {"name": "N"}, **keyed("k-1"))
    other_address = owner.post("/tokens", {"name": "M"}, **keyed("k-1"))

    assert (other_body.status_code, other_address.status_code) == (409, 409)
    assert other_body.json["code"] == "key-reused"
    assert rows_of("customers") == 1


def test_a_refusal_does_not_use_the_key_up(owner: Caller, rows_of: Callable[[str], int]) -> None:
    refused = owner.post("/customers", {"name": ""}, **keyed("k-1"))
    mended = owner.post("/customers", {"name": "M"}, **keyed("k-1"))

    assert (refused.status_code, mended.status_code) == (422, 201)
    assert rows_of("idempotency_keys") == 1


def test_two_tokens_may_use_the_same_key(owner: Caller, bench: Caller, commission: dict) -> None:
    body = {"commission_id": commission["id"], "operation": "filing", "minutes": 5}
    one = owner.post("/labour", body, **keyed("k-1"))
    other = bench.post("/labour", body, **keyed("k-1"))

    assert (one.status_code, other.status_code) == (201, 201)
    assert one.json["id"] != other.json["id"]


def test_a_change_and_a_removal_are_repeated_without_harm(
    owner: Caller, one_of_each: dict[str, int]
) -> None:
    customer = f"/customers/{one_of_each['customer_id']}"
    changes = [
        owner.send("PATCH", customer, json={"phone": "1"}, **keyed("k-1", **{"If-Match": '"1"'}))
        for _ in "12"
    ]
    joint = f"/joints/{one_of_each['joint_id']}"
    removals = [owner.send("DELETE", joint, **keyed("k-2", **{"If-Match": '"1"'})) for _ in "12"]

    assert [one.status_code for one in changes] == [200, 200]
    assert changes[0].json == changes[1].json
    assert changes[1].headers["ETag"] == '"2"'
    assert [(one.status_code, one.data) for one in removals] == [(204, b""), (204, b"")]


@pytest.mark.parametrize("key", ["", " ", '""', "x" * 201, "a\u00ffb", "a\tb"])
def test_a_key_is_printable_and_bounded(
    owner: Caller, rows_of: Callable[[str], int], key: str
) -> None:
    answer = owner.post("/customers", {"name": "M"}, **keyed(key))

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["Idempotency-Key"]
    assert rows_of("customers") == 0


# The rest


def test_a_stroke_at_the_end_changes_nothing(owner: Caller) -> None:
    answer = owner.post("/customers/", {"name": "M"})

    assert answer.status_code == 201
    assert owner.get(answer.headers["Location"]).json == answer.json
    assert owner.get(answer.headers["Location"] + "/").json == answer.json


def test_everything_of_the_workshop_is_kept_out_of_shared_caches(
    owner: Caller, customer: dict
) -> None:
    for address in ("/customers", f"/customers/{customer['id']}"):
        assert owner.get(address).headers["Cache-Control"] == "private, no-cache"


def test_the_service_tells_that_it_is_ready(stranger: Caller, database: Database) -> None:
    ready = stranger.get("/health")
    assert ready.status_code == 200
    assert ready.json["live"] is ready.json["ready"] is True
    assert ready.json["faults"] == ready.json["warnings"] == []
    assert ready.json["free_space"]["bytes"] > 0
    assert re.fullmatch(r"[0-9.]+ (MB|GB|TB)", ready.json["free_space"]["text"])

    with database.writing() as session:
        session.execute(sa.text("UPDATE alembic_version SET version_num = 'c4a70e95d318'"))
    behind = stranger.get("/health")
    assert behind.status_code == 503
    assert behind.json["ready"] is False
    assert "migrate" in behind.json["faults"][0]
    assert stranger.get("/health/live").json == {"live": True}


def test_the_age_of_the_last_good_backup_is_told(stranger: Caller, built_app: Flask) -> None:
    found = stranger.get("/health").json
    assert (found["last_backup"], found["days_since_backup"]) == (None, None)

    made = dt.datetime.now(dt.UTC) - dt.timedelta(days=3)
    built_app.extensions["clackbox"].database.standing.keep(
        {"what": "backup", "made": made.isoformat(), "file": "a.zip"}
    )
    found = stranger.get("/health").json
    assert dt.datetime.fromisoformat(found["last_backup"]) == made.replace(microsecond=0)
    assert found["days_since_backup"] == 3.0


def test_a_fault_of_ours_is_a_problem_that_tells_nothing(
    owner: Caller, built_app: Flask, database: Database
) -> None:
    with database.writing() as session:
        session.execute(sa.text("ALTER TABLE customers RENAME TO clients"))
    answer = owner.get("/customers")

    assert answer.status_code == 500
    assert answer.mimetype == "application/problem+json"
    assert "clients" not in answer.get_data(as_text=True)
    assert "Traceback" not in answer.get_data(as_text=True)
    assert "SELECT" not in answer.get_data(as_text=True)
