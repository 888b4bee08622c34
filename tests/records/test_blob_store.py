"""Blobs are kept whole, once, under the name of their content."""

import hashlib
from concurrent.futures import ThreadPoolExecutor

import pytest

from service.records.blobs import BlobStore

ABSENT = "0" * 64


@pytest.fixture
def store(tmp_path):
    return BlobStore(tmp_path / "blobs")


def files_of(store):
    return [path for path in store.folder.rglob("*") if path.is_file()]


def test_what_was_put_is_read_back_under_the_hash_of_its_content(store):
    name = store.put(b"a photograph")

    assert name == hashlib.sha256(b"a photograph").hexdigest()
    assert store.read(name) == b"a photograph"
    assert store.exists(name)
    assert store.path(name) == store.folder / name[:2] / name[2:4] / name


def test_the_same_content_is_kept_once_and_nothing_is_left_beside_it(store):
    names = {store.put(b"twice"), store.put(b"twice")}

    assert files_of(store) == [store.path(*names)]


def test_many_writers_of_one_blob_do_not_hinder_each_other(store):
    data = b"x" * 500_000
    with ThreadPoolExecutor(8) as writers:
        names = set(writers.map(store.put, [data] * 32))

    assert len(names) == 1
    assert files_of(store) == [store.path(*names)]
    assert store.read(*names) == data


def test_an_absent_blob_is_told_as_a_file_that_is_not_there(store):
    assert not store.exists(ABSENT)
    with pytest.raises(FileNotFoundError):
        store.read(ABSENT)


def test_a_write_that_fails_leaves_nothing_behind(store):
    name = hashlib.sha256(b"no room").hexdigest()
    place = store.path(name)
    place.parent.parent.mkdir(parents=True)
    place.parent.write_bytes(b"a file where the folder should be")

    with pytest.raises(FileExistsError):
        store.put(b"no room")

    assert files_of(store) == [place.parent]


def test_a_move_that_fails_takes_its_half_file_away(store):
    name = hashlib.sha256(b"blocked").hexdigest()
    store.path(name).mkdir(parents=True)  # no file can be moved onto a folder

    with pytest.raises(OSError, match="directory"):
        store.put(b"blocked")

    assert files_of(store) == []


@pytest.mark.parametrize(
    "name", ["", "ab", "../../etc/passwd", "0" * 63, "0" * 65, "A" * 64, "0" * 64 + "\n", "g" * 64]
)
def test_a_name_that_is_no_hash_is_refused(store, name):
    for ask in (store.path, store.read, store.exists):
        with pytest.raises(ValueError, match="64 small hexadecimal digits"):
            ask(name)
