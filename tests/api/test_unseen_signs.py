"""Signs that nobody sees are refused in every text that is kept or printed, and named."""

from typing import Any

import pytest

from tests.api.conftest import EXAMPLES
from tests.conftest import ONE_DATABASE, Caller

pytestmark = ONE_DATABASE

UNSEEN = [
    "\u202a", "\u202b", "\u202c", "\u202d", "\u202e", "\u2066", "\u2067", "\u2068", "\u2069",
    "\u200b", "\u200e", "\u200f", "\u061c", "\u2060", "\ufeff", "\u00ad", "\u2028", "\u2029",
    "\u0085", "\x07", "\x7f", "\U000e0041", "\u200c", "\u200d", "\u180e", "\ufff9",
]  # fmt: skip
SEEN = [
    "Zoë O’Brien & Søn", "Łódź", "日本", "مریم", "می\u200cخواهم", "क्\u200dष",
    "👩\u200d🔧 at the bench", "👩🏽\u200d🔧", "❤️\u200d🔥", "5 µm ± 2 °C", "1½″ × ¼″", "–—…“”",
]  # fmt: skip


@pytest.mark.parametrize("sign", UNSEEN, ids=lambda sign: f"U+{ord(sign):04X}")
def test_unseen_sign_is_refused_by_its_number_and_its_field(owner: Caller, sign: str) -> None:
    answer = owner.post("/customers", {"name": f"Maud{sign}Ellery"})

    assert answer.status_code == 422
    assert f"U+{ord(sign):04X}" in answer.json["errors"]["name"][0]


@pytest.mark.parametrize("name", SEEN)
def test_sign_that_is_seen_is_kept_as_it_was_written(owner: Caller, name: str) -> None:
    assert owner.make("/customers", {"name": name})["name"] == name


@pytest.mark.parametrize("text", ["\u200dMaud", "Maud\u200d", "a\u200db", "म\u200da", " \u200d "])
def test_joiner_that_joins_nothing_is_refused(owner: Caller, text: str) -> None:
    assert owner.post("/customers", {"name": text}).status_code == 422


def test_lines_are_parted_where_there_may_be_lines_alone(owner: Caller) -> None:
    made = owner.make("/customers", {"name": "Maud", "private_notes": "one\r\ntwo\n\tthree"})
    assert made["private_notes"] == "one\ntwo\n\tthree"
    assert owner.post("/customers", {"name": "Maud\nEllery"}).status_code == 422


def test_text_of_every_record_refuses_it_where_it_stands(
    owner: Caller, commission: dict[str, Any], plant: dict[str, Any]
) -> None:
    ours = {"commission_id": commission["id"]}
    told = "Please pay \u202eELLIV"
    asked: list[tuple[str, dict[str, Any], str]] = [
        ("/customers", {"name": "x", "address": told}, "address"),
        ("/customers", {"name": "x", "private_notes": told}, "private_notes"),
        ("/commissions", {"title": told, "customer_id": 1}, "title"),
        ("/parts", ours | {"name": told}, "name"),
        ("/parts", ours | {"name": "x", "place": told}, "place"),
        ("/labour", ours | {"operation": "filing", "minutes": 5, "note": told}, "note"),
        ("/progress", ours | {"text": told}, "text"),
        ("/tokens", {"name": told, "scope": "calculate"}, "name"),
        (f"/commissions/{commission['id']}/plants", {"name": told}, "name"),
        (f"/plants/{plant['id']}/items", {"kind": "fitting", "name": told}, "name"),
        ("/calculations/steam-balance", EXAMPLES["steam-balance"] | {
            "cases": [{"name": told, "running": ["port engine"]}]}, "cases.0.name"),
        ("/calculations/adapter", EXAMPLES["adapter"] | {"title": told}, "title"),
    ]  # fmt: skip
    for path, body, field in asked:
        answer = owner.post(path, body)
        assert answer.status_code == 422, path
        assert "U+202E" in answer.json["errors"][field][0], path


def test_caption_of_a_picture_refuses_it(
    owner: Caller, commission: dict[str, Any], photograph: bytes
) -> None:
    query = f"commission_id={commission['id']}&caption=Pay%E2%80%AEELLIV"

    answer = owner.send("POST", f"/pictures?{query}", data=photograph, content_type="image/png")

    assert answer.status_code == 422
    assert "U+202E" in answer.json["errors"]["caption"][0]


def test_money_with_a_comma_is_told_to_write_a_point(owner: Caller, customer: Any) -> None:
    body = {"customer_id": customer["id"], "title": "x", "hourly_rate": "38,50"}

    answer = owner.post("/commissions", body)

    assert "not a comma" in answer.json["errors"]["hourly_rate"][0]
