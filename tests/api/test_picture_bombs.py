"""Six bombs at once at the real server: what they take of the machine, and that it is given back.

Each is some kilobytes and unpacks to as much as is taken of its kind. The server runs as an owner
runs it; what it and the processes it starts hold is read from the system, again and again.
"""

import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import requests

from tests.clients.conftest import Workshop, open_commission, open_workshop
from tests.conftest import DATABASES
from tests.documents.sent_pictures import LARGEST

pytestmark = pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="asks Linux")

ALLOWED = 600  # megabytes that the server and what it started may hold together
BOMBS = ["png", "png", "progressive", "progressive-fine", "webp", "jpeg"]
PATIENCE = 240.0  # seconds in which all six are answered, on a busy machine


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """A workshop of its own upon SQLite: a picture is drawn before any table is written."""
    assert DATABASES[0] == "sqlite"
    with open_workshop(tmp_path_factory.mktemp("bombed")) as opened:
        yield opened


def held_by(process: int) -> tuple[int, int]:
    """Megabytes held by a process, and by all those that it started."""
    started = 0
    for place in Path("/proc").glob("[0-9]*/stat"):
        try:
            parent = int(place.read_text().rpartition(")")[2].split()[1])
            started += megabytes(place.parent) if parent == process else 0
        except (FileNotFoundError, ProcessLookupError):  # it ended while we looked
            continue
    return megabytes(Path(f"/proc/{process}")), started


def megabytes(place: Path) -> int:
    """What a process has in memory; one that has ended and is not yet waited for has nothing."""
    _, found, rest = (place / "status").read_text().partition("VmRSS:")
    return int(rest.split()[0]) // 1000 if found else 0


def watch(process: int, until: threading.Event) -> tuple[int, int]:
    """The most that the server held by itself, and with those that it started."""
    alone = together = 0
    while not until.wait(0.03):
        own, started = held_by(process)
        alone, together = max(alone, own), max(together, own + started)
    return alone, together


def send(served: Workshop, commission: int, data: bytes) -> int:
    """Send a picture as a phone does: again after a while, when it is told so."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        answer = requests.post(
            f"{served.address}/api/v1/pictures?commission_id={commission}",
            data=data,
            headers={
                "Authorization": f"Bearer {served.tokens['bench']}", "Content-Type": "image/png",
            },
            timeout=PATIENCE,
        )  # fmt: skip
        if answer.status_code != 503:
            return answer.status_code
        time.sleep(float(answer.headers["Retry-After"]) / 5)
    return 503


def test_six_bombs_at_once_are_held_below_the_limit_and_given_back(
    served: Workshop, record_property: Callable[[str, object], None]
) -> None:
    assert served.process is not None
    commission = open_commission(served)["id"]
    small = LARGEST["small"]()
    assert send(served, commission, small) == 201  # everything is loaded that will be
    before, _ = held_by(served.process.pid)
    bombs = [LARGEST[kind]() for kind in BOMBS]
    assert max(map(len, bombs)) < 4_000_000

    ended = threading.Event()
    with ThreadPoolExecutor(len(bombs) + 1) as pool:
        watched = pool.submit(watch, served.process.pid, ended)
        answers = list(pool.map(lambda bomb: send(served, commission, bomb), bombs))
        ended.set()
        alone, together = watched.result()
    after, started = held_by(served.process.pid)

    for name, value in (("before", before), ("alone", alone), ("together", together),
                        ("after", after)):  # fmt: skip
        record_property(name, value)
    print(f"before {before}, alone {alone}, together {together}, after {after} MB")
    assert answers == [201] * len(bombs)
    assert together < ALLOWED
    assert together > before + 200  # they were bombs, and we saw them
    assert after < before + 40
    assert started == 0


def test_others_are_served_while_bombs_are_read(served: Workshop) -> None:
    commission = open_commission(served)["id"]
    bomb = LARGEST["png"]()
    with ThreadPoolExecutor(3) as pool:
        sent = [pool.submit(send, served, commission, bomb) for _ in range(3)]
        served_meanwhile = 0
        while not all(one.done() for one in sent):
            assert served.answers()
            served_meanwhile += 1
        assert [one.result() for one in sent] == [201] * 3
    assert served_meanwhile > 3
