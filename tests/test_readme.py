"""Every command in the README runs, in its order, against a server that `try.sh` started."""

import os
import re
import signal
import socket
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import fields
from pathlib import Path

import pytest

from service.settings import Settings

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text()
BLOCKS = re.findall(r"^```sh\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
TRY, TEST, *TOUR = BLOCKS


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """The environment of a person who has just run the README's first command."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    home = tmp_path_factory.mktemp("readme")
    environment = {
        **{key: value for key, value in os.environ.items() if not key.startswith("CLACKBOX_")},
        "CLACKBOX_DATA": str(home / "data"),
        "CLACKBOX_PORT": str(port),
        "BENCH_SPOOL": str(home / "spool"),
        "BENCH_SETTINGS": str(home / "bench.ini"),
    }
    with (
        (home / "log").open("w") as log,
        subprocess.Popen(
            ["sh", "-c", TRY], cwd=ROOT, env=environment, stdout=log, stderr=log,
            start_new_session=True,
        ) as server,
    ):  # fmt: skip
        try:
            wait_for(f"http://127.0.0.1:{port}/health", server)
            yield environment
        finally:
            with suppress(ProcessLookupError):  # it may have ended by itself, which a test tells
                os.killpg(server.pid, signal.SIGTERM)


def wait_for(address: str, server: subprocess.Popen[bytes]) -> None:
    for _ in range(1200):
        try:
            urllib.request.urlopen(address, timeout=5).read()
            return
        except (urllib.error.URLError, ConnectionError):
            assert server.poll() is None, "try.sh ended before it served"
            time.sleep(0.1)
    raise AssertionError("try.sh never served")


def test_the_two_commands_are_the_two_scripts() -> None:
    # The second one is what runs this test, so it is named here and not run again.
    assert TRY.strip() == "sh deploy/try.sh"
    assert TEST.strip() == "sh deploy/test.sh"
    assert (ROOT / "deploy/try.sh").exists()
    assert (ROOT / "deploy/test.sh").exists()


def test_the_tour_runs_as_it_stands(served: dict[str, str]) -> None:
    tour = "\n".join(["set -eux", *TOUR]).replace("curl -s ", "curl -sS --fail-with-body ")

    done = subprocess.run(
        ["bash", "-c", tour], cwd=ROOT, env=served, capture_output=True, text=True, timeout=120
    )

    assert done.returncode == 0, done.stdout + done.stderr
    assert '"ready":true' in done.stdout
    assert '"goes_with_care"' in done.stdout
    assert '"engines"' in done.stdout
    assert (Path(served["CLACKBOX_DATA"]) / "backups").exists()


def test_a_second_one_leaves_the_first_alone(served: dict[str, str]) -> None:
    log = (Path(served["CLACKBOX_DATA"]).parent / "log").read_text()
    (link,) = re.findall(r"http://\S+/r/\S+", log)

    second = subprocess.run(
        ["sh", "-c", TRY], cwd=ROOT, env=served, capture_output=True, text=True, timeout=120
    )
    subprocess.run(["sh", "deploy/try.sh", "--once"], cwd=ROOT, env=served, check=True, timeout=120)

    assert second.returncode == 1
    assert second.stdout == ""
    assert second.stderr.count("already serves at http://127.0.0.1:") == 1
    assert urllib.request.urlopen(link, timeout=30).status == 200


def test_every_setting_stands_in_the_table() -> None:
    table = set(re.findall(r"^\| `(CLACKBOX_[A-Z_]+)`", README, re.MULTILINE))

    assert table == {f"CLACKBOX_{field.name.upper()}" for field in fields(Settings)}
