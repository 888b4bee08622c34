"""Records that most tests of the API begin with, each made over HTTP, and ways to look behind."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from flask import Flask
from PIL import Image
from sqlalchemy.orm import Session

from service import Workshop, create_app
from service.api.calculations import CALCULATIONS
from service.records.blobs import BlobStore
from service.records.database import Base, Database
from service.records.standing import Standing
from service.settings import Settings
from tests.conftest import ONE_DATABASE, Caller

Record = dict[str, Any]

EXAMPLES: dict[str, dict[str, Any]] = {
    each.name: dict(each.example)
    for calculation in CALCULATIONS
    for each in (calculation, *calculation.also)
}
"""A question of every calculation, by its name."""


@pytest.hookimpl(tryfirst=True)
def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A calculation asks no table but that of the tokens: one database is enough for it."""
    asked = set(metafunc.fixturenames)
    if {"calculator", "engine"} <= asked and asked.isdisjoint({"owner", "bench"}):
        metafunc.definition.add_marker(ONE_DATABASE)


@pytest.fixture(scope="session")
def built_app() -> Flask:
    """The application, built once: what a test works on is handed to it by `app`."""
    return create_app(Settings(data=Path("nowhere")), Database("sqlite://"))


@pytest.fixture
def app(built_app: Flask, settings: Settings, database: Database) -> Flask:
    """The application upon the test's own transaction and data folder."""
    database.standing = Standing(settings.data / "backups")
    built_app.extensions["clackbox"] = Workshop(
        settings=settings, database=database, blobs=BlobStore(settings.data / "blobs")
    )
    return built_app


@pytest.fixture
def customer(owner: Caller) -> Record:
    """A customer."""
    return owner.make("/customers", {"name": "Maud Ellery", "email": "maud@example.org"})


@pytest.fixture
def commission(owner: Caller, customer: Record) -> Record:
    """A commission priced by estimate, at 38.50 an hour."""
    return owner.make(
        "/commissions",
        {
            "customer_id": customer["id"],
            "title": "Harbour launch plant",
            "price_basis": "estimate",
            "hourly_rate": "38.50",
            "estimate_hours": 40,
            "private_notes": "PRIVATE-COMMISSION",
        },
    )


@pytest.fixture
def plant(owner: Caller, commission: Record) -> Record:
    """A plant that is to work at 50 psi."""
    return owner.make(
        f"/commissions/{commission['id']}/plants",
        {"name": "Launch plant", "working_pressure": "50 psi"},
    )


@pytest.fixture
def boiler(owner: Caller, plant: Record) -> Record:
    """Its boiler, for which the inspector stated 60 psi."""
    return owner.make(
        f"/plants/{plant['id']}/items",
        {
            "kind": "boiler",
            "name": "boiler",
            "boiler": {"inspector_pressure": "60 psi", "evaporation": "57 g/min"},
            "ports": [
                {
                    "name": "steam bush",
                    "gender": "female",
                    "thread": "1/4 x 40 ME",
                    "boss": "1/2 in",
                }
            ],
        },
    )


@pytest.fixture
def valve(owner: Caller, plant: Record) -> Record:
    """A stop valve with a male inlet."""
    return owner.make(
        f"/plants/{plant['id']}/items",
        {
            "kind": "stop_valve",
            "name": "stop valve",
            "ports": [
                {"name": "inlet", "gender": "male", "thread": "1/4 x 40 ME", "bore": "1/8 in"},
                {"name": "outlet", "gender": "male", "thread": "1/4 x 40 ME", "bore": "1/8 in"},
            ],
        },
    )


@pytest.fixture
def photograph() -> bytes:
    """A small picture as a phone would send it."""
    return draw_picture((40, 30))


def draw_picture(size: tuple[int, int], colour: str = "navy") -> bytes:
    """The bytes of a PNG."""
    written = io.BytesIO()
    Image.new("RGB", size, colour).save(written, "PNG")
    return written.getvalue()


@pytest.fixture
def rows_of(database: Database) -> Callable[[str], int]:
    """How many rows a table holds."""

    def count(table: str) -> int:
        with database.reading() as session:
            return int(
                session.scalar(sa.select(sa.func.count()).select_from(Base.metadata.tables[table]))
                or 0
            )

    return count


@pytest.fixture
def everything_kept(database: Database) -> Callable[[], str]:
    """All rows of all tables as one text, to look for what must not be there."""

    def read() -> str:
        with database.reading() as session:
            return "\n".join(_rows_as_text(session))

    return read


def _rows_as_text(session: Session) -> list[str]:
    return [
        f"{table.name} {dict(row._mapping)!r}"
        for table in Base.metadata.sorted_tables
        for row in session.execute(sa.select(table))
    ]


@pytest.fixture
def one_of_each(
    owner: Caller, customer: Record, commission: Record, plant: Record, boiler: Record,
    valve: Record, photograph: bytes,
) -> dict[str, int]:  # fmt: skip
    """A record of every kind: its number by the name it has in an address."""
    ours = {"commission_id": commission["id"]}
    ends = {"male_port_id": valve["ports"][0]["id"], "female_port_id": boiler["ports"][0]["id"]}
    picture = owner.send(
        "POST", f"/pictures?commission_id={commission['id']}", data=photograph,
        content_type="image/png",
    ).json  # fmt: skip
    made = {
        "customer_id": customer,
        "commission_id": commission,
        "plant_id": plant,
        "item_id": boiler,
        "joint_id": owner.make(f"/plants/{plant['id']}/joints", ends),
        "part_id": owner.make("/parts", ours | {"name": "Whistle"}),
        "entry_id": owner.make("/labour", ours | {"operation": "filing", "minutes": 5}),
        "note_id": owner.make("/progress", ours | {"text": "t"}),
        "picture_id": picture,
        "report_id": owner.make(
            "/reports", ours | {"from_day": "2026-11-01", "to_day": "2026-11-14"}
        ),
        "token_id": owner.make("/tokens", {"name": "x", "scope": "calculate"}),
    }
    return {name: record["id"] for name, record in made.items()}
