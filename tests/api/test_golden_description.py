"""The OpenAPI description stands written down in openapi.json: nobody changes the wire unawares.

After a change that was meant, write it anew and read its diff before it is kept:

    .venv/bin/python -m tests.api.test_golden_description
"""

import difflib
import json
from pathlib import Path
from typing import Any

import pytest

from service import create_app
from service.records.database import Database
from service.settings import Settings

GOLDEN = Path(__file__).with_name("openapi.json")
RENEWAL = ".venv/bin/python -m tests.api.test_golden_description"
LONGEST_DIFFERENCE = 80
"""Lines of the difference that are shown."""


def describe() -> dict[str, Any]:
    """The description as the service gives it out today."""
    app = create_app(Settings(data=Path("nowhere")), Database("sqlite://"))
    document: dict[str, Any] = app.extensions["flask-smorest"]["apis"][""]["ext_obj"].spec.to_dict()
    return document


def write_down(document: dict[str, Any]) -> str:
    """The description as text whose order says nothing; the release's number is left out."""
    document = json.loads(json.dumps(document))
    document["info"].pop("version")
    return json.dumps(_in_order(document), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def _in_order(part: Any) -> Any:
    """What a schema requires is a set; every other list keeps its order."""
    if isinstance(part, dict):
        return {
            name: sorted(inner) if _is_set(name, inner) else _in_order(inner)
            for name, inner in part.items()
        }
    return [_in_order(inner) for inner in part] if isinstance(part, list) else part


def _is_set(name: str, inner: Any) -> bool:
    return name == "required" and isinstance(inner, list)


def find_difference(golden: str, today: str) -> list[str]:
    """The unified difference, trimmed to what a person reads."""
    lines = list(
        difflib.unified_diff(
            golden.splitlines(), today.splitlines(), "openapi.json", "the service", lineterm="", n=4
        )
    )
    more = len(lines) - LONGEST_DIFFERENCE
    return [*lines[:LONGEST_DIFFERENCE], f"... and {more} lines more"] if more > 0 else lines


def test_the_description_is_the_one_that_is_written_down() -> None:
    difference = find_difference(GOLDEN.read_text(encoding="utf-8"), write_down(describe()))

    if difference:
        pytest.fail(
            "The API is described otherwise than it was. If that was meant, write it down by\n"
            f"    {RENEWAL}\n\n" + "\n".join(difference),
            pytrace=False,
        )


def test_a_limit_that_moves_shows_in_the_difference() -> None:
    document = describe()
    before = write_down(document)
    cylinders = document["components"]["schemas"]["EngineIn"]["properties"]["cylinders"]
    most = cylinders["maximum"]
    cylinders["maximum"] = most + 1

    changed = [line for line in find_difference(before, write_down(document)) if line[0] in "+-"]
    assert [line.replace(" ", "") for line in changed[2:]] == [
        f'-"maximum":{most},',
        f'+"maximum":{most + 1},',
    ]


def test_a_long_difference_is_trimmed() -> None:
    shown = find_difference("", "\n".join(map(str, range(1000))))

    assert len(shown) == LONGEST_DIFFERENCE + 1
    assert "lines more" in shown[-1]


def test_the_order_of_members_says_nothing() -> None:
    document = describe()
    turned = {name: document[name] for name in reversed(document)}
    turned["components"]["schemas"]["CommissionIn"]["required"].reverse()

    assert write_down(turned) == write_down(describe())


if __name__ == "__main__":
    GOLDEN.write_text(write_down(describe()), encoding="utf-8")
