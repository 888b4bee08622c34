"""Progress notes and pictures over HTTP."""

import io
import struct
import zlib
from collections.abc import Callable
from typing import Any

import pytest
from PIL import Image

from tests.api.conftest import draw_picture
from tests.conftest import Caller


@pytest.fixture
def picture(bench: Caller, commission: dict, photograph: bytes) -> dict:
    """A picture of the commission."""
    return send(bench, commission, photograph).json


def send(
    caller: Caller, commission: dict, data: bytes, kind: str = "image/png", **kw: object
) -> Any:
    return caller.send(
        "POST",
        f"/pictures?commission_id={commission['id']}&caption=The+block",
        data=data,
        content_type=kind,
        **kw,
    )


def note(commission: dict, **changes: object) -> dict:
    return {"commission_id": commission["id"], "text": "Block drilled."} | changes


def test_a_note_is_private_unless_it_says_otherwise(bench: Caller, commission: dict) -> None:
    record = bench.make("/progress", note(commission))

    assert record["for_customer"] is False
    assert record["person"] == "bench token"
    assert bench.get(f"/progress/{record['id']}").json == record


def test_a_question_belongs_in_a_note_for_the_customer(bench: Caller, commission: dict) -> None:
    answer = bench.post("/progress", note(commission, decision_wanted="Upright?"))

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["for_customer"]


def test_a_question_is_open_until_it_is_answered(owner: Caller, commission: dict) -> None:
    asked = owner.make("/progress", note(commission, for_customer=True, decision_wanted="Upright?"))
    owner.make("/progress", note(commission))

    def open_ids(flag: str) -> list[int]:
        query = f"/progress?commission_id={commission['id']}&open_decision={flag}"
        return [one["id"] for one in owner.get(query).json["items"]]

    assert open_ids("true") == [asked["id"]]
    answered = owner.patch(f"/progress/{asked['id']}", {"decision_answer": "Upright."}, version=1)
    assert answered.json["answered_at"] is not None
    assert open_ids("true") == []
    assert asked["id"] in open_ids("false")


def test_another_question_is_open_again(owner: Caller, commission: dict) -> None:
    asked = owner.make("/progress", note(commission, for_customer=True, decision_wanted="Upright?"))
    owner.patch(f"/progress/{asked['id']}", {"decision_answer": "Upright."}, version=1)

    again = owner.patch(f"/progress/{asked['id']}", {"decision_wanted": "Which lamp?"}, version=2)

    assert again.json["decision_answer"] is None
    assert again.json["answered_at"] is None
    summary = owner.get(f"/commissions/{commission['id']}/summary").json
    assert [one["decision_wanted"] for one in summary["decisions"]] == ["Which lamp?"]


def test_an_answer_needs_a_question(owner: Caller, commission: dict) -> None:
    record = owner.make("/progress", note(commission, for_customer=True))
    answer = owner.patch(f"/progress/{record['id']}", {"decision_answer": "Yes."}, version=1)

    assert list(answer.json["errors"]) == ["decision_answer"]


def test_a_note_with_a_question_cannot_be_made_private(owner: Caller, commission: dict) -> None:
    record = owner.make(
        "/progress", note(commission, for_customer=True, decision_wanted="Upright?")
    )
    answer = owner.patch(f"/progress/{record['id']}", {"for_customer": False}, version=1)

    assert list(answer.json["errors"]) == ["for_customer"]


def test_a_picture_is_cleaned_kept_and_given_back(
    bench: Caller, commission: dict, photograph: bytes
) -> None:
    answer = send(bench, commission, photograph)

    assert answer.status_code == 201
    record = answer.json
    assert (record["width"], record["height"], record["caption"]) == (40, 30, "The block")
    assert bench.get(answer.headers["Location"]).json == record
    image = bench.get(f"/pictures/{record['id']}/image")
    assert image.mimetype == "image/jpeg"
    assert len(image.data) == record["size"]
    with Image.open(io.BytesIO(image.data)) as shown:
        assert shown.size == (40, 30)
        assert not shown.getexif()


def test_where_and_with_what_a_picture_was_taken_is_not_kept(
    bench: Caller, commission: dict
) -> None:
    written = io.BytesIO()
    told = Image.Exif()
    told[0x010F] = "SECRET-CAMERA"
    Image.new("RGB", (40, 30)).save(written, "JPEG", exif=told, comment=b"SECRET-PLACE")
    assert b"SECRET-CAMERA" in written.getvalue()

    record = send(bench, commission, written.getvalue(), "image/jpeg").json
    kept = bench.get(f"/pictures/{record['id']}/image").data
    assert b"SECRET" not in kept


