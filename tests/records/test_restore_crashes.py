"""A restore that is killed at any moment leaves the old records or the new, whole."""

import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from service.records.backups.holdings import Holdings
from service.records.backups.restoring import finish_broken_restore, restore
from service.records.backups.writing import back_up
from service.records.errors import Conflict
from service.records.operations.customers import create_customer
from tests.conftest import DATABASES, NOW
from tests.records.filled import SIGNED, Rows, contents, less_restores, make_filled

KILLS = int(os.environ.get("KILLS_FOR_TESTS", "4"))

RESTORE = """
import sys, datetime as dt
from pathlib import Path
from service.records.backups.holdings import Holdings
from service.records.backups.restoring import restore
from service.records.database import Database
from service.records.history import Signature
address, data, source = sys.argv[1:]
holdings = Holdings.in_folder(Database(address), Path(data))
signed = Signature(person="tester", now=dt.datetime.now(dt.UTC))
print("begun", flush=True)
restore(holdings, Path(source), overwrite=True, issued=0, signed=signed)
print("done", flush=True)
"""


@pytest.fixture(params=DATABASES)
def filled(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Holdings]:
    """A filled workshop of the test's own."""
    holdings = make_filled(request.param, request, tmp_path)
    yield holdings
    holdings.database.dispose()


def state(holdings: Holdings) -> tuple[Rows, dict[str, bytes]]:
    """Records and tables of the kit, as they are when the data folder is opened again."""
    finish_broken_restore(holdings)
    kit = {path.name: path.read_bytes() for path in holdings.tables.iterdir()}
    return less_restores(contents(holdings.database)), kit


@contextmanager
def begun(program: str, *words: object) -> Iterator[subprocess.Popen[str]]:
    """A program in a process of its own, from its first line on; killed with the block."""
    own = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(
        [sys.executable, "-c", program, *map(str, words)],
        stdout=subprocess.PIPE,
        text=True,
        env=own,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "begun\n"
        try:
            yield process
        finally:
            process.kill()


def test_whenever_it_is_killed_all_is_old_or_all_is_new(filled: Holdings, tmp_path: Path) -> None:
    backup, later = tmp_path / "backup.zip", tmp_path / "later.zip"
    new = state(filled)
    back_up(filled, backup, now=NOW)
    with filled.database.writing() as session:
        create_customer(session, name="came later", signed=SIGNED)
    (filled.tables / "shims.csv").write_text("thickness\n0.1 mm\n", encoding="utf-8")
    old = state(filled)
    back_up(filled, later, now=NOW)

    asked = address_of(filled), filled.tables.parent, backup
    filled.database.dispose()
    began = time.monotonic()
    with begun(RESTORE, *asked) as process:
        assert process.wait(60) == 0
    whole = time.monotonic() - began
    assert state(filled) == new
    chance = random.Random(5)
    for _ in range(KILLS):
        restore(filled, later, overwrite=True, issued=0, signed=SIGNED)
        assert state(filled) == old
        filled.database.dispose()
        with begun(RESTORE, *asked):
            time.sleep(chance.uniform(0, whole))
        assert state(filled) in (old, new)
        assert not list(filled.tables.parent.glob("*.restored"))


def address_of(holdings: Holdings) -> str:
    return holdings.engine.url.render_as_string(hide_password=False)


HOLD = """
import sys, time
from service.records.database import make_engine
from service.records.in_use import serving
with serving(make_engine(sys.argv[1])):
    print("begun", flush=True)
    time.sleep(600)
"""


def test_a_server_that_was_killed_holds_nothing_up(filled: Holdings, tmp_path: Path) -> None:
    """The lock goes with the process, so that no file has to be cleared away by hand."""
    back_up(filled, tmp_path / "backup.zip", now=NOW)

    with begun(HOLD, address_of(filled)), pytest.raises(Conflict, match="stop it"):
        restore(filled, tmp_path / "backup.zip", overwrite=True, issued=0, signed=SIGNED)

    for _ in range(100):  # PostgreSQL sees after a moment that its client has gone
        try:
            restore(filled, tmp_path / "backup.zip", overwrite=True, issued=0, signed=SIGNED)
            return
        except Conflict:
            time.sleep(0.1)
    pytest.fail("the lock outlived its server")
