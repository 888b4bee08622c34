"""Customers over HTTP."""

from collections.abc import Callable

import pytest

from tests.conftest import Caller


def test_a_customer_is_created_and_read_back(owner: Caller) -> None:
    answer = owner.post("/customers", {"name": "  Maud Ellery ", "email": "maud@example.org"})

    assert answer.status_code == 201
    assert answer.json["name"] == "Maud Ellery"
    assert owner.get(answer.headers["Location"]).json == answer.json
    assert answer.headers["ETag"] == '"1"'


def test_a_customer_is_amended_and_the_version_rises(owner: Caller, customer: dict) -> None:
    answer = owner.patch(f"/customers/{customer['id']}", {"phone": "01632 960 112"}, version=1)

    assert answer.status_code == 200
    assert answer.headers["ETag"] == '"2"'
    assert answer.json["phone"] == "01632 960 112"
    assert answer.json["name"] == customer["name"]
    assert answer.json["updated_at"] > customer["updated_at"]


def test_a_member_set_to_null_is_cleared(owner: Caller, customer: dict) -> None:
    answer = owner.patch(f"/customers/{customer['id']}", {"email": None}, version=1)

    assert answer.json["email"] is None


def test_a_change_that_changes_nothing_keeps_the_version(owner: Caller, customer: dict) -> None:
    answer = owner.patch(f"/customers/{customer['id']}", {"name": customer["name"]}, version=1)

    assert answer.headers["ETag"] == '"1"'
    assert answer.json == customer


@pytest.mark.parametrize(
    ("member", "value"),
    [
        ("name", ""),
        ("name", "   "),
        ("name", None),
        ("name", 7),
        ("name", ["Maud"]),
        ("name", "x" * 201),
        ("name", "two\nlines"),
        ("email", "no address"),
        ("email", "a@b@c"),
        ("email", "maud@example.org\n"),
        ("phone", "x" * 61),
        ("address", "x" * 1001),
        ("private_notes", "x" * 10_001),
    ],
)
def test_a_member_that_cannot_be_kept_is_named(
    owner: Caller, rows_of: Callable[[str], int], member: str, value: object
) -> None:
    before = rows_of("customers")
    answer = owner.post("/customers", {"name": "Maud Ellery", member: value})

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == [member]
    assert rows_of("customers") == before


def test_notes_and_addresses_keep_their_lines(owner: Caller) -> None:
    record = owner.make("/customers", {"name": "M", "address": "3 Staithe Row\r\nNorthwold\n"})

    assert record["address"] == "3 Staithe Row\nNorthwold"