def test_the_same_picture_again_is_the_same_record(
    bench: Caller, commission: dict, picture: dict, photograph: bytes
) -> None:
    assert send(bench, commission, photograph).json == picture


def declared_png(width: int, height: int) -> bytes:
    """A PNG whose header declares a size, and which holds next to nothing."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(b"\0" * 100)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (declared_png(20_000, 20_000), "picture-too-large"),  # 400 megapixels
        (declared_png(2**31 - 1, 2**31 - 1), "picture-too-large"),
        (declared_png(40, 30), "picture-damaged"),
        (draw_picture((40, 30))[:60], "picture-damaged"),
        (b"", "picture-kind"),
        (b"GIF89a", "picture-kind"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "picture-kind"),
    ],
)
def test_a_picture_that_cannot_be_kept_is_refused_and_leaves_nothing(
    bench: Caller, commission: dict, rows_of: Callable[[str], int], data: bytes, code: str
) -> None:
    answer = send(bench, commission, data)

    assert answer.status_code == 422
    assert answer.json["code"] == code
    assert answer.mimetype == "application/problem+json"
    assert rows_of("pictures") == 0


@pytest.mark.parametrize("kind", ["application/json", "text/plain", "multipart/form-data", ""])
def test_a_picture_comes_as_a_picture(
    bench: Caller, commission: dict, photograph: bytes, kind: str
) -> None:
    assert send(bench, commission, photograph, kind).status_code == 415


def test_a_picture_too_large_for_the_service_is_refused(
    bench: Caller, commission: dict, rows_of: Callable[[str], int]
) -> None:
    answer = send(bench, commission, b"\xff" * 30_000_000)

    assert answer.status_code == 413
    assert answer.json["code"] == "too-large"
    assert rows_of("pictures") == 0


def test_a_picture_of_an_unknown_commission_is_refused(bench: Caller, photograph: bytes) -> None:
    answer = send(bench, {"id": 1_999_999_999}, photograph)

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["commission_id"]


def test_a_note_shows_its_pictures_in_their_order(
    bench: Caller, owner: Caller, commission: dict, picture: dict
) -> None:
    other = send(bench, commission, draw_picture((10, 10), "red")).json
    record = bench.make("/progress", note(commission, pictures=[other["id"], picture["id"]]))
    assert [one["id"] for one in record["pictures"]] == [other["id"], picture["id"]]

    turned = owner.patch(
        f"/progress/{record['id']}", {"pictures": [picture["id"], other["id"]]}, version=1
    )
    assert turned.status_code == 200
    assert turned.headers["ETag"] == '"2"'
    shown = owner.get(f"/progress/{record['id']}").json
    assert [one["id"] for one in shown["pictures"]] == [picture["id"], other["id"]]

    emptied = owner.patch(f"/progress/{record['id']}", {"pictures": []}, version=2)
    assert emptied.json["pictures"] == []
    lines = owner.get(f"/audit?noun=progress_notes&record_id={record['id']}").json["items"]
    assert [line["after"].get("picture_ids") for line in lines] == [
        [], [picture["id"], other["id"]], [other["id"], picture["id"]],
    ]  # fmt: skip


def test_a_picture_of_another_commission_cannot_be_shown(
    owner: Caller, commission: dict, picture: dict
) -> None:
    other = owner.make("/commissions", {"customer_id": commission["customer_id"], "title": "Other"})
    strange = owner.post("/progress", note(other, pictures=[picture["id"]]))
    twice = owner.post("/progress", note(commission, pictures=[picture["id"]] * 2))
    many = owner.post("/progress", note(commission, pictures=list(range(1, 14))))

    for answer in (strange, twice, many):
        assert answer.status_code == 422
        assert list(answer.json["errors"]) == ["pictures"]


def test_a_picture_sent_again_with_its_key_is_entered_once(
    bench: Caller, commission: dict, photograph: bytes, rows_of: Callable[[str], int]
) -> None:
    first, again = (
        send(bench, commission, photograph, headers={"Idempotency-Key": "p-1"}) for _ in "12"
    )
    other = send(bench, commission, draw_picture((9, 9)), headers={"Idempotency-Key": "p-1"})

    assert again.json == first.json
    assert again.headers["Location"] == first.headers["Location"]
    assert other.status_code == 409
    assert rows_of("pictures") == 1
