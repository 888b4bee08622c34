"""How long and how many what is sent may be: the last that is taken, and the first that is not."""

import datetime as dt
from typing import Any

import pytest
import sqlalchemy as sa

from service.records.database import Database
from service.records.models import Customer
from tests.api.conftest import draw_picture
from tests.conftest import Caller

LARGEST = 2_147_483_647  # of a four-byte INTEGER

Row = tuple[str, dict[str, Any], str, Any, Any]

CUSTOMER: dict[str, Any] = {"name": "M"}
COMMISSION: dict[str, Any] = {"customer_id": "{customer_id}", "title": "T"}
OURS: dict[str, Any] = {"commission_id": "{commission_id}"}
PART = OURS | {"name": "Union"}
LABOUR = OURS | {"operation": "filing", "minutes": 5}
NOTE = OURS | {"text": "t", "for_customer": True}
REPORT = OURS | {"from_day": "2026-11-01", "to_day": "2026-11-14"}
PLANT: dict[str, Any] = {"name": "P", "working_pressure": "50 psi"}
PLANTS = "/commissions/{commission_id}/plants"
ITEMS = "/plants/{plant_id}/items"
PIPE: dict[str, Any] = {"kind": "pipe", "name": "pipe"}
TOKEN: dict[str, Any] = {"name": "n", "scope": "bench"}

TEXTS: list[tuple[str, dict[str, Any], str, int]] = [
    ("/customers", CUSTOMER, "name", 200),
    ("/customers", CUSTOMER, "phone", 60),
    ("/customers", CUSTOMER, "address", 1000),
    ("/customers", CUSTOMER, "private_notes", 10_000),
    ("/commissions", COMMISSION, "title", 200),
    ("/commissions", COMMISSION, "reference", 20),
    ("/commissions", COMMISSION, "public_notes", 10_000),
    ("/commissions", COMMISSION, "private_notes", 10_000),
    ("/parts", PART, "name", 200),
    ("/parts", PART, "condition", 10_000),
    ("/parts", PART, "place", 200),
    ("/parts", PART, "private_notes", 10_000),
    ("/parts/{part_id}/movements", {"to_state": "on_bench"}, "place", 200),
    ("/parts/{part_id}/movements", {"to_state": "on_bench"}, "note", 10_000),
    ("/labour", LABOUR, "note", 10_000),
    ("/progress", NOTE, "text", 10_000),
    ("/progress", NOTE, "decision_wanted", 2000),
    ("/reports", REPORT, "headline", 200),
    ("/reports", REPORT, "next_steps", 10_000),
    ("/tokens", TOKEN, "name", 200),
    (PLANTS, PLANT, "name", 200),
    (PLANTS, PLANT, "notes", 10_000),
    (ITEMS, PIPE, "name", 200),
    (ITEMS, PIPE, "material", 60),
]


def filled(part: Any, numbers: dict[str, int]) -> Any:
    """A body with the numbers of records put in."""
    if isinstance(part, dict):
        return {name: filled(inner, numbers) for name, inner in part.items()}
    if isinstance(part, str) and part.startswith("{"):
        return numbers[part.strip("{}")]
    return part


@pytest.mark.parametrize(("path", "body", "field", "longest"), TEXTS)
def test_a_text_is_taken_up_to_its_length(
    owner: Caller, one_of_each: dict[str, int], path: str, body: dict, field: str, longest: int
) -> None:
    address, given = path.format_map(one_of_each), filled(body, one_of_each)

    beyond = owner.post(address, given | {field: "x" * (longest + 1)})
    assert beyond.status_code == 422
    assert list(beyond.json["errors"]) == [field]
    within = owner.post(address, given | {field: "x" * longest})
    assert within.status_code == 201, within.json
    blank = owner.post(address, given | {field: " "})
    assert blank.status_code == 422


PORT: dict[str, Any] = {"name": "in", "gender": "male", "thread": "M6"}
ENGINE: dict[str, Any] = {"bore": "3/4 in", "stroke": "3/4 in", "speed": "600 rpm"}
VALVE: dict[str, Any] = {"set_pressure": "55 psi"}
WAY: dict[str, Any] = {"bore": "1/8 in", "length": "1 in"}


