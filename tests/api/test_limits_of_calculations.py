"""How much a calculation may be asked: the last member that is taken, and the first that is not.

Each body bears a fault elsewhere too, so that nothing is reckoned and all faults come together.
"""

import copy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from flask import Flask

from service import create_app
from service.records.database import Database
from service.records.models import Scope
from service.records.schema import upgrade
from service.settings import Settings
from tests.conftest import Caller, make_caller

BODIES: dict[str, dict[str, Any]] = {
    "steam-demand": {"pressure": "x", "engines": [{
        "bore": "3/4 in", "stroke": "3/4 in", "speed": "600 rpm"}]},
    "steam-balance": {
        "boiler": {"net_heat": "x", "pressure_limit": "4 bar"},
        "engines": [{"name": "e", "bore": "1/2 in", "stroke": "1/2 in", "speed": "500 rpm"}],
        "trunk": [], "outlets": [{"name": "w", "area": "1 mm2"}],
        "cases": [{"name": "c", "running": ["e"]}]},
    "passage": {"pressure": "x", "outlet_pressure": "3 bar",
                "elements": [{"kind": "bore", "diameter": "3 mm", "length": "40 mm"}]},
    "blowdown": {"pressure": "x", "water": "300 g",
                 "elements": [{"kind": "bore", "diameter": "3 mm", "length": "40 mm"}]},
    "safety-valve": {"set_pressure": "x", "accumulation": 0.1, "evaporation": "57 g/min",
                     "area": "1.24 mm2", "discharge_coefficient": 0.6},
    "thread": {"thread": "x", "material": "brass"},
    "thread-identify": {"diameter": "x"},
    "indexing": {"thread": "x", "found": "20 deg", "wanted": "110 deg", "shims": ["0.1 mm"]},
    "fitting-check": {"male": {"thread": "M6"}, "female": {"thread": "M6"}, "pressure": "x"},
    "engagement": {"male": "M6", "female": "M6", "length": "1/4 in", "pressure": "x"},
    "adapter": {"a": {"gender": "male", "thread": "M6"}, "b": {"gender": "male", "thread": "M6"},
                "bore": "x"},
    "boiler-supply": {
        "pressure": "x", "fire": {"kind": "gas_tubes", "fuel": "butane", "rate": "2 g/min"},
        "shell": {"lie": "horizontal", "diameter": "100 mm", "length": "200 mm"},
        "glass": {"low": "50 mm", "high": "75 mm"}, "metal_mass": "2.5 kg"},
    "pipe-loss": {"pressure": "x", "outside_diameter": "1/4 in", "bore": "3/16 in",
                  "length": "400 mm"},
    "shell": {"pressure": "x", "outside_diameter": "4 in", "thickness": "3/32 in", "joint": "j"},
    "hydraulic-test": {"working_pressure": "x", "regime": "r"},
    "distribution-block": {
        "outlets": [{"thread": "1/4 x 40 ME"}], "inlet": {"thread": "1/4 x 40 ME"},
        "pressure": "x", "flows": [{"case": "all", "steam": ["20 g/min"]}],
        "drop_budget": "2 psi"},
    "quantity": {"text": "5 mm", "kind": "x"},
}  # fmt: skip


@pytest.fixture(scope="module")
def calculator(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Caller]:
    """A token for calculations; they leave the database alone, so one kind of it is enough."""
    folder = tmp_path_factory.mktemp("calculations")
    database = Database(f"sqlite:///{folder / 'test.sqlite'}")
    assert isinstance(database.bind, sa.Engine)
    with database.bind.connect() as connection:
        upgrade(connection)
    app: Flask = create_app(Settings(data=Path(folder)), database)
    yield make_caller(app, Scope.CALCULATE)
    database.dispose()


