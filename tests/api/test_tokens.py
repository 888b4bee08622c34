"""Tokens, scopes and the audit trail over HTTP."""

import datetime as dt
from collections.abc import Callable

import pytest
import sqlalchemy as sa
from flask import Flask

from service.records.database import Database
from service.records.models import AuditLine
from tests.conftest import Caller


def test_a_token_opens_what_its_scope_says_until_it_is_revoked(owner: Caller) -> None:
    made = owner.make("/tokens", {"name": "bench phone", "scope": "bench"})
    phone = Caller(owner.client, made["token"])

    assert phone.get("/customers").status_code == 200
    assert phone.post("/customers", {"name": "M"}).status_code == 403
    answer = owner.send("DELETE", f"/tokens/{made['id']}")
    assert answer.json["revoked_at"] is not None
    assert phone.get("/customers").status_code == 401
    again = owner.send("DELETE", f"/tokens/{made['id']}")
    assert again.json == answer.json


def test_a_token_is_shown_once_and_stored_nowhere(
    owner: Caller, everything_kept: Callable[[], str]
) -> None:
    body, key = {"name": "bench phone", "scope": "bench"}, {"Idempotency-Key": "t-1"}
    first = owner.post("/tokens", body, headers=key)
    again = owner.post("/tokens", body, headers=key)

    secret = first.json["token"]
    assert secret.startswith("cbx_")
    assert again.status_code == 201
    assert again.json == first.json | {"token": None}
    assert "token" not in owner.get(f"/tokens/{first.json['id']}").json
    assert all("token" not in one for one in owner.get("/tokens").json["items"])
    kept = everything_kept()
    assert secret not in kept
    assert owner.token not in kept


def test_a_token_that_has_run_out_opens_nothing(owner: Caller, database: Database) -> None:
    soon = dt.datetime.now(dt.UTC) + dt.timedelta(hours=1)
    made = owner.make(
        "/tokens", {"name": "visitor", "scope": "calculate", "expires_at": soon.isoformat()}
    )
    visitor = Caller(owner.client, made["token"])
    thread = {"thread": "1/4 x 40 ME"}
    assert visitor.post("/calculations/thread", thread).status_code == 200

    run_out(database, made["id"])
    assert visitor.post("/calculations/thread", thread).status_code == 401


def test_the_last_live_token_of_an_owner_is_not_revoked_from_afar(
    owner: Caller, database: Database
) -> None:
    own = owner.get("/tokens").json["items"][0]["id"]
    owner.make("/tokens", {"name": "phone", "scope": "bench"})

    refused = owner.send("DELETE", f"/tokens/{own}")
    assert (refused.status_code, refused.json["code"]) == (409, "last-owner-token")
    assert owner.get("/customers").status_code == 200

    spare = owner.make("/tokens", {"name": "spare", "scope": "owner"})
    assert owner.send("DELETE", f"/tokens/{own}").status_code == 200
    assert owner.get("/customers").status_code == 401
    other = Caller(owner.client, spare["token"])
    assert other.send("DELETE", f"/tokens/{spare['id']}").status_code == 409


def test_an_owners_token_that_has_run_out_is_none_that_is_left(
    owner: Caller, database: Database
) -> None:
    own = owner.get("/tokens").json["items"][0]["id"]
    soon = dt.datetime.now(dt.UTC) + dt.timedelta(hours=1)
    spare = owner.make(
        "/tokens", {"name": "spare", "scope": "owner", "expires_at": soon.isoformat()}
    )
    run_out(database, spare["id"])

    assert owner.send("DELETE", f"/tokens/{own}").status_code == 409
    assert owner.send("DELETE", f"/tokens/{spare['id']}").status_code == 200


