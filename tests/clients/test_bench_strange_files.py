"""Whatever lies in the spool's folder, entries are sent, and what is strange is told and kept."""

import json
import os
import time
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from clients.bench import Doubt, Spool, read_entry
from tests.clients.conftest import Phone, Workshop, fill_spool, notes_of

UNPRIVILEGED = 'exec setpriv --bounding-set=-dac_override,-dac_read_search "$@"' * (
    os.geteuid() == 0
)
"""What takes from root the right to read what its owner may not."""
SOUND = {
    "what": "1h turning", "path": "/labour", "body": {"operation": "turning", "minutes": "1h"},
    "reference": "26-014", "photos": [], "key": str(uuid.uuid4()),
    "noted": "2026-11-12T10:00:00+0000",
}  # fmt: skip
PHOTO = {"key": str(uuid.uuid4()), "media_type": "image/png", "caption": None, "sha256": "0"}


def holding(**changes: Any) -> Callable[[Path], object]:
    """A file that holds a sound entry but for these changes."""
    return lambda path: path.write_text(json.dumps({**SOUND, **changes}))


def make_folder(path: Path) -> None:
    """A folder that is not empty."""
    path.mkdir()
    (path / "inner.json").write_text("{}")


def make_huge(path: Path) -> None:
    """Five gigabytes that take no room."""
    with path.open("wb") as file:
        file.truncate(5_000_000_000)


def make_unreadable(path: Path) -> None:
    """A file that its owner may not read."""
    path.write_text(json.dumps(SOUND))
    path.chmod(0)


STRANGE: dict[str, Callable[[Path], object]] = {
    "zero bytes": lambda path: path.touch(),
    "half a JSON": lambda path: path.write_text('{"what": '),
    "a list": lambda path: path.write_text("[1, 2]"),
    "a number": lambda path: path.write_text("7"),
    "null": lambda path: path.write_text("null"),
    "a deep nest": lambda path: path.write_text("[" * 100_000),
    "binary": lambda path: path.write_bytes(os.urandom(5000)),
    "huge": make_huge,
    "a folder": make_folder,
    "a link to itself": lambda path: path.symlink_to(path),
    "a link to nothing": lambda path: path.symlink_to("nowhere"),
    "a link without end": lambda path: path.symlink_to("/dev/zero"),
    "a pipe": os.mkfifo,
    "unreadable": make_unreadable,
    "a newer shape": holding(weather="fine"),
    "a lack": lambda path: path.write_text(json.dumps({"what": "1h", "path": "/labour"})),
    "a body of the wrong kind": holding(body=[1]),
    "a number for a key": holding(key=7),
    "words that are no list": holding(words="log"),
    "a time that is none": holding(noted="yesterday"),
    "a path that posts no entry": holding(path="/tokens"),
    "a path that leads elsewhere": holding(path="@127.0.0.1/"),
    "a photo that is none": holding(photos=["x"]),
    "a photo elsewhere": holding(photos=[{**PHOTO, "key": "../../bench.ini"}]),
    "a photo of no commission": holding(photos=[PHOTO], reference=None),
}


