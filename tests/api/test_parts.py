"""Supplied parts and their movements over HTTP."""

from typing import Any

import pytest

from tests.conftest import Caller


@pytest.fixture
def unions(owner: Caller, commission: dict) -> dict:
    """A line of five unions of the customer's."""
    return owner.make(
        "/parts",
        {"commission_id": commission["id"], "name": "Union", "quantity": 5, "place": "box B",
         "condition": "Good"},
    )  # fmt: skip


def move(caller: Caller, part: dict, **body: object) -> Any:
    return caller.post(f"/parts/{part['id']}/movements", body)


def test_a_part_is_received_with_its_first_movement(bench: Caller, unions: dict) -> None:
    assert (unions["state"], unions["owner"], unions["split_from_id"]) == (
        "received", "customer", None,
    )  # fmt: skip
    (movement,) = bench.get(f"/parts/{unions['id']}/movements").json["items"]
    assert movement["from_state"] is None
    assert (movement["to_state"], movement["to_place"], movement["quantity"]) == (
        "received", "box B", 5,
    )  # fmt: skip


def test_the_whole_line_moves_and_each_movement_is_kept(bench: Caller, unions: dict) -> None:
    answer = move(bench, unions, to_state="on_bench", place="vice", note="dry fit")

    assert answer.status_code == 201
    assert answer.json["part_id"] == unions["id"]
    assert answer.json["moved_by"] == "bench token"
    part = bench.get(f"/parts/{unions['id']}").json
    assert (part["state"], part["place"], part["version"]) == ("on_bench", "vice", 2)
    movements = bench.get(f"/parts/{unions['id']}/movements").json["items"]
    assert [one["to_state"] for one in movements] == ["on_bench", "received"]


def test_moving_some_splits_the_line_and_nothing_is_lost(bench: Caller, unions: dict) -> None:
    movement = move(bench, unions, to_state="fitted", quantity=2).json

    split = bench.get(f"/parts/{movement['part_id']}").json
    rest = bench.get(f"/parts/{unions['id']}").json
    assert split["split_from_id"] == unions["id"]
    assert (split["quantity"], split["state"], split["condition"]) == (2, "fitted", "Good")
    assert (rest["quantity"], rest["state"], rest["place"]) == (3, "received", "box B")


@pytest.mark.parametrize("state", ["spoiled", "lost", "used_up"])
def test_a_customers_part_does_not_go_without_a_word(
    bench: Caller, unions: dict, state: str
) -> None:
    silent = move(bench, unions, to_state=state)
    explained = move(bench, unions, to_state=state, note="rolled off the bench, not found")

    assert silent.status_code == 422
    assert list(silent.json["errors"]) == ["note"]
    assert explained.status_code == 201


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"to_state": "expected"}, "to_state"),
        ({"to_state": "eaten"}, "to_state"),
        ({}, "to_state"),
        ({"to_state": "fitted", "quantity": 6}, "quantity"),
        ({"to_state": "fitted", "quantity": 0}, "quantity"),
        ({"to_state": "fitted", "quantity": -1}, "quantity"),
        ({"to_state": "fitted", "quantity": 1.0}, "quantity"),
        ({"to_state": "fitted", "quantity": "2"}, "quantity"),
        ({"to_state": "fitted", "colour": "red"}, "colour"),
        ({"to_state": "fitted", "place": "x" * 201}, "place"),
    ],
)
def test_a_movement_that_cannot_be_made_moves_nothing(
    owner: Caller, bench: Caller, unions: dict, body: dict, field: str
) -> None:
    answer = move(bench, unions, **body)

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == [field]
    assert owner.get(f"/parts/{unions['id']}").json == unions
    assert len(bench.get(f"/parts/{unions['id']}/movements").json["items"]) == 1


def test_a_part_used_up_stays_used_up(bench: Caller, unions: dict) -> None:
    move(bench, unions, to_state="used_up", note="turned into adapters")

    assert move(bench, unions, to_state="received").status_code == 422


def test_a_line_that_the_plant_names_is_not_split(owner: Caller, plant: dict, unions: dict) -> None:
    owner.make(
        f"/plants/{plant['id']}/items", {"kind": "union", "name": "u", "part_id": unions["id"]}
    )

    assert list(move(owner, unions, to_state="fitted", quantity=2).json["errors"]) == ["quantity"]
    assert move(owner, unions, to_state="fitted").status_code == 201


def test_a_count_is_not_corrected_after_the_line_has_moved(owner: Caller, unions: dict) -> None:
    move(owner, unions, to_state="on_bench")
    answer = owner.patch(f"/parts/{unions['id']}", {"quantity": 4}, version=2)

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["quantity"]


@pytest.mark.parametrize(
    ("port", "field"),
    [
        ({"thread": "1/4 x 41 ME"}, "ports.0.thread"),
        ({"thread": "quarter forty"}, "ports.0.thread"),
        ({"thread": 40}, "ports.0.thread"),
        ({"thread": {"diameter": "6.3 mm"}}, "ports.0.thread"),
        ({"length": "5"}, "ports.0.length"),
        ({"length": 5}, "ports.0.length"),
        ({"length": "0,5 mm"}, "ports.0.length"),
        ({"bore": "-3 mm"}, "ports.0.bore"),
        ({"bore": "3 psi"}, "ports.0.bore"),
        ({"drilled": "7/32 in"}, "ports.0.drilled"),
        ({"gender": "both"}, "ports.0.gender"),
        ({"name": ""}, "ports.0.name"),
        ({"name": "x" * 61}, "ports.0.name"),
    ],
)
def test_a_port_that_cannot_be_read_is_named_by_its_place(
    owner: Caller, commission: dict, port: dict, field: str
) -> None:
    answer = owner.post(
        "/parts",
        {"commission_id": commission["id"], "name": "Whistle",
         "ports": [{"name": "foot", "gender": "male", "thread": "1/4 x 40 ME"} | port]},
    )  # fmt: skip

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == [field]


def test_ports_come_back_as_they_were_written(owner: Caller, commission: dict) -> None:
    ports = [
        {"name": "foot", "gender": "male", "thread": "M6 x 0.75", "length": "1/4 in"},
        {"name": "top", "gender": "female",
         "thread": {"diameter": "6.3 mm", "pitch": "0.6 mm", "angle": "55 deg"},
         "drilled": "No. 2"},
    ]  # fmt: skip
    part = owner.make(
        "/parts", {"commission_id": commission["id"], "name": "Whistle", "ports": ports}
    )

    assert owner.get(f"/parts/{part['id']}").json["ports"] == ports


def test_a_new_part_is_expected_or_received(owner: Caller, commission: dict) -> None:
    answer = owner.post(
        "/parts", {"commission_id": commission["id"], "name": "Whistle", "state": "fitted"}
    )

    assert list(answer.json["errors"]) == ["state"]


def test_the_list_is_filtered_by_state_and_owner(owner: Caller, unions: dict) -> None:
    bought = owner.make(
        "/parts", {"commission_id": unions["commission_id"], "name": "Gauge", "owner": "bought"}
    )
    move(owner, unions, to_state="on_bench")

    def ids(query: str) -> list[int]:
        return [one["id"] for one in owner.get(f"/parts?{query}").json["items"]]

    assert ids("state=on_bench") == [unions["id"]]
    assert ids("owner=bought") == [bought["id"]]
    assert ids(f"commission_id={unions['commission_id']}") == [bought["id"], unions["id"]]
