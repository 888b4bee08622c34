"""A clock that is wrong confuses neither the order nor the day nor what was pressed twice.

The script runs in a Python whose clocks are moved before anything else is loaded.
"""

import json
import time
from pathlib import Path
from typing import Any

import pytest

from tests.clients.conftest import Phone, Ran, Workshop, fill_spool, notes_of

HOUR, DAY = 3600, 86_400
MOVED_CLOCK = """
import os, time
shift, slept = float(os.environ["CLOCK_AHEAD"]), float(os.environ.get("SLEPT", 0))
now, local, write, boot = time.time, time.localtime, time.strftime, time.clock_gettime
time.time = lambda: now() + shift
time.localtime = lambda moment=None: local(time.time() if moment is None else moment)
time.strftime = lambda form, moment=None: write(form, moment or time.localtime())
time.clock_gettime = lambda clock: boot(clock) + slept
"""


@pytest.fixture
def moved(tmp_path: Path) -> dict[str, str]:
    """What makes the script's Python read `CLOCK_AHEAD` seconds more."""
    (tmp_path / "clock").mkdir()
    (tmp_path / "clock" / "sitecustomize.py").write_text(MOVED_CLOCK)
    return {"PYTHONPATH": str(tmp_path / "clock")}


def day(ahead: float = 0) -> str:
    """The day by a clock that is so far ahead."""
    return time.strftime("%Y-%m-%d", time.localtime(time.time() + ahead))


def note(phone: Phone, moved: dict[str, str], reference: str, ahead: float, *words: str) -> Ran:
    """Note an hour's turning without network by a clock that is so far ahead."""
    line = ("log", reference, "1h", "turning", *words)
    ran = phone.run_offline(*line, **moved, CLOCK_AHEAD=str(ahead))
    assert ran.code == 3
    return ran


def test_the_order_of_noting_is_kept_when_the_clock_goes_back(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], moved: dict[str, str]
) -> None:
    for number, ahead in enumerate((0, -DAY, DAY, -40 * DAY, 0)):
        note(phone, moved, commission["reference"], ahead, str(number), "--day", "2026-11-12")
    assert phone.run("send").code in (0, 1)
    assert notes_of(workshop, commission) == ["0", "1", "2", "3", "4"]


@pytest.mark.parametrize("ahead", [-DAY, -60, 60, DAY])
def test_a_second_press_is_known_whatever_the_clock_says(
    phone: Phone, moved: dict[str, str], ahead: float
) -> None:
    words = ("--day", "2026-11-12")
    note(phone, moved, "26-014", 0, *words)
    assert "not again" in note(phone, moved, "26-014", ahead, *words).said
    assert len(phone.waiting()) == 1


def test_the_same_words_an_hour_later_are_no_second_press_though_the_clock_went_back_an_hour(
    phone: Phone, moved: dict[str, str]
) -> None:
    note(phone, moved, "26-014", 0)
    note(phone, {**moved, "SLEPT": str(HOUR)}, "26-014", 5)
    assert len(phone.waiting()) == 2


def test_two_presses_at_once_are_one(phone: Phone) -> None:
    runs = [phone.begin("log", "26-014", "1h", "turning", BENCH_ADDRESS=phone.offline)
            for _ in range(4)]  # fmt: skip
    for run in runs:
        with run:
            run.communicate(timeout=60)
    assert len(phone.waiting()) == 1


@pytest.mark.parametrize(("ahead", "why"), [(DAY, "24 h ahead of"), (-DAY, "24 h behind")])
def test_a_day_given_by_a_wrong_clock_is_not_sent_unseen(
    phone: Phone,
    workshop: Workshop,
    commission: dict[str, Any],
    moved: dict[str, str],
    ahead: float,
    why: str,
) -> None:
    line = ("log", commission["reference"], "1h", "turning")
    ran = phone.run(*line, **moved, CLOCK_AHEAD=str(ahead))
    assert ran.code == 1
    assert f"{why} the server's; its day {day(ahead)} is doubtful" in ran.said
    assert workshop.list_all("/labour", commission["id"]) == []
    mended = phone.run("mend", "1", "--day", day(), **moved, CLOCK_AHEAD=str(ahead))
    assert mended.code == 0
    (entry,) = workshop.list_all("/labour", commission["id"])
    assert entry["day"] == day()


def test_a_day_that_a_person_typed_is_not_doubted(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], moved: dict[str, str]
) -> None:
    line = ("log", commission["reference"], "1h", "turning", "--day", "2026-11-12")
    assert phone.run(*line, **moved, CLOCK_AHEAD=str(DAY)).code == 0
    (entry,) = workshop.list_all("/labour", commission["id"])
    assert entry["day"] == "2026-11-12"


@pytest.mark.parametrize(
    ("before", "ahead", "why"),
    [(0, DAY, "was ahead"), (0, -DAY, "had gone back"), (-300 * DAY, -300 * DAY, "long ago")],
)
def test_a_day_given_by_a_clock_that_was_wrong_is_doubted_once_the_clock_is_right(
    phone: Phone,
    workshop: Workshop,
    commission: dict[str, Any],
    moved: dict[str, str],
    before: float,
    ahead: float,
    why: str,
) -> None:
    note(phone, moved, commission["reference"], before, "one", "--day", "2026-11-12")
    note(phone, moved, commission["reference"], ahead, "two")
    ran = phone.run("send")
    assert ran.code == 1
    assert why in ran.said
    assert phone.run("send", "--again").code == 0
    one, two = sorted(workshop.list_all("/labour", commission["id"]), key=lambda it: it["note"])
    assert (one["day"], two["day"]) == ("2026-11-12", day(ahead))


def test_a_clock_that_was_ahead_and_is_right_again_brings_no_doubt_on_what_follows(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], moved: dict[str, str]
) -> None:
    note(phone, moved, commission["reference"], DAY, "ahead")
    ran = phone.run("log", commission["reference"], "1h", "turning", "right")
    assert ran.code == 1
    assert notes_of(workshop, commission) == ["right"]


def test_a_clock_that_was_once_far_ahead_is_forgotten_once_the_server_tells_the_time(
    phone: Phone, commission: dict[str, Any], moved: dict[str, str]
) -> None:
    note(phone, moved, commission["reference"], 300 * DAY, "one", "--day", "2026-11-12")
    note(phone, moved, commission["reference"], 0, "two")
    assert [json.loads(path.read_text())["clock_went_back"] for path in phone.waiting()] == [
        False,
        True,
    ]
    assert phone.run("send").code == 0
    note(phone, moved, commission["reference"], 0, "three")
    (path,) = phone.waiting()
    assert json.loads(path.read_text())["clock_went_back"] is False


def test_what_waited_for_weeks_is_sent(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], moved: dict[str, str]
) -> None:
    note(phone, moved, commission["reference"], -30 * DAY)
    assert phone.run("send").code == 0
    (entry,) = workshop.list_all("/labour", commission["id"])
    assert entry["day"] == day(-30 * DAY)


def test_other_entries_are_sent_though_one_is_doubted(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], moved: dict[str, str]
) -> None:
    note(phone, moved, commission["reference"], DAY, "doubtful")
    notes = fill_spool(phone, commission, 2)
    assert phone.run("send").code == 1
    assert notes_of(workshop, commission) == notes
