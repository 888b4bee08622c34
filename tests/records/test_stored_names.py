"""Names and words that stand in the rows: written down, and read today by those names alone."""

import copy
import re
from math import pi, radians
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.documents.report import ReportContent
from service.plant import graph
from service.records.database import Base, Database
from service.records.history import Signature, enter
from service.records.models import Gender, Item, ItemKind, Plant, Port
from service.records.operations.checking import load_plant
from tests.conftest import Caller
from tests.records.stored_names import (
    HISTORY,
    STORED_NAMES,
    STORED_WORDS,
    find_strangers,
    gather_names,
    stored_names,
)

ATMOSPHERE = 101_325.0
PSI = 6894.757293168361  # 0.45359237 kg x 9.80665 m/s2 over 0.0254 m squared
INCH = 0.0254

BOILER = {"boiler": {"inspector_pressure": "60 psi", "evaporation": "60 g/min"}}
ENGINE = {
    "material": "gunmetal",
    "engine": {
        "bore": "1/2 in", "stroke": "3/4 in", "cylinders": 3, "acting": "single",
        "speed": "600 rpm", "cut_off": 0.6, "clearance": 0.12, "condensation": 0.9,
        "piston_rod": "1/8 in", "diagram_factor": 0.8, "exhaust_closure": 0.05,
    },
}  # fmt: skip
VALVE = {
    "safety_valve": {
        "set_pressure": "45 psi", "accumulation": 0.1, "seat": "5 mm", "lift": "0.4 mm",
        "seat_angle": "90 deg", "discharge_coefficient": 0.55,
    }
}  # fmt: skip
STOP_VALVE = {
    "material": "bronze",
    "steam_way": {"bore": "1/8 in", "length": "1 1/2 in", "loss": 13},
}
PITCHED = {
    "diameter": "6.3 mm",
    "pitch": "0.6 mm",
    "angle": "60 deg",
    "taper": "1 in 16",
    "hand": "left",
}
COUNTED = {"diameter": "1/4 in", "threads_per_inch": 40, "angle": "55 deg"}
MALE = {"thread": PITCHED, "length": "1/4 in", "bore": "1/8 in", "material": "gunmetal"}
FEMALE = {
    "thread": COUNTED, "length": "5/16 in", "boss": "1/2 in", "drilled": "7/32 in",
    "material": "copper",
}  # fmt: skip

ROWS: dict[str, dict[str, Any]] = {
    "boiler": BOILER, "engine": ENGINE, "safety_valve": VALVE, "stop_valve": STOP_VALVE,
}  # fmt: skip


def keep_rows(
    session: Session, plant: Plant, signed: Signature, rows: dict[str, Any], ports: dict[str, Any]
) -> graph.Plant:
    """Rows laid into the tables as they stand there today, and the plant that is read of them."""
    for kind, data in rows.items():
        item = Item(plant_id=plant.id, kind=ItemKind(kind), name=kind, data=data)
        if kind == "stop_valve":
            item.ports = [
                Port(name=gender, gender=Gender(gender), data=data)
                for gender, data in ports.items()
            ]
        enter(session, item, signed=signed)
    return load_plant(session, plant.id)


def test_rows_of_today_are_read_as_what_they_say(
    session: Session, plant: Plant, signed: Signature
) -> None:
    ports = {"male": MALE, "female": FEMALE}
    boiler, engine, valve, stop = keep_rows(session, plant, signed, ROWS, ports).items

    assert boiler.boiler is not None
    assert boiler.boiler.inspector_pressure == pytest.approx(ATMOSPHERE + 60 * PSI)
    assert boiler.boiler.evaporation == pytest.approx(0.001)
    assert engine.engine is not None
    read = {name: getattr(engine.engine, name) for name in ENGINE["engine"]}
    assert read == pytest.approx(
        {
            "bore": INCH / 2, "stroke": 0.75 * INCH, "cylinders": 3, "acting": "single",
            "speed": 10.0, "cut_off": 0.6, "clearance": 0.12, "condensation": 0.9,
            "piston_rod": INCH / 8, "diagram_factor": 0.8, "exhaust_closure": 0.05,
        }
    )  # fmt: skip
    assert valve.safety_valve is not None
    assert valve.safety_valve.set_pressure == pytest.approx(ATMOSPHERE + 45 * PSI)
    assert valve.safety_valve.accumulation == 0.1
    measured = valve.safety_valve.measured
    assert measured is not None
    assert (measured.seat, measured.lift) == pytest.approx((0.005, 0.0004))
    assert measured.seat_angle == pytest.approx(pi / 2)
    assert measured.discharge_coefficient == 0.55
    assert stop.steam_way is not None
    way = (stop.steam_way.bore, stop.steam_way.length, stop.steam_way.loss)
    assert way == pytest.approx((INCH / 8, 1.5 * INCH, 13))
    male, female = stop.ports
    assert (male.length, male.bore) == pytest.approx((INCH / 4, INCH / 8))
    assert (male.thread.major_diameter, male.thread.pitch) == pytest.approx((0.0063, 0.0006))
    assert male.thread.form.included_angle == pytest.approx(radians(60))
    assert male.thread.taper == pytest.approx(1 / 16)
    assert (male.material, female.material) == ("gunmetal", "copper")
    sizes = (female.length, female.boss, female.drilled)
    assert sizes == pytest.approx((5 / 16 * INCH, INCH / 2, 7 / 32 * INCH))
    assert female.thread.threads_per_inch == pytest.approx(40)