def replaced(body: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """A copy of `body` with the member at `path` set."""
    copied = copy.deepcopy(body)
    *way, last = path.split(".")
    place: Any = copied
    for step in way:
        place = place[int(step)] if isinstance(place, list) else place.setdefault(step, {})
    place[int(last) if isinstance(place, list) else last] = value
    return copied


def faults(caller: Caller, calculation: str, body: dict[str, Any]) -> set[str]:
    """The members that are refused."""
    answer = caller.post(f"/calculations/{calculation}", body)
    assert answer.status_code == 422, answer.json
    return set(answer.json["errors"])


ENGINE, OUTLET = BODIES["steam-balance"]["engines"][0], BODIES["steam-balance"]["outlets"][0]
BORE = BODIES["passage"]["elements"][0]
CASE, FLOW = BODIES["steam-balance"]["cases"][0], BODIES["distribution-block"]["flows"][0]
DEMAND = BODIES["steam-demand"]["engines"][0]
PORT = BODIES["distribution-block"]["inlet"]

COUNTS: list[tuple[str, str, Any, int, int]] = [
    # Calculation, member, one of them, how many at the least and at the most.
    ("steam-demand", "engines", DEMAND, 1, 20),
    ("steam-balance", "engines", ENGINE, 1, 20),
    ("steam-balance", "outlets", OUTLET, 0, 20),
    ("steam-balance", "cases", CASE, 1, 24),
    ("steam-balance", "cases.0.running", "e", 1, 40),
    ("steam-balance", "trunk", BORE, 0, 40),
    ("steam-balance", "engines.0.passages", BORE, 0, 40),
    ("steam-balance", "outlets.0.passages", BORE, 0, 40),
    ("passage", "elements", BORE, 1, 40),
    ("blowdown", "elements", BORE, 1, 40),
    ("indexing", "shims", "0.1 mm", 1, 24),
    ("distribution-block", "outlets", PORT, 1, 12),
    ("distribution-block", "ends", PORT, 0, 2),
    ("distribution-block", "flows", FLOW, 1, 12),
    ("distribution-block", "flows.0.steam", "1 g/min", 1, 12),
    ("distribution-block", "flows.0.ends", "1 g/min", 0, 2),
    ("distribution-block", "sections", "5/8 in square", 1, 200),
    ("distribution-block", "drills", "5.6 mm", 1, 200),
]


@pytest.mark.parametrize(("calculation", "member", "one", "least", "most"), COUNTS)
def test_a_list_holds_so_many_and_no_more(
    calculator: Caller, calculation: str, member: str, one: Any, least: int, most: int
) -> None:
    def refused(count: int) -> bool:
        body = replaced(BODIES[calculation], member, [one] * count)
        return member in faults(calculator, calculation, body)

    assert [refused(count) for count in (least, most, most + 1)] == [False, False, True]
    if least:
        assert refused(least - 1)


LENGTHS: list[tuple[str, str, int]] = [
    ("steam-demand", "engines.0.name", 200),
    ("steam-balance", "engines.0.name", 200),
    ("steam-balance", "outlets.0.name", 200),
    ("steam-balance", "cases.0.name", 200),
    ("steam-balance", "cases.0.running.0", 200),
    ("safety-valve", "rule", 200),
    ("thread", "material", 60),
    ("fitting-check", "male.material", 60),
    ("fitting-check", "female.material", 60),
    ("engagement", "male_material", 60),
    ("engagement", "female_material", 60),
    ("adapter", "material", 60),
    ("adapter", "title", 80),
    ("boiler-supply", "fire.kind", 40),
    ("boiler-supply", "fire.fuel", 40),
    ("shell", "joint", 60),
    ("hydraulic-test", "regime", 40),
    ("distribution-block", "outlets.0.name", 60),
    ("distribution-block", "flows.0.case", 60),
    ("distribution-block", "material", 60),
    ("distribution-block", "title", 200),
    ("distribution-block", "number", 40),
    ("distribution-block", "reference", 60),
    ("quantity", "text", 40),
]


@pytest.mark.parametrize(("calculation", "member", "longest"), LENGTHS)
def test_a_text_has_so_many_characters(
    calculator: Caller, calculation: str, member: str, longest: int
) -> None:
    body = BODIES[calculation]
    if member.startswith("fire"):  # so that an unknown kind or fuel is not looked up
        body = replaced(body, "fire.rate", "x")

    def refused(length: int) -> bool:
        return member in faults(calculator, calculation, replaced(body, member, "x" * length))

    assert [refused(longest), refused(longest + 1)] == [False, True]


RANGES: list[tuple[str, str, float, float, float, float]] = [
    # The first below that is not taken, the least, the most, and the first above.
    ("steam-demand", "engines.0.cylinders", 0, 1, 24, 25),
    ("steam-balance", "engines.0.cylinders", 0, 1, 24, 25),
    ("safety-valve", "discharge_coefficient", 0.0499, 0.05, 1, 1.0001),
    ("thread-identify", "angle_readings", 0, 1, 3, 4),
    ("thread-identify", "count", 0.999, 1, 500, 500.001),
    ("boiler-supply", "emissivity", -0.001, 0, 1, 1.001),
    ("pipe-loss", "emissivity", -0.001, 0, 1, 1.001),
]


SOUND = {
    "safety-valve": {"set_pressure": "4 bar"},
    "thread-identify": {"diameter": "6.28 mm", "over": "1/2 in"},
    "boiler-supply": {"pressure": "4 bar"},
    "pipe-loss": {"pressure": "4 bar"},
}
"""What holds a range is the thing itself, made when all of its members can be read."""


@pytest.mark.parametrize(("calculation", "member", "low", "least", "most", "high"), RANGES)
def test_a_number_lies_in_its_range(
    calculator: Caller, calculation: str, member: str, low: float, least: float, most: float,
    high: float,
) -> None:  # fmt: skip
    body = BODIES[calculation] | SOUND.get(calculation, {})

    def is_refused(number: float) -> bool:
        answer = calculator.post(f"/calculations/{calculation}", replaced(body, member, number))
        return member in answer.json.get("errors", {})

    assert [is_refused(number) for number in (low, least, most, high)] == [True, False, False, True]


ABOVE_NOUGHT = [
    ("safety-valve", "heat", "W"),
    ("boiler-supply", "fire.carried", "g"),
    ("distribution-block", "drills.0", "mm"),
]


@pytest.mark.parametrize(("calculation", "member", "unit"), ABOVE_NOUGHT)
def test_nothing_at_all_is_refused(
    calculator: Caller, calculation: str, member: str, unit: str
) -> None:
    body = replaced(BODIES[calculation], "drills", ["5.6 mm"]) if "drills" in member else None
    for amount, refused in (("0", True), ("5.6", False)):
        asked = replaced(body or BODIES[calculation], member, f"{amount} {unit}")
        assert (member in faults(calculator, calculation, asked)) is refused


@pytest.mark.parametrize(
    ("drill", "refused"),
    [("5.6 mm", False), ("5.6009 mm", False), ("5.6011 mm", True), ("5.5991 mm", False),
     ("5.5989 mm", True), ("7/32 in", False)],
)  # fmt: skip
def test_a_drill_of_the_rack_is_one_to_a_micrometre(
    calculator: Caller, drill: str, refused: bool
) -> None:
    body = replaced(BODIES["distribution-block"], "drills", [drill])
    assert ("drills.0" in faults(calculator, "distribution-block", body)) is refused


# Where the whole is asked


@pytest.mark.parametrize(
    ("pressure", "status"),
    [("60 psi", 200), ("59.999999 psi", 200), ("60.000001 psi", 422), ("4.13686 bar", 422),
     ("4.13685 bar", 200)],  # 60 psi is 4.136 854 bar
)  # fmt: skip
def test_a_boiler_is_not_reckoned_above_what_the_inspector_stated(
    calculator: Caller, pressure: str, status: int
) -> None:
    body = BODIES["boiler-supply"] | {"pressure": pressure, "pressure_limit": "60 psi"}
    answer = calculator.post("/calculations/boiler-supply", body)

    assert answer.status_code == status, answer.json
    if status == 422:
        assert list(answer.json["errors"]) == ["pressure"]


@pytest.mark.parametrize(("bore", "fault"), [("0 mm", "bore"), ("1 mm", None)])
def test_an_adapter_passes_steam(calculator: Caller, bore: str, fault: str | None) -> None:
    answer = calculator.post("/calculations/adapter", BODIES["adapter"] | {"bore": bore})
    assert list(answer.json.get("errors", {})) == ([fault] if fault else [])


def test_a_safety_valve_and_its_steam_are_each_known_in_one_way(calculator: Caller) -> None:
    known = BODIES["safety-valve"] | {"set_pressure": "4 bar"}
    seat = {"seat": "4 mm", "lift": "0.16 mm", "seat_angle": "90 deg", "area": None}

    def told(**changes: Any) -> set[str]:
        answer = calculator.post("/calculations/safety-valve", known | changes)
        return set(answer.json.get("errors", {}))

    assert told() == told(**seat) == told(evaporation=None, heat="2 kW") == set()
    assert told(heat="2 kW") == told(evaporation=None) == {"evaporation"}
    for member in ("seat", "lift", "seat_angle"):
        assert told(**seat | {member: None}) == {member}
        assert told(**{member: seat[member]}) == {member}
    assert told(exit_area="8 mm2") == {"exit_area"}
    assert told(**seat, exit_area="8 mm2") == set()


def test_a_passage_asks_for_flow_or_pressure(calculator: Caller) -> None:
    body = BODIES["passage"] | {"pressure": "4 bar"}

    def told(**changes: Any) -> set[str]:
        answer = calculator.post("/calculations/passage", body | changes)
        return set(answer.json.get("errors", {}))

    assert told() == told(outlet_pressure=None, flow="20 g/min") == set()
    assert told(flow="20 g/min") == {"flow"}
    assert told(outlet_pressure=None) == {"outlet_pressure"}


@pytest.mark.parametrize(
    ("fire", "told"),
    [
        ({"power": "1500 W"}, set()),
        ({"power": "1500 W", "kind": "electric"}, set()),
        ({"kind": "gas_tubes", "fuel": "butane", "rate": "2 g/min"}, set()),
        ({"kind": "gas_tubes", "fuel": "butane", "jet": "0.25 mm", "pressure": "1 bar"}, set()),
        ({}, {"fire.rate"}),
        ({"power": "1 W", "rate": "2 g/min"}, {"fire.rate"}),
        ({"rate": "2 g/min", "kind": "electric"}, {"fire.kind"}),
        ({"rate": "2 g/min", "kind": "gas_tubes"}, {"fire.fuel"}),
        ({"jet": "0.25 mm"}, {"fire.kind", "fire.fuel", "fire.pressure"}),
        ({"power": "1 W", "fuel": "butane", "carried": "9 g"}, {"fire.fuel", "fire.carried"}),
    ],
)
def test_a_fire_is_known_in_one_way(calculator: Caller, fire: dict, told: set[str]) -> None:
    body = BODIES["boiler-supply"] | {"pressure": "4 bar", "fire": fire}
    answer = calculator.post("/calculations/boiler-supply", body)
    assert set(answer.json.get("errors", {})) == told


def test_the_reference_of_a_sheet_has_sixty_characters(calculator: Caller) -> None:
    for length, refused in ((60, False), (61, True)):
        address = f"/calculations/safety-valve/sheet.pdf?reference={'x' * length}"
        answer = calculator.post(address, BODIES["safety-valve"])
        assert ("reference" in answer.json["errors"]) is refused