def ports(count: int) -> list[dict[str, Any]]:
    return [PORT | {"name": f"port {number}"} for number in range(count)]


def engine(**changes: Any) -> dict[str, Any]:
    return {"kind": "engine", "name": "engine", "engine": ENGINE | changes}


def valve(**changes: Any) -> dict[str, Any]:
    return {"kind": "safety_valve", "name": "valve", "safety_valve": VALVE | changes}


def way(**changes: Any) -> dict[str, Any]:
    return PIPE | {"steam_way": WAY | changes}


NUMBERS: list[tuple[str, dict[str, Any], dict[str, Any], str]] = [
    # Where, the last that is taken, the first that is not, and what the refusal names.
    ("/parts", PART | {"quantity": 100_000}, PART | {"quantity": 100_001}, "quantity"),
    ("/parts", PART | {"quantity": 1}, PART | {"quantity": 0}, "quantity"),
    ("/parts", PART | {"ports": ports(24)}, PART | {"ports": ports(25)}, "ports"),
    ("/parts", PART | {"ports": [PORT | {"name": "x" * 60}]},
     PART | {"ports": [PORT | {"name": "x" * 61}]}, "ports.0.name"),
    ("/parts", PART | {"ports": [PORT | {"material": "x" * 60}]},
     PART | {"ports": [PORT | {"material": "x" * 61}]}, "ports.0.material"),
    ("/labour", LABOUR | {"minutes": 1440}, LABOUR | {"minutes": 1441}, "minutes"),
    ("/labour", LABOUR | {"minutes": 1}, LABOUR | {"minutes": 0}, "minutes"),
    ("/labour", LABOUR | {"minutes": "24 h"}, LABOUR | {"minutes": "24 h 1 min"}, "minutes"),
    ("/labour", LABOUR | {"minutes": "120 s"}, LABOUR | {"minutes": "119 s"}, "minutes"),
    ("/labour", LABOUR | {"day": "1900-01-01"}, LABOUR | {"day": "1899-12-31"}, "day"),
    ("/commissions", COMMISSION | {"promised": "2999-12-31"},
     COMMISSION | {"promised": "3000-01-01"}, "promised"),
    ("/commissions", COMMISSION | {"promised": "1900-01-01"},
     COMMISSION | {"promised": "1899-12-31"}, "promised"),
    ("/commissions", COMMISSION | {"hourly_rate": "9999999999.99"},
     COMMISSION | {"hourly_rate": "10000000000"}, "hourly_rate"),
    ("/commissions", COMMISSION | {"hourly_rate": "00000000038.50"},
     COMMISSION | {"hourly_rate": "000000000038.50"}, "hourly_rate"),
    ("/commissions", COMMISSION | {"hourly_rate": "1.05"},
     COMMISSION | {"hourly_rate": "1.050"}, "hourly_rate"),
    ("/commissions", COMMISSION | {"estimate_hours": 100_000},
     COMMISSION | {"estimate_hours": 100_000.05}, "estimate_hours"),
    ("/commissions", COMMISSION | {"estimate_hours": 0},
     COMMISSION | {"estimate_hours": "0.01"}, "estimate_hours"),  # 0.6 min
    ("/commissions", COMMISSION | {"estimate_hours": "1".rjust(40)},
     COMMISSION | {"estimate_hours": "1".rjust(41)}, "estimate_hours"),
    ("/tokens", TOKEN | {"expires_at": "2999-12-31T23:59:59+00:00"},
     TOKEN | {"expires_at": "3000-01-01T00:00:00+00:00"}, "expires_at"),
    ("/reports", REPORT | {"to_day": "2026-11-01"}, REPORT | {"to_day": "2026-10-31"}, "to_day"),
    (ITEMS, PIPE | {"ports": ports(24)}, PIPE | {"ports": ports(25)}, "ports"),
    (ITEMS, engine(cylinders=24), engine(cylinders=25), "engine.cylinders"),
    (ITEMS, engine(cylinders=1), engine(cylinders=0), "engine.cylinders"),
    (ITEMS, valve(accumulation=1), valve(accumulation=1.001), "safety_valve.accumulation"),
    (ITEMS, valve(accumulation=0), valve(accumulation=-0.001), "safety_valve.accumulation"),
    (ITEMS, way(loss=100_000), way(loss=100_000.1), "steam_way.loss"),
    (ITEMS, way(loss=0), way(loss=-0.001), "steam_way.loss"),
    (PLANTS, PLANT | {"working_pressure": "50 psi".rjust(40)},
     PLANT | {"working_pressure": "50 psi".rjust(41)}, "working_pressure"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "within", "beyond", "field"), NUMBERS)
