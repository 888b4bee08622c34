"""A quarter of a minute of the mixed load that `benchmarks/soak.py` puts on for half an hour."""

from pathlib import Path

import pytest

from tests.benchmarks.soak import serve, soak
from tests.conftest import DATABASES

SECONDS = 15.0  # too short to say anything of memory


@pytest.mark.parametrize("kind", DATABASES)
def test_eight_clients_meet_no_error_and_lose_nothing(kind: str, tmp_path: Path) -> None:
    with serve(kind, tmp_path) as workshop:
        soaked = soak(workshop, seconds=SECONDS, clients=8)

    assert soaked.errors == []
    assert soaked.found == soaked.entered > 0
    assert {"read", "entry", "calculation", "page", "picture"} <= set(soaked.times)
