"""Reading a backup: nothing in it is believed before it was proved."""

import hashlib
import json
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from service.records.backups.form import (
    BLOB,
    FORMAT,
    MANIFEST,
    TOOLS,
    Damaged,
    Manifest,
    Row,
    member_of,
    read_row,
)
from service.records.errors import Refused
from service.records.kit_tables import HEADINGS

LARGEST_MANIFEST = 1_000_000
LARGEST_LINE = 16_000_000
LARGEST_BLOB = 200_000_000
LARGEST_TOOL = 5_000_000

BROKEN = (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, OverflowError)
"""What a zip that is not whole may raise."""


@contextmanager
def open_backup(source: Path) -> Iterator["Backup"]:
    """A backup whose members are those that its manifest tells of; `Refused` for anything else."""
    try:
        with _open_zip(source) as archive:
            yield Backup.open(archive)
    except Damaged as problem:
        raise Damaged(f"{source.name} is damaged: {problem.message}.") from None
    except BROKEN:
        raise Damaged(f"{source.name} is damaged: it is no whole zip file.") from None


def _open_zip(source: Path) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(source)
    except OSError as problem:
        raise Refused(f"{source} cannot be read: {problem.strerror or problem}.") from None


@dataclass(frozen=True, slots=True)
class Backup:
    """An open backup; what is read of it was proved on the way."""

    archive: zipfile.ZipFile
    manifest: Manifest

    @classmethod
    def open(cls, archive: zipfile.ZipFile) -> "Backup":
        """Look at the manifest and at the list of members, but not yet into them."""
        members = {info.filename: info for info in archive.infolist()}
        if len(members) < len(archive.infolist()):
            raise Damaged("it holds one name twice")
        if any(info.flag_bits & 1 for info in members.values()):
            raise Damaged("a member of it is locked by a password")
        _cap(members.get(MANIFEST), LARGEST_MANIFEST, "manifest")
        manifest = Manifest.from_json(archive.read(MANIFEST))
        _check_members(manifest, members)
        return cls(archive, manifest)

    @property
    def blobs(self) -> list[str]:
        """The names of its blobs."""
        found = (BLOB.fullmatch(name) for name in self.archive.namelist())
        return [match[1] for match in found if match]

    @property
    def tools(self) -> list[str] | None:
        """The files of the kit; None in an older backup, which says nothing of them."""
        if self.manifest.format < FORMAT:
            return None
        found = (TOOLS.fullmatch(name) for name in self.archive.namelist())
        return [match[1] for match in found if match]

    def size(self, pattern: str) -> int:
        """Bytes that members of a kind unpack to."""
        infos = self.archive.infolist()
        return sum(info.file_size for info in infos if info.filename.startswith(pattern))

    def prove(self) -> None:
        """Read all of it once."""
        for table in self.manifest.tables:
            for _ in self.rows(table):
                pass
        self.prove_files()

    def prove_files(self) -> None:
        """Read every blob and every table of the kit once."""
        for blob in self.blobs:
            self.read_blob(blob)
        for tool in self.tools or ():
            self.read_tool(tool)

    def rows(self, table: str) -> Iterator[Row]:
        """The rows of a table; the last is followed by the proof that they were all of them."""
        member, types = member_of(table), self.manifest.tables[table]
        digest, count = hashlib.sha256(), 0
        with self.archive.open(member) as lines:
            for line in _lines_of(lines):
                digest.update(line)
                count += 1
                yield read_row(line, types)
        self._compare(member, digest.hexdigest())
        if self.manifest.rows is not None and self.manifest.rows[table] != count:
            raise Damaged(f"rows of {table} are missing or too many")

    def read_blob(self, name: str) -> bytes:
        """The bytes of a blob, which must be those that it is named after."""
        data = self.archive.read(f"blobs/{name}")
        if hashlib.sha256(data).hexdigest() != name:
            raise Damaged("a picture or paper in it is not the one it is named after")
        return data

    def read_tool(self, name: str) -> bytes:
        """One of the workshop's own tables."""
        data = self.archive.read(f"kit/{name}")
        self._compare(f"kit/{name}", hashlib.sha256(data).hexdigest())
        return data

    def _compare(self, member: str, digest: str) -> None:
        if self.manifest.digests is not None and self.manifest.digests.get(member) != digest:
            raise Damaged(f"{member} was changed after it was made")


def _lines_of(file: IO[bytes]) -> Iterator[bytes]:
    while line := file.readline(LARGEST_LINE + 1):
        if len(line) > LARGEST_LINE:
            raise Damaged("a row of it is larger than any row can be")
        yield line


def _check_members(manifest: Manifest, members: dict[str, zipfile.ZipInfo]) -> None:
    """Each member must be one that the manifest tells of, each that it tells of must be there."""
    expected = {MANIFEST, *map(member_of, manifest.tables)}
    if manifest.digests is not None:
        expected |= manifest.digests.keys()
    if missing := sorted(expected - members.keys()):
        raise Damaged(f"{missing[0]} is missing from it")
    for name, info in members.items():
        if BLOB.fullmatch(name):
            _cap(info, LARGEST_BLOB, "picture or paper")
        elif name not in expected or ((tool := TOOLS.fullmatch(name)) and tool[1] not in HEADINGS):
            raise Damaged(f"it holds {json.dumps(name[:60])}, of which its manifest does not tell")
        elif TOOLS.fullmatch(name):
            _cap(info, LARGEST_TOOL, "table of the kit")


def _cap(info: zipfile.ZipInfo | None, most: int, what: str) -> None:
    if info is None:
        raise Damaged(f"its {what} is missing")
    if info.file_size > most:
        raise Damaged(f"a {what} in it is larger than any can be")