def test_strange_entries_are_set_aside_and_told_and_hold_up_nothing(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = fill_spool(phone, commission, 2)
    phone.before = UNPRIVILEGED
    for make in STRANGE.values():
        make(phone.spool / f"00000000-{uuid.uuid4()}.json")
    assert phone.run("status", commission["reference"]).code == 0
    ran = phone.run("send")
    told = ran.said.count("Set aside: 00000000-") + ran.said.count("Strange, in the spool")
    assert told == len(STRANGE)
    assert notes_of(workshop, commission) == notes
    assert phone.waiting() == []
    listed = phone.run("waiting").said
    assert [f"Aside {number}: " in listed for number in range(1, len(STRANGE) + 1)] == (
        [True] * len(STRANGE)
    )
    assert phone.run("mend", "1", "a", "b").code == 2
    assert phone.run("send", "--again").said.startswith(f"Nothing waits. {len(STRANGE)} set aside")


def test_what_is_strange_is_dropped_but_for_a_folder(phone: Phone) -> None:
    phone.spool.mkdir()
    for kind in ("a folder", "a link to itself", "a pipe"):
        STRANGE[kind](phone.spool / kind)
    phone.run("send")
    dropped = [phone.run("waiting", "--drop", number) for number in "123"]
    assert sorted(ran.code for ran in dropped) == [0, 0, 2]
    (kept,) = [ran for ran in dropped if ran.code]
    assert "remove it by hand" in kept.said
    assert phone.run("waiting").said.startswith("Nothing waits. Aside ")


STRAYS = [
    ".nomedia", "notes.txt", "last-press.txt", "00000001 (1).json", "0.json", "-1.json",
    "0" * 240 + ".json", "ä" * 100, "a\nb\x1b[31m",
    b"\xff\xfe.json".decode(errors="surrogateescape"),
]  # fmt: skip


def test_other_programs_files_are_set_aside_and_kept(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    notes = fill_spool(phone, commission, 2)
    for number, name in enumerate(STRAYS):
        (phone.spool / name).write_text(f"precious {number}")
    ran = phone.run("send")
    assert ran.said.count("Strange, in the spool") == len(STRAYS)
    assert notes_of(workshop, commission) == notes
    assert phone.run("waiting").said.count("a strange file") == len(STRAYS)
    kept = {path.read_text() for path in (phone.spool / "refused").glob("*.strange")}
    assert kept == {f"precious {number}" for number in range(len(STRAYS))}


@pytest.mark.parametrize("kind", ["a folder", "a link to itself", "a pipe", "binary", "zero bytes"])
def test_what_stands_in_the_place_of_the_scripts_own_files_stops_nothing(
    phone: Phone, kind: str
) -> None:
    phone.spool.mkdir()
    for name in Spool.OWN:
        STRANGE[kind](phone.spool / name)
    assert phone.run_offline("log", "26-014", "1h", "turning").code == 3
    assert len(phone.waiting()) == 1
    assert "1 kept here" in phone.run("waiting").said


def test_an_entry_of_an_earlier_version_is_sent(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    phone.spool.mkdir()
    noted = time.strftime("%Y-%m-%dT%H:%M:%S%z")
    old = {
        **SOUND,
        "noted": noted,
        "reference": commission["reference"],
        "commission_id": commission["id"],
    }
    (phone.spool / "00000001.json").write_text(json.dumps(old))
    assert phone.run("log", commission["reference"], "2h", "filing").code == 0
    arrived = workshop.list_all("/labour", commission["id"])
    assert [entry["minutes"] for entry in arrived] == [60, 120]


def test_a_number_without_end_leaves_room_for_the_next(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    (note,) = fill_spool(phone, commission, 1)
    (path,) = phone.waiting()
    path.rename(path.with_name("9" * 12 + ".json"))
    for _ in range(2):
        phone.run_offline("log", commission["reference"], "1h", "filing", "next", "--twice")
    assert phone.run("send").code == 0
    assert sorted(notes_of(workshop, commission)) == [note, "next", "next"]


def cut_short(photo: Path) -> None:
    """Leave only the beginning of a photo."""
    photo.write_bytes(photo.read_bytes()[:100])


def replace_by_folder(photo: Path) -> None:
    """A folder where the photo was."""
    photo.unlink()
    photo.mkdir()


@pytest.mark.parametrize("damage", [cut_short, Path.unlink, replace_by_folder])
def test_a_photo_that_was_damaged_in_the_spool_is_not_sent_and_can_be_taken_again(
    phone: Phone,
    workshop: Workshop,
    commission: dict[str, Any],
    tmp_path: Path,
    damage: Callable[[Path], None],
) -> None:
    Image.new("RGB", (64, 48), (10, 20, 30)).save(tmp_path / "a.jpg")
    words = ("note", commission["reference"], "seat", "--photo", str(tmp_path / "a.jpg"))
    phone.run_offline(*words)
    (copy,) = (phone.spool / "photos").iterdir()
    damage(copy)
    ran = phone.run("send")
    assert ran.code == 1
    assert "lost or damaged" in ran.said
    assert workshop.list_all("/progress", commission["id"]) == []
    if copy.is_dir():
        copy.rmdir()
    assert phone.run("mend", "1").code == 0
    (note,) = workshop.list_all("/progress", commission["id"])
    assert len(note["pictures"]) == 1
    assert phone.run("waiting").said == "Nothing waits."


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)


@given(changed=st.dictionaries(st.sampled_from([*SOUND, "words", "sender", "origin"]), JSON))
def test_any_json_is_an_entry_or_a_doubt(
    changed: dict[str, Any], tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.getbasetemp() / "entry.json"
    path.write_text(json.dumps({**SOUND, **changed}))
    try:
        entry = read_entry(path)
    except Doubt:
        return
    assert entry.digest()
    assert entry.describe()
    assert entry.to_json()
