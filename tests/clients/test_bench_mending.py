"""A line typed in haste is not lost: it is kept as it was typed, and mended by a word."""

import time
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from clients.bench import NOT_NOTING, NOTING, Line, build_parser, mend_words
from tests.clients.conftest import Phone, Workshop


@pytest.mark.parametrize(
    ("typed", "change"),
    [
        (("log", "{}", "90", "turning", "wheel"), ("90", "1h30")),
        (("log", "{}", "1h30", "turnning", "wheel"), ("turnning", "turning")),
        (("lgo", "{}", "1h30", "turning", "wheel"), ("lgo", "log")),
        (("log", "{}", "1h30", "turning", "wheel", "--sped"), ("--sped", "")),
        (("log", "{}x", "1h30", "turning", "wheel"), ("{}x", "{}")),
        (("log", "{}", "1h30", "turning", "wheel", "--day", "12/11"), ("--day", "yesterday")),
        (("log", "{}", "1h30"), ("log", "{}", "1h30", "turning", "wheel")),
    ],
)
def test_a_mistyped_line_is_kept_and_sent_once_it_is_mended(
    phone: Phone,
    workshop: Workshop,
    commission: dict[str, Any],
    typed: tuple[str, ...],
    change: tuple[str, ...],
) -> None:
    reference = commission["reference"]
    noted = phone.run_offline(*(word.format(reference) for word in typed))
    assert noted.code in (2, 3)
    assert phone.run("send").code in (0, 1)
    listed = phone.run("waiting").said
    assert "Aside 1: " in listed
    assert workshop.list_all("/labour", commission["id"]) == []
    mended = phone.run("mend", "1", *(word.format(reference) for word in change))
    assert mended.code == 0
    (entry,) = workshop.list_all("/labour", commission["id"])
    assert (entry["operation"], entry["minutes"]) == ("turning", 90)
    assert entry["note"].startswith("wheel")
    assert phone.run("waiting").said == "Nothing waits."


def test_what_was_wrong_is_listed_with_the_line_as_it_was_typed(phone: Phone) -> None:
    ran = phone.run_offline("log", "26-014", "90", "turning", "fly wheel")
    assert ran.code == 2
    assert "kept as 1. Mend a word: bench.py mend 1 WRONG RIGHT" in ran.said
    listed = phone.run("waiting").said
    assert "Nothing waits. Aside 1: log 26-014 90 turning 'fly wheel'" in listed
    assert "with its unit: 1h30 or 45min" in listed


def test_a_line_with_two_faults_is_mended_word_by_word(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    phone.run_offline("log", commission["reference"], "90", "turnning")
    half = phone.run("mend", "1", "90", "1h30")
    assert half.code == 2
    assert "turnning" in half.said
    listed = phone.run("waiting").said
    assert listed.count("Aside") == 1
    (number,) = [word.rstrip(":") for word in listed.split("Aside ")[1].split()[:1]]
    assert phone.run("mend", number, "turnning", "turning").code == 0
    assert len(workshop.list_all("/labour", commission["id"])) == 1


def test_a_mended_line_keeps_the_day_on_which_it_was_typed(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    phone.run_offline("log", commission["reference"], "90", "turning", "--day", "yesterday")
    (kept,) = (phone.spool / "refused").glob("*.json")
    today = time.strftime("%Y-%m-%d")
    kept.write_text(kept.read_text().replace(f'"{today}T', '"2026-11-12T'))
    phone.run("mend", "1", "90", "1h")
    assert "Aside" not in phone.run("waiting").said or phone.run("send", "--again").code == 0
    (entry,) = workshop.list_all("/labour", commission["id"])
    assert entry["day"] == "2026-11-11"


def test_a_refused_note_is_mended_with_the_photo_that_was_kept(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], tmp_path: Path
) -> None:
    photo = tmp_path / "seat.png"
    Image.new("RGB", (64, 48), (10, 20, 30)).save(photo)
    ran = phone.run("note", "99-999", "seat is pitted", "--photo", str(photo))
    assert ran.code == 1
    photo.unlink()
    assert phone.run("mend", "1", "99-999", commission["reference"]).code == 0
    (note,) = workshop.list_all("/progress", commission["id"])
    assert (note["text"], len(note["pictures"])) == ("seat is pitted", 1)
    assert list((phone.spool / "photos").iterdir()) == []


def test_an_entry_that_arrived_is_not_written_again_in_another_form(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    """The answer was lost and the file set aside by hand: the key still says that it is there."""
    reference = commission["reference"]
    phone.run_offline("log", reference, "1h", "turning")
    (path,) = phone.waiting()
    kept = path.read_bytes()
    assert phone.run("send").code == 0
    (phone.spool / "refused" / f"00000001-{path.name.partition('-')[2]}").write_bytes(kept)
    again = phone.run("mend", "1", "1h", "2h")
    assert again.code == 1
    assert "The server has it already" in again.said
    (entry,) = workshop.list_all("/labour", commission["id"])
    assert entry["minutes"] == 60


def test_the_same_slip_twice_is_kept_once(phone: Phone) -> None:
    for _ in range(2):
        assert "kept as 1" in phone.run_offline("log", "26-014", "90", "turning").said


@pytest.mark.parametrize(
    "words",
    [
        ("thread", "2 BA", "--size", "x"), ("part", "list"), ("waiting", "--drop", "x"), ("xyz",),
        ("mend", "x"), ("mend", "7", "a", "b"), ("setpu", "http://127.0.0.1", "cbx_secret"),
    ],
)  # fmt: skip
def test_what_notes_nothing_or_holds_a_token_is_not_kept(
    phone: Phone, words: tuple[str, ...]
) -> None:
    ran = phone.run_offline(*words)
    assert ran.code == 2
    assert "kept" not in ran.said
    assert not list(phone.spool.rglob("*.json"))


def test_every_command_that_notes_nothing_is_known_as_such() -> None:
    (commands,) = [action.choices for action in build_parser()._actions if action.choices]
    assert set(commands) - NOT_NOTING == NOTING
    assert set(commands) >= NOT_NOTING
    assert not Line(["part", "list", "26-014"]).notes()


def test_a_change_that_cannot_be_made_leaves_the_line(phone: Phone) -> None:
    phone.run_offline("log", "26-014", "90", "turning")
    for change, hint in (
        (("80", "1h"), "no word '80'"),
        (("80",), "the wrong word and the right one"),
        (("part", "list"), "notes nothing"),
        (("log", "26-014", "1h"), "OPERATION"),
    ):
        ran = phone.run_offline("mend", "1", *change)
        assert ran.code == 2
        assert hint in ran.said
    assert "Aside 1: log 26-014 90 turning" in phone.run("waiting").said


def test_words_are_changed_added_and_left_out() -> None:
    typed = ["log", "26-014", "90", "turning", "90"]
    assert mend_words(typed, ["90", "1h"]) == ["log", "26-014", "1h", "turning", "90"]
    assert mend_words(typed, ["90", ""]) == ["log", "26-014", "turning", "90"]
    assert mend_words(typed, ["--day", "yesterday"]) == [*typed, "--day", "yesterday"]
    assert mend_words([*typed, "--day", "x"], ["--day", "today"]) == [*typed, "--day", "today"]
    assert mend_words([*typed, "--dya"], ["--dya", "--twice"]) == [*typed, "--twice"]
    assert mend_words(typed, []) == typed
