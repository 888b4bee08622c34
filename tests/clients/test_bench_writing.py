"""What is noted at the bench arrives, and what cannot arrive is said and kept."""

import time
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.clients.conftest import Phone, Workshop


def photograph(path: Path, *, shade: int) -> str:
    """A small photo."""
    Image.new("RGB", (64, 48), (shade, 80, 120)).save(path, "JPEG")
    return str(path)


def test_hours_arrive_with_their_operation_day_and_words(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    ran = phone.run("log", commission["reference"], "1h30", "drilling", "block drilled")
    assert ran.code == 0
    assert ran.said.startswith("Sent: 1h30 drilling")
    assert ran.said.endswith("Nothing waits.")
    (entry,) = workshop.list_all("/labour", commission["id"])
    assert (entry["operation"], entry["minutes"], entry["note"], entry["billable"]) == (
        "drilling",
        90,
        "block drilled",
        True,
    )
    assert entry["day"] == time.strftime("%Y-%m-%d")


@pytest.mark.parametrize("written", ["silver_soldering", "Silver Soldering", "silver", "sil"])
def test_an_operation_goes_by_its_name_its_words_or_its_beginning(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], written: str
) -> None:
    reference = commission["reference"]
    ran = phone.run(
        *("log", reference, "45 min", written, "--day", "2026-11-12", "--not-billable"),
        *("second", "end"),
    )
    assert ran.code == 0
    (entry,) = workshop.list_all("/labour", commission["id"])
    assert entry["operation"] == "silver_soldering"
    assert (entry["day"], entry["billable"], entry["minutes"]) == ("2026-11-12", False, 45)
    assert entry["note"] == "second end"


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        (("log", "26-014", "1h30", "s"), "silver soldering"),
        (("log", "26-014", "1h30", "plumbing"), "piping"),
        (("log", "26-014", "90", "drilling"), "with its unit"),
        (("log", "26-014", "1h30", "drilling", "--day", "12/11"), "2026-11-12"),
        (("note", "26-014", "x", "--decision", "Upright?"), "--customer"),
        (("note", "26-014", "x", "--caption", "foot"), "captions"),
        (("note", "26-014", "x", "--photo", "nowhere.jpg"), "cannot be read"),
        (("note", "26-014", "x", "--photo", "/dev/zero"), "not a JPEG"),
        (("part", "receive", "26-014", "x", "--thread", "2 BA"), "--gender"),
        (("part", "move", "17", "eaten"), "used up"),
        (("fit", "2 BA", "2 BA", "--found", "20 deg"), "--wanted"),
        (("demand", "--file", "nowhere.json"), "cannot be read"),
        (("waiting", "--drop", "3"), "nothing set aside as 3"),
        (("log", "26-014", "1h30", "drilling", "--speed", "x"), "--speed"),
        (("thread", "2 BA", "x"), "not understood: x"),
        (("setup", "workshop", "x"), "https://"),
        ((), "required"),
    ],
)
def test_what_cannot_be_understood_is_said_at_once_and_nothing_waits(
    phone: Phone, arguments: tuple[str, ...], hint: str
) -> None:
    ran = phone.run_offline(*arguments)
    assert ran.code == 2
    assert hint in ran.said
    assert phone.waiting() == []


def test_a_note_is_private_unless_it_says_that_it_is_for_the_customer(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    reference = commission["reference"]
    assert phone.run("note", reference, "gland nut cracked").code == 0
    asked = phone.run("note", reference, "squared", "--customer", "--decision", "Shall it shine?")
    assert asked.code == 0
    private, public = workshop.list_all("/progress", commission["id"])
    assert (private["text"], private["for_customer"]) == ("gland nut cracked", False)
    assert (public["for_customer"], public["decision_wanted"]) == (True, "Shall it shine?")


def test_a_note_carries_its_photos_in_order_each_with_its_caption(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], tmp_path: Path
) -> None:
    photos = [photograph(tmp_path / f"{shade}.jpg", shade=shade) for shade in (10, 200)]
    ran = phone.run(
        *("note", commission["reference"], "block on the table"),
        *("--photo", photos[0], "--photo", photos[1], "--caption", "before", "--caption", "after"),
    )
    assert ran.code == 0
    (note,) = workshop.list_all("/progress", commission["id"])
    assert [picture["caption"] for picture in note["pictures"]] == ["before", "after"]
    assert list((phone.spool / "photos").iterdir()) == []


def test_a_photo_may_leave_the_phone_before_it_is_sent(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], tmp_path: Path
) -> None:
    photo = photograph(tmp_path / "a.jpg", shade=90)
    ran = phone.run_offline("note", commission["reference"], "found", "--photo", photo)
    assert ran.code == 3
    Path(photo).unlink()
    assert phone.run("send").code == 0
    (note,) = workshop.list_all("/progress", commission["id"])
    assert len(note["pictures"]) == 1


