"""Whatever is asked, the answer is figures or a refusal in words: never a failure."""

import copy
import json
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from random import Random
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st

from service import create_app
from service.records.database import Database
from service.records.models import Scope
from service.records.schema import upgrade
from service.settings import Settings
from tests.api.hostile_questions import EXAMPLES, draw_questions, find_fault, list_places
from tests.conftest import Caller, make_caller

VALVE = {"kind": "valve", "diameter": "4 mm", "kv": 0.1764}
PASSAGE = EXAMPLES["passage"]
PIPE = {"kind": "pipe", "diameter": "2 mm", "length": "300 mm"}


@pytest.fixture(scope="module")
def calculator(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Caller]:
    """A token for calculations; they leave the database alone, so one kind of it is enough."""
    folder = tmp_path_factory.mktemp("calculations")
    database = Database(f"sqlite:///{folder / 'test.sqlite'}")
    assert isinstance(database.bind, sa.Engine)
    with database.bind.connect() as connection:
        upgrade(connection)
    app = create_app(Settings(data=Path(folder)), database)
    app.config["PROPAGATE_EXCEPTIONS"] = False
    yield make_caller(app, Scope.CALCULATE)
    database.dispose()


@pytest.mark.parametrize("name", EXAMPLES)
@given(seed=st.integers(0, 2**32))
@settings(max_examples=6)
def test_question_at_the_ends_of_what_is_gets_figures_or_words(
    calculator: Caller, name: str, seed: int
) -> None:
    for body in islice(draw_questions(Random(seed), name), 4):
        assert find_fault(calculator.post(f"/calculations/{name}", body)) is None, body


WRITTEN: list[str] = [
    "1" + "0" * 400, "1" + "0" * 5000, "NaN", "-Infinity", "1e999", '"\\ud800"', '"\\u0000"',
    '{"diameter": "6 mm", "angle": "60 deg", "threads_per_inch": 1' + "0" * 400 + "}",
]  # fmt: skip
"""What stands in a body and no program would have written."""


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("written", WRITTEN, ids=lambda written: written[:8] + written[60:70])
def test_member_that_holds_what_no_program_writes_is_refused(
    calculator: Caller, name: str, written: str
) -> None:
    for place in range(len(list(list_places(EXAMPLES[name])))):
        body = copy.deepcopy(EXAMPLES[name])
        holder, key = list(list_places(body))[place]
        holder[key] = "@"
        answer = calculator.post(
            f"/calculations/{name}",
            data=json.dumps(body).replace('"@"', written),
            content_type="application/json",
        )
        # JSON knows neither of these, and longer figures are not read.
        readable = len(written) < 5000 and written not in {"NaN", "-Infinity"}
        assert answer.status_code == (422 if readable else 400), (key, written[:40])


@pytest.mark.parametrize(
    ("name", "member", "value"),
    [
        ("kv", "elements.0.kv", 1e-320),
        ("kv", "elements.0.kv", 5e-324),
        ("xt", "elements.0.xt", 1e-320),
        ("k", "elements.0.k", 1e308),
    ],
)
def test_number_no_part_can_have_is_refused_by_name(
    calculator: Caller, name: str, member: str, value: float
) -> None:
    kind: dict[str, Any] = {"kind": "loss", "diameter": "4 mm"} if name == "k" else VALVE
    body = PASSAGE | {"elements": [kind | {name: value}]}

    answer = calculator.post("/calculations/passage", body)

    assert answer.status_code == 422
    assert member in answer.json["errors"]


@pytest.mark.parametrize("heat", ["1 W", "5 W", "500 W"])
@pytest.mark.parametrize("wide_way", [[], [PIPE]])
def test_wide_hole_on_a_small_fire_has_an_answer(
    calculator: Caller, heat: str, wide_way: list[Any]
) -> None:
    example = EXAMPLES["steam-balance"]
    body = example | {
        "boiler": example["boiler"] | {"net_heat": heat},
        "outlets": [
            {"name": "wide", "area": "100 mm2", "passages": wide_way},
            {"name": "small", "area": "2 mm2", "passages": [PIPE]},
        ],
        "cases": [{"name": "holes", "running": ["wide", "small"]}],
    }

    answer = calculator.post("/calculations/steam-balance", body)

    assert answer.status_code == 200, answer.json
    (case,) = answer.json["cases"]
    blown = sum(outlet["steam"]["likely"]["value"] for outlet in case["outlets"])
    assert blown == pytest.approx(case["steam"]["likely"]["value"], rel=1e-9)
    assert case["heat_bound"]


@pytest.mark.parametrize("heat", ["0 W", "0.000000000000000000000000000001 W", "999999999 W"])
def test_heat_that_no_boiler_has_is_refused_by_name(calculator: Caller, heat: str) -> None:
    example = EXAMPLES["steam-balance"]
    body = example | {"boiler": example["boiler"] | {"net_heat": heat}}

    answer = calculator.post("/calculations/steam-balance", body)

    assert answer.status_code == 422
    assert "boiler.net_heat" in answer.json["errors"]