def test_a_member_is_taken_up_to_its_limit(
    owner: Caller, one_of_each: dict[str, int], path: str, within: dict, beyond: dict, field: str
) -> None:
    address = path.format_map(one_of_each)

    refused = owner.post(address, filled(beyond, one_of_each))
    assert refused.status_code == 422
    assert field in refused.json["errors"]
    taken = owner.post(address, filled(within, one_of_each))
    assert taken.status_code == 201, taken.json


def test_a_note_shows_twelve_pictures_at_the_most(owner: Caller, commission: dict) -> None:
    address = f"/pictures?commission_id={commission['id']}"
    sent = [
        owner.send("POST", address, data=draw_picture((8, 8 + n)), content_type="image/png").json
        for n in range(13)
    ]
    numbers = [picture["id"] for picture in sent]
    body = {"commission_id": commission["id"], "text": "t"}

    assert len(set(numbers)) == 13
    assert owner.post("/progress", body | {"pictures": numbers}).status_code == 422
    record = owner.make("/progress", body | {"pictures": numbers[:12]})
    assert [picture["id"] for picture in record["pictures"]] == numbers[:12]
    patch = owner.patch(f"/progress/{record['id']}", {"pictures": numbers}, version=1)
    assert list(patch.json["errors"]) == ["pictures"]


@pytest.mark.parametrize(("length", "status"), [(200, 201), (201, 422)])
def test_a_caption_has_two_hundred_characters(
    owner: Caller, commission: dict, photograph: bytes, length: int, status: int
) -> None:
    address = f"/pictures?commission_id={commission['id']}&caption={'x' * length}"
    answer = owner.send("POST", address, data=photograph, content_type="image/png")
    assert answer.status_code == status


@pytest.mark.parametrize(
    ("minutes", "hours"),
    [(1, 0.0167), (20, 0.3333), (40, 0.6667), (90, 1.5), (5_999_999, 99999.9833)],
)
def test_hours_are_shown_to_four_places(
    owner: Caller, customer: dict, minutes: int, hours: float, database: Database
) -> None:
    record = owner.make("/commissions", {"customer_id": customer["id"], "title": "T"})
    with database.writing() as session:
        session.execute(sa.text(f"UPDATE commissions SET estimate_minutes = {minutes}"))

    assert owner.get(f"/commissions/{record['id']}").json["estimate_hours"] == hours
    assert owner.get("/commissions").json["items"][0]["estimate_hours"] == hours


# Signs


TAKEN = ["\ufdcf", "\ufdf0", "\ufffd", "\U0001fffd", "\u00a0x", "~", "\u2010"]
NOT_TAKEN = ["\ufdd0", "\ufdef", "\ufffe", "\uffff", "\U0001fffe", "\U0010ffff", "\u0000", "\u001f",
             "\u007f", "\u009f", "\u2028", "\u2029"]  # fmt: skip


@pytest.mark.parametrize("sign", TAKEN)
def test_a_sign_that_unicode_keeps_is_kept(owner: Caller, sign: str) -> None:
    assert owner.make("/customers", {"name": f"a{sign}b"})["name"] == f"a{sign}b"


@pytest.mark.parametrize("sign", NOT_TAKEN)
def test_a_sign_that_nobody_has_is_refused(owner: Caller, sign: str) -> None:
    for member in ("name", "address"):
        answer = owner.post("/customers", {"name": "M"} | {member: f"a{sign}b"})
        assert (answer.status_code, list(answer.json["errors"])) == (422, [member])