def test_a_photo_that_is_none_or_too_large_is_refused_at_once(phone: Phone, tmp_path: Path) -> None:
    paper, huge = tmp_path / "paper.pdf", tmp_path / "huge.jpg"
    paper.write_bytes(b"%PDF-1.7 ")
    with huge.open("wb") as file:
        file.write(b"\xff\xd8\xff")
        file.truncate(20_000_001)
    for photo, hint in ((paper, "not a JPEG"), (huge, "at most 20 MB")):
        ran = phone.run_offline("note", "26-014", "look", "--photo", str(photo))
        assert ran.code == 2
        assert hint in ran.said
    assert phone.waiting() == []


def test_a_part_is_booked_in_moved_in_part_and_listed(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    received = phone.run(
        *("part", "receive", commission["reference"], "Stop valve", "--quantity", "3"),
        *("--thread", "1/4 x 40 ME", "--gender", "male", "--place", "shelf 3"),
        *("--condition", "gland worn"),
    )
    assert received.code == 0
    (part,) = workshop.list_all("/parts", commission["id"])
    assert f"(part {part['id']})" in received.said
    assert (part["state"], part["owner"], part["quantity"]) == ("received", "customer", 3)
    assert (part["condition"], part["ports"][0]["thread"]) == ("gland worn", "1/4 x 40 ME")
    moved = phone.run("part", "move", str(part["id"]), "fitted", "--quantity", "1")
    assert moved.code == 0
    listed = phone.run("part", "list", commission["reference"])
    assert f"{part['id']} 2 x Stop valve received, shelf 3; customer" in listed.said
    assert "1 x Stop valve fitted" in listed.said


def test_a_part_may_be_expected_and_bought(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    assert phone.run("part", "receive", commission["reference"], "Union", "--expected",
                     "--owner", "bought").code == 0  # fmt: skip
    (part,) = workshop.list_all("/parts", commission["id"])
    assert (part["state"], part["owner"]) == ("expected", "bought")


def test_a_refused_entry_is_kept_with_its_reason_and_does_not_stop_the_next(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    phone.run_offline("log", commission["reference"], "25h", "turning")
    phone.run_offline("log", "99-999", "1h", "turning")
    phone.run_offline("log", commission["reference"], "1h", "turning")
    ran = phone.run("send")
    assert ran.code == 1
    assert f"Refused: 25h turning, {commission['reference']} minutes: Between 1" in ran.said
    assert "There is no commission 99-999." in ran.said
    assert [entry["minutes"] for entry in workshop.list_all("/labour", commission["id"])] == [60]
    listed = phone.run("waiting")
    assert "Aside 1: 25h turning" in listed.said
    assert "Aside 2: 1h turning, 99-999" in listed.said


def test_a_refused_entry_goes_again_once_its_cause_is_mended_or_is_dropped(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    later = f"{commission['reference']}-2"
    assert phone.run("log", commission["reference"], "25h", "turning").code == 1
    assert phone.run("log", later, "1h", "turning").code == 1
    assert phone.run("waiting", "--drop", "1").said.startswith("Forgotten: 25h turning")
    opened = workshop.make(
        "/commissions",
        {"customer_id": commission["customer_id"], "title": "More", "reference": later},
    )
    assert phone.run("send", "--again").code == 0
    assert len(workshop.list_all("/labour", opened["id"])) == 1
    assert phone.run("waiting").said == "Nothing waits."


def test_a_wrong_token_is_said_and_everything_is_kept(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    for operation in ("turning", "milling"):
        ran = phone.run("log", commission["reference"], "1h", operation, BENCH_TOKEN="cbx_wrong")
        assert ran.code == 3
        assert "does not take this token (401)" in ran.said
    assert len(phone.waiting()) == 2
    assert phone.run("send").code == 0
    noted = [entry["operation"] for entry in workshop.list_all("/labour", commission["id"])]
    assert noted == ["turning", "milling"]


def test_a_second_press_notes_nothing_unless_it_is_meant(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    press = ("log", commission["reference"], "1h", "turning", "wheel")
    assert phone.run(*press).code == 0
    again = phone.run(*press)
    assert again.code == 0
    assert "not again" in again.said
    assert len(workshop.list_all("/labour", commission["id"])) == 1
    assert phone.run(*press, "--twice").code == 0
    assert len(workshop.list_all("/labour", commission["id"])) == 2


def test_two_photos_with_the_same_words_are_two_notes(
    phone: Phone, workshop: Workshop, commission: dict[str, Any], tmp_path: Path
) -> None:
    for shade in (30, 60):
        photo = photograph(tmp_path / "now.jpg", shade=shade)
        assert phone.run("note", commission["reference"], "look", "--photo", photo).code == 0
    assert len(workshop.list_all("/progress", commission["id"])) == 2


def test_settings_come_from_the_file_that_setup_writes(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    bare = {"BENCH_ADDRESS": "", "BENCH_TOKEN": ""}
    unset = phone.run("log", commission["reference"], "1h", "turning", **bare)
    assert (unset.code, len(phone.waiting())) == (3, 1)
    assert "bench.py setup" in unset.said
    ran = phone.run("setup", phone.address, phone.token, **bare)
    assert ran.code == 0
    assert "knows this token" in ran.said
    assert (phone.home / "bench.ini").stat().st_mode & 0o077 == 0
    assert phone.run("send", **bare).code == 0
    assert len(workshop.list_all("/labour", commission["id"])) == 1
