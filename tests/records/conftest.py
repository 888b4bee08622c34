"""Databases of a test's own, where several transactions are wanted at once, and first records."""

import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.database import Database, make_engine
from service.records.history import Signature
from service.records.models import Commission, Customer, Plant, PriceBasis, Stage
from service.records.operations.commissions import create_commission
from service.records.operations.customers import create_customer
from service.records.operations.plants import create_plant
from service.records.schema import upgrade
from tests.conftest import DATABASES


def make_address(kind: str, request: pytest.FixtureRequest, folder: Path) -> str:
    """The address of a fresh, empty database of a kind."""
    name = f"own_{uuid.uuid4().hex[:12]}"
    if kind == "sqlite":
        return f"sqlite:///{folder / name}.sqlite"
    server = sa.make_url(request.getfixturevalue("postgresql_address"))
    engine = sa.create_engine(server, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(sa.text(f'CREATE DATABASE "{name}"'))
    engine.dispose()
    return server.set(database=name).render_as_string(hide_password=False)


@pytest.fixture(params=DATABASES)
def empty(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database without a single table."""
    database = Database(make_engine(make_address(request.param, request, tmp_path)))
    yield database
    database.dispose()


@pytest.fixture
def own(empty: Database) -> Database:
    """A migrated database of the test's own, in which transactions really end."""
    migrate(empty)
    return empty


def migrate(database: Database) -> None:
    """Bring a database up to the schema."""
    assert isinstance(database.bind, sa.Engine)
    with database.bind.connect() as connection:
        upgrade(connection)


@pytest.fixture
def customer(session: Session, signed: Signature) -> Customer:
    """A customer."""
    return create_customer(session, name="Maud Ellery", signed=signed)


@pytest.fixture
def commission(session: Session, customer: Customer, signed: Signature) -> Commission:
    """A commission."""
    return open_commission(session, customer.id, signed)


@pytest.fixture
def plant(session: Session, commission: Commission, signed: Signature) -> Plant:
    """A plant at 50 psi."""
    return create_plant(
        session, commission.id, name="Plant", working_pressure="50 psi", signed=signed
    )


def open_commission(session: Session, customer_id: int, signed: Signature) -> Commission:
    """A commission with nothing out of the ordinary."""
    return create_commission(
        session,
        customer_id=customer_id,
        title="Harbour launch plant",
        stage=Stage.AGREED,
        price_basis=PriceBasis.ESTIMATE,
        currency="GBP",
        signed=signed,
    )


def at_once(times: int, work: Any) -> list[Any]:
    """What `work` returned or raised in so many threads started together."""

    def attempt(number: int) -> Any:
        try:
            return work(number)
        except Exception as error:
            return error

    with ThreadPoolExecutor(times) as pool:
        return list(pool.map(attempt, range(times)))
