"""Plants, items, joints and their check over HTTP."""

from collections.abc import Callable

import pytest

from tests.conftest import Caller

ENGINE = {"bore": "3/4 in", "stroke": "3/4 in", "speed": "600 rpm", "cylinders": 2}


def engine_item(**changes: object) -> dict:
    return {"kind": "engine", "name": "port engine", "engine": ENGINE | changes}


def male(**changes: object) -> dict:
    return {"name": "inlet", "gender": "male", "thread": "1/4 x 40 ME"} | changes


def female(**changes: object) -> dict:
    return {"name": "outlet", "gender": "female", "thread": "1/4 x 40 ME"} | changes


def join(caller: Caller, plant: dict, male_item: dict, female_item: dict, port: int = 0) -> dict:
    return caller.make(
        f"/plants/{plant['id']}/joints",
        {"male_port_id": male_item["ports"][port]["id"],
         "female_port_id": female_item["ports"][0]["id"]},
    )  # fmt: skip


def test_pressures_come_back_as_written_and_in_bar(owner: Caller, plant: dict) -> None:
    assert plant["working_pressure"]["text"] == "50 psi"
    assert plant["working_pressure"]["unit"] == "bar"
    assert plant["working_pressure"]["value"] == pytest.approx(50 * 0.0689475729, rel=1e-8)
    assert plant["back_pressure"] is None
    assert owner.get(f"/plants/{plant['id']}").json == plant


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"working_pressure": "50"}, "working_pressure"),
        ({"working_pressure": 50}, "working_pressure"),
        ({"working_pressure": "5,5 bar"}, "working_pressure"),
        ({"working_pressure": "50 mm"}, "working_pressure"),
        ({"working_pressure": None}, "working_pressure"),
        ({"working_pressure": "0" * 50 + "50 psi"}, "working_pressure"),
        ({"working_pressure": "300 bar"}, "working_pressure"),
        ({"working_pressure": "0 bar"}, "back_pressure"),
        ({"back_pressure": "60 psi"}, "back_pressure"),
        ({"feed_temperature": "300 degC"}, "feed_temperature"),
        ({"feed_temperature": "-5 degC"}, "feed_temperature"),
        ({"feed_temperature": "15 deg"}, "feed_temperature"),
        ({"name": "Launch\u0000plant"}, "name"),
    ],
)
def test_a_plant_that_could_not_be_checked_is_not_entered(
    owner: Caller, commission: dict, rows_of: Callable[[str], int], changes: dict, field: str
) -> None:
    answer = owner.post(
        f"/commissions/{commission['id']}/plants",
        {"name": "P", "working_pressure": "50 psi"} | changes,
    )

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == [field]
    assert rows_of("plants") == 0


def test_a_plant_is_not_raised_above_the_inspectors_pressure(
    owner: Caller, plant: dict, boiler: dict
) -> None:
    at_limit = owner.patch(f"/plants/{plant['id']}", {"working_pressure": "60 psi"}, version=1)
    above = owner.patch(f"/plants/{plant['id']}", {"working_pressure": "60.1 psi"}, version=2)

    assert at_limit.status_code == 200
    assert above.status_code == 422
    assert above.json["code"] == "above-inspector-pressure"
    assert "60 psi" in above.json["detail"]
    shown = owner.get(f"/plants/{plant['id']}").json
    assert (shown["working_pressure"]["text"], shown["version"]) == ("60 psi", 2)


def test_a_boiler_stated_below_the_plant_is_not_entered(
    owner: Caller, plant: dict, boiler: dict, rows_of: Callable[[str], int]
) -> None:
    answer = owner.post(
        f"/plants/{plant['id']}/items",
        {"kind": "boiler", "name": "second", "boiler": {"inspector_pressure": "3.4 bar"}},
    )

    assert answer.status_code == 422
    assert answer.json["code"] == "above-inspector-pressure"
    assert rows_of("items") == 1


