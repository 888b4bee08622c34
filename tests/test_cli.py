"""The command line, run as a person runs it: in its own process, on a data folder of its own."""

import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

COMMAND = Path(sys.executable).parent / "clackbox"


def run(data: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    clean = {key: value for key, value in os.environ.items() if not key.startswith("CLACKBOX_")}
    return subprocess.run(
        [COMMAND, *words],
        env={**clean, "CLACKBOX_DATA": str(data), **environment},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    data = tmp_path_factory.mktemp("filled")
    assert run(data, "migrate").returncode == 0
    assert run(data, "demo").returncode == 0
    return data


def test_migrating_twice_changes_nothing(tmp_path: Path) -> None:
    first, second = run(tmp_path, "migrate"), run(tmp_path, "migrate")

    assert "was empty" in first.stdout
    assert second.returncode == 0
    assert "was" not in second.stdout


def test_serving_an_unmigrated_database_says_what_to_do(tmp_path: Path) -> None:
    refused = run(tmp_path, "serve")

    assert refused.returncode == 1
    assert "clackbox migrate" in refused.stderr


def test_a_token_is_printed_once_and_kept_nowhere(tmp_path: Path) -> None:
    run(tmp_path, "migrate")
    secret = run(tmp_path, "token", "create", "--scope", "bench", "--name", "phone").stdout.strip()
    listed = run(tmp_path, "token", "list").stdout

    assert len(secret) > 40
    assert "phone" in listed
    assert secret not in listed
    for file in tmp_path.rglob("clackbox.sqlite*"):
        assert secret.encode() not in file.read_bytes()


def test_a_revoked_token_is_listed_as_such(tmp_path: Path) -> None:
    run(tmp_path, "migrate")
    run(tmp_path, "token", "create", "--scope", "bench", "--name", "phone")

    assert run(tmp_path, "token", "revoke", "1").returncode == 0
    assert "revoked" in run(tmp_path, "token", "list").stdout
    assert run(tmp_path, "token", "revoke", "9").returncode == 1


@pytest.mark.parametrize("name", ["", " ", "a\nb", "a\x1b[31mb", "a\u202eb", "x" * 201])
def test_a_name_that_would_forge_a_line_of_the_list_is_refused(tmp_path: Path, name: str) -> None:
    refused = run(tmp_path, "token", "create", "--scope", "bench", "--name", name)

    assert refused.returncode == 2
    assert "--name" in refused.stderr


def test_the_list_tells_a_token_that_has_run_out(tmp_path: Path) -> None:
    run(tmp_path, "migrate")
    for name in ("lent", "kept"):
        run(tmp_path, "token", "create", "--scope", "bench", "--name", name, "--days", "1")
    with sqlite3.connect(tmp_path / "clackbox.sqlite") as connection:
        connection.execute(
            "UPDATE tokens SET expires_at = replace(expires_at, '20', '19') WHERE name = 'lent'"
        )
    connection.close()
    lent, kept = sorted(run(tmp_path, "token", "list").stdout.splitlines())

    assert "expired" in lent
    assert "live" in kept


def test_the_last_token_of_an_owner_is_revoked_here_with_a_word_of_warning(tmp_path: Path) -> None:
    run(tmp_path, "migrate")
    for name in ("one", "two"):
        run(tmp_path, "token", "create", "--scope", "owner", "--name", name)

    first, last = run(tmp_path, "token", "revoke", "1"), run(tmp_path, "token", "revoke", "2")

    assert (first.returncode, first.stderr) == (0, "")
    assert last.returncode == 0
    assert "No live token of an owner is left" in last.stderr
    assert "clackbox token create --scope owner" in last.stderr


def test_the_demo_prints_the_check_and_writes_the_report(filled: Path) -> None:
    again = run(filled, "demo")

    assert "Joints (14), worst first" in again.stdout
    assert again.stdout.index("fail") < again.stdout.index("✓ ok")
    assert (filled / "26-014-progress-report.pdf").read_bytes().startswith(b"%PDF")
    with sqlite3.connect(filled / "clackbox.sqlite") as connection:
        assert connection.execute("SELECT count(*) FROM commissions").fetchone() == (1,)
    connection.close()


def test_the_check_keeps_to_the_width_asked_for(filled: Path) -> None:
    printed = run(filled, "check", "1", "--width", "60").stdout

    assert max(len(line) for line in printed.splitlines()) <= 60
    assert run(filled, "check", "99").returncode == 1


def test_a_backup_comes_back_and_overwrites_only_when_told(filled: Path, tmp_path: Path) -> None:
    archive = tmp_path / "kept.zip"
    assert run(filled, "backup", str(archive)).returncode == 0
    assert run(filled, "backup", str(archive)).returncode == 1

    elsewhere = tmp_path / "elsewhere"
    unasked = run(elsewhere, "restore", str(archive))
    assert unasked.returncode == 1
    assert "--issued" in unasked.stderr
    assert run(elsewhere, "restore", str(archive), "--issued", "1").returncode == 0
    assert "Sandpiper plant" in run(elsewhere, "check", "1").stdout

    refused = run(elsewhere, "restore", str(archive), "--issued", "1")
    assert refused.returncode == 1
    assert "--overwrite" in refused.stderr
    again = run(elsewhere, "restore", str(archive), "--issued", "1", "--overwrite")
    assert again.returncode == 0
    assert "rows of" in again.stdout


def test_a_backup_is_checked_and_old_ones_go(filled: Path, tmp_path: Path) -> None:
    for _ in range(3):
        assert run(filled, "backup", "--keep", "2").returncode == 0
    kept = sorted((filled / "backups").glob("*.zip"))
    assert len(kept) == 2

    checked = run(filled, "backup", "--check", str(kept[0]))
    assert checked.returncode == 0
    assert "can be brought back" in checked.stdout
    (tmp_path / "half.zip").write_bytes(kept[0].read_bytes()[:-999])
    broken = run(filled, "backup", "--check", str(tmp_path / "half.zip"))
    assert broken.returncode == 1
    assert "half.zip is damaged" in broken.stderr
    assert "Traceback" not in broken.stderr


@pytest.mark.parametrize(
    "words", [("x.zip", "--keep", "3"), ("x.zip", "--check", "HERE"), ("--keep", "0")]
)
def test_words_of_a_backup_that_do_not_go_together_are_refused(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    here = tmp_path / "here.zip"
    here.write_bytes(b"")
    asked = [str(here) if word == "HERE" else word for word in words]

    assert run(tmp_path, "backup", *asked).returncode == 2
    assert not (tmp_path / "x.zip").exists()


def test_a_backup_to_a_full_disk_leaves_nothing(filled: Path, tmp_path: Path) -> None:
    """A limit on the size of files stands for a disk that is full: both stop a write half-way."""
    clean = {key: value for key, value in os.environ.items() if not key.startswith("CLACKBOX_")}
    refused = subprocess.run(
        [
            "/bin/sh",
            "-c",
            f"trap '' XFSZ; ulimit -f 200; exec {COMMAND} backup {tmp_path / 'a.zip'}",
        ],
        env={**clean, "CLACKBOX_DATA": str(filled)},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )

    assert refused.returncode == 1
    assert "cannot be written" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert list(tmp_path.iterdir()) == []


def test_the_description_is_printed_as_json(filled: Path) -> None:
    description = json.loads(run(filled, "openapi").stdout)

    assert description["openapi"].startswith("3.1")
    assert "/api/v1/plants/{plant_id}/check" in description["paths"]


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("CLACKBOX_PROT", "80", "CLACKBOX_PROT is not a setting"),
        ("CLACKBOX_PORT", "0", "1 to 65535"),
        ("CLACKBOX_PORT", "eighty", "CLACKBOX_PORT"),
        ("CLACKBOX_TIME_ZONE", "Nowhere/Atall", "CLACKBOX_TIME_ZONE"),
    ],
)
def test_a_setting_that_cannot_be_used_is_named(
    tmp_path: Path, key: str, value: str, told: str
) -> None:
    refused = run(tmp_path, "migrate", **{key: value})

    assert refused.returncode == 1
    assert told in refused.stderr
