"""What an installation is when nothing is said, and what may be said."""

from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from service.settings import Settings, SettingsError


def read(**keys: str) -> Settings:
    return Settings.from_environment(
        {f"CLACKBOX_{key.upper()}": text for key, text in keys.items()}
    )


def test_nothing_said_is_a_workshop_on_its_own_machine(tmp_path: Path) -> None:
    plain = read(data=str(tmp_path))

    assert (plain.host, plain.port) == ("127.0.0.1", 8361)
    assert plain.base_address == "http://127.0.0.1:8361"
    assert plain.largest_upload == 20_000_000
    assert plain.time_zone == ZoneInfo("UTC")
    assert plain.trusted_hosts == ()
    assert plain.proxies == ()
    assert plain.log_level == "info"
    assert plain.database_address == f"sqlite:///{tmp_path / 'clackbox.sqlite'}"


@pytest.mark.parametrize("port", ["1", "65535"])
def test_a_port_lies_between_its_ends(port: str) -> None:
    assert read(port=port).port == int(port)


@pytest.mark.parametrize("port", ["0", "65536", "-1", "80.5", ""])
def test_what_is_no_port_is_refused(port: str) -> None:
    with pytest.raises(SettingsError):
        read(port=port)


def test_what_is_said_is_taken(tmp_path: Path) -> None:
    said = read(
        data=str(tmp_path), database="postgresql+psycopg://x/y", public_address="https://a.example/",
        trusted_hosts="a.example, b.example c.example", time_zone="Europe/London",
        largest_upload="5", log_level="WARNING", proxies="127.0.0.1, ::1 192.0.2.7",
    )  # fmt: skip

    assert said.database_address == "postgresql+psycopg://x/y"
    assert said.base_address == "https://a.example"
    assert said.trusted_hosts == ("a.example", "b.example", "c.example")
    assert said.time_zone == ZoneInfo("Europe/London")
    assert said.largest_upload == 5
    assert said.log_level == "warning"
    assert said.proxies == ("127.0.0.1", "::1", "192.0.2.7")


@pytest.mark.parametrize(
    "keys",
    [{"colour": "red"}, {"time_zone": ""}, {"largest_upload": "many"}, {"log_level": "loud"},
     {"log_level": ""}, {"proxies": "proxy.example"}, {"proxies": "*"}, {"proxies": "10.0.0.0/8"},
     {"public_address": "works.example"}, {"public_address": "ftp://works.example"},
     {"public_address": "https://a.example/?x"}, {"public_address": "https://a b"},
     {"public_address": "https://you@a.example"}],
)  # fmt: skip
def test_what_cannot_be_used_is_refused(keys: dict[str, str]) -> None:
    with pytest.raises(SettingsError):
        read(**keys)


def test_a_key_of_another_program_is_left_alone() -> None:
    assert Settings.from_environment({"PORT": "1", "CLACKBOX": "x"}).port == 8361