def test_what_a_row_leaves_out_is_taken_as_the_forms_say(
    session: Session, plant: Plant, signed: Signature
) -> None:
    """Free exhaust, cold feed, brass ports, a flat seat, no rod: what the API says it takes."""
    rows = {
        "engine": {"engine": {
            "bore": "1/2 in", "stroke": "1/2 in", "speed": "600 rpm", "cylinders": 1,
            "acting": "double", "cut_off": 0.75, "clearance": 0.1,
        }},
        "safety_valve": {"safety_valve": {
            "set_pressure": "45 psi", "seat": "5 mm", "lift": "0.4 mm", "discharge_coefficient": 0.5
        }},
        "stop_valve": {},
    }  # fmt: skip
    found = keep_rows(session, plant, signed, rows, {"male": {"thread": "M6 x 0.75"}})

    assert found.back_pressure == pytest.approx(ATMOSPHERE)
    assert found.feed_temperature == pytest.approx(288.15)
    engine, valve, stop = found.items
    assert engine.engine is not None
    assert (engine.engine.piston_rod, engine.engine.condensation) == (0.0, None)
    assert valve.safety_valve is not None
    assert valve.safety_valve.measured is not None
    assert valve.safety_valve.measured.seat_angle == pytest.approx(pi)
    assert valve.safety_valve.accumulation is None
    assert stop.ports[0].material == "brass"
    assert stop.steam_way is None


def test_a_valve_is_measured_by_seat_and_lift_together(
    session: Session, plant: Plant, signed: Signature
) -> None:
    for number, missing in enumerate(("seat", "lift")):
        data = {"safety_valve": VALVE["safety_valve"] | {missing: None}}
        item = Item(plant_id=plant.id, kind=ItemKind.SAFETY_VALVE, name=f"v{number}", data=data)
        enter(session, item, signed=signed)

    for item in load_plant(session, plant.id).items:
        assert item.safety_valve is not None
        assert item.safety_valve.measured is None


def test_a_ports_metal_is_its_own_or_its_items(
    session: Session, plant: Plant, signed: Signature
) -> None:
    found = keep_rows(
        session, plant, signed, {"stop_valve": STOP_VALVE},
        {"male": {"thread": "M6 x 0.75"}, "female": {"thread": "M6 x 0.75", "material": "steel"}},
    )  # fmt: skip
    assert [port.material for port in found.items[0].ports] == ["bronze", "steel"]


OTHERWISE: dict[str, Any] = {
    "steam_way.bore": "3/16 in", "steam_way.length": "2 in", "steam_way.loss": 14,
    "engine.bore": "5/8 in", "engine.stroke": "5/8 in", "engine.cylinders": 2,
    "engine.acting": "double", "engine.speed": "500 rpm", "engine.cut_off": 0.7,
    "engine.clearance": 0.1, "engine.condensation": 0.8, "engine.piston_rod": "3/32 in",
    "engine.diagram_factor": 0.9, "engine.exhaust_closure": 0.1,
    "boiler.inspector_pressure": "70 psi", "boiler.evaporation": "70 g/min",
    "safety_valve.set_pressure": "46 psi", "safety_valve.accumulation": 0.05,
    "safety_valve.seat": "4 mm", "safety_valve.lift": "0.3 mm",
    "safety_valve.seat_angle": "180 deg", "safety_valve.discharge_coefficient": 0.6,
}  # fmt: skip
"""Another value for each name of an item's sections; `material` stands for its ports."""

