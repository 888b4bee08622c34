"""A plugin of pytest for the copies: the first counterexample is enough, and the same each time."""

import resource
from pathlib import Path

import pytest
from hypothesis import Phase, settings

ROOM = 8 * 2**30
"""Address space of one run [bytes]: an endless loop that hoards is to stop before the machine."""

resource.setrlimit(resource.RLIMIT_AS, (ROOM, ROOM))
settings.register_profile(
    "mutants", deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate)
)


def pytest_sessionstart() -> None:
    """Refuse to judge a mutant by another checkout's code."""
    import service

    if not Path(str(service.__file__)).is_relative_to(Path.cwd()):
        raise pytest.UsageError(f"The copy does not win: {service.__file__}")
