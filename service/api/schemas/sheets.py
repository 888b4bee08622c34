"""Calculation sheets: a request and its answer as the lines of a paper."""

from collections.abc import Iterator, Mapping
from typing import Any

from service.api.fields import Text
from service.api.schemas.base import In
from service.documents.calculation_sheet import Entry

NAMES = ("name", "case")
"""Members by which an item of a list is called."""


class SheetQuery(In):
    """What the sheet belongs to, as it is printed at its head."""

    reference = Text(
        longest=60, least=0, load_default="", metadata={"example": "2026-014 Harbour launch"}
    )


def list_entries(wire: Mapping[str, Any]) -> tuple[Entry, ...]:
    """One line for every figure of a request or an answer; what is null is left out."""
    return tuple(Entry(": ".join(path), text) for path, text in _walk(wire, ()))


Path = tuple[str, ...]


def _walk(thing: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if (text := _read_figure(thing)) is not None:
        yield path, text
    elif isinstance(thing, Mapping):
        for name, inner in thing.items():
            yield from _walk(inner, (*path, name.replace("_", " ")))
    elif isinstance(thing, list):
        for number, item in enumerate(thing, start=1):
            yield from _walk_item(item, path, number)


def _walk_item(item: Any, path: Path, number: int) -> Iterator[tuple[Path, str]]:
    """An item is called by its own name, or by its number in the list."""
    own = next((name for name in NAMES if isinstance(item, Mapping) and item.get(name)), None)
    if own is None:
        yield from _walk(item, (*path[:-1], f"{path[-1]} {number}"))
    else:
        rest = {name: inner for name, inner in item.items() if name != own}
        yield from _walk(rest, (*path[:-1], item[own]))


def _read_figure(thing: Any) -> str | None:
    """The text of a single figure; None for what holds several, or nothing."""
    if isinstance(thing, bool):
        return "yes" if thing else "no"
    if isinstance(thing, str):
        return thing
    if isinstance(thing, int | float):
        return f"{thing:.4g}"
    if isinstance(thing, list) and thing and all(isinstance(item, str) for item in thing):
        return ", ".join(thing)
    if not isinstance(thing, Mapping):
        return None
    if "text" in thing and "value" in thing:
        return str(thing["text"])
    if thing.keys() == {"low", "likely", "high"}:
        return _read_band(thing)
    return None


def _read_band(band: Mapping[str, Any]) -> str:
    low, likely, high = (_read_figure(band[end]) or "" for end in ("low", "likely", "high"))
    return likely if low == high else f"{likely} ({low} to {high})"
