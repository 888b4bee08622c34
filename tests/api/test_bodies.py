"""Bodies: how large, read in which way, and read before the write lock is taken."""

import io
import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from flask import Flask
from sqlalchemy import event

from service import create_app
from service.api.access import LARGEST_JSON
from service.records.database import Database, make_engine
from service.records.kit_files import LOOK_EVERY
from service.records.models import Scope
from service.settings import Settings
from tests.api.conftest import draw_picture
from tests.api.test_description import EXAMPLES as BODIES
from tests.conftest import DATABASES, ONE_DATABASE, Caller, make_caller
from tests.records.conftest import make_address, migrate

THREAD = "old gas 7/16"  # that only this workshop knows


@pytest.mark.parametrize("path", ["/customers", "/calculations/thread"])
def test_json_has_a_million_bytes_at_the_most(owner: Caller, path: str) -> None:
    for size, status in ((LARGEST_JSON, 400), (LARGEST_JSON + 1, 413)):  # blanks are no JSON
        answer = owner.send("POST", path, data=b" " * size, content_type="application/json")
        assert answer.status_code == status
    assert answer.json["code"] == "too-large"
    assert "1,000,000 bytes" in answer.json["detail"]


def test_a_body_that_nobody_asked_for_is_not_read_beyond_that(owner: Caller) -> None:
    answer = owner.send(
        "POST", "/reports/1/revoke", data=b" " * (LARGEST_JSON + 1),
        headers={"If-Match": '"1"', "Idempotency-Key": "k"},
    )  # fmt: skip
    assert (answer.status_code, answer.json["code"]) == (413, "too-large")


def test_a_picture_has_the_setting_for_its_limit(
    owner: Caller, commission: dict, settings: Settings
) -> None:
    address = f"/pictures?commission_id={commission['id']}"
    for size, status in ((settings.largest_upload, 422), (settings.largest_upload + 1, 413)):
        data = draw_picture((8, 8)).ljust(size, b"\0")[::-1]  # backwards it is no picture
        answer = owner.send("POST", address, data=data, content_type="image/png")
        assert answer.status_code == status
    assert "20,000,000 bytes" in answer.json["detail"]


