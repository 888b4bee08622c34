"""Addresses, private notes, rates and money are the owner's: a lost phone gives none of them away.

Records are filled with words that stand nowhere else; everything that a token of the bench can ask
for is then asked, and looked through.
"""

from typing import Any

import pytest
from flask import Flask

from service.api.schemas.base import PartlyOwners
from service.records.columns import ExactDecimal
from service.records.database import Base
from tests.api.test_described_answers import faults, schema_of
from tests.api.test_manners import OPERATIONS
from tests.conftest import Caller

OWNERS = {
    "email": "owners-mail@example.org",
    "phone": "01632 960 777",
    "address": "7 Owners Row",
    "private_notes": "OWNERS-NOTE",
    "hourly_rate": "4713.00",
    "labour_value": "9426.00",  # two hours of it
    "estimate_value": "47130.00",  # ten hours of it
    "tax": "GB-OWNERS-TAX",
}


@pytest.fixture
def filled(owner: Caller, one_of_each: dict[str, int]) -> dict[str, int]:
    """A record of every kind, the owner's members filled."""
    told = {name: OWNERS[name] for name in ("email", "phone", "address", "private_notes")}
    rate = {name: OWNERS[name] for name in ("hourly_rate", "private_notes")}
    change(owner, f"/customers/{one_of_each['customer_id']}", told)
    change(owner, f"/commissions/{one_of_each['commission_id']}", rate | {"estimate_hours": 10})
    change(owner, f"/parts/{one_of_each['part_id']}", {"private_notes": OWNERS["private_notes"]})
    change(owner, f"/labour/{one_of_each['entry_id']}", {"minutes": 120})
    tax = {"registered": True, "number": OWNERS["tax"], "rate": "20.00"}
    change(owner, "/workshop", {"tax": tax, "address": "the workshop's own"})
    return one_of_each


def change(owner: Caller, address: str, changes: dict[str, Any]) -> None:
    answer = owner.send("PATCH", address, json=changes, headers={"If-Match": "*"})
    assert answer.status_code == 200, answer.get_data(as_text=True)


def read_everything(caller: Caller, numbers: dict[str, int]) -> dict[str, str]:
    """Whatever may be read with a token, by its address."""
    found = {}
    for method, path, _ in OPERATIONS:
        if method == "GET":
            address = path.format_map(numbers)
            answer = caller.get(address)
            if answer.status_code == 200 and answer.mimetype == "application/json":
                found[address] = answer.get_data(as_text=True)
    return found


def test_the_bench_reads_the_records_without_what_is_the_owners(
    owner: Caller, bench: Caller, filled: dict[str, int]
) -> None:
    seen = read_everything(bench, filled)
    whole = "\n".join(read_everything(owner, filled).values())

    assert len(seen) > 20
    for name, word in OWNERS.items():
        assert [address for address, text in seen.items() if word in text] == []
        assert word in whole, name
    assert "the workshop's own" in seen["/api/v1/workshop"]  # it stands on every paper


def test_what_the_bench_reads_is_as_described(bench: Caller, filled: dict[str, int]) -> None:
    read = 0
    for method, path, _ in OPERATIONS:
        answer = bench.get(path.format_map(filled)) if method == "GET" else None
        if answer is not None and answer.status_code == 200 and answer.is_json:
            assert faults(schema_of("get", path, 200) or {}, answer.json) == [], path
            read += 1

    assert read > 20


def test_what_is_left_out_is_absent_and_not_null(bench: Caller, filled: dict[str, int]) -> None:
    """Null would say that the customer has no address."""
    customer = bench.get(f"/customers/{filled['customer_id']}").json
    row = bench.get("/commissions").json["items"][0]
    commission = bench.get(f"/commissions/{filled['commission_id']}").json
    summary = bench.get(f"/commissions/{filled['commission_id']}/summary").json

    assert customer["name"] == "Maud Ellery"
    assert not customer.keys() & OWNERS.keys()
    assert not row.keys() & OWNERS.keys()
    assert not commission.keys() & OWNERS.keys()
    assert not summary.keys() & OWNERS.keys()
    assert (summary["minutes"], summary["minutes_left"]) == (120, 480)
    assert row["customer_name"] == "Maud Ellery"


