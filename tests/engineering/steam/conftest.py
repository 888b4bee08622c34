"""Steam tests: the property library loads once, outside any test that is timed."""

import pytest

from service.engineering.steam.properties import vapour_volume


@pytest.fixture(scope="session", autouse=True)
def _loaded_properties() -> None:
    vapour_volume(1e5)
