"""Stopped, killed or unheard at any moment, the script loses nothing and says what it kept."""

import random
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

import pytest

from tests.clients.conftest import Phone, Workshop, fill_spool, notes_of

NOTING = 0.6
"""Seconds that one run takes, about."""


@pytest.mark.parametrize("words", ["waiting", "-h", "log --operations"])
def test_a_pipe_that_is_closed_early_is_no_failure(
    phone: Phone, commission: dict[str, Any], words: str
) -> None:
    fill_spool(phone, commission, 30)
    process = phone.begin(*words.split())
    assert process.stdout is not None
    process.stdout.readline()
    process.stdout.close()
    assert process.stderr is not None
    assert process.stderr.read() == ""
    assert process.wait(timeout=30) == 0
    process.stderr.close()
    assert len(phone.waiting()) == 30


@pytest.mark.parametrize("output", ["| true", ">&-", "> /dev/full"])
def test_what_nobody_reads_is_sent_all_the_same(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], output: str
) -> None:
    notes = fill_spool(phone, commission, 5)
    phone.before = f'"$@" {output}; exit'
    ran = phone.run("log", commission["reference"], "1h", "turning", "the last")
    assert ran.lines == []
    assert notes_of(workshop, commission) == [*notes, "the last"]


def interrupt(phone: Phone, after: float, *arguments: str) -> tuple[int, str, str]:
    """Run the script, and press Ctrl-C after so many seconds; its code, output and errors."""
    with phone.begin(*arguments) as process:
        time.sleep(after)
        process.send_signal(signal.SIGINT)
        out, errors = process.communicate(timeout=60)
    return process.returncode, " ".join(out.split()), errors


def test_ctrl_c_in_any_phase_says_what_became_of_the_entry(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    chance, kept, lost = random.Random(26), [], []
    for number in range(25):
        word = f"press {number}"
        code, said, errors = interrupt(
            phone, chance.uniform(0.05, NOTING), "log", commission["reference"], "1min", "turning",
            word,
        )  # fmt: skip
        assert said == "" or errors == "", errors  # before main() it is Python that is stopped
        if "NOT KEPT" in said or not said:
            lost.append(word)
        elif "is kept" in said or "kept here" in said or "Sent: " in said or "was sent" in said:
            kept.append(word)
        assert code in ((130, 4, 1, -signal.SIGINT) if "Stopped" in said or not said else (0,))
    assert len(kept) + len(lost) == 25
    assert kept
    phone.run("send")
    assert sorted(notes_of(workshop, commission)) == sorted(kept)


def test_ctrl_c_while_sending_leaves_the_rest_in_order(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = fill_spool(phone, commission, 60)
    chance = random.Random(8)
    while phone.waiting():
        code, _, errors = interrupt(phone, chance.uniform(0.3, 1.2), "send")
        assert code in (0, 130, 1, -signal.SIGINT)
        assert errors == "" or "import" in errors
    assert notes_of(workshop, commission) == notes


def kill_after(phone: Phone, after: float, *arguments: str) -> str:
    """Run the script and cut its power after so many seconds; what it had said."""
    with phone.begin(*arguments) as process:
        try:
            out, _ = process.communicate(timeout=after)
        except subprocess.TimeoutExpired:
            process.kill()
            out, _ = process.communicate()
    return out


def test_scripts_killed_at_random_lose_nothing_they_promised_and_double_nothing(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    chance, promised, noted = random.Random(27), [], []
    for number in range(40):
        word = f"press {number}"
        noted.append(word)
        if kill_after(phone, chance.uniform(0.1, NOTING), "log", commission["reference"], "1min",
                      "turning", word):  # fmt: skip
            promised.append(word)  # whatever it says, it says once the entry is kept
    assert phone.run("send").code == 0
    arrived = notes_of(workshop, commission)
    assert len(set(arrived)) == len(arrived)
    assert set(promised) <= set(arrived)
    assert arrived == [word for word in noted if word in arrived]
    assert phone.run("waiting").said == "Nothing waits."


def test_what_a_killed_run_left_half_done_is_swept_a_day_later(
    phone: Phone, workshop: Workshop, tmp_path: Path
) -> None:
    phone.run("send")
    key = "0b8f3c1e-77aa-4c0e-9d35-0c1d2e3f4a5b"
    left = [
        phone.spool / f".00000001-{key}.json.77.draft",
        phone.spool / "photos" / f"{key}.0a1b2c3d",
        phone.spool / "photos" / f".{key}.0a1b2c3d.77.draft",
    ]
    for path in left:
        path.touch()
    phone.run("send")
    assert all(path.exists() for path in left)  # a run may be at work on them
    for path in left:
        subprocess.run(["touch", "-d", "2 days ago", str(path)], check=True)
    phone.run("send")
    assert not [path for path in left if path.exists()]


def test_an_entry_is_kept_though_requests_is_missing(phone: Phone, tmp_path: Path) -> None:
    (tmp_path / "lacking").mkdir()
    (tmp_path / "lacking" / "requests.py").write_text("raise ImportError")
    ran = phone.run("log", "26-014", "1h", "turning", PYTHONPATH=str(tmp_path / "lacking"))
    assert ran.code == 3
    assert "pip install requests" in ran.said
    assert len(phone.waiting()) == 1