def test_a_boiler_is_not_patched_below_the_plant(owner: Caller, plant: dict, boiler: dict) -> None:
    lowered = {"boiler": {"inspector_pressure": "49 psi"}}
    answer = owner.patch(f"/items/{boiler['id']}", lowered, version=1)

    assert answer.status_code == 422
    assert answer.json["code"] == "above-inspector-pressure"
    assert owner.get(f"/items/{boiler['id']}").json == boiler

    owner.patch(f"/plants/{plant['id']}", {"working_pressure": "40 psi"}, version=1)
    assert owner.patch(f"/items/{boiler['id']}", lowered, version=1).status_code == 200


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"cut_off": 1.4}, "engine.cut_off"),
        ({"cut_off": 0}, "engine.cut_off"),
        ({"cut_off": "0.75"}, "engine.cut_off"),
        ({"cut_off": True}, "engine.cut_off"),
        ({"cut_off": [0.75]}, "engine.cut_off"),
        ({"clearance": -0.1}, "engine.clearance"),
        ({"cylinders": 0}, "engine.cylinders"),
        ({"cylinders": 10**30}, "engine.cylinders"),
        ({"cylinders": 2.5}, "engine.cylinders"),
        ({"bore": "-3/4 in"}, "engine.bore"),
        ({"bore": "0 mm"}, "engine.bore"),
        ({"bore": "3/4"}, "engine.bore"),
        ({"bore": "19,05 mm"}, "engine.bore"),
        ({"speed": "600"}, "engine.speed"),
        ({"speed": "0 rpm"}, "engine.speed"),
        ({"piston_rod": "1 in"}, "engine.piston_rod"),
        ({"acting": "triple"}, "engine.acting"),
        ({"condensation": 1e308}, "engine.condensation"),
        ({"exhaust_closure": 0.9, "clearance": 0.5, "cut_off": 0.01}, "engine.exhaust_closure"),
        ({"colour": "green"}, "engine.colour"),
    ],
)
def test_an_engine_that_cannot_run_is_not_entered(
    owner: Caller, plant: dict, rows_of: Callable[[str], int], changes: dict, field: str
) -> None:
    back = {"back_pressure": "3 bar"} if "exhaust_closure" in changes else {}
    owner.patch(f"/plants/{plant['id']}", back, version=1)
    answer = owner.post(f"/plants/{plant['id']}/items", engine_item(**changes))

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == [field]
    assert rows_of("items") == 0


def test_a_plant_is_not_amended_so_that_its_engine_cannot_run(owner: Caller, plant: dict) -> None:
    owner.make(f"/plants/{plant['id']}/items", engine_item())
    answer = owner.patch(f"/plants/{plant['id']}", {"back_pressure": "50 psi"}, version=1)

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["back_pressure"]


@pytest.mark.parametrize(
    ("port", "field"),
    [
        (male(thread="1/4 x 41 ME"), "ports.0.thread"),
        (male(bore="1/2 in"), "ports.0.bore"),
        (male(length="0 mm"), "ports.0.length"),
        (male(length="3 m"), "ports.0.length"),
        (male(material="unobtainium"), "ports.0.material"),
        (male(boss="1/2 in"), "ports.0.boss"),
        (female(boss="1 mm"), "ports.0.boss"),
        (female(drilled="1/2 in"), "ports.0.drilled"),
        (female(drilled="letter ZZ"), "ports.0.drilled"),
        (female(length="9 m"), "ports.0.length"),
        (female(bore="1 mm"), "ports.0.bore"),
    ],
)
def test_a_port_that_no_fitting_has_is_not_entered(
    owner: Caller, plant: dict, port: dict, field: str
) -> None:
    answer = owner.post(
        f"/plants/{plant['id']}/items", {"kind": "fitting", "name": "f", "ports": [port]}
    )

    assert answer.status_code == 422, answer.json
    assert list(answer.json["errors"]) == [field]


def test_an_item_carries_the_data_of_its_kind_and_no_other(owner: Caller, plant: dict) -> None:
    items = f"/plants/{plant['id']}/items"
    without = owner.post(items, {"kind": "engine", "name": "e"})
    strange = owner.post(items, {"kind": "pipe", "name": "p", "engine": ENGINE})
    pipe = owner.make(items, {"kind": "pipe", "name": "p"})
    patched = owner.patch(f"/items/{pipe['id']}", {"engine": ENGINE}, version=1)

    for answer in (without, strange, patched):
        assert answer.status_code == 422
        assert list(answer.json["errors"]) == ["engine"]


