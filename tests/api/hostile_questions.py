"""Questions made to break a calculation: its example with some members at the ends of what is.

    PYTHONPATH=. .venv/bin/python -m tests.api.hostile_questions [SEED] [HOW MANY]

Run by hand it asks as many as wanted of every calculation and tells each answer that is a failure
or holds a figure that is none; `test_hostile_questions` asks a few.
"""

import copy
import json
import re
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from math import isfinite
from pathlib import Path
from random import Random
from typing import Any

from service import create_app
from service.api.calculations import CALCULATIONS
from service.records.database import Database
from service.records.models import Scope
from service.records.schema import upgrade
from service.settings import Settings
from tests.conftest import make_caller

Body = dict[str, Any]

EXAMPLES: dict[str, Body] = {
    each.name: each.example for one in CALCULATIONS for each in (one, *one.also)
}
QUANTITY = re.compile(r"([0-9][0-9./ ]*) ?([A-Za-z].*)")
NUMBERS = [0, 1, -1, 5e-324, 1e-320, 1e-300, 1e-12, 1e-3, 0.999999, 1.0, 2, 1e5, 1e15, 1e308]
SIZES = [
    "0", "0.000000000000000000000000000001", "0.000000001", "0.001", "0.1", "0.5", "1", "2", "3",
    "10", "99.999999999", "100", "1000", "100000", "999999999",
]  # fmt: skip
WORDS = {
    "kind": ["propeller", "governed", "fixed_torque", "bore", "pipe", "corner", "bend", "loss",
             "valve", "stop_valve", "tee", "contraction", "gas_tubes", "electric", "coal"],
    "acting": ["single", "double"], "gender": ["male", "female"], "lie": ["horizontal", "vertical"],
    "thread": ["1/4 x 40 ME", "1/8-27 NPT", "1/8 BSP", "M6 x 0.75", "10 BA", "1/4-40 UNS",
               "80 mm x 8 mm 60 deg", "0.4 mm x 0.05 mm 60 deg", "6 mm x 6 mm 60 deg"],
    "material": ["brass", "bronze", "steel", "copper", "butter"],
}  # fmt: skip
MORE: dict[str, list[Body]] = {
    "elements": [
        {"kind": "bore", "diameter": "3 mm", "length": "40 mm", "roughness": "0.003 mm"},
        {"kind": "loss", "diameter": "3 mm", "k": 14.5},
        {"kind": "valve", "diameter": "4 mm", "kv": 0.1764, "xt": 0.7},
        {"kind": "stop_valve", "diameter": "4 mm", "lift": "1 mm", "xt": 0.7},
        {"kind": "corner", "diameter": "3 mm", "angle": "90 deg"},
        {"kind": "bend", "diameter": "3 mm", "radius": "8 mm", "angle": "90 deg"},
        {"kind": "tee", "diameter": "3 mm", "run_diameter": "5 mm", "share": 0.5},
        {"kind": "contraction", "diameter": "3 mm", "upstream_diameter": "5 mm"},
        {"kind": "pipe", "diameter": "2 mm", "length": "300 mm"},
    ],
    "outlets": [{"name": "hole", "area": "100 mm2", "coefficient": 0.6}],
    "engines": [{
        "name": "more", "bore": "3/4 in", "stroke": "3/4 in", "speed": "600 rpm", "cylinders": 2,
        "cut_off": 0.75, "clearance": 0.1, "condensation": 0.5, "piston_rod": "1/8 in",
        "diagram_factor": 0.6, "exhaust_closure": 0.2,
    }],
}  # fmt: skip
"""What is put into a list beside what is there."""


def draw_questions(random: Random, name: str) -> Iterator[Body]:
    """Questions of one calculation without an end."""
    while True:
        body = copy.deepcopy(EXAMPLES[name])
        _grow(random, body)
        places = list(list_places(body))
        for _ in range(random.choice([1, 1, 2, 3, 5])):
            holder, key = random.choice(places)
            if isinstance(holder, list) and key >= len(holder):
                continue
            holder[key] = _change(random, key, holder[key])
        yield body


def _grow(random: Random, thing: Any) -> None:
    if isinstance(thing, dict):
        for name, inner in list(thing.items()):
            more = MORE["elements" if name in ("passages", "trunk") else name] if (
                name in MORE or name in ("passages", "trunk")) else []  # fmt: skip
            if more and isinstance(inner, list) and random.random() < 0.5:
                inner.extend(copy.deepcopy(random.sample(more, min(len(more), 3))))
            _grow(random, inner)
    elif isinstance(thing, list):
        for inner in thing:
            _grow(random, inner)


def list_places(thing: Any) -> Iterator[tuple[Any, Any]]:
    """Every place where a plain value stands: what holds it, and its key."""
    for key, inner in thing.items() if isinstance(thing, dict) else enumerate(thing):
        if isinstance(inner, dict | list):
            yield from list_places(inner)
        else:
            yield thing, key


def _change(random: Random, key: Any, value: Any) -> Any:
    if random.random() < 0.03:
        return random.choice([None, True, "", [], {}, "x", -1, 1e400])
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        near = value * 10 ** random.uniform(-3, 3)
        return random.choice([random.choice(NUMBERS), near, random.random()])
    if key in WORDS:
        return random.choice(WORDS[key])
    if isinstance(value, str) and (found := QUANTITY.fullmatch(value)) and key != "thread":
        size = random.choice([random.choice(SIZES), f"{10 ** random.uniform(-4, 5):.6f}"])
        return f"{size} {found[2]}"
    return value


def find_fault(answer: Any) -> str | None:
    """What is wrong with an answer, whatever was asked."""
    if answer.status_code not in (200, 400, 422):
        return f"status {answer.status_code}"
    if answer.status_code != 200:
        told = answer.json
        return None if told.get("errors") or told.get("detail") else "no word of what is wrong"
    if not answer.is_json:
        return None
    wrong = [path for path, number in _list_numbers(answer.json) if not isfinite(number)]
    return f"no number at {wrong[0]}" if wrong else None


def _list_numbers(thing: Any, path: str = "") -> Iterator[tuple[str, float]]:
    if isinstance(thing, dict | list):
        for key, inner in thing.items() if isinstance(thing, dict) else enumerate(thing):
            yield from _list_numbers(inner, f"{path}.{key}")
    elif isinstance(thing, float):
        yield path, thing


def main(seed: int = 0, count: int = 200) -> None:
    """Ask and tell."""
    with tempfile.TemporaryDirectory() as folder:
        database = Database(f"sqlite:///{folder}/hostile.sqlite")
        with database.bind.connect() as connection:  # type: ignore[union-attr]
            upgrade(connection)
        app = create_app(Settings(data=Path(folder)), database)
        app.config["PROPAGATE_EXCEPTIONS"] = False
        caller = make_caller(app, Scope.CALCULATE)
        told: Counter[str] = Counter()
        for name in EXAMPLES:
            questions = draw_questions(Random(f"{seed} {name}"), name)
            for body, _ in zip(questions, range(count), strict=False):
                answer = caller.post(f"/calculations/{name}", body)
                told[f"{name} {answer.status_code}"] += 1
                if fault := find_fault(answer):
                    print(name, fault, json.dumps(body), flush=True)
        for what, times in sorted(told.items()):
            print(f"{times:7} {what}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
