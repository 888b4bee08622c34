"""Pictures that are refused are not read, or leave no file; and one is read at a time."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from flask import Flask

from service.documents import photographs
from tests.api.conftest import draw_picture
from tests.conftest import ONE_DATABASE, Caller

NOBODY = 1_999_999_999


@pytest.fixture
def kept_files(app: Flask) -> Callable[[], list[str]]:
    """Whatever lies in the blob store."""

    def look() -> list[str]:
        folder = app.extensions["clackbox"].blobs.folder
        return [place.name for place in folder.rglob("*") if place.is_file()]

    return look


def send(caller: Caller, query: str, data: bytes, **kw: Any) -> Any:
    return caller.send("POST", f"/pictures?{query}", data=data, content_type="image/png", **kw)


def test_whose_it_is_is_looked_at_before_the_picture_is(bench: Caller) -> None:
    """Of two faults the first is told: these bytes are no picture either."""
    answer = send(bench, f"commission_id={NOBODY}", b"no picture")

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["commission_id"]
    assert answer.json["code"] == "unknown-record"


@pytest.mark.parametrize(
    "query",
    [f"commission_id={NOBODY}", "", "commission_id=x", "commission_id=0", "commission_id={}&x=1",
     "commission_id={}&caption=" + "x" * 201],
)  # fmt: skip
def test_a_picture_that_is_refused_leaves_no_file(
    bench: Caller, commission: dict, photograph: bytes, query: str,
    kept_files: Callable[[], list[str]],
) -> None:  # fmt: skip
    answer = send(bench, query.format(commission["id"]), photograph)

    assert answer.status_code == 422, answer.json
    assert kept_files() == []


def test_a_key_that_was_used_for_another_picture_keeps_no_second_file(
    bench: Caller, commission: dict, photograph: bytes, kept_files: Callable[[], list[str]]
) -> None:
    query, key = f"commission_id={commission['id']}", {"Idempotency-Key": "p-1"}
    kept = send(bench, query, photograph, headers=key).json
    other = send(bench, query, draw_picture((9, 9)), headers=key)

    assert other.status_code == 409
    assert kept_files() == [kept["sha256"]]


@pytest.mark.parametrize(("tag", "status"), [({}, 428), ({"If-Match": '"99"'}, 412)])
def test_a_logo_that_is_refused_leaves_no_file(
    owner: Caller, photograph: bytes, tag: dict[str, str], status: int,
    kept_files: Callable[[], list[str]],
) -> None:  # fmt: skip
    answer = owner.send(
        "PUT", "/workshop/logo", data=photograph, content_type="image/png", headers=tag
    )

    assert answer.status_code == status
    assert kept_files() == []


@pytest.mark.parametrize(("tag", "status"), [({}, 428), ({"If-Match": '"99"'}, 412)])
def test_a_report_that_is_not_issued_leaves_no_paper(
    owner: Caller, commission: dict, tag: dict[str, str], status: int,
    kept_files: Callable[[], list[str]],
) -> None:  # fmt: skip
    span = {"from_day": "2026-11-01", "to_day": "2026-11-14"}
    report = owner.make("/reports", {"commission_id": commission["id"]} | span)
    address = f"/reports/{report['id']}"

    assert owner.send("POST", f"{address}/issue", headers=tag).status_code == status
    assert kept_files() == []

    read = owner.get(address).headers["ETag"]
    issued = owner.send("POST", f"{address}/issue", headers={"If-Match": read})
    assert issued.status_code == 200
    assert len(kept_files()) == 1
    assert owner.get(f"{address}/document.pdf").data.startswith(b"%PDF")


@ONE_DATABASE
def test_who_finds_others_waiting_is_told_when_to_come_again(
    bench: Caller, commission: dict, photograph: bytes, kept_files: Callable[[], list[str]]
) -> None:
    """As many as may wait do, and are drawn when their turn comes; the next is sent away."""
    waiting = threading.Semaphore(0)

    def draw(_: int) -> tuple[int, int]:
        waiting.release()
        clean = photographs.clean_photograph(photograph)
        return clean.width, clean.height

    with ThreadPoolExecutor(photographs.WAITING + 1) as pool:
        with photographs._turn:
            drawn = pool.map(draw, range(photographs.WAITING + 1))
            for _ in range(photographs.WAITING + 1):
                assert waiting.acquire(timeout=10)
            while photographs._places._value:  # type: ignore[attr-defined]
                pass  # each has said that it comes, and takes its place next
            refused = send(bench, f"commission_id={commission['id']}", photograph)
        assert list(drawn) == [(40, 30)] * (photographs.WAITING + 1)

    assert refused.status_code == 503
    assert refused.json["code"] == "busy"
    assert int(refused.headers["Retry-After"]) > 0
    assert kept_files() == []
    again = send(bench, f"commission_id={commission['id']}", photograph)
    assert again.status_code == 201


@ONE_DATABASE
def test_whose_turn_does_not_come_is_sent_away(
    bench: Caller, commission: dict, photograph: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photographs, "PATIENCE", 0.05)
    with photographs._turn:
        refused = send(bench, f"commission_id={commission['id']}", photograph)

    assert refused.status_code == 503
    assert send(bench, f"commission_id={commission['id']}", photograph).status_code == 201