def test_two_ports_of_one_item_have_two_names(owner: Caller, plant: dict) -> None:
    answer = owner.post(
        f"/plants/{plant['id']}/items", {"kind": "fitting", "name": "f", "ports": [male(), male()]}
    )

    assert list(answer.json["errors"]) == ["ports"]


def test_a_part_of_another_commission_is_not_built_in(
    owner: Caller, plant: dict, commission: dict
) -> None:
    other = owner.make("/commissions", {"customer_id": commission["customer_id"], "title": "Other"})
    strange = owner.make("/parts", {"commission_id": other["id"], "name": "Whistle"})
    answer = owner.post(
        f"/plants/{plant['id']}/items", {"kind": "whistle", "name": "w", "part_id": strange["id"]}
    )

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["part_id"]


def test_a_port_keeps_its_number_by_its_name(owner: Caller, valve: dict) -> None:
    inlet = valve["ports"][0]
    answer = owner.patch(
        f"/items/{valve['id']}",
        {"ports": [male(name="inlet", thread="1/4-40 UNS"), female(name="drain")]},
        version=1,
    )

    assert answer.status_code == 200
    assert answer.headers["ETag"] == '"2"'
    shown = {port["name"]: port for port in owner.get(f"/items/{valve['id']}").json["ports"]}
    assert list(shown) == ["inlet", "drain"]
    assert shown["inlet"]["id"] == inlet["id"]
    assert shown["inlet"]["thread"] == "1/4-40 UNS"
    assert "bore" not in shown["inlet"]
    line = owner.get(f"/audit?noun=items&record_id={valve['id']}").json["items"][0]
    assert [port["name"] for port in line["before"]["port_entries"]] == ["inlet", "outlet"]
    assert [port["name"] for port in line["after"]["port_entries"]] == ["inlet", "drain"]


def test_a_joined_port_can_be_neither_dropped_nor_turned(
    owner: Caller, plant: dict, boiler: dict, valve: dict
) -> None:
    joint = join(owner, plant, valve, boiler)
    address = f"/items/{valve['id']}"
    dropped = owner.patch(address, {"ports": [male(name="outlet")]}, version=1)
    turned = owner.patch(address, {"ports": [female(name="inlet"), male(name="outlet")]}, version=1)
    deleted = owner.send("DELETE", address, headers={"If-Match": '"1"'})

    assert [one.status_code for one in (dropped, turned, deleted)] == [409, 409, 409]
    assert owner.get(address).json == valve

    owner.send("DELETE", f"/joints/{joint['id']}", headers={"If-Match": '"1"'})
    gone = owner.send("DELETE", address, headers={"If-Match": '"1"'})
    assert (gone.status_code, gone.data) == (204, b"")
    assert owner.get(address).status_code == 404


@pytest.mark.parametrize(
    ("ends", "status", "field"),
    [
        (lambda b, v: (b["ports"][0]["id"], b["ports"][0]["id"]), 422, "male_port_id"),
        (lambda b, v: (v["ports"][0]["id"], v["ports"][1]["id"]), 422, "female_port_id"),
        (lambda b, v: (v["ports"][0]["id"], 1_999_999_999), 422, "female_port_id"),
        (lambda b, v: (0, b["ports"][0]["id"]), 422, "male_port_id"),
        (lambda b, v: (2**31, b["ports"][0]["id"]), 422, "male_port_id"),
    ],
)
def test_a_joint_needs_a_male_and_a_female_end(
    owner: Caller, plant: dict, boiler: dict, valve: dict, ends: Callable, status: int, field: str
) -> None:
    male_id, female_id = ends(boiler, valve)
    answer = owner.post(
        f"/plants/{plant['id']}/joints", {"male_port_id": male_id, "female_port_id": female_id}
    )

    assert answer.status_code == status
    assert list(answer.json["errors"]) == [field]


def test_a_port_joins_once(owner: Caller, plant: dict, boiler: dict, valve: dict) -> None:
    join(owner, plant, valve, boiler)
    answer = owner.post(
        f"/plants/{plant['id']}/joints",
        {"male_port_id": valve["ports"][1]["id"], "female_port_id": boiler["ports"][0]["id"]},
    )

    assert answer.status_code == 409
    assert answer.json["code"] == "port-joined"