PORTS_OTHERWISE: dict[str, tuple[str, Any]] = {
    "length": ("male", "3/16 in"), "bore": ("male", "3/32 in"), "material": ("male", "steel"),
    "boss": ("female", "7/16 in"), "drilled": ("female", "5.6 mm"), "thread": ("male", "M6"),
    "thread.diameter": ("male", "6.4 mm"), "thread.pitch": ("male", "0.7 mm"),
    "thread.angle": ("male", "55 deg"), "thread.taper": ("male", "1 in 20"),
    "thread.threads_per_inch": ("female", 32), "thread.hand": ("male", "right"),
}  # fmt: skip


def replace(data: dict[str, Any], path: str, value: Any) -> None:
    *sections, name = path.split(".")
    for section in sections:
        data = data[section]
    assert name in data
    data[name] = value


@pytest.mark.parametrize("path", sorted(OTHERWISE))
def test_every_name_of_an_item_is_read(
    session: Session, plant: Plant, signed: Signature, path: str
) -> None:
    kind = next(kind for kind, data in ROWS.items() if path.split(".")[0] in data)
    other = copy.deepcopy(ROWS[kind])
    replace(other, path, OTHERWISE[path])
    for name, data in (("one", ROWS[kind]), ("other", other)):
        item = Item(plant_id=plant.id, kind=ItemKind(kind), name=name, data=data)
        enter(session, item, signed=signed)

    one, two = load_plant(session, plant.id).items
    section = path.split(".")[0]
    assert _without_name(getattr(one, section)) != _without_name(getattr(two, section))


def _without_name(read: Any) -> dict[str, Any]:
    return {name: getattr(read, name) for name in read.__slots__ if name != "name"}


@pytest.mark.parametrize("path", sorted(PORTS_OTHERWISE))
def test_every_name_of_a_port_is_read(
    session: Session, plant: Plant, signed: Signature, path: str
) -> None:
    gender, value = PORTS_OTHERWISE[path]
    data = MALE if gender == "male" else FEMALE
    other = copy.deepcopy(data)
    replace(other, path, value)
    item = Item(plant_id=plant.id, kind=ItemKind.UNION, name="union", data={})
    item.ports = [
        Port(name=name, gender=Gender(gender), data=each)
        for name, each in (("one", data), ("other", other))
    ]
    enter(session, item, signed=signed)

    one, two = load_plant(session, plant.id).items[0].ports
    assert _without_name(one) != _without_name(two)


def test_no_name_is_left_out_of_these_tests() -> None:
    sections = {name.split(".")[0] for name in STORED_NAMES["items.data"] if "." in name}
    assert set(OTHERWISE) | sections | {"material"} == STORED_NAMES["items.data"]
    assert set(PORTS_OTHERWISE) == STORED_NAMES["ports.data"]


# What is kept


def test_what_comes_in_is_kept_under_the_names_written_down(
    owner: Caller, database: Database, plant: Plant
) -> None:
    ends = [{"name": "in", "gender": "male", **MALE}, {"name": "out", "gender": "female", **FEMALE}]
    for kind, data in ROWS.items():
        body = {"kind": kind, "name": kind, **data}
        owner.make(f"/plants/{plant.id}/items", body | {"material": "brass", "ports": ends})
    owner.make(
        "/parts", {"commission_id": plant.commission_id, "name": "Union", "ports": ends},
        headers={"Idempotency-Key": "k"},
    )  # fmt: skip

    found = stored_names(database)
    for column in ("items.data", "ports.data", "parts.ports", "idempotency_keys.headers"):
        assert found[column] == STORED_NAMES[column], column


