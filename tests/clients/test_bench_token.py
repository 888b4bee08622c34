"""The token goes to the workshop and nowhere else, and two phones are never taken for one."""

import json
import shutil
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler
from pathlib import Path
from typing import Any

import pytest

from tests.clients.conftest import Phone, Workshop, fill_spool, listen, notes_of

Heard = list[tuple[str, str]]


def hear(
    heard: Heard, status: int = 200, **headers: str
) -> Callable[[BaseHTTPRequestHandler], None]:
    """Answer all alike, and remember the address and the authorization of each request."""

    def answer(handler: BaseHTTPRequestHandler) -> None:
        handler.rfile.read(int(handler.headers.get("Content-Length", 0)))
        heard.append((handler.path, handler.headers.get("Authorization", "")))
        handler.send_response(status)
        for name, value in {**headers, "Content-Length": "0"}.items():
            handler.send_header(name, value)
        handler.end_headers()

    return answer


ASKING = [
    ("log", "26-014", "1h", "turning"),
    ("status", "26-014"),
    ("thread", "2 BA"),
    ("calc", "adapter/drawing.svg", "{request}", "--save", "{target}"),
]


def fill_in(words: tuple[str, ...], tmp_path: Path) -> list[str]:
    """The words of a line with the files it names."""
    (tmp_path / "request.json").write_text("{}")
    files = {"request": tmp_path / "request.json", "target": tmp_path / "target.svg"}
    return [word.format(**files) for word in words]


@pytest.mark.parametrize("words", ASKING)
def test_a_netrc_file_does_not_replace_the_token(
    phone: Phone, tmp_path: Path, words: tuple[str, ...]
) -> None:
    heard: Heard = []
    (phone.home / ".netrc").write_text("machine 127.0.0.1 login osbert password secret\n")
    (phone.home / ".netrc").chmod(0o600)
    with listen(hear(heard)) as address:
        phone.run(*fill_in(words, tmp_path), BENCH_ADDRESS=address)
    assert {authorization for _, authorization in heard} == {f"Bearer {phone.token}"}


@pytest.mark.parametrize("status", [301, 307])
@pytest.mark.parametrize("words", ASKING)
def test_a_redirect_takes_the_token_nowhere(
    phone: Phone, tmp_path: Path, words: tuple[str, ...], status: int
) -> None:
    heard: Heard = []
    with (
        listen(hear(heard)) as elsewhere,
        listen(hear([], status, Location=elsewhere + "/api/v1/labour")) as address,
    ):
        ran = phone.run(*fill_in(words, tmp_path), BENCH_ADDRESS=address)
    assert ran.code == 3
    assert "What answers is not the service" in ran.said
    assert heard == []


def test_a_proxy_that_the_environment_names_is_used_and_one_that_is_dead_is_told(
    phone: Phone,
) -> None:
    heard: Heard = []
    workshop = "http://workshop.invalid"
    with listen(hear(heard)) as proxy:
        ways = {"BENCH_ADDRESS": workshop, "NO_PROXY": "", "HTTP_PROXY": proxy}
        assert phone.run("log", "26-014", "1h", "turning", **ways).code == 3
    assert heard[0][0].startswith(f"{workshop}/api/v1/commissions")
    dead = phone.run("send", **{**ways, "HTTP_PROXY": phone.offline})
    assert (dead.code, "The proxy" in dead.said) == (3, True)
    assert len(phone.waiting()) == 1


@pytest.fixture
def second_phone(tmp_path: Path, phone: Phone) -> Phone:
    """Another phone that has the same token."""
    (tmp_path / "second").mkdir()
    return Phone(tmp_path / "second", phone.address, phone.token)


def test_two_phones_under_one_token_do_not_stand_in_each_others_way(
    phone: Phone, second_phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    for one in (phone, second_phone):
        for _ in range(3):
            one.run_offline("log", commission["reference"], "1h", "turning", "same", "--twice")
    assert phone.run("send").code == second_phone.run("send").code == 0
    assert notes_of(workshop, commission) == ["same"] * 6


def test_a_copied_spool_is_sent_once_under_one_token(
    phone: Phone, second_phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = ["one", "two", "three"]
    for word in notes:
        phone.run_offline("log", commission["reference"], "1h", "turning", word)
    shutil.copytree(phone.spool, second_phone.spool)
    for one in (second_phone, phone):
        one.run_offline("log", commission["reference"], "1h", "turning", one.home.name)
    assert second_phone.run("send").code == phone.run("send").code == 0
    own = [second_phone.home.name, phone.home.name]
    assert notes_of(workshop, commission) == [*notes, *own]


def test_a_copied_spool_under_another_token_is_not_sent_unseen(
    phone: Phone, second_phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    phone.run_offline("log", commission["reference"], "1h", "turning", "first")
    shutil.copytree(phone.spool, second_phone.spool)
    second_phone.token = workshop.command("token", "create", "--scope", "bench", "--name", "two")
    assert phone.run("send").code == 0
    ran = second_phone.run("log", commission["reference"], "1h", "turning", "second")
    assert ran.code == 1
    assert "a copied spool" in ran.said
    assert notes_of(workshop, commission) == ["first", "second"]


def test_a_token_that_was_replaced_sends_what_waits(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = fill_spool(phone, commission, 2)
    phone.run_offline("log", commission["reference"], "1h", "turning", "last")
    phone.token = workshop.command("token", "create", "--scope", "bench", "--name", "new")
    assert phone.run("send").code == 0
    assert notes_of(workshop, commission) == [*notes, "last"]


def test_the_spool_holds_no_token_and_only_its_owner_reads_it(phone: Phone) -> None:
    phone.run_offline("log", "26-014", "1h", "turning")
    (path,) = phone.waiting()
    assert phone.token not in path.read_text()
    assert json.loads(path.read_text())["sender"] != ""
    assert path.stat().st_mode & 0o077 == phone.spool.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("body", [b'{"items": [1]}', b'{"items": 3}', b"[" * 9000, b'{"items"'])
def test_a_strange_answer_is_no_traceback_and_the_entry_waits(phone: Phone, body: bytes) -> None:
    def answer(handler: BaseHTTPRequestHandler) -> None:
        handler.send_response(200)
        handler.send_header("Content-Type", "application/json")
        handler.send_header("Content-Length", str(len(body)))
        handler.end_headers()
        handler.wfile.write(body)

    with listen(answer) as address:
        ran = phone.run("log", "26-014", "1h", "turning", BENCH_ADDRESS=address)
    assert ran.code == 3
    assert len(phone.waiting()) == 1
