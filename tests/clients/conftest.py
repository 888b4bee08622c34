"""The real service in a process of its own, a phone with the bench script, and a bad line between.

The service is the `clackbox` command upon a data folder of the test's own; the script is run as a
person runs it. Every run is also held to the width of a phone.
"""

import itertools
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
import requests

from clients.bench import Entry, Line, Spool

CHECKOUT = Path(__file__).resolve().parents[2]
SCRIPT = CHECKOUT / "clients" / "bench.py"
CLACKBOX = [sys.executable, "-c", "from service.cli import main; main()"]
STARTING = 30.0
"""Seconds that the service may take to start on a busy machine."""
WIDTH = 40
_numbers = itertools.count(1)


@dataclass
class Workshop:
    """The service, its data folder and its tokens."""

    data: Path
    port: int
    tokens: dict[str, str] = field(default_factory=dict)
    process: "subprocess.Popen[bytes] | None" = None

    @property
    def address(self) -> str:
        """Where it is served."""
        return f"http://127.0.0.1:{self.port}"

    def command(self, *arguments: str) -> str:
        """Run one `clackbox` command to its end; what it printed."""
        ran = subprocess.run(
            [*CLACKBOX, *arguments],
            env=self.environment(),
            cwd=CHECKOUT,
            capture_output=True,
            text=True,
            check=False,
        )
        assert ran.returncode == 0, ran.stderr
        return ran.stdout.strip()

    def environment(self) -> dict[str, str]:
        """This process's environment with the workshop's own settings."""
        kept = {key: text for key, text in os.environ.items() if not key.startswith("CLACKBOX_")}
        return {**kept, "CLACKBOX_DATA": str(self.data)}

    def start(self) -> None:
        """Serve, and wait until it answers."""
        self.process = subprocess.Popen(
            [*CLACKBOX, "serve", "--port", str(self.port)],
            env=self.environment(),
            cwd=CHECKOUT,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        deadline = time.monotonic() + STARTING
        while not self.answers():
            assert self.process.poll() is None, "the service ended at once"
            assert time.monotonic() < deadline, "the service did not start"
            time.sleep(0.05)

    def answers(self) -> bool:
        """Whether the service says that it is well."""
        try:
            return requests.get(f"{self.address}/health", timeout=5).ok
        except requests.ConnectionError:
            return False

    def kill(self, how: int = signal.SIGKILL) -> None:
        """End the service's process, by default as a power cut would."""
        assert self.process is not None
        self.process.send_signal(how)
        self.process.wait(timeout=30)

    def make(self, path: str, body: dict[str, Any]) -> dict[str, Any]:
        """Enter a record as the owner."""
        answer = requests.post(
            f"{self.address}/api/v1{path}", json=body, headers=self._owner(), timeout=30
        )
        assert answer.status_code == 201, answer.text
        record: dict[str, Any] = answer.json()
        return record

    def list_all(self, path: str, commission_id: int) -> list[dict[str, Any]]:
        """Every record of a commission, oldest first."""
        address: str | None = f"/api/v1{path}?commission_id={commission_id}&limit=100"
        items: list[dict[str, Any]] = []
        while address:
            page = requests.get(self.address + address, headers=self._owner(), timeout=30).json()
            items += page["items"]
            address = page["next"]
        return items[::-1]

    def _owner(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.tokens['owner']}"}


@contextmanager
def open_workshop(data: Path) -> Iterator[Workshop]:
    """A workshop that is served until the end of the block."""
    workshop = Workshop(data, free_port())
    workshop.command("migrate")
    for scope in ("owner", "bench"):
        workshop.tokens[scope] = workshop.command(
            "token", "create", "--scope", scope, "--name", scope
        )
    workshop.start()
    try:
        yield workshop
    finally:
        workshop.kill(signal.SIGTERM)


def free_port() -> int:
    """A port of loopback at which nothing listens."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port: int = listener.getsockname()[1]
        return port


@pytest.fixture(scope="session")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """The workshop that most tests share; each has a commission of its own in it."""
    with open_workshop(tmp_path_factory.mktemp("workshop")) as opened:
        yield opened


@pytest.fixture
def frail_workshop(tmp_path: Path) -> Iterator[Workshop]:
    """A workshop of the test's own, to be killed."""
    with open_workshop(tmp_path / "workshop") as opened:
        yield opened


@pytest.fixture
def commission(workshop: Workshop) -> dict[str, Any]:
    """A commission that no other test knows."""
    return open_commission(workshop)


def open_commission(workshop: Workshop) -> dict[str, Any]:
    """A fresh commission of a fresh customer."""
    customer = workshop.make("/customers", {"name": "Osbert Tarn"})
    return workshop.make(
        "/commissions",
        {
            "customer_id": customer["id"],
            "title": "Single-cylinder plant for a river launch with a very long name indeed",
            "reference": f"27-{next(_numbers):03d}",
            "stage": "in_hand",
            "estimate_hours": 10,
        },
    )


@dataclass(frozen=True)
class Ran:
    """A run of the script: its exit code, and its output as one line of words."""

    code: int
    lines: list[str]

    @property
    def said(self) -> str:
        """The output without its line breaks."""
        return " ".join(" ".join(self.lines).split())


@dataclass
class Phone:
    """A phone with the bench script, a spool and the address of a workshop."""

    home: Path
    address: str
    token: str
    offline: str = field(default_factory=lambda: f"http://127.0.0.1:{free_port()}")
    before: str = ""
    """Shell commands that run before the script, in its process."""

    def run(self, *arguments: str, **changes: str) -> Ran:
        """Run the script to its end."""
        with self.begin(*arguments, **changes) as process:
            out, errors = process.communicate(timeout=60)
        assert "Traceback" not in errors, errors
        lines = (out + errors).splitlines()
        assert not [line for line in lines if len(line) > WIDTH], out + errors
        return Ran(process.returncode, lines)

    def run_offline(self, *arguments: str, **changes: str) -> Ran:
        """Run the script where there is no network."""
        return self.run(*arguments, **{"BENCH_ADDRESS": self.offline, **changes})

    def begin(self, *arguments: str, **changes: str) -> "subprocess.Popen[str]":
        """Start the script."""
        return subprocess.Popen(
            [
                "sh",
                "-c",
                f'{self.before}\nexec "$@"',
                "sh",
                sys.executable,
                str(SCRIPT),
                *arguments,
            ],
            env={**self.environment(), **changes},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )

    def environment(self) -> dict[str, str]:
        """The script's settings, and nothing that would lead it elsewhere."""
        return {
            "PATH": os.environ.get("PATH", ""),
            "HOME": str(self.home),
            "PYTHONUTF8": "1",
            "NO_PROXY": "*",
            "BENCH_SPOOL": str(self.spool),
            "BENCH_SETTINGS": str(self.home / "bench.ini"),
            "BENCH_ADDRESS": self.address,
            "BENCH_TOKEN": self.token,
        }

    @property
    def spool(self) -> Path:
        """The folder of what waits."""
        return self.home / "spool"

    def waiting(self) -> list[Path]:
        """The entries that wait."""
        return sorted(self.spool.glob("*.json"))


def fill_spool(phone: Phone, commission: dict[str, Any], number: int) -> list[str]:
    """Note so many entries without network, by the script's own spool; their words in order."""
    spool, notes = Spool(phone.spool), [f"entry {count}" for count in range(number)]
    for note in notes:
        body = {"operation": "drilling", "minutes": "5 min", "day": "2026-11-12", "note": note}
        line = Line(["log", commission["reference"], "5min", "drilling", note])
        entry = Entry(note, "/labour", body, commission["reference"], [], line.key, line.noted)
        assert spool.note(entry, twice=False)
    return notes


def notes_of(workshop: Workshop, commission: dict[str, Any]) -> list[str]:
    """The words of the labour entries that arrived, in the order of their arrival."""
    return [entry["note"] for entry in workshop.list_all("/labour", commission["id"])]


@pytest.fixture
def phone(tmp_path: Path, workshop: Workshop) -> Phone:
    """A phone that knows the workshop."""
    return Phone(tmp_path, workshop.address, workshop.tokens["bench"])


Answer = Callable[[BaseHTTPRequestHandler], None]


@contextmanager
def listen(answer: Answer) -> Iterator[str]:
    """A stranger's HTTP server that answers everything in one way; its address."""

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            answer(self)

        def log_message(self, *_: Any) -> None:
            pass

        do_GET = do_POST

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}"
        finally:
            server.shutdown()
            thread.join()


