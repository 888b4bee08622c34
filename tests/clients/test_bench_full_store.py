"""A phone whose store is full says what it kept, and sends what it has.

A small file system of its own is filled to the last byte where the tests may mount one; a limit on
the size of files, under which every write fails, does for all others.
"""

import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.clients.conftest import Phone, Workshop, fill_spool, notes_of

NO_WRITING = "ulimit -f 0"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Path]:
    """A store of 128 kB."""
    place = tmp_path / "store"
    place.mkdir()
    mounting = ["mount", "-t", "tmpfs", "-o", "size=128k", "small", str(place)]
    if subprocess.run(mounting, capture_output=True, check=False).returncode:
        pytest.skip("a file system can be mounted only by root; the limit on files is tried anyway")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


@pytest.fixture
def small_phone(store: Path, workshop: Workshop) -> Phone:
    """A phone whose home is the small store."""
    return Phone(store, workshop.address, workshop.tokens["bench"])


def fill(store: Path, *, leaving: int = 0) -> Path:
    """Fill a store to the last byte but so many."""
    filler = store / "filler"
    with filler.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(bytes(4096))
        except OSError:
            file.truncate(file.tell() - leaving)
    return filler


def test_a_full_store_says_that_nothing_was_kept_and_keeps_no_half(small_phone: Phone) -> None:
    small_phone.run_offline("log", "26-014", "1h", "filing")
    filler = fill(small_phone.home)
    ran = small_phone.run_offline("log", "26-014", "1h30", "turning", "fly wheel")
    assert ran.code == 4
    assert "No space left on device" in ran.said
    assert ran.said.endswith("NOT KEPT and not sent: log 26-014 1h30 turning 'fly wheel'")
    assert len(small_phone.waiting()) == 1
    assert list(small_phone.spool.glob(".*")) == []
    filler.unlink()
    assert small_phone.run_offline("log", "26-014", "1h30", "turning", "fly wheel").code == 3
    assert len(small_phone.waiting()) == 2


def test_a_line_that_is_not_understood_says_when_it_could_not_be_kept(small_phone: Phone) -> None:
    fill(small_phone.home)
    ran = small_phone.run_offline("log", "26-014", "90", "turning")
    assert ran.code == 4
    assert "with its unit" in ran.said
    assert "NOT KEPT and not sent: log 26-014 90 turning" in ran.said


def test_a_photo_that_finds_no_room_leaves_nothing_behind(
    small_phone: Phone, tmp_path: Path
) -> None:
    photo = tmp_path / "seat.png"
    Image.effect_noise((400, 400), 90).save(photo)
    assert photo.stat().st_size > 128_000
    ran = small_phone.run_offline("note", "26-014", "seat", "--photo", str(photo))
    assert ran.code == 4
    assert list((small_phone.spool / "photos").iterdir()) == []


def test_what_is_kept_is_not_called_lost_when_only_a_mark_beside_it_finds_no_room(
    small_phone: Phone,
) -> None:
    small_phone.run_offline("send")
    fill(small_phone.home, leaving=4096)
    ran = small_phone.run_offline("log", "26-014", "1h30", "turning")
    assert ran.code == 3
    assert "1 kept here" in ran.said
    assert len(small_phone.waiting()) == 1


def test_what_is_sent_makes_room_for_what_is_noted(
    small_phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = fill_spool(small_phone, commission, 5)
    fill(small_phone.home)
    ran = small_phone.run("log", commission["reference"], "1h", "turning", "the last")
    assert ran.code == 0
    assert notes_of(workshop, commission) == [*notes, "the last"]


def note_a_bit_of_everything(phone: Phone, commission: dict[str, Any], photo: Path) -> None:
    """Note hours, hours that the server refuses, a note with a photo, and hours again."""
    Image.new("RGB", (64, 48), (9, 80, 120)).save(photo)
    for minutes in ("1h", "25h"):
        phone.run_offline("log", commission["reference"], minutes, "turning", minutes)
    phone.run_offline("note", commission["reference"], "seat", "--photo", str(photo))
    phone.run_offline("log", commission["reference"], "2h", "turning", "2h")
    assert len(phone.waiting()) == 4


def check_that_everything_arrived(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    """What the server takes is there once, what it refused lies aside, and nothing waits."""
    assert notes_of(workshop, commission) == ["1h", "2h"]
    (note,) = workshop.list_all("/progress", commission["id"])
    assert len(note["pictures"]) == 1
    assert phone.waiting() == []
    assert "Aside 1: 25h turning" in phone.run("waiting").said


def test_a_full_store_sends_everything_and_sets_aside_what_is_refused(
    small_phone: Phone, workshop: Workshop, commission: dict[str, Any], tmp_path: Path
) -> None:
    note_a_bit_of_everything(small_phone, commission, tmp_path / "seat.jpg")
    fill(small_phone.home)
    assert small_phone.run("send").code == 1
    check_that_everything_arrived(small_phone, workshop, commission)


def test_where_no_file_can_be_written_everything_is_sent_all_the_same(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], tmp_path: Path
) -> None:
    note_a_bit_of_everything(phone, commission, tmp_path / "seat.jpg")
    phone.before = NO_WRITING
    lost = phone.run_offline("log", commission["reference"], "3h", "turning", "3h")
    assert (lost.code, "NOT KEPT" in lost.said) == (4, True)
    assert phone.run("send").code == 1
    check_that_everything_arrived(phone, workshop, commission)
    assert "Its reason was not kept." in phone.run("waiting").said
    phone.before = ""
    again = phone.run("send", "--again")
    assert "minutes: Between 1" in again.said


def test_a_store_from_which_nothing_can_be_taken_is_sent_once_and_holds_up_nothing(
    small_phone: Phone, workshop: Workshop, commission: dict[str, Any], tmp_path: Path
) -> None:
    note_a_bit_of_everything(small_phone, commission, tmp_path / "seat.jpg")
    remount(small_phone.home, "ro")
    for _ in range(2):
        ran = small_phone.run("send")
        assert ran.said.count("cannot be taken out") == 3
        assert "It is kept where it was" in ran.said
    assert small_phone.run("log", "26-014", "1h", "turning").code == 4
    remount(small_phone.home, "rw")
    assert small_phone.run("send").code == 1
    check_that_everything_arrived(small_phone, workshop, commission)


def remount(store: Path, how: str) -> None:
    """Make a mounted store read-only, or writable again."""
    subprocess.run(["mount", "-o", f"remount,{how}", str(store)], check=True)


def test_settings_that_find_no_room_leave_the_old_ones(phone: Phone) -> None:
    bare = {"BENCH_ADDRESS": "", "BENCH_TOKEN": ""}
    assert phone.run("setup", phone.address, phone.token, **bare).code == 0
    phone.before = NO_WRITING
    assert phone.run("setup", phone.address, "cbx_another", **bare).code == 1
    assert phone.run("status", "nothing", **bare).code == 1  # the token is still taken
    assert phone.token in (phone.home / "bench.ini").read_text()
