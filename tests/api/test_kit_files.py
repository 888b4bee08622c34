"""The workshop's own tables as they show over HTTP."""

from typing import Any

import pytest

from service import create_app
from service.api.calculations import CALCULATIONS
from service.records.database import Database
from service.records.kit_files import KitFiles
from service.records.models import Scope
from service.settings import Settings
from tests.conftest import Caller, make_caller

OWN = "old gas 7/16"


@pytest.fixture
def own(settings: Settings, database: Database) -> Caller:
    """The owner of a workshop that has tables of its own."""
    folder = settings.data / "tables"
    folder.mkdir(parents=True)
    (folder / "threads.csv").write_text(
        "designation,family,form,diameter,unit,pitch,threads_per_inch,source\n"
        f"{OWN},own,55,7/16,in,,24,measured on the bench\n"
    )
    (folder / "drills.csv").write_text("drill\n5.6 mm\n5.7 mm\n")
    (folder / "shims.csv").write_text("thickness\n0.3 mm\n")
    (folder / "times.csv").write_text(
        "operation,minutes\nchase male thread,41\nchase female thread,41\n"
    )
    return make_caller(create_app(settings, database), Scope.OWNER)


def test_an_own_thread_is_known_by_its_name(own: Caller) -> None:
    answer = own.post("/calculations/thread", {"thread": OWN}).json

    assert answer["major_diameter"]["value"] == pytest.approx(25.4 * 7 / 16)
    assert own.get("/threads").json["items"][-1]["designation"] == OWN


def test_an_own_thread_is_identified_from_what_was_measured(own: Caller) -> None:
    measured = {"diameter": "11.05 mm", "count": 24, "over": "1 in", "included_angle": "55 deg"}

    candidates = own.post("/calculations/thread-identify", measured).json["candidates"]

    assert candidates[0]["designation"] == OWN


def test_tapping_drills_are_chosen_from_those_on_hand(own: Caller) -> None:
    answer = own.post("/calculations/thread", {"thread": "1/4 x 40 ME"}).json

    assert {drill["drill"] for drill in answer["tapping_drills"]} <= {"5.6 mm", "5.7 mm"}


def test_shims_come_from_the_workshops_box(own: Caller) -> None:
    asked = {"thread": "1/4 x 40 ME", "found": "170 deg", "wanted": "0 deg"}

    stack = own.post("/calculations/indexing", asked).json["stack"]

    assert [shim["text"] for shim in stack] == ["0.3 mm"]


def test_the_workshops_own_times_count(own: Caller) -> None:
    joint = {"male": {"thread": "1/4-40 UNS"}, "female": {"thread": "1/4 x 40 ME"}}

    remedies = own.post("/calculations/fitting-check", joint).json["remedies"]

    recut = next(remedy for remedy in remedies if remedy["kind"] == "recut")
    assert any(step["minutes"] >= 41 for step in recut["steps"])


def test_a_plant_may_name_an_own_thread(own: Caller) -> None:
    customer = own.make("/customers", {"name": "Maud Ellery"})
    commission = own.make("/commissions", {"customer_id": customer["id"], "title": "Plant"})
    plant = own.make(
        f"/commissions/{commission['id']}/plants", {"name": "Plant", "working_pressure": "50 psi"}
    )
    item = own.make(
        f"/plants/{plant['id']}/items",
        {
            "kind": "plug",
            "name": "plug",
            "ports": [{"name": "end", "gender": "male", "thread": OWN}],
        },
    )

    assert item["ports"][0]["thread"] == OWN
    assert own.get(f"/plants/{plant['id']}/check").status_code == 200


def test_a_wrong_file_is_a_warning_of_health_and_the_service_stays_ready(
    own: Caller, settings: Settings, database: Database
) -> None:
    assert own.get("/health").json["warnings"] == []
    (settings.data / "tables" / "shims.csv").write_text("thickness\nthin\n")
    database.kit_files = KitFiles(settings.data / "tables")

    answer = own.get("/health")

    assert (answer.status_code, answer.json["ready"]) == (200, True)
    (warning,) = answer.json["warnings"]
    assert warning.startswith("shims.csv, line 2, column thickness: ")


def test_a_changed_file_is_seen_by_the_next_request(
    own: Caller, settings: Settings, database: Database
) -> None:
    folder = settings.data / "tables"
    database.kit_files = KitFiles(folder, look_every=0.0)
    asked = {"thread": "1/4 x 40 ME", "found": "170 deg", "wanted": "0 deg"}
    assert [one["text"] for one in own.post("/calculations/indexing", asked).json["stack"]] == [
        "0.3 mm"
    ]

    (folder / "shims.csv").write_text("thickness\n0.1 mm\n")

    stack = own.post("/calculations/indexing", asked).json["stack"]
    assert {one["text"] for one in stack} == {"0.1 mm"}


@pytest.fixture
def scant(settings: Settings, database: Database) -> Caller:
    """The owner of a workshop with few tools and one bar."""
    folder = settings.data / "tables"
    folder.mkdir(parents=True)
    (folder / "drills.csv").write_text("drill\n3.2 mm\n5 mm\n5.8 mm\n")
    (folder / "taps-and-dies.csv").write_text("thread,cuts\n2 BA,both\n")
    (folder / "stock.csv").write_text("bar,metal,length\n1/4 in square,brass,20 mm\n")
    return make_caller(create_app(settings, database), Scope.OWNER)


def told(findings: list[dict[str, Any]]) -> set[str]:
    return {one["code"] for one in findings if one["code"].startswith("no-")}


def test_what_is_lacking_is_said_by_every_calculation_that_names_a_tool(scant: Caller) -> None:
    thread = scant.post("/calculations/thread", {"thread": "1/4 x 40 ME"}).json
    assert told(thread["findings"]) == {"no-drill-near"}

    joint = {"male": {"thread": "1/4-40 UNS"}, "female": {"thread": "1/4 x 40 ME"}}
    remedies = scant.post("/calculations/fitting-check", joint).json["remedies"]
    lacking = [told(remedy["metal_checks"]) for remedy in remedies]
    assert {"no-tap-on-hand"} <= set().union(*lacking)
    assert {"no-die-on-hand", "no-bar-on-hand"} <= set().union(*lacking)

    by_name = {calculation.name: calculation for calculation in CALCULATIONS}
    adapter = by_name["adapter"]
    assert told(scant.post(adapter.address, dict(adapter.example)).json["findings"])
    block = by_name["distribution-block"]
    found = scant.post(block.address, dict(block.example)).json
    assert {"no-tap-on-hand", "no-bar-on-hand"} <= told(found["findings"])