ODD = {
    "brackets": b"[" * LARGEST_JSON,
    "braces": b'{"a":' * (LARGEST_JSON // 5),
    "digits": b'{"minutes":' + b"9" * 5000 + b"}",
    "twice": b'{"name":"M","name":"N"}',
    "twice within": b'{"name":"M","more":{"a":1,"a":2}}',
    "no number": b'{"name":NaN}',
    "endless": b'{"name":-Infinity}',
    "latin": '{"name":"M\u00fcller"}'.encode("latin-1"),
    "wide": '{"name":"M"}'.encode("utf-16"),
    "marked": b'\xef\xbb\xbf{"name":"M"}',
    "cut off": b'{"name":"M"',
    "two": b'{"name":"M"}{"name":"M"}',
    "comma": b'{"name":"M",}',
    "control": b'{"name":"a\x01b"}',
}


@pytest.mark.parametrize("path", ["/customers", "/calculations/thread"])
@pytest.mark.parametrize("odd", ODD.values(), ids=ODD)
def test_what_can_be_read_in_two_ways_or_none_is_refused(
    owner: Caller, path: str, odd: bytes
) -> None:
    answer = owner.send("POST", path, data=odd, content_type="application/json")

    assert (answer.status_code, answer.json["code"]) == (400, "unreadable-body")
    assert len(answer.data) < 2000


NASTY = {
    "infinite": "1e999",
    "too many digits": "9" * 300,
    "deep": "[" * 900 + "]" * 900,
    "deep object": '{"a":' * 900 + "1" + "}" * 900,
    "half a pair": r'"\ud800"',
    "half a pair in a name": r'{"\udfff":1}',
    "nobody's sign": r'"\uffff"',
    "long": '"' + "x" * 900_000 + '"',
    "many": "[" + ",".join(["{}"] * 60_000) + "]",
    "many words": "[" + ",".join(['"x"'] * 200_000) + "]",
}


@ONE_DATABASE
@pytest.mark.parametrize("nasty", NASTY.values(), ids=NASTY)
def test_no_member_of_any_body_breaks_the_service(
    owner: Caller, one_of_each: dict[str, int], nasty: str
) -> None:
    """Each member of each body in turn is such a thing; the answer is a refusal and a short one."""
    for method, path, body in BODIES:
        address = path.removeprefix("/api/v1").format_map(one_of_each)
        for member in body:
            text = json.dumps({**body, member: "NASTY"}).replace('"NASTY"', nasty)
            answer = owner.send(
                method.upper(), address, data=text, content_type="application/json",
                headers={"If-Match": '"1"'},
            )  # fmt: skip
            told = f"{method} {path} {member} {answer.get_data(as_text=True)[:300]}"
            assert 400 <= answer.status_code < 500, told
            assert len(answer.data) < 50_000, told


def test_a_list_is_counted_before_it_is_read(owner: Caller) -> None:
    body = {"name": "Whistle", "ports": [{}] * 200_000}

    answer = owner.post("/parts", body | {"commission_id": 1})
    assert list(answer.json["errors"]) == ["ports"]


def test_the_faults_of_one_body_are_told_up_to_a_hundred(owner: Caller) -> None:
    answer = owner.post("/customers", {"n" * 5000 + str(number): 1 for number in range(190)})

    assert answer.status_code == 422
    assert len(answer.data) < 50_000


# The write lock


@pytest.fixture(params=DATABASES)
def own(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Flask]:
    """The application on a database of the test's own, where transactions really begin and end."""
    database = Database(make_engine(make_address(request.param, request, tmp_path)))
    migrate(database)
    yield create_app(Settings(data=tmp_path / "data"), database)
    database.dispose()


class Watch:
    """What happened in which order: a piece of the body read, a write begun, a write ended."""

    def __init__(self, app: Flask) -> None:
        self.happened: list[str] = []
        self.held: list[float] = []
        bind = app.extensions["clackbox"].database.bind
        event.listen(bind, "begin", self._begun)
        event.listen(bind, "commit", self._ended)
        event.listen(bind, "rollback", self._ended)

    def body(self, data: bytes) -> "WatchedBody":
        return WatchedBody(data, self.happened)

    def _begun(self, connection: sa.Connection) -> None:
        if not connection.get_execution_options().get("readonly"):
            self.happened.append("begin")
            self._since = time.perf_counter()

    def _ended(self, connection: sa.Connection) -> None:
        if not connection.get_execution_options().get("readonly"):
            self.happened.append("end")
            self.held.append(time.perf_counter() - self._since)


class WatchedBody(io.BytesIO):
    """A body that tells when it is read."""

    def __init__(self, data: bytes, happened: list[str]) -> None:
        super().__init__(data)
        self.happened = happened

    def read(self, *size: Any) -> bytes:
        self.happened.append("read")
        return super().read(*size)

    def readinto(self, buffer: Any) -> int:
        self.happened.append("read")
        return super().readinto(buffer)


def send(caller: Caller, path: str, body: Any, **headers: str) -> Any:
    size = len(body.getvalue())
    return caller.send(
        "POST", path, input_stream=body, content_length=size, headers=headers,
        content_type="application/json",
    )  # fmt: skip


def entry(caller: Caller, **more: Any) -> bytes:
    customer = caller.make("/customers", {"name": "M"})
    commission = caller.make("/commissions", {"customer_id": customer["id"], "title": "T"})
    own = {"commission_id": commission["id"], "text": "Drilled."}
    return json.dumps(own | more).encode()


@pytest.mark.parametrize("key", [{}, {"Idempotency-Key": "k"}], ids=["no key", "key"])
def test_a_body_is_read_and_understood_before_the_lock_is_taken(own: Flask, key: dict) -> None:
    caller = make_caller(own, Scope.BENCH)
    good = entry(make_caller(own, Scope.OWNER), text="x" * 10_000)
    watch = Watch(own)

    assert send(caller, "/progress", watch.body(good.ljust(LARGEST_JSON)), **key).status_code == 201
    assert watch.happened[0] == "read"
    assert watch.happened[-2:] == ["begin", "end"]
    assert watch.happened.count("begin") == 1


REFUSED = {
    "a wrong member": (b'{"colour":"blue"}', 422),
    "a long text": (b'{"commission_id":1,"text":"' + b"x" * 900_000 + b'"}', 422),
    "no JSON": (b" " * LARGEST_JSON, 400),
    "a larger one": (b" " * (LARGEST_JSON + 1), 413),
}


@pytest.mark.parametrize(("data", "status"), REFUSED.values(), ids=REFUSED)
def test_what_is_refused_for_its_body_takes_no_lock(own: Flask, data: bytes, status: int) -> None:
    caller = make_caller(own, Scope.BENCH)
    watch = Watch(own)

    answer = send(caller, "/progress", watch.body(data), **{"Idempotency-Key": "k"})
    assert answer.status_code == status
    assert "begin" not in watch.happened


def test_no_body_is_read_for_a_stranger(own: Flask) -> None:
    calculator, stranger = make_caller(own, Scope.CALCULATE), Caller(own.test_client(), None)
    watch = Watch(own)

    for caller, status in ((stranger, 401), (calculator, 403)):
        answer = send(caller, "/progress", watch.body(b"{}"), **{"Idempotency-Key": "k"})
        assert answer.status_code == status
    assert watch.happened == []


def test_the_lock_is_held_no_longer_for_a_large_body_than_for_a_small_one(own: Flask) -> None:
    caller = make_caller(own, Scope.OWNER)
    small = entry(caller)
    digits = b'"day": "2026-11-12"'
    large = small[:-1] + b"," + digits.rjust(LARGEST_JSON - len(small) - 1) + b"}"
    watch = Watch(own)

    held = {}
    for name, body in (("small", small), ("large", large)) * 5:
        assert send(caller, "/progress", watch.body(body)).status_code == 201
        held[name] = min(held.get(name, 1e9), watch.held[-1])
    assert held["large"] < 5 * held["small"]


def test_an_answer_that_was_kept_is_given_again_without_the_lock(own: Flask) -> None:
    caller, key = make_caller(own, Scope.OWNER), {"Idempotency-Key": "k"}
    body = entry(caller)
    first = send(caller, "/progress", io.BytesIO(body), **key)
    watch = Watch(own)

    again = send(caller, "/progress", watch.body(body), **key)
    assert (again.status_code, again.data) == (201, first.data)
    assert again.headers["Idempotency-Replayed"] == "true"
    other = send(caller, "/progress", watch.body(body + b" "), **key)
    assert (other.status_code, other.json["code"]) == (409, "key-reused")
    assert "begin" not in watch.happened


def test_an_answer_that_was_kept_is_given_though_its_body_would_be_refused_now(
    own: Flask, tmp_path: Path
) -> None:
    table = tmp_path / "data" / "tables" / "threads.csv"
    table.parent.mkdir(parents=True)
    table.write_text(
        "designation,family,form,diameter,unit,pitch,threads_per_inch,source\n"
        f"{THREAD},own,55,7/16,in,,24,measured on the bench\n"
    )
    caller = make_caller(create_app(Settings(data=tmp_path / "data"),
                                    own.extensions["clackbox"].database), Scope.OWNER)  # fmt: skip
    body = json.loads(entry(caller))
    body = {
        "commission_id": body["commission_id"], "name": "Union",
        "ports": [{"name": "end", "gender": "male", "thread": THREAD}],
    }  # fmt: skip
    first = caller.post("/parts", body, headers={"Idempotency-Key": "k"})
    assert first.status_code == 201
    table.write_text(table.read_text().splitlines()[0] + "\n")
    time.sleep(LOOK_EVERY)

    assert caller.post("/parts", body).status_code == 422
    again = caller.post("/parts", body, headers={"Idempotency-Key": "k"})
    assert (again.status_code, again.data) == (201, first.data)
