"""An answer as plain text, forty columns wide, for a phone or a terminal that knows no field."""

from collections.abc import Iterator, Mapping
from textwrap import wrap
from typing import Any

WIDTH = 40
MARKS = {"fail": "✗", "caution": "!", "ok": "✓"}
NAMES = ("name", "case", "designation")  # members by which an item of a list is called
REASONS = ("findings", "workings", "cautions")
LEFT_OUT = ("picture", "workings")  # what a narrow screen has no room for

Path = tuple[str, ...]


def write_plain(title: str, answer: Mapping[str, Any]) -> str:
    """The answer of a calculation: what was found, worst first, then the figures, then cautions."""
    lines = [title, "=" * min(len(title), WIDTH)]
    for finding in answer.get("findings", ()):
        lines += _hang(finding["text"], f"{MARKS[finding['level']]} ")
    lines.append("")
    results = {name: value for name, value in answer.items() if name not in REASONS}
    for label, text in list_figures(results):
        lines += _hang(f"{label}: {text}", "", "  ")
    lines.append("")
    for caution in answer.get("cautions", ()):
        lines += _hang(caution, "* ")
    return "\n".join(lines) + "\n"


def list_figures(wire: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """One label and text for every figure of a request or an answer; what is null is left out."""
    for path, text in _walk(wire, ()):
        yield ": ".join(path), text


def _hang(text: str, mark: str, indent: str = "  ") -> list[str]:
    return wrap(text, WIDTH, initial_indent=mark, subsequent_indent=indent) or [mark]


def _walk(thing: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if (text := _read_figure(thing)) is not None:
        yield path, text
    elif isinstance(thing, Mapping):
        for name, inner in thing.items():
            if name not in LEFT_OUT:
                yield from _walk(inner, (*path, name.replace("_", " ")))
    elif isinstance(thing, list):
        for number, item in enumerate(thing, start=1):
            yield from _walk_item(item, path, number)


def _walk_item(item: Any, path: Path, number: int) -> Iterator[tuple[Path, str]]:
    """An item is called by its own name, which is said once, or by its number in the list."""
    own = next((name for name in NAMES if isinstance(item, Mapping) and item.get(name)), None)
    if own is None:
        yield from _walk(item, (*path[:-1], f"{path[-1]} {number}"))
    else:
        called = item[own]
        rest = {name: inner for name, inner in item.items() if _read_figure(inner) != called}
        yield from _walk(rest, (*path[:-1], called))


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
    if "text" in thing and thing.keys() & {"value", "level", "kind"}:
        return str(thing["text"])
    if thing.keys() == {"low", "likely", "high"}:
        return _read_band(thing)
    return None


def _read_band(band: Mapping[str, Any]) -> str:
    low, likely, high = (_read_figure(band[end]) or "" for end in ("low", "likely", "high"))
    return likely if low == high else f"{likely} ({low} to {high})"
