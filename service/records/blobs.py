"""Blobs: files named by the SHA-256 of their content, so a file once written never changes.

A blob is put inside the transaction whose row names it, after the row: what is refused leaves no
file behind, and what was committed has its file. `sweeping` relies on that order.
"""

import hashlib
import os
import re
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from service.records.errors import FileMissing
from service.records.hindrances import telling_hindrances

TRIED = 65_536  # bytes that are written to see whether it can be done
_NAME = re.compile(r"[0-9a-f]{64}")


def name_blob(data: bytes) -> str:
    """The name under which a store keeps `data`."""
    return hashlib.sha256(data).hexdigest()


@dataclass(frozen=True, slots=True)
class BlobStore:
    """A folder of files `ab/cd/<sha256>`; any number of processes may put and read at once."""

    folder: Path

    def put(self, data: bytes, *, anew: bool = False) -> str:
        """Keep `data` and give its name; when this returns the file is whole and on the disk.

        What lies there already is left, unless it is to be written `anew`.
        """
        name = name_blob(data)
        with telling_hindrances():
            if anew or not (self.exists(name) and _make_young(self.path(name))):
                _write_whole(self.path(name), data)
        return name

    def read(self, sha256: str) -> bytes:
        """The bytes of a blob; `FileMissing` where there is none."""
        try:
            return self.path(sha256).read_bytes()
        except FileNotFoundError:
            raise FileMissing(sha256) from None

    def try_writing(self) -> None:
        """Write a file and take it back; raise what hinders it."""
        with telling_hindrances():
            self.folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=self.folder) as file:
                file.write(bytes(TRIED))

    def exists(self, sha256: str) -> bool:
        """Whether a blob of this name is kept."""
        return self.path(sha256).is_file()

    def is_whole(self, sha256: str) -> bool:
        """Whether a blob is kept and is still what it was."""
        try:
            return name_blob(self.read(sha256)) == sha256
        except OSError:
            return False

    def all(self) -> Iterator[str]:
        """The name of every blob that is kept; a file still being written is not among them."""
        for place in sorted(self.folder.glob("??/??/*")):
            if _NAME.fullmatch(place.name):
                yield place.name

    def put_before(self, moment: float) -> set[str]:
        """The names of the blobs that were last put before `moment`, in seconds of the epoch."""
        return {name for name in self.all() if _is_older(self.path(name), moment)}

    def drop(self, sha256: str) -> None:
        """Take a blob away."""
        self.path(sha256).unlink(missing_ok=True)

    def drop_unfinished(self, moment: float) -> None:
        """Take away what a crash left half-written before `moment`."""
        for place in self.folder.glob("??/??/.*.part"):
            if _is_older(place, moment):
                place.unlink(missing_ok=True)

    def path(self, sha256: str) -> Path:
        """Where the blob lies, or would lie; `ValueError` for a name that is no SHA-256."""
        if not _NAME.fullmatch(sha256):
            raise ValueError(f"{sha256!r} is not the name of a blob: 64 small hexadecimal digits")
        return self.folder / sha256[:2] / sha256[2:4] / sha256


def _write_whole(place: Path, data: bytes) -> None:
    """Write beside the place, then move: a reader sees nothing or all of it."""
    _make_folder(place.parent)
    handle, beside = tempfile.mkstemp(dir=place.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, place)
    except BaseException:
        os.unlink(beside)
        raise
    settle_folder(place.parent)


def _make_folder(folder: Path) -> None:
    """Make the folder and what it lies in, each of them on the disk."""
    if not folder.is_dir():
        _make_folder(folder.parent)
        folder.mkdir(exist_ok=True)
        settle_folder(folder.parent)


def _make_young(place: Path) -> bool:
    """Let a blob that is put again count as just put; False where it was swept meanwhile."""
    try:
        os.utime(place)
    except FileNotFoundError:
        return False
    return True


def _is_older(place: Path, moment: float) -> bool:
    try:
        return place.stat().st_mtime < moment
    except FileNotFoundError:
        return False


def settle_folder(folder: Path) -> None:
    """Bring the new name itself to the disk, where the system lets a folder be opened."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
