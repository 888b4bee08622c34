"""Nothing noted is lost, doubled or put out of order, whatever happens on the way."""

import subprocess
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.clients.conftest import (
    BadLine,
    Phone,
    Workshop,
    fill_spool,
    listen,
    notes_of,
    open_commission,
)


def wait_for_sent(process: "subprocess.Popen[str]", number: int) -> None:
    """Read the script's output until it has sent so many."""
    assert process.stdout is not None
    for line in process.stdout:
        number -= line.startswith("Sent")
        if not number:
            return
    raise AssertionError("the script ended before it had sent enough")


@pytest.fixture
def line(workshop: Workshop, phone: Phone) -> Iterator[BadLine]:
    """A bad line between the phone and the workshop."""
    relay = BadLine(workshop)
    with listen(relay.answer) as address:
        phone.address = address
        yield relay


def test_without_network_entries_wait_and_are_sent_in_order_exactly_once(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    reference = commission["reference"]
    for number, operation in enumerate(("turning", "milling", "filing"), 1):
        ran = phone.run_offline("log", reference, "1h", operation)
        assert ran.code == 3
        assert "No network" in ran.said
        assert f"{number} kept here" in ran.said
    assert phone.run("waiting").said.count("Waits:") == 3
    last = phone.run("log", reference, "1h", "lapping")
    assert (last.code, last.said.count("Sent:")) == (0, 4)
    assert phone.run("send").said == "Nothing waits."
    arrived = [entry["operation"] for entry in workshop.list_all("/labour", commission["id"])]
    assert arrived == ["turning", "milling", "filing", "lapping"]


def test_an_entry_keeps_the_day_on_which_it_was_noted(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    noted = time.strftime("%Y-%m-%d")
    phone.run_offline("note", commission["reference"], "found a crack")
    (path,) = phone.waiting()
    assert f'"day": "{noted}"' in path.read_text()
    assert phone.run("send").code == 0
    (note,) = workshop.list_all("/progress", commission["id"])
    assert note["day"] == noted


def test_a_lost_answer_makes_no_second_entry(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], line: BadLine
) -> None:
    line.loses_answer = ["/labour"]
    assert phone.run("log", commission["reference"], "1h", "turning").code == 3
    assert len(workshop.list_all("/labour", commission["id"])) == 1
    assert phone.run("send").code == 0
    assert line.passed == ["/labour", "/labour"]
    assert len(workshop.list_all("/labour", commission["id"])) == 1


@pytest.mark.parametrize("losing", ["loses_question", "loses_answer"])
@pytest.mark.parametrize("path", ["/pictures", "/progress"])
def test_a_photo_note_broken_off_anywhere_arrives_once(
    phone: Phone,
    workshop: Workshop,
    commission: dict[str, Any],
    line: BadLine,
    tmp_path: Path,
    path: str,
    losing: str,
) -> None:
    Image.new("RGB", (64, 48), (10, 20, 30)).save(tmp_path / "a.jpg")
    getattr(line, losing).append(path)
    noted = phone.run("note", commission["reference"], "seat", "--photo", str(tmp_path / "a.jpg"))
    assert noted.code == 3
    assert phone.run("send").code == 0
    (note,) = workshop.list_all("/progress", commission["id"])
    assert len(note["pictures"]) == 1
    resent = (path, losing) == ("/pictures", "loses_answer")
    assert line.passed.count("/pictures") == (2 if resent else 1)


STRANGERS = {
    "a log-in page": (200, {"Content-Type": "text/html"}, b"<h1>Welcome to the cafe</h1>"),
    "another service": (200, {"Content-Type": "application/json"}, b'{"ok": true}'),
    "a redirect": (302, {"Location": "/welcome"}, b""),
    "a proxy's 404": (404, {"Content-Type": "text/html"}, b"<h1>Not Found</h1>"),
    "a failure": (500, {"Content-Type": "application/problem+json"}, b'{"detail": "Failed."}'),
    "a busy server": (429, {"Content-Type": "application/problem+json"}, b'{"detail": "Wait."}'),
}


@pytest.mark.parametrize("stranger", STRANGERS)
def test_an_answer_that_is_not_the_services_leaves_the_entry_waiting(
    phone: Phone, stranger: str
) -> None:
    status, headers, body = STRANGERS[stranger]

    def answer(handler: BaseHTTPRequestHandler) -> None:
        assert handler.command == "POST", "the post was led astray"
        handler.rfile.read(int(handler.headers.get("Content-Length", 0)))
        handler.send_response(status)
        for name, value in {**headers, "Content-Length": str(len(body))}.items():
            handler.send_header(name, value)
        handler.end_headers()
        handler.wfile.write(body)

    with listen(answer) as address:
        ran = phone.run("part", "move", "17", "fitted", BENCH_ADDRESS=address)
    assert ran.code == 3
    assert "1 kept here" in ran.said
    assert len(phone.waiting()) == 1


def test_a_damaged_entry_is_set_aside_and_does_not_stop_the_next(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = fill_spool(phone, commission, 3)
    phone.waiting()[1].write_text('{"what": ')
    ran = phone.run("send")
    assert ran.code == 1
    assert "is damaged" in ran.said
    assert notes_of(workshop, commission) == [notes[0], notes[2]]
    assert phone.run("send", "--again").said == "Nothing waits. 1 set aside: bench.py waiting"
    assert "is damaged" in phone.run("waiting").said
    assert phone.run("waiting", "--drop", "1").code == 0
    assert phone.run("waiting").said == "Nothing waits."


def test_runs_at_the_same_time_send_nothing_twice_or_out_of_order(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = fill_spool(phone, commission, 30)
    runs = [phone.begin("send") for _ in range(3)]
    for run in runs:
        with run:
            run.communicate(timeout=60)
        assert run.returncode == 0
    assert notes_of(workshop, commission) == notes


def test_a_script_killed_in_the_middle_sends_the_rest_later_and_nothing_twice(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = fill_spool(phone, commission, 40)
    with phone.begin("send") as process:
        wait_for_sent(process, 10)
        process.kill()
    assert 0 < len(phone.waiting()) < 40
    assert phone.run("send").code == 0
    assert notes_of(workshop, commission) == notes


def test_a_server_killed_in_the_middle_of_200_posts_ends_with_exactly_200_entries(
    frail_workshop: Workshop, tmp_path: Path
) -> None:
    workshop = frail_workshop
    commission = open_commission(workshop)
    phone = Phone(tmp_path, workshop.address, workshop.tokens["bench"])
    notes = fill_spool(phone, commission, 200)
    with phone.begin("send") as process:
        wait_for_sent(process, 80)
        workshop.kill()
        rest, _ = process.communicate(timeout=60)
    assert process.returncode == 3
    assert "No network" in rest
    assert 0 < len(phone.waiting()) <= 120
    workshop.start()
    assert phone.run("send").code == 0
    assert phone.waiting() == []
    assert notes_of(workshop, commission) == notes