def test_what_may_be_sent_for_an_item_is_what_is_written_down(owner: Caller) -> None:
    """Looked up in the description, so that a name no test sends is noticed too."""
    document = owner.get("/openapi.json").json

    def members(schema: dict[str, Any]) -> dict[str, Any]:
        schema = next(iter(schema.get("anyOf", [schema])))  # null may stand for what is left out
        if "$ref" in schema:
            schema = document["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
        return dict(schema.get("properties", {}))

    body = document["paths"]["/api/v1/plants/{plant_id}/items"]["post"]["requestBody"]
    item = members(body["content"]["application/json"]["schema"])
    port = members(item.pop("ports")["items"])
    thread = next(way for way in port["thread"]["oneOf"] if way["type"] == "object")["properties"]
    data = {name: dict.fromkeys(members(schema)) for name, schema in item.items()}

    for column in ("kind", "name", "part_id"):  # columns of their own
        del data[column]
    assert set(gather_names(data)) == STORED_NAMES["items.data"]
    names = port.keys() | {f"thread.{name}" for name in thread}
    assert names == STORED_NAMES["parts.ports"]


def test_a_name_that_nobody_wrote_down_is_noticed(
    session: Session, database: Database, plant: Plant, signed: Signature
) -> None:
    keep_rows(session, plant, signed, ROWS, {"male": MALE, "female": FEMALE})
    assert find_strangers(database) == {}

    data = {"steam_way": {"bore": "1/8 in", "length": "1 in", "loss": 0, "roughness": "1 thou"}}
    enter(
        session, Item(plant_id=plant.id, kind=ItemKind.PIPE, name="pipe", data=data), signed=signed
    )

    assert find_strangers(database) == {"items.data": {"steam_way.roughness"}}


def test_every_json_column_has_its_names_written_down() -> None:
    columns = {
        f"{table.name}.{column.name}"
        for table in Base.metadata.sorted_tables
        for column in table.columns
        if isinstance(column.type, sa.JSON)
    }
    assert columns == set(STORED_NAMES) | HISTORY


# Words of states and kinds


def test_every_column_of_words_takes_the_words_written_down() -> None:
    words = {
        f"{table.name}.{column.name}": set(column.type.enums)
        for table in Base.metadata.sorted_tables
        for column in table.columns
        if isinstance(column.type, sa.Enum)
    }
    assert words == STORED_WORDS


def test_the_migrated_database_checks_for_the_same_words(session: Session) -> None:
    """The checks were written by a migration; a word that is new in the code needs one too."""
    inspector = sa.inspect(session.connection())
    for column, words in STORED_WORDS.items():
        table, name = column.split(".")
        checks = [
            set(re.findall(r"'([a-z_]+)'", check["sqltext"]))
            for check in inspector.get_check_constraints(table)
            if re.match(rf"\W*{name}\b", check["sqltext"])
        ]
        assert words in checks, column


# Issued reports

CONTENT: dict[str, Any] = {
    "workshop": "The workshop", "address": "a", "email": "e", "phone": "p", "measure": "metric",
    "logo": {"sha256": "1", "media_type": "image/png", "width": 4, "height": 3}, "number": 2,
    "replaces": 1, "reference": "26-014", "title": "Plant",
    "customer": "Maud Ellery", "from_day": "2026-11-01", "to_day": "2026-11-14",
    "issued_on": "2026-11-15", "stage": "in hand", "promised": "2027-02-26", "headline": "h",
    "public_notes": "p", "next_steps": "n",
    "notes": [{"day": "2026-11-02", "text": "t", "pictures": [
        {"sha256": "0", "media_type": "image/jpeg", "width": 4, "height": 3, "caption": "c"}]}],
    "decisions": [{"asked_on": "2026-11-03", "question": "q", "note": "t"}],
    "answers": [{"asked_on": "2026-11-03", "question": "q", "answer": "a",
                 "answered_on": "2026-11-04"}],
    "hours": {"minutes_in_span": 60, "minutes_to_date": 120, "estimate_minutes": 3600,
              "by_operation": [{"operation": "turning", "minutes": 60}],
              "labour_to_date": "77.00", "estimate_value": "2310.00", "currency": "GBP"},
}  # fmt: skip


def test_an_issued_report_holds_the_names_written_down() -> None:
    assert set(gather_names(CONTENT)) == STORED_NAMES["reports.content"]


@pytest.mark.parametrize("path", sorted(STORED_NAMES["reports.content"]))
def test_every_name_of_an_issued_report_is_read(path: str) -> None:
    assert ReportContent.from_plain(CONTENT).number == 2
    spoiled = copy.deepcopy(CONTENT)
    *sections, name = path.split(".")
    place: Any = spoiled
    for section in sections:
        place = place[section]
        place = place[0] if isinstance(place, list) else place
    del place[name]

    with pytest.raises((KeyError, TypeError)):
        ReportContent.from_plain(spoiled)
