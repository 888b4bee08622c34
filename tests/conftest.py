"""The databases, the application and the people that tests work with.

Every test that touches records runs on SQLite and on a real PostgreSQL, in a transaction that is
rolled back, upon a schema made by running the migrations.
"""

import datetime as dt
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import hypothesis
import pytest
import sqlalchemy as sa
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy.orm import Session

from service import create_app
from service.records.database import Database, make_engine
from service.records.history import Signature
from service.records.models import Scope, Workshop
from service.records.operations.tokens import create_token
from service.records.schema import upgrade
from service.settings import Settings
from tests.real_server import RealServer, make_database_beside, run_postgresql, serve_demo

# A busy machine is no bug, so nothing is asserted about time; CI draws the same examples each time.
hypothesis.settings.register_profile("house", deadline=None, derandomize="CI" in os.environ)
hypothesis.settings.load_profile("house")

DATABASES = ["sqlite", "postgresql"]
ONE_DATABASE = pytest.mark.parametrize("engine", DATABASES[:1], indirect=True)
"""For what is decided before any table is asked."""
NOW = dt.datetime(2026, 11, 12, 10, 0, tzinfo=dt.UTC)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what needs PostgreSQL, so that a machine without it can leave that out and say so."""
    for item in items:
        wanted = getattr(item, "fixturenames", ())
        drawn = getattr(getattr(item, "callspec", None), "params", {}).values()
        if "postgresql_address" in wanted or "postgresql" in drawn:
            item.add_marker(pytest.mark.postgresql)


@pytest.fixture(scope="session")
def postgresql_address() -> Iterator[str]:
    """A PostgreSQL server of our own, from a wheel; POSTGRESQL_FOR_TESTS names another.

    Each worker of a divided run has a server of its own, or else a database in the one named.
    """
    if address := os.environ.get("POSTGRESQL_FOR_TESTS"):
        with _database_of_worker(address) as own:
            yield own
        return
    with run_postgresql() as own:
        yield own


@contextmanager
def _database_of_worker(address: str) -> Iterator[str]:
    worker = os.environ.get("PYTEST_XDIST_WORKER")
    if worker is None:
        yield address
        return
    name = f"{sa.make_url(address).database}_{worker}"
    with make_database_beside(address, name) as own:
        yield own


@pytest.fixture(scope="session", params=DATABASES)
def real_server(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[RealServer]:
    """The command `clackbox serve` upon the demo, once for each kind of database."""
    data = tmp_path_factory.mktemp("served")
    if request.param == "sqlite":
        with serve_demo(data) as server:
            yield server
        return
    address = request.getfixturevalue("postgresql_address")
    with (
        make_database_beside(address, f"{sa.make_url(address).database}_served") as own,
        serve_demo(data, own) as server,
    ):
        yield server


@pytest.fixture(scope="session", params=DATABASES)
def engine(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[sa.Engine]:
    """A migrated database, once for each kind."""
    if request.param == "sqlite":
        address = f"sqlite:///{tmp_path_factory.mktemp('sqlite') / 'test.sqlite'}"
    else:
        address = request.getfixturevalue("postgresql_address")
    engine = make_engine(address)
    with engine.connect() as connection:
        upgrade(connection)
        with connection.begin():
            connection.execute(sa.update(Workshop.__table__).values(name="Tidewater Works"))
    yield engine
    engine.dispose()


@pytest.fixture
def database(engine: sa.Engine) -> Iterator[Database]:
    """The database inside a transaction that ends with the test and leaves nothing behind."""
    with engine.connect() as connection:
        transaction = connection.begin()
        yield Database(connection)
        transaction.rollback()


@pytest.fixture
def session(database: Database) -> Iterator[Session]:
    """A writing session whose work is rolled back with the test."""
    with database.writing() as session:
        yield session


@pytest.fixture
def signed() -> Signature:
    """A hand to sign with."""
    return Signature(person="tester", now=NOW)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings with a data folder of the test's own."""
    return Settings(data=tmp_path / "data")


@pytest.fixture
def app(settings: Settings, database: Database) -> Flask:
    """The whole application upon the test's transaction."""
    return create_app(settings, database)


@dataclass
class Caller:
    """A client that speaks with one token."""

    client: FlaskClient
    token: str | None

    def send(
        self, method: str, path: str, *, headers: dict[str, str] | None = None, **kw: Any
    ) -> Any:
        """One request to the API, its prefix added."""
        own = {"Authorization": f"Bearer {self.token}"} if self.token else {}
        address = path if path.startswith(("/api", "http", "/r/", "/health")) else f"/api/v1{path}"
        return self.client.open(address, method=method, headers={**own, **(headers or {})}, **kw)

    def get(self, path: str, **kw: Any) -> Any:
        """GET."""
        return self.send("GET", path, **kw)

    def post(self, path: str, json: Any = None, **kw: Any) -> Any:
        """POST a JSON body, or none."""
        return self.send("POST", path, **({"json": json} if json is not None else {}), **kw)

    def patch(self, path: str, json: Any, *, version: int | None, **kw: Any) -> Any:
        """PATCH with If-Match; None sends none."""
        headers = {"If-Match": f'"{version}"'} if version is not None else {}
        return self.send(
            "PATCH", path, json=json, headers={**headers, **kw.pop("headers", {})}, **kw
        )

    def make(self, path: str, json: Any, **kw: Any) -> dict[str, Any]:
        """POST and insist on 201; the new record."""
        answer = self.post(path, json, **kw)
        assert answer.status_code == 201, answer.get_data(as_text=True)
        record: dict[str, Any] = answer.json
        return record


def make_caller(app: Flask, scope: Scope) -> Caller:
    """A caller with a fresh token of a scope."""
    database: Database = app.extensions["clackbox"].database
    with database.writing() as session:
        _, secret = create_token(
            session,
            name=f"{scope} token",
            scope=scope,
            signed=Signature(person="tester", now=dt.datetime.now(dt.UTC)),
        )
    return Caller(app.test_client(), secret)


@pytest.fixture
def owner(app: Flask) -> Caller:
    """Somebody who may do everything."""
    return make_caller(app, Scope.OWNER)


@pytest.fixture
def bench(app: Flask) -> Caller:
    """The phone at the bench."""
    return make_caller(app, Scope.BENCH)


@pytest.fixture
def calculator(app: Flask) -> Caller:
    """A token for calculations only."""
    return make_caller(app, Scope.CALCULATE)


@pytest.fixture
def stranger(app: Flask) -> Caller:
    """Somebody without a token."""
    return Caller(app.test_client(), None)
