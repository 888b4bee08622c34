"""A backup that an earlier release made is brought back by this one, and means what it meant.

It was made of the demo by `clackbox backup` at the revision in its name, with a second plant in it
that bears every name an item can have, and its pictures left out. It is never made anew: a release
that renames what stands in the rows brings a migration, and this is where that shows.
"""

import json
import zipfile
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
import sqlalchemy as sa
from flask import Flask

from service import create_app
from service.documents.report import ReportContent
from service.plant import graph
from service.records.backups.restoring import restore
from service.records.database import Database, make_engine
from service.records.models import (
    Commission,
    IdempotencyKey,
    LabourEntry,
    Part,
    Plant,
    Report,
    Scope,
)
from service.records.operations.checking import load_plant
from service.records.schema import current_revision, newest_revision
from service.settings import Settings
from tests.conftest import DATABASES, Caller, make_caller
from tests.records.conftest import make_address
from tests.records.filled import SIGNED, keep
from tests.records.stored_names import BACKUP, find_strangers, stored_names

ATMOSPHERE = 101_325.0
PSI = 6894.757293168361
INCH = 0.0254

ROWS = {
    "audit_lines": 71, "commissions": 1, "customers": 1, "idempotency_keys": 1, "items": 18,
    "joints": 15, "labour_entries": 9, "movements": 12, "parts": 11, "pictures": 2, "plants": 2,
    "ports": 30, "progress_notes": 4, "progress_pictures": 2, "reports": 2, "tokens": 1,
}  # fmt: skip
"""The lines of each table in the file."""


@pytest.fixture(scope="module", params=DATABASES)
def restored(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Database]:
    """The backup brought back once into a database of either kind; the tests only read it."""
    folder = tmp_path_factory.mktemp("restored")
    database = Database(make_engine(make_address(request.param, request, folder)))
    found = restore(
        keep(database, folder),
        BACKUP,
        overwrite=False,
        accept_missing=True,
        issued=0,
        signed=SIGNED,
    )
    assert found.counts == ROWS
    assert len(found.missing) == 4  # two photographs and two papers were left out of the file
    yield database
    database.dispose()


