"""Damaged, doctored and newer backups: each is refused in one sentence, and nothing changes."""

import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from service.records.backups.holdings import Holdings
from service.records.backups.restoring import check_backup, restore
from service.records.backups.writing import back_up
from service.records.errors import Refused
from tests.conftest import DATABASES, NOW
from tests.records.filled import SIGNED, contents, keep, make_filled

Members = dict[str, bytes]
Rows = list[dict[str, Any]]
Change = Callable[[Members], None]


@pytest.fixture(scope="module", params=DATABASES)
def filled(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Holdings]:
    """A filled workshop that no damaged backup changes."""
    holdings = make_filled(request.param, request, tmp_path_factory.mktemp("filled"))
    yield holdings
    holdings.database.dispose()


ONE_KIND = pytest.mark.parametrize("filled", DATABASES[:1], indirect=True)
"""A check asks no database of the workshop's."""


@pytest.fixture(scope="module")
def whole(filled: Holdings, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The bytes of a good backup."""
    path = tmp_path_factory.mktemp("whole") / "backup.zip"
    back_up(filled, path, now=NOW)
    return path.read_bytes()


def unpack(data: bytes) -> Members:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def pack(members: Members) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return file.getvalue()


def doctor(change: Change, *, sealed: bool = False) -> Callable[[bytes], bytes]:
    """Change the members; `sealed` also makes the manifest agree, as a clever hand would."""

    def spoil(data: bytes) -> bytes:
        members = unpack(data)
        change(members)
        if sealed:
            seal(members)
        return pack(members)

    return spoil


def seal(members: Members) -> None:
    manifest = json.loads(members["manifest.json"])
    tables = {name: data for name, data in members.items() if name.startswith("tables/")}
    manifest["rows"] = {
        name[len("tables/") : -len(".jsonl")]: data.count(b"\n") for name, data in tables.items()
    }
    manifest["digests"] = {
        name: hashlib.sha256(data).hexdigest()
        for name, data in members.items()
        if not name.startswith("blobs/") and name != "manifest.json"
    }
    members["manifest.json"] = json.dumps(manifest).encode()


def rewrite(table: str, change: Callable[[Rows], None]) -> Change:
    def apply(members: Members) -> None:
        member = f"tables/{table}.jsonl"
        rows = [json.loads(line) for line in members[member].splitlines()]
        change(rows)
        members[member] = b"".join(json.dumps(row).encode() + b"\n" for row in rows)

    return apply


def in_manifest(**changes: Any) -> Change:
    def apply(members: Members) -> None:
        manifest = json.loads(members["manifest.json"])
        for name, value in changes.items():
            manifest[name] = value(manifest[name]) if callable(value) else value
        members["manifest.json"] = json.dumps(manifest).encode()

    return apply


def drop(member: str) -> Change:
    return lambda members: members.pop(member) and None


def put(member: str, data: bytes) -> Change:
    return lambda members: members.update({member: data})


def first_blob(members: Members) -> str:
    return next(name for name in members if name.startswith("blobs/"))


def drop_table(members: Members) -> None:
    members.pop("tables/movements.jsonl")
    in_manifest(tables=lambda tables: {k: v for k, v in tables.items() if k != "movements"})(
        members
    )


def drop_column(members: Members) -> None:
    def less(rows: Rows) -> None:
        for row in rows:
            row.pop("phone")

    rewrite("customers", less)(members)
    columns = json.loads(members["manifest.json"])["tables"]
    columns["customers"].pop("phone")
    in_manifest(tables=columns)(members)


def swap_blobs(members: Members) -> None:
    one, two = [name for name in members if name.startswith("blobs/")][:2]
    members[one], members[two] = members[two], members[one]


def set_first(column: str, value: Any) -> Callable[[Rows], None]:
    return lambda rows: rows[0].update({column: value})


def flip(data: bytes) -> bytes:
    spoilt = bytearray(data)
    spoilt[len(data) // 3] ^= 0xFF
    return bytes(spoilt)


def twice(data: bytes) -> bytes:
    file = io.BytesIO(data)
    with pytest.warns(UserWarning, match="Duplicate"), zipfile.ZipFile(file, "a") as archive:
        archive.writestr("tables/customers.jsonl", b"")
    return file.getvalue()


TOKEN = {
    "id": 99, "name": "nobody's", "scope": "owner", "hash": "0" * 64,
    "created_at": NOW.isoformat(), "expires_at": None, "revoked_at": None,
}  # fmt: skip

DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    # The file
    "no zip": lambda _: b"no zip at all",
    "empty": lambda _: b"",
    "cut at the end": lambda data: data[:-200],
    "cut in half": lambda data: data[: len(data) // 2],
    "a bit turned": flip,
    "zeros at the end": lambda data: data[:-100] + bytes(100),
    "one name twice": twice,
    "an empty zip": lambda _: pack({}),
    # The manifest
    "no manifest": doctor(drop("manifest.json")),
    "half a manifest": doctor(put("manifest.json", b'{"format": 2, "rev')),
    "a manifest of numbers": doctor(put("manifest.json", b"[1, 2]")),
    "a nested manifest": doctor(put("manifest.json", b"[" * 100_000)),
    "a huge manifest": doctor(put("manifest.json", b" " * 1_000_001)),
    "another form": doctor(in_manifest(format=3)),
    "a newer release": doctor(in_manifest(revision="ffffffffffff")),
    "a revision of a path": doctor(in_manifest(revision="../../etc")),
    "an unknown kind of column": doctor(
        in_manifest(tables=lambda tables: tables | {"parts": {"id": "pickle"}})
    ),
    "a digest less": doctor(
        in_manifest(digests=lambda told: {k: v for k, v in told.items() if "parts" not in k})
    ),
    # Its members
    "a table gone": doctor(drop("tables/parts.jsonl")),
    "a table gone and not told of": doctor(drop_table, sealed=True),
    "a column gone and not told of": doctor(drop_column, sealed=True),
    "a strange member": doctor(put("tables/../../evil.sh", b"rm")),
    "a strange table": doctor(put("tables/spies.jsonl", b"")),
    "a strange tool": doctor(put("kit/evil.csv", b""), sealed=True),
    "a tool changed": doctor(put("kit/shims.csv", b"thickness\n5 mm\n")),
    # Its rows
    "a token added": doctor(rewrite("tokens", lambda rows: rows.append(TOKEN))),
    "a row gone": doctor(rewrite("labour_entries", lambda rows: rows.pop() and None)),
    "a row twice": doctor(rewrite("customers", lambda rows: rows.append(rows[0])), sealed=True),
    "a broken row": doctor(put("tables/labour_entries.jsonl", b'{"id": 1}\n{"bro'), sealed=True),
    "a row of another table": doctor(put("tables/customers.jsonl", b'{"id": 1}\n'), sealed=True),
    "money that is none": doctor(
        rewrite("commissions", set_first("hourly_rate", "much")), sealed=True
    ),
    "money that is too exact": doctor(
        rewrite("commissions", set_first("hourly_rate", "1.234")), sealed=True
    ),
    "a moment without its offset": doctor(
        rewrite("customers", set_first("created_at", "2026-11-12T10:00:00")), sealed=True
    ),
    "a stage that is none": doctor(rewrite("commissions", set_first("stage", "lost")), sealed=True),
    "a number that is a word": doctor(rewrite("parts", set_first("quantity", "two")), sealed=True),
    "a parent that is not there": doctor(
        rewrite("commissions", set_first("customer_id", 4711)), sealed=True
    ),
    "a name that must be": doctor(rewrite("customers", set_first("name", None)), sealed=True),
    "an endless row": doctor(
        put("tables/customers.jsonl", b'{"id": "' + b"x" * 16_000_001 + b'"}\n'), sealed=True
    ),
    # Its pictures
    "a picture gone": doctor(lambda members: members.pop(first_blob(members)) and None),
    "a picture swapped": doctor(swap_blobs),
    "a picture cut": doctor(lambda members: put(first_blob(members), b"\xff\xd8")(members)),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_backup_is_refused_and_nothing_changes(
    filled: Holdings, whole: bytes, tmp_path: Path, damage: str
) -> None:
    source = tmp_path / "backup.zip"
    source.write_bytes(DAMAGES[damage](whole))
    before, pictures = contents(filled.database), sorted(filled.blobs.all())
    # A picture that is here still need not be in the backup; so nothing is kept of this one.
    poorer = Holdings(
        filled.database, keep(filled.database, tmp_path / "data").blobs, filled.tables,
        tmp_path / "backups",
    )  # fmt: skip

    with pytest.raises(Refused) as refusal:
        restore(poorer, source, overwrite=True, issued=0, signed=SIGNED)

    told = refusal.value.message
    assert told.count(". ") == 0, told
    assert "\n" not in told
    assert contents(filled.database) == before
    assert sorted(filled.blobs.all()) == pictures
    assert list(poorer.blobs.all()) == []
    assert [path.name for path in filled.tables.iterdir()] == ["shims.csv"]


@ONE_KIND
@pytest.mark.parametrize("damage", [name for name in DAMAGES if name != "a picture gone"])
def test_a_check_finds_the_same_without_a_database(
    whole: bytes, tmp_path: Path, damage: str
) -> None:
    source = tmp_path / "backup.zip"
    source.write_bytes(DAMAGES[damage](whole))

    with pytest.raises(Refused):
        check_backup(source)


def test_there_are_as_many_as_were_once_tried() -> None:
    assert len(DAMAGES) >= 34


@ONE_KIND
def test_the_good_one_is_whole(whole: bytes, tmp_path: Path) -> None:
    """Packing it anew spoils nothing, so that it is the damage that is refused."""
    for data in (whole, pack(unpack(whole)), doctor(lambda _: None, sealed=True)(whole)):
        source = tmp_path / "backup.zip"
        source.write_bytes(data)
        assert check_backup(source).missing == []
