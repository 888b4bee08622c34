"""No question is too much to answer at once: what would be is refused, with how much is taken."""

from typing import Any

import pytest

from tests.api.conftest import EXAMPLES
from tests.conftest import ONE_DATABASE, Caller

pytestmark = ONE_DATABASE
Body = dict[str, Any]
PIPE: Body = {"kind": "pipe", "diameter": "3 mm", "length": "200 mm"}
BALANCE = EXAMPLES["steam-balance"]


@pytest.fixture
def calculator(owner: Caller) -> Caller:
    """Whoever may ask."""
    return owner


def make_plant(*, engines: int, holes: int, parts: int, trunk: int = 0) -> Body:
    """A plant with so many parts in each branch, and no case."""
    ways = {"passages": [PIPE] * parts}
    engine = {**BALANCE["engines"][0], **ways}
    return {
        "boiler": BALANCE["boiler"],
        "engines": [engine | {"name": f"engine {number}"} for number in range(engines)],
        "outlets": [{"name": f"hole {n}", "area": "1 mm2", **ways} for n in range(holes)],
        "trunk": [PIPE] * trunk,
    }


def run(plant: Body, *counts: int) -> Body:
    """The plant with a case for each count, in which so many run."""
    names = [one["name"] for one in (*plant["engines"], *plant["outlets"])]
    cases = [{"name": f"case {n}", "running": names[:count]} for n, count in enumerate(counts)]
    return plant | {"cases": cases}


def refusals(calculator: Caller, name: str, body: Body) -> dict[str, list[str]]:
    """What is refused, by its field; nothing where there is an answer."""
    answer = calculator.post(f"/calculations/{name}", body)
    assert answer.status_code in (200, 422), answer.json
    return dict(answer.json.get("errors", {})) if answer.status_code == 422 else {}


def test_twenty_engines_in_twenty_four_cases_are_reckoned_and_no_more(calculator: Caller) -> None:
    plant = make_plant(engines=20, holes=1, parts=1)

    assert refusals(calculator, "steam-balance", run(plant, *[20] * 24)) == {}
    refused = refusals(calculator, "steam-balance", run(plant, *[20] * 23, 21))

    assert refused.keys() == {"cases"}
    assert "481" in refused["cases"][0]
    assert "480" in refused["cases"][0]


def test_passages_of_a_plant_have_four_hundred_parts_and_no_more(calculator: Caller) -> None:
    full = make_plant(engines=18, holes=2, parts=18, trunk=40)

    assert refusals(calculator, "steam-balance", run(full, 20)) == {}
    full["outlets"][0]["passages"] = [PIPE] * 19
    refused = refusals(calculator, "steam-balance", run(full, 20))

    assert refused.keys() == {"passages"}
    assert "401 parts; 400" in refused["passages"][0]


def test_changes_look_at_two_thousand_places_and_no_more(calculator: Caller) -> None:
    plant = make_plant(engines=20, holes=0, parts=10, trunk=40)

    assert refusals(calculator, "steam-balance/changes", run(plant, 20, 20)) == {}
    refused = refusals(calculator, "steam-balance/changes", run(plant, 20, 20, 1))

    assert refused.keys() == {"cases"}
    assert "2050 parts, of which 2000" in refused["cases"][0]


def test_sheet_of_a_thousand_lines_is_printed_and_no_longer_one(calculator: Caller) -> None:
    plant = make_plant(engines=10, holes=0, parts=1)
    path = "/calculations/steam-balance/sheet.pdf"

    printed = calculator.post(path, run(plant, 10, 10, 10))
    refused = calculator.post(path, run(plant, *[10] * 24))

    assert printed.status_code == 200
    assert refused.status_code == 422
    assert "1000 can be printed" in refused.json["detail"]


def test_pictures_of_the_largest_plant_are_drawn(calculator: Caller) -> None:
    body = run(make_plant(engines=18, holes=2, parts=18, trunk=40), 20)
    for kind in ("supply-and-demand", "pressure-line"):
        answer = calculator.post(f"/calculations/steam-balance/picture.svg?kind={kind}", body)
        assert answer.status_code == 200
