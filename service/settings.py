"""Settings: one frozen record read from the environment, and nothing else decides how we run."""

import ipaddress
import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from zoneinfo import ZoneInfo

PREFIX = "CLACKBOX_"
LOG_LEVELS = ("debug", "info", "warning", "error")


class SettingsError(ValueError):
    """The environment holds a key we do not know, or a value we cannot use."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How this installation runs; README.md has the table of the environment keys."""

    data: Path
    database: str = ""  # SQLAlchemy address; empty means an SQLite file in the data folder
    host: str = "127.0.0.1"
    port: int = 8361
    public_address: str = ""
    """Address under which customers reach the service; empty means the loopback address."""
    trusted_hosts: tuple[str, ...] = ()  # host names that are answered; empty answers any
    time_zone: ZoneInfo = field(default=ZoneInfo("UTC"))  # where the workshop's days begin and end
    proxies: tuple[str, ...] = ()  # addresses of the proxies whose X-Forwarded-* is believed
    log_level: str = "info"  # debug, info, warning or error
    largest_upload: int = 20_000_000  # bytes of a picture's body at the most; JSON has its own

    @property
    def database_address(self) -> str:
        """The SQLAlchemy address of the database."""
        return self.database or f"sqlite:///{self.data / 'clackbox.sqlite'}"

    @property
    def base_address(self) -> str:
        """The address under which links are written, without a trailing slash."""
        return (self.public_address or f"http://{self.host}:{self.port}").rstrip("/")

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> "Settings":
        """Read every `CLACKBOX_*` key; raise `SettingsError` for an unknown or unusable one."""
        given = {
            key.removeprefix(PREFIX).lower(): text
            for key, text in environment.items()
            if key.startswith(PREFIX)
        }
        known = {field.name for field in fields(cls)}
        if unknown := sorted(given.keys() - known):
            raise SettingsError(
                f"{PREFIX}{unknown[0].upper()} is not a setting; the settings are "
                + ", ".join(sorted(PREFIX + name.upper() for name in known))
            )
        given.setdefault("data", str(checkout() / ".data"))
        return cls(**{name: _read(name, text) for name, text in given.items()})  # type: ignore[arg-type]


def checkout() -> Path:
    """The folder that holds this checkout, or the current folder for an installed copy."""
    folder = Path(__file__).resolve().parent.parent
    return folder if (folder / "pyproject.toml").exists() else Path.cwd()


def _read(name: str, text: str) -> object:
    reader = _READERS.get(name, str)
    try:
        return reader(text)
    except ValueError as problem:
        raise SettingsError(f"{PREFIX}{name.upper()}={text!r} cannot be used: {problem}") from None


def _folder(text: str) -> Path:
    try:
        if text:
            return Path(text).expanduser().resolve()
    except (RuntimeError, OSError):  # a person whose home nobody knows, a ring of links
        pass
    raise ValueError("name the folder that keeps the records")


def _host(text: str) -> str:
    if not text or "/" in text or " " in text:
        raise ValueError("name a host to listen at, such as 127.0.0.1")
    return text


def _port(text: str) -> int:
    port = _whole_number(text)
    if not 0 < port < 65536:
        raise ValueError("a port is a number from 1 to 65535")
    return port


def _largest_upload(text: str) -> int:
    if size := _whole_number(text):
        return size
    raise ValueError("say it in bytes, as 20000000")


def _whole_number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else 0


def _zone(text: str) -> ZoneInfo:
    try:
        return ZoneInfo(text)
    except (ValueError, KeyError, OSError):
        raise ValueError("name a time zone such as Europe/London") from None


def _level(text: str) -> str:
    if text.lower() not in LOG_LEVELS:
        raise ValueError(f"a level is one of {', '.join(LOG_LEVELS)}")
    return text.lower()


def _public_address(text: str) -> str:
    if text and not re.fullmatch(r"https?://[^\s/?#@]+(/[^\s?#]*)?", text):
        raise ValueError("write it whole, e.g. https://works.example.org")
    return text


def _proxies(text: str) -> tuple[str, ...]:
    """Addresses and not names: whoever asks is known by the address alone."""
    return tuple(str(ipaddress.ip_address(each)) for each in text.replace(",", " ").split())


_READERS: dict[str, Callable[[str], object]] = {
    "data": _folder,
    "host": _host,
    "port": _port,
    "largest_upload": _largest_upload,
    "log_level": _level,
    "proxies": _proxies,
    "public_address": _public_address,
    "time_zone": _zone,
    "trusted_hosts": lambda text: tuple(text.replace(",", " ").split()),
}