def test_a_port_of_another_plant_cannot_be_joined(
    owner: Caller, commission: dict, plant: dict, boiler: dict, valve: dict
) -> None:
    other = owner.make(
        f"/commissions/{commission['id']}/plants", {"name": "Q", "working_pressure": "20 psi"}
    )
    answer = owner.post(
        f"/plants/{other['id']}/joints",
        {"male_port_id": valve["ports"][0]["id"], "female_port_id": boiler["ports"][0]["id"]},
    )

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["male_port_id"]


def test_a_joint_keeps_where_it_points(
    owner: Caller, plant: dict, boiler: dict, valve: dict
) -> None:
    joint = join(owner, plant, valve, boiler)
    address = f"/joints/{joint['id']}"
    answer = owner.patch(address, {"points_wanted": "90 deg", "points_found": "20 deg"}, version=1)
    refused = owner.patch(address, {"points_wanted": "90"}, version=2)

    assert answer.json["points_wanted"]["text"] == "90 deg"
    assert list(refused.json["errors"]) == ["points_wanted"]
    (checked,) = owner.get(f"/plants/{plant['id']}/check").json["joints"]
    assert checked["indexing"] is not None


def test_the_check_lists_the_worst_first(
    owner: Caller, plant: dict, boiler: dict, valve: dict
) -> None:
    items = f"/plants/{plant['id']}/items"
    owner.make(items, engine_item())
    block = owner.make(
        items,
        {"kind": "distribution_block", "name": "block",
         "ports": [female(name="a"), female(name="b", thread="M6 x 0.75")]},
    )  # fmt: skip
    join(owner, plant, valve, boiler)
    metric = {"ports": [block["ports"][1]]}
    join(owner, plant, valve, metric, port=1)

    check = owner.get(f"/plants/{plant['id']}/check").json
    levels = [finding["level"] for finding in check["findings"]]
    order = ["fail", "caution", "ok"]
    assert levels == sorted(levels, key=order.index)
    assert check["level"] == levels[0] == "fail"
    assert [joint["level"] for joint in check["joints"]] == ["fail", "ok"]
    assert check["joints"][0]["female"] == "M6 x 0.75"
    assert "no-safety-valve" in [finding["code"] for finding in check["findings"]]
    assert check["evaporation"]["text"] == "57 g/min"
    assert check["demand"]["engines"][0]["name"] == "port engine"
    assert all({"source", "formula"} <= working.keys() for working in check["workings"])
    assert check["cautions"]


def test_an_empty_plant_is_checked_and_says_what_is_missing(owner: Caller, plant: dict) -> None:
    check = owner.get(f"/plants/{plant['id']}/check").json

    assert check["joints"] == []
    assert check["demand"] is None
    assert {finding["code"] for finding in check["findings"]} == {"no-engines", "no-boiler"}


def test_a_plant_holds_so_many_items_and_no_more(owner: Caller, plant: dict) -> None:
    items = f"/plants/{plant['id']}/items"
    for number in range(3):
        owner.make(items, {"kind": "pipe", "name": f"pipe {number}"})

    listed = owner.get(items).json["items"]
    assert [item["name"] for item in listed] == ["pipe 2", "pipe 1", "pipe 0"]


@pytest.mark.parametrize(
    ("section", "field"),
    [
        ({"steam_way": {"bore": "0.05 mm", "length": "10 mm"}}, "steam_way.bore"),
        ({"steam_way": {"bore": "0 mm", "length": "10 mm"}}, "steam_way.bore"),
        ({"steam_way": {"bore": "3 mm", "length": "200 m"}}, "steam_way.length"),
        ({"ports": [{"name": "end", "gender": "male", "thread": "M6", "bore": "0.1 mm"}]},
         "ports.0.bore"),
    ],
)  # fmt: skip
def test_a_way_that_steam_is_not_reckoned_in_is_refused_when_it_is_entered(
    owner: Caller, plant: dict, section: dict, field: str
) -> None:
    body = {"kind": "stop_valve", "name": "odd valve", **section}

    answer = owner.post(f"/plants/{plant['id']}/items", body)

    assert answer.status_code == 422
    assert field in answer.json["errors"]
