"""The data folder is closed to the other users of the machine, what lies in it already too."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from service.records.private_files import close_to_others

pytestmark = pytest.mark.skipif(os.name == "nt", reason="rights are those of POSIX")


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def run(data: Path, *words: str, umask: int = 0o000) -> str:
    """One command in a process of its own, on a machine whose habit is to let everybody read."""
    clean = {key: text for key, text in os.environ.items() if not key.startswith("CLACKBOX_")}
    ran = subprocess.run(
        [sys.executable, "-c", "from service.cli import main; main()", *words],
        env={**clean, "CLACKBOX_DATA": str(data)}, capture_output=True, text=True, check=True,
        umask=umask,
    )  # fmt: skip
    return ran.stdout


def test_whatever_is_written_is_its_owners_alone(tmp_path: Path) -> None:
    data = tmp_path / "new" / "data"
    run(data, "migrate")
    run(data, "demo")
    run(data, "backup")

    found = [data, *data.rglob("*")]
    assert {path.suffix for path in found} >= {".sqlite", ".pdf", ".zip"}
    assert len([path for path in found if path.parent.parent.parent.name == "blobs"]) >= 3
    assert [(path, oct(rights(path))) for path in found if rights(path) & 0o077] == []


def test_what_lay_open_is_closed(tmp_path: Path) -> None:
    data = tmp_path / "data"
    blob = data / "blobs" / "ab" / "cd" / "x"
    blob.parent.mkdir(parents=True)
    ours = [data / "clackbox.sqlite", data / "clackbox.sqlite-wal", data / "clackbox.sqlite-shm",
            blob, data / "26-014-progress-report.pdf"]  # fmt: skip
    for path in ours:
        path.touch(0o666)
        path.chmod(0o666)
    folders = [data, data / "blobs", data / "blobs" / "ab", blob.parent]
    for path in folders:
        path.chmod(0o777)
    strange = data / "somebody's own"
    strange.touch()
    strange.chmod(0o644)

    assert close_to_others(data) == []
    assert [oct(rights(path)) for path in ours] == ["0o600"] * len(ours)
    assert [oct(rights(path)) for path in folders] == ["0o700"] * len(folders)
    assert rights(strange) == 0o644  # it is out of reach behind the folder, and not ours to change


def test_a_link_to_elsewhere_is_not_followed(tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.touch()
    elsewhere.chmod(0o644)
    (tmp_path / "data" / "blobs").mkdir(parents=True)
    (tmp_path / "data" / "blobs" / "x").symlink_to(elsewhere)

    close_to_others(tmp_path / "data")

    assert rights(elsewhere) == 0o644


def test_a_folder_that_many_share_is_left_and_told_of(tmp_path: Path) -> None:
    tmp_path.chmod(0o1777)

    told = close_to_others(tmp_path)

    assert len(told) == 1
    assert str(tmp_path) in told[0]
    assert rights(tmp_path) == 0o1777


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="needs another user")
def test_what_cannot_be_closed_is_told_of(tmp_path: Path) -> None:
    """A folder of another user's: the service serves, and says who can read it."""
    data = tmp_path / "data"
    data.mkdir()
    data.chmod(0o777)
    for parent in (tmp_path, *tmp_path.parents[:-2]):
        parent.chmod(parent.stat().st_mode | 0o055)
    asked = (
        "import os, pathlib, sys; from service.records.private_files import close_to_others; "
        "os.setuid(65534); print(close_to_others(pathlib.Path(sys.argv[1])))"
    )
    told = subprocess.run(
        [sys.executable, "-c", asked, str(data)], capture_output=True, text=True, check=True
    ).stdout

    assert "other users" in told
    assert rights(data) == 0o777