def test_a_token_does_not_outlive_the_one_that_makes_it(owner: Caller) -> None:
    """Whoever found a token that runs out on Friday could else make one that never does."""
    friday = dt.datetime.now(dt.UTC) + dt.timedelta(days=4)
    body = {"name": "lent", "scope": "owner", "expires_at": friday.isoformat()}
    lent = Caller(owner.client, owner.make("/tokens", body)["token"])
    asked = {"name": "made of it", "scope": "bench"}

    later = (friday + dt.timedelta(seconds=1)).isoformat()
    refused = lent.post("/tokens", {**asked, "expires_at": later})
    assert (refused.status_code, list(refused.json["errors"])) == (422, ["expires_at"])
    assert lent.make("/tokens", asked)["expires_at"] == friday.isoformat()
    sooner = (friday - dt.timedelta(days=1)).isoformat()
    assert lent.make("/tokens", {**asked, "expires_at": sooner})["expires_at"] == sooner
    assert owner.make("/tokens", asked)["expires_at"] is None


def run_out(database: Database, token_id: int) -> None:
    with database.writing() as session:
        past = dt.datetime.now(dt.UTC) - dt.timedelta(hours=2)
        tokens = AuditLine.metadata.tables["tokens"]
        session.execute(sa.update(tokens).where(tokens.c.id == token_id).values(expires_at=past))


@pytest.mark.parametrize(
    "expires_at",
    ["2020-01-01T00:00:00+00:00", "2030-01-01T00:00:00", "2030-01-01",
     "9999-12-31T23:59:59-14:00", "0001-01-01T00:00:00+14:00", "tomorrow", 1, ""],
)  # fmt: skip
def test_a_moment_needs_its_offset_and_must_be_to_come(owner: Caller, expires_at: object) -> None:
    answer = owner.post("/tokens", {"name": "x", "scope": "bench", "expires_at": expires_at})

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["expires_at"]


@pytest.mark.parametrize(
    "header",
    [None, "", "Bearer", "Bearer ", "Bearer nonsense", "Basic dXNlcjpwYXNz", "bearer cbx_",
     "Bearer cbx_ÿþ", "Bearer " + "x" * 5000],
)  # fmt: skip
def test_without_a_live_token_nothing_is_told(stranger: Caller, header: str | None) -> None:
    headers = {} if header is None else {"Authorization": header}
    answer = stranger.get("/customers", headers=headers)

    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"].startswith("Bearer")
    assert answer.mimetype == "application/problem+json"


def test_the_word_bearer_may_be_written_small(owner: Caller, stranger: Caller) -> None:
    answer = stranger.get("/customers", headers={"Authorization": f"bearer {owner.token}"})

    assert answer.status_code == 200


def operations(app: Flask) -> list[tuple[str, str, str]]:
    """Every operation of the description: its method, an address of the kind, its scope."""
    spec = app.extensions["flask-smorest"]["apis"][""]["ext_obj"].spec.to_dict()
    found = []
    for path, methods in spec["paths"].items():
        address = "/".join("1" if part.startswith("{") else part for part in path.split("/"))
        for method, operation in methods.items():
            if method != "parameters":
                found.append((method.upper(), address, operation["security"][0]["token"][0]))
    return found


def test_every_operation_asks_for_the_scope_it_documents(
    built_app: Flask, owner: Caller, bench: Caller, calculator: Caller, stranger: Caller
) -> None:
    holders = {"owner": owner, "bench": bench, "calculate": calculator}
    opened_by = {
        "owner": {"owner"}, "bench": {"owner", "bench"},
        "calculate": {"owner", "bench", "calculate"},
    }  # fmt: skip
    wrong = []
    for method, address, scope in operations(built_app):
        for name, holder in holders.items():
            answer = holder.send(method, address)
            if (answer.status_code == 403) is (name in opened_by[scope]):
                wrong.append((method, address, scope, name, answer.status_code))
            if answer.status_code == 403:
                assert f'scope="{scope}"' in answer.headers["WWW-Authenticate"]
        if stranger.send(method, address).status_code != 401:
            wrong.append((method, address, scope, "nobody", 0))

    assert wrong == []
    assert len(operations(built_app)) > 40