@pytest.fixture(scope="module")
def app(restored: Database, tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """The whole service upon what was brought back."""
    return create_app(Settings(data=tmp_path_factory.mktemp("data")), restored)


@pytest.fixture(scope="module")
def reader(app: Flask) -> Caller:
    """Somebody who may read everything."""
    return make_caller(app, Scope.OWNER)


def lines(table: str) -> list[dict[str, Any]]:
    """The rows of a table as the file holds them."""
    with zipfile.ZipFile(BACKUP) as archive:
        return [json.loads(line) for line in archive.read(f"tables/{table}.jsonl").splitlines()]


def plant_called(database: Database, name: str) -> graph.Plant:
    with database.reading() as session:
        number = session.scalar(sa.select(Plant.id).where(Plant.name == name))
        assert number is not None
        return load_plant(session, number)


def items_of(plant: graph.Plant) -> dict[str, graph.Item]:
    return {item.name: item for item in plant.items}


def test_the_file_is_small_and_holds_no_picture() -> None:
    assert BACKUP.stat().st_size < 200_000
    with zipfile.ZipFile(BACKUP) as archive:
        assert not [name for name in archive.namelist() if name.startswith("blobs/")]
        assert json.loads(archive.read("manifest.json"))["revision"] in BACKUP.name


def test_it_comes_back_at_the_schema_of_this_release(restored: Database) -> None:
    with restored.reading() as session:
        assert current_revision(session.connection()) == newest_revision()


def test_it_holds_no_name_that_is_strange_today(restored: Database) -> None:
    assert find_strangers(restored) == {}
    assert len(stored_names(restored)["items.data"]) > 20


def test_money_days_and_words_are_what_they_were(restored: Database) -> None:
    with restored.reading() as session:
        commission = session.scalars(sa.select(Commission)).one()
        assert commission.reference == "26-014"
        assert commission.hourly_rate == Decimal("38.50")
        assert commission.estimate_minutes == 3600
        assert str(commission.promised) == "2027-02-26"
        assert (commission.stage.value, commission.price_basis.value) == ("in_hand", "estimate")
        minutes = session.scalar(sa.select(sa.func.sum(LabourEntry.minutes)))
        assert minutes == sum(line["minutes"] for line in lines("labour_entries"))
        key = session.scalars(sa.select(IdempotencyKey)).one()
        assert (key.sender, key.key, key.status) == ("bench phone", "bench-phone-1", 201)
        assert key.headers is not None
        assert key.headers["Location"] == "/api/v1/labour/9"


def test_the_demos_plant_is_what_it_was(restored: Database) -> None:
    plant = plant_called(restored, "Sandpiper plant")
    items = items_of(plant)

    assert (len(items), len(plant.joints), len(plant.engines)) == (14, 14, 2)
    assert plant.working_pressure == pytest.approx(ATMOSPHERE + 50 * PSI)
    engine = items["port engine"].engine
    assert engine is not None
    assert (engine.bore, engine.stroke) == pytest.approx((5 / 8 * INCH, 5 / 8 * INCH))
    assert (engine.cylinders, engine.acting, engine.condensation) == (2, "double", None)
    block = items["distribution block"].steam_way
    assert block is not None
    assert (block.bore, block.length, block.loss) == pytest.approx((3 / 16 * INCH, 2.5 * INCH, 1.2))
    assert items["boiler"].owner == "customer"
    turned = [joint for joint in plant.joints if joint.points_wanted is not None]
    assert [(joint.male.label, joint.female.label) for joint in turned] == [
        (f"{side} stop valve (inlet)", f"distribution block ({side} outlet)")
        for side in ("port", "starboard")
    ]


def test_every_figure_of_the_second_plant_is_what_it_was(restored: Database) -> None:
    plant = plant_called(restored, "Shore plant")
    items = items_of(plant)

    assert plant.back_pressure == pytest.approx(ATMOSPHERE + 20_000)
    assert plant.feed_temperature == pytest.approx(285.15)
    engine = items["shore engine"].engine
    assert engine is not None
    read = {name: getattr(engine, name) for name in type(engine).__slots__}
    assert read == pytest.approx(
        {
            "name": "shore engine", "bore": INCH / 2, "stroke": 0.75 * INCH, "cylinders": 3,
            "acting": "single", "speed": 700 / 60, "cut_off": 0.6, "clearance": 0.12,
            "condensation": 0.9, "piston_rod": INCH / 8, "diagram_factor": 0.8,
            "exhaust_closure": 0.05,
        }
    )  # fmt: skip
    boiler = items["shore boiler"].boiler
    assert boiler is not None
    assert boiler.inspector_pressure == pytest.approx(ATMOSPHERE + 60 * PSI)
    assert boiler.evaporation == pytest.approx(0.080 / 60)
    valve = items["shore valve"].safety_valve
    assert valve is not None
    assert (valve.set_pressure, valve.accumulation) == pytest.approx((ATMOSPHERE + 45 * PSI, 0.1))
    assert valve.measured is not None
    assert (valve.measured.seat, valve.measured.lift) == pytest.approx((0.005, 0.0004))
    assert valve.measured.discharge_coefficient == pytest.approx(0.55)
    (male,) = items["shore stop valve"].ports
    (female,) = items["shore boiler"].ports
    assert (male.thread.pitch, male.thread.taper) == pytest.approx((0.0006, 1 / 16))
    assert (male.material, female.material) == ("bronze", "bronze")
    assert female.thread.threads_per_inch == pytest.approx(40)
    assert (female.boss, female.drilled) == pytest.approx((INCH / 2, 7 / 32 * INCH))
    (joint,) = plant.joints
    assert (joint.points_wanted, joint.points_found) == pytest.approx((1.5707963268, 0.3490658504))


def test_issued_reports_say_what_they_said(restored: Database) -> None:
    with restored.reading() as session:
        first, second = session.scalars(sa.select(Report).order_by(Report.number))
        said = [ReportContent.from_plain(one.content or {}) for one in (first, second)]

    assert [content.number for content in said] == [1, 2]
    assert said[0].decisions[0].question.startswith("Shall the whistle stand upright")
    assert said[1].answers[0].answer == "Upright, beside the funnel."
    assert said[1].replaces == 1
    assert said[0].hours is not None
    assert said[0].hours.minutes_to_date == 460


def test_ports_of_parts_are_what_they_were(restored: Database) -> None:
    with restored.reading() as session:
        part = session.scalars(sa.select(Part).where(Part.name == "Drain cock")).one()
        male, female = part.ports

    assert male["thread"] == {"diameter": "6.3 mm", "pitch": "0.6 mm", "angle": "60 deg"}
    assert (female["thread"], female["drilled"]) == ("2 BA", "No. 22")


@pytest.mark.parametrize("kind", ["customers", "commissions", "parts", "labour", "progress",
                                  "reports", "audit"])  # fmt: skip
def test_every_list_can_be_read_over_http(reader: Caller, kind: str) -> None:
    answer = reader.get(f"/{kind}?limit=100")

    assert answer.status_code == 200
    for record in answer.json["items"]:
        if kind != "audit":
            assert reader.get(f"/{kind}/{record['id']}").status_code == 200


def test_every_item_can_be_read_over_http_and_each_plant_checked(reader: Caller) -> None:
    plants = reader.get("/commissions/1/plants").json["items"]
    assert {plant["name"] for plant in plants} == {"Sandpiper plant", "Shore plant"}
    for plant in plants:
        for item in reader.get(f"/plants/{plant['id']}/items").json["items"]:
            assert reader.get(f"/items/{item['id']}").status_code == 200
        check = reader.get(f"/plants/{plant['id']}/check")
        assert check.status_code == 200
        assert len(check.json["joints"]) == {"Sandpiper plant": 14, "Shore plant": 1}[plant["name"]]


def test_everything_keeps_its_number(restored: Database) -> None:
    with restored.reading() as session:
        for model, table in ((Plant, "plants"), (Part, "parts"), (Report, "reports")):
            numbers = sorted(session.scalars(sa.select(model.id)))
            assert numbers == sorted(line["id"] for line in lines(table))