def test_only_a_long_text_has_several_lines(owner: Caller) -> None:
    record = owner.make("/customers", {"name": "M", "address": " a\r\nb\n\tc "})

    assert record["address"] == "a\nb\n\tc"
    for text in ("a\nb", "a\tb", "a\r\nb"):
        assert owner.post("/customers", {"name": text}).status_code == 422
    assert owner.post("/customers", {"name": "M", "address": "a\rb"}).status_code == 422


# Pages, keys, tags, bodies


@pytest.mark.parametrize(("limit", "status"), [(0, 422), (1, 200), (100, 200), (101, 422)])
def test_a_page_holds_one_to_a_hundred(owner: Caller, limit: int, status: int) -> None:
    assert owner.get(f"/customers?limit={limit}").status_code == status


def test_a_page_holds_fifty_unless_it_is_told(
    owner: Caller, database: Database, customer: dict
) -> None:
    now = dt.datetime(2026, 11, 12, tzinfo=dt.UTC)
    row = {"version": 1, "created_at": now, "updated_at": now}
    with database.writing() as session:
        session.execute(sa.insert(Customer), [row | {"name": f"c {n}"} for n in range(100)])

    first = owner.get("/customers").json
    assert len(first["items"]) == 50
    assert first["next"].endswith(f"cursor={first['items'][-1]['id']}")
    assert len(owner.get("/customers?limit=100").json["items"]) == 100


@pytest.mark.parametrize("name", ["cursor", "commission_id"])
def test_a_filter_names_a_number_that_a_database_holds(owner: Caller, name: str) -> None:
    for number, status in ((0, 422), (1, 200), (LARGEST, 200), (LARGEST + 1, 422)):
        assert owner.get(f"/labour?{name}={number}").status_code == status


@pytest.mark.parametrize(
    ("number", "code"), [(LARGEST, "unknown-record"), (LARGEST + 1, "invalid")]
)
def test_a_member_names_a_number_that_a_database_holds(
    owner: Caller, number: int, code: str
) -> None:
    answer = owner.post("/labour", LABOUR | {"commission_id": number})
    assert (answer.status_code, answer.json["code"]) == (422, code)


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ("/commissions?reference=" + "x" * 20, 200), ("/commissions?reference=" + "x" * 21, 422),
        ("/audit?noun=" + "x" * 40, 200), ("/audit?noun=" + "x" * 41, 422),
        ("/customers?limit=" + "1".rjust(19, "0"), 200),
        ("/customers?limit=" + "1".rjust(20, "0"), 422),
    ],
)  # fmt: skip
def test_a_filter_is_taken_up_to_its_length(owner: Caller, query: str, status: int) -> None:
    assert owner.get(query).status_code == status


@pytest.mark.parametrize(
    ("key", "status"),
    [("x", 201), ("x" * 200, 201), ("x" * 201, 422), (f'"{"x" * 200}"', 201), ("~!", 201)],
)
def test_a_key_has_two_hundred_signs_at_the_most(owner: Caller, key: str, status: int) -> None:
    answer = owner.post("/customers", {"name": "M"}, headers={"Idempotency-Key": key})
    assert answer.status_code == status


@pytest.mark.parametrize(
    ("tag", "status"),
    [("1", 200), ("01", 412), ("000000001", 412), (f"1.{'a' * 16}", 200), (f"1.{'a' * 15}", 412),
     (f"1.{'a' * 17}", 412), (f"1.{'g' * 16}", 412), ("1.", 412), ("2", 412), ("0", 412)],
)  # fmt: skip
def test_a_tag_is_a_version_and_perhaps_a_digest(
    owner: Caller, customer: dict, tag: str, status: int
) -> None:
    answer = owner.send(
        "PATCH", f"/customers/{customer['id']}", json={"phone": "1"},
        headers={"If-Match": f'"{tag}"'},
    )  # fmt: skip
    assert answer.status_code == status