SCOPES = {
    "owner": [
        ("POST", "/customers"), ("PATCH", "/customers/1"), ("POST", "/commissions"),
        ("PATCH", "/commissions/1"), ("POST", "/commissions/1/plants"), ("PATCH", "/plants/1"),
        ("POST", "/plants/1/items"), ("DELETE", "/items/1"), ("POST", "/plants/1/joints"),
        ("DELETE", "/joints/1"), ("PATCH", "/parts/1"), ("PATCH", "/labour/1"),
        ("PATCH", "/progress/1"), ("GET", "/reports"), ("POST", "/reports"),
        ("POST", "/reports/1/issue"), ("POST", "/reports/1/link"), ("POST", "/reports/1/revoke"),
        ("GET", "/reports/1/document.pdf"), ("GET", "/tokens"), ("POST", "/tokens"),
        ("DELETE", "/tokens/1"), ("GET", "/audit"),
    ],
    "bench": [
        ("GET", "/customers"), ("GET", "/commissions"), ("GET", "/commissions/1/summary"),
        ("GET", "/parts"), ("POST", "/parts"), ("POST", "/parts/1/movements"), ("GET", "/labour"),
        ("POST", "/labour"), ("GET", "/progress"), ("POST", "/progress"), ("POST", "/pictures"),
        ("GET", "/pictures/1/image"), ("GET", "/plants/1/check"),
    ],
    "calculate": [
        ("POST", "/calculations/thread"), ("POST", "/calculations/steam-demand"),
        ("POST", "/calculations/fitting-check"), ("POST", "/calculations/indexing"),
    ],
}  # fmt: skip


@pytest.mark.parametrize(
    ("scope", "method", "address"),
    [(scope, *operation) for scope, all_of_it in SCOPES.items() for operation in all_of_it],
)
def test_the_scopes_are_those_of_the_agreement(
    built_app: Flask, scope: str, method: str, address: str
) -> None:
    assert (method, f"/api/v1{address}", scope) in operations(built_app)


def test_every_change_leaves_a_line_with_the_hand_that_made_it(
    owner: Caller, bench: Caller, plant: dict, boiler: dict, valve: dict, commission: dict,
    photograph: bytes,
) -> None:  # fmt: skip
    part = bench.make("/parts", {"commission_id": commission["id"], "name": "Whistle"})
    bench.make(f"/parts/{part['id']}/movements", {"to_state": "on_bench"})
    bench.make("/labour", {"commission_id": commission["id"], "operation": "filing", "minutes": 5})
    bench.make("/progress", {"commission_id": commission["id"], "text": "t"})
    bench.send(
        "POST", f"/pictures?commission_id={commission['id']}", data=photograph,
        content_type="image/png",
    )  # fmt: skip
    joint = owner.make(
        f"/plants/{plant['id']}/joints",
        {"male_port_id": valve["ports"][0]["id"], "female_port_id": boiler["ports"][0]["id"]},
    )
    owner.send("DELETE", f"/joints/{joint['id']}", headers={"If-Match": '"1"'})
    owner.make(
        "/reports",
        {"commission_id": commission["id"], "from_day": "2026-11-01", "to_day": "2026-11-30"},
    )

    lines = owner.get("/audit?limit=100").json["items"]
    told = {(line["noun"], line["action"], line["person"]) for line in lines}
    assert told >= {
        ("customers", "created", "owner token"),
        ("commissions", "created", "owner token"),
        ("plants", "created", "owner token"),
        ("items", "created", "owner token"),
        ("joints", "created", "owner token"),
        ("joints", "deleted", "owner token"),
        ("parts", "created", "bench token"),
        ("parts", "moved", "bench token"),
        ("labour_entries", "created", "bench token"),
        ("progress_notes", "created", "bench token"),
        ("pictures", "created", "bench token"),
        ("reports", "created", "owner token"),
        ("tokens", "created", "tester"),
    }
    assert all(line["at"].endswith("+00:00") for line in lines)


def test_a_refused_change_leaves_no_line(owner: Caller, customer: dict) -> None:
    before = owner.get("/audit").json
    owner.patch(f"/customers/{customer['id']}", {"name": ""}, version=1)
    owner.patch(f"/customers/{customer['id']}", {"name": "Other"}, version=5)
    owner.post("/customers", {"name": "M", "colour": "red"})

    assert owner.get("/audit").json == before
