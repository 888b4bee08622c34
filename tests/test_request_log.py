"""The log of the real server: a line for every request, and nothing in it that it must not tell."""

import json
import os
import re
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
import requests

CLACKBOX = [sys.executable, "-c", "from service.cli import main; main()"]
LINE = re.compile(
    r"(?P<time>\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z) (?P<level>[a-z]+) clackbox\.requests "
    r"id=(?P<id>\S+) token=(?P<token>'.*?'|\S+) method=(?P<method>\S+) route=(?P<route>\S+) "
    r"status=(?P<status>\d{3}) ms=(?P<ms>\d+|-)"
)
SERVERS = re.compile(r"\d{4}-\S+Z error waitress [ -~]+$")
EVIL_NAME = "phone\n2026-01-01T00:00:00.000Z info clackbox.requests id=1\x1b[31m status=200"


@dataclass
class Served:
    """A server of its own, and the file of its standard error."""

    address: str
    data: Path
    log: Path

    def lines(self) -> list[str]:
        time.sleep(0.2)  # the line is written before the answer, but the file may lag
        return self.log.read_text().splitlines()


def environment(data: Path, **more: str) -> dict[str, str]:
    kept = {key: text for key, text in os.environ.items() if not key.startswith("CLACKBOX_")}
    return {**kept, "CLACKBOX_DATA": str(data), **more}


def command(data: Path, *words: str) -> str:
    ran = subprocess.run(
        [*CLACKBOX, *words], env=environment(data), capture_output=True, text=True, check=True
    )
    return ran.stdout.strip()


@contextmanager
def serve(data: Path, **settings: str) -> Iterator[Served]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    log = data / "log"
    with (
        log.open("w") as file,
        subprocess.Popen(
            [*CLACKBOX, "serve", "--port", str(port)],
            env=environment(data, **settings), stdout=subprocess.DEVNULL, stderr=file,
        ) as process,
    ):  # fmt: skip
        try:
            served = Served(f"http://127.0.0.1:{port}", data, log)
            wait_for(f"{served.address}/health/live", process)
            yield served
        finally:
            process.terminate()


def wait_for(address: str, process: "subprocess.Popen[bytes]") -> None:
    for _ in range(600):
        assert process.poll() is None, "the server ended at once"
        try:
            requests.get(address, timeout=5)
            return
        except requests.ConnectionError:
            time.sleep(0.1)
    raise AssertionError("the server did not start")


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("logged")
    command(folder, "migrate")
    return folder


@pytest.fixture(scope="module")
def token(data: Path) -> str:
    """A token of the owner's, under a name that no door of today would let in."""
    secret = command(data, "token", "create", "--scope", "owner", "--name", "you")
    with sqlite3.connect(data / "clackbox.sqlite") as connection:
        connection.execute("UPDATE tokens SET name = ?", (EVIL_NAME,))
    connection.close()
    return secret


@pytest.fixture(scope="module")
def served(data: Path, token: str) -> Iterator[Served]:
    with serve(data) as server:
        yield server


def told(lines: list[str], name: str) -> dict[str, str]:
    """The one line of a request."""
    found = [LINE.fullmatch(line) for line in lines if f"id={name} " in line]
    assert len(found) == 1
    assert found[0] is not None
    return found[0].groupdict()


def test_every_request_has_one_line_with_its_name_route_and_status(
    served: Served, token: str
) -> None:
    headers = {"Authorization": f"Bearer {token}"}
    for number, (method, path) in enumerate(
        [("GET", "/api/v1/customers/7"), ("POST", "/api/v1/customers"), ("GET", "/nowhere/at/all"),
         ("GET", "/"), ("HEAD", "/health"), ("DELETE", "/api/v1/customers")]
    ):  # fmt: skip
        requests.request(
            method, served.address + path, timeout=9,
            headers={**headers, "X-Request-Id": f"mine-{number}"},
            json={"name": "Maud"} if method == "POST" else None,
        )  # fmt: skip
    lines = served.lines()
    found = [told(lines, f"mine-{number}") for number in range(6)]

    assert [(one["method"], one["route"], one["status"]) for one in found] == [
        ("GET", "/api/v1/customers/<number:customer_id>", "404"),
        ("POST", "/api/v1/customers", "201"),
        ("GET", "-", "404"),
        ("GET", "/", "200"),
        ("HEAD", "/health", "200"),
        ("DELETE", "-", "405"),
    ]
    assert [one["token"] == "-" for one in found] == [False, False, True, True, True, True]
    assert {one["level"] for one in found} == {"info"}


def test_a_request_without_a_name_is_told_by_the_one_it_was_given(served: Served) -> None:
    answer = requests.get(f"{served.address}/api/v1/customers", timeout=9)

    assert answer.json()["id"] == answer.headers["X-Request-Id"]
    assert told(served.lines(), answer.headers["X-Request-Id"])["status"] == "401"