def test_the_bench_may_write_a_private_note_and_not_read_it(
    owner: Caller, bench: Caller, filled: dict[str, int]
) -> None:
    body = {"commission_id": filled["commission_id"], "name": "Whistle", "private_notes": "mine"}
    made = bench.make("/parts", body)

    assert "private_notes" not in made
    assert owner.get(f"/parts/{made['id']}").json["private_notes"] == "mine"


def test_a_tag_differs_with_what_is_shown(
    owner: Caller, bench: Caller, filled: dict[str, int]
) -> None:
    address = f"/customers/{filled['customer_id']}"
    full, less = owner.get(address), bench.get(address)
    tag = {"If-None-Match": less.headers["ETag"]}

    assert full.headers["ETag"] != less.headers["ETag"]
    assert bench.get(address, headers=tag).status_code == 304
    assert owner.get(address, headers=tag).status_code == 200
    imperial = {"Prefer": "measure=imperial"}
    tags = {caller.get(address, headers=imperial).headers["ETag"] for caller in (owner, bench)}
    assert len(tags | {full.headers["ETag"], less.headers["ETag"]}) == 4


def test_an_answer_kept_for_an_owner_is_not_repeated_whole_to_the_bench(
    app: Flask, owner: Caller, filled: dict[str, int]
) -> None:
    """A key belongs to a token's name, and a name may have had a token of the owner's before."""
    whole = Caller(owner.client, owner.make("/tokens", {"name": "pat", "scope": "owner"})["token"])
    less = Caller(owner.client, owner.make("/tokens", {"name": "pat", "scope": "bench"})["token"])
    body = {"commission_id": filled["commission_id"], "name": "Bell", "private_notes": "SECRET-K"}
    key = {"Idempotency-Key": "k-1"}
    first = whole.post("/parts", body, headers=key)

    again = less.post("/parts", body, headers=key)
    assert "SECRET-K" in first.get_data(as_text=True)
    assert (again.status_code, again.headers["Idempotency-Replayed"]) == (201, "true")
    assert "SECRET-K" not in again.get_data(as_text=True)
    assert again.json == {name: each for name, each in first.json.items() if "note" not in name}
    assert again.headers["ETag"] == less.get(again.headers["Location"]).headers["ETag"]
    repeated = whole.post("/parts", body, headers=key)
    assert (repeated.data, repeated.headers["ETag"]) == (first.data, first.headers["ETag"])


def test_every_column_of_money_and_every_private_note_is_the_owners() -> None:
    """A column added to a table is not shown to the bench by oversight."""
    shown = {name for schema in subclasses(PartlyOwners) for name in schema.OWNERS}
    theirs = {
        column.name
        for table in Base.metadata.sorted_tables
        if table.name
        not in {"workshop", "audit_lines"}  # tax has its own rule, audit is the owner's
        for column in table.columns
        if isinstance(column.type, ExactDecimal)
        or column.name in {"private_notes", "address", "email", "phone"}
    }

    assert theirs == {"hourly_rate", "private_notes", "address", "email", "phone"}
    assert theirs <= shown


def subclasses(schema: type[PartlyOwners]) -> list[type[PartlyOwners]]:
    return [each for one in schema.__subclasses__() for each in (one, *subclasses(one))]


def test_the_description_says_what_is_left_out(built_app: Flask) -> None:
    api = built_app.extensions["flask-smorest"]["apis"][""]["ext_obj"]
    schemas = api.spec.to_dict()["components"]["schemas"]
    for name, members in {
        "CustomerOut": ("email", "phone", "address", "private_notes"),
        "CommissionOut": ("hourly_rate", "private_notes"),
        "CommissionRow": ("hourly_rate", "private_notes"),
        "PartOut": ("private_notes",),
        "SummaryOut": ("labour_value", "estimate_value"),
    }.items():
        for member in members:
            assert member not in schemas[name]["required"], (name, member)
            assert "not the owner" in schemas[name]["properties"][member]["description"]