@dataclass
class BadLine:
    """A relay to the workshop that loses some questions or answers, and knows what it passed."""

    workshop: Workshop
    loses_question: list[str] = field(default_factory=list)
    """Paths whose next POST does not arrive."""
    loses_answer: list[str] = field(default_factory=list)
    """Paths whose next POST arrives, and the answer is lost."""
    passed: list[str] = field(default_factory=list)
    """The paths of the POSTs that arrived."""

    def answer(self, handler: BaseHTTPRequestHandler) -> None:
        """Pass one request on, or lose it."""
        path = handler.path.partition("?")[0].removeprefix("/api/v1")
        body = handler.rfile.read(int(handler.headers.get("Content-Length", 0)))
        if self._is_lost(path, self.loses_question):
            return self._hang_up(handler)
        passed = requests.request(
            handler.command,
            self.workshop.address + handler.path,
            data=body,
            headers=dict(handler.headers),
            timeout=30,
        )
        if handler.command == "POST":
            self.passed.append(path)
        if self._is_lost(path, self.loses_answer):
            return self._hang_up(handler)
        handler.send_response(passed.status_code)
        handler.send_header("Content-Type", passed.headers["Content-Type"])
        handler.send_header("Content-Length", str(len(passed.content)))
        handler.end_headers()
        handler.wfile.write(passed.content)
        return None

    def _is_lost(self, path: str, losing: list[str]) -> bool:
        if path not in losing:
            return False
        losing.remove(path)
        return True

    def _hang_up(self, handler: BaseHTTPRequestHandler) -> None:
        handler.close_connection = True