def test_no_secret_no_query_no_body_and_no_address_is_told(served: Served, token: str) -> None:
    secrets = ["LINK-SECRET", "QUERY-SECRET", "BODY-SECRET", "HEADER-SECRET", "PATH-SECRET",
               "KEY-SECRET", "COOKIE-SECRET"]  # fmt: skip
    link, query, body, header, path, key, cookie = secrets
    headers = {"Authorization": f"Bearer {token}", "Idempotency-Key": key, "Cookie": cookie}
    here = served.address
    requests.get(f"{here}/r/{link}", timeout=9)
    requests.get(f"{here}/R/{link}/pictures/x", timeout=9)
    requests.post(f"{here}/r/{link}", timeout=9)
    requests.get(f"{here}/api/v1/commissions?reference={query}", headers=headers, timeout=9)
    requests.get(f"{here}/api/v1/customers/{path}", headers=headers, timeout=9)
    requests.post(f"{here}/api/v1/customers", json={"name": body}, headers=headers, timeout=9)
    requests.post(f"{here}/api/v1/customers", data=body, headers=headers, timeout=9)
    requests.get(f"{here}/api/v1/customers", headers={"Authorization": f"Bearer {header}"},
                 timeout=9)  # fmt: skip
    lines = "\n".join(served.lines())

    assert "route=/r/<secret>" in lines
    assert [secret for secret in [*secrets, token, token[4:]] if secret in lines] == []


@pytest.mark.parametrize(
    "raw",
    [
        b"GET / HTTP/1.1\r\nHost: x\r\nX-Request-Id: a\x1b[31mb\r\n\r\n",
        b"GET /%0A%0D2026 HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET /\xff\xfe HTTP/1.1\r\nHost: x\r\n\r\n",
        b"\x1b[2JFORGED / HTTP/1.1\r\nHost: x\r\n\r\n",
        b"FORGED\x1b / HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: x\r\nContent-Length: FORGED\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: x\r\nFORGED: " + b"x" * 300_000 + b"\r\n\r\n",
        b"GET http://[FORGED/ HTTP/1.1\r\nHost: x\r\n\r\n",
    ],
)
def test_nothing_that_is_sent_forges_a_line(served: Served, raw: bytes) -> None:
    before = len(served.lines())
    port = int(served.address.rpartition(":")[2])
    with socket.create_connection(("127.0.0.1", port), timeout=9) as line:
        line.sendall(raw)
        try:
            answer = line.recv(100_000)
        except ConnectionResetError:
            answer = b""
    new = served.lines()[before:]

    assert len(new) <= 1
    # What the server cannot parse it gives up upon, without an answer, in a line of its own.
    assert all(LINE.fullmatch(one) or SERVERS.match(one) for one in new), new
    assert answer == b"" or LINE.fullmatch(new[0])
    assert not any("FORGED / " in one or "\x1b" in one for one in new)
    if answer:
        assert b"X-Content-Type-Options: nosniff" in answer
        assert b"Content-Security-Policy" in answer


def test_a_name_of_a_token_cannot_forge_a_line(served: Served, token: str) -> None:
    headers = {"Authorization": f"Bearer {token}", "X-Request-Id": "evil"}
    requests.get(f"{served.address}/api/v1/customers", headers=headers, timeout=9)

    lines = served.lines()
    assert told(lines, "evil")["token"] == repr(EVIL_NAME)
    assert all(LINE.fullmatch(line) or SERVERS.match(line) for line in lines)


def test_a_failure_is_told_by_its_kind_and_its_place_without_a_value(
    data: Path, token: str, tmp_path: Path
) -> None:
    """The table is spoilt behind the server's back, so that a statement with values fails."""
    with sqlite3.connect(data / "clackbox.sqlite") as source:
        (tmp_path / "own").mkdir()
        with sqlite3.connect(tmp_path / "own" / "clackbox.sqlite") as own:
            source.backup(own)
            own.execute("ALTER TABLE customers RENAME TO clients")
    source.close()
    own.close()
    with serve(tmp_path / "own", CLACKBOX_LOG_LEVEL="error") as served:
        headers = {"Authorization": f"Bearer {token}", "X-Request-Id": "spoilt"}
        answer = requests.post(f"{served.address}/api/v1/customers", timeout=9, headers=headers,
                               json={"name": "NAME-SECRET", "address": "ROW-SECRET"})  # fmt: skip
        fine = requests.get(f"{served.address}/api/v1/labour", timeout=9, headers=headers)
        lines = served.lines()

    assert (answer.status_code, fine.status_code) == (500, 200)
    assert json.loads(answer.content)["id"] == "spoilt"
    failed = next(line for line in lines if "request spoilt failed" in line)
    assert "failed | OperationalError" in failed
    assert "SQLITE_ERROR" in failed
    assert "customers.py" in failed
    assert told(lines, "spoilt")["status"] == "500"  # the one that went well has no line here
    assert all(re.match(r"\d{4}-\S+Z error ", line) for line in lines)
    assert "SECRET" not in "\n".join(lines)
    assert "INSERT" not in "\n".join(lines)


def test_a_level_that_is_none_is_refused_in_a_sentence(data: Path) -> None:
    ran = subprocess.run(
        [*CLACKBOX, "migrate"], env=environment(data, CLACKBOX_LOG_LEVEL="loud"),
        capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert ran.returncode == 1
    assert "debug, info, warning, error" in ran.stderr
    assert "Traceback" not in ran.stderr
