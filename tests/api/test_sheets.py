"""Calculation sheets over HTTP: a paper for each of the main calculations."""

from typing import Any

import pytest
from service.api.schemas.balances import STEAM_BALANCE_EXAMPLE
from service.api.schemas.blocks import BLOCK_EXAMPLE
from service.api.schemas.relief import RELIEF_EXAMPLE
from service.api.schemas.sheets import list_entries

from tests.conftest import Caller

STEAM_DEMAND = {
    "pressure": "50 psi",
    "engines": [
        {"name": "port engine", "bore": "3/4 in", "stroke": "3/4 in", "speed": "600 rpm"},
    ],
}
FITTING = {
    "male": {"thread": "1/4-40 UNS", "length": "1/4 in", "bore": "1/8 in", "material": "bronze"},
    "female": {"thread": "1/4 x 40 ME", "depth": "5/16 in", "boss": "7/16 in"},
    "pressure": "60 psi",
}
BODIES: dict[str, dict[str, Any]] = {
    "steam-demand": STEAM_DEMAND,
    "fitting-check": FITTING,
    "steam-balance": STEAM_BALANCE_EXAMPLE,
    "safety-valve": RELIEF_EXAMPLE,
    "distribution-block": BLOCK_EXAMPLE,
}


@pytest.mark.parametrize("name", BODIES)
def test_sheet_of_a_calculation_is_a_pdf(calculator: Caller, name: str) -> None:
    answer = calculator.post(f"/calculations/{name}/sheet.pdf?reference=2026-014", BODIES[name])
    assert answer.status_code == 200, answer.get_data(as_text=True)
    assert answer.mimetype == "application/pdf"
    assert answer.get_data().startswith(b"%PDF-")


@pytest.mark.parametrize("name", BODIES)
def test_sheet_is_refused_where_the_calculation_is(calculator: Caller, name: str) -> None:
    spoilt = BODIES[name] | {"colour": "blue"}
    answer = calculator.post(f"/calculations/{name}/sheet.pdf", spoilt)
    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["colour"]


def test_sheet_takes_only_its_own_query(calculator: Caller) -> None:
    answer = calculator.post("/calculations/safety-valve/sheet.pdf?colour=blue", RELIEF_EXAMPLE)
    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["colour"]


def test_entries_name_things_by_their_own_names_and_leave_out_what_is_not_there() -> None:
    wire = {
        "boiler_pressure": {"value": 4.0, "unit": "bar", "text": "4 bar"},
        "speed": {
            "low": {"value": 400.0, "unit": "rpm", "text": "400 rpm"},
            "likely": {"value": 450.0, "unit": "rpm", "text": "450 rpm"},
            "high": {"value": 500.0, "unit": "rpm", "text": "500 rpm"},
        },
        "engines": [{"name": "port engine", "bore": "3/4 in", "condensation": None}],
        "trunk": [{"kind": "bore", "k": 0.5}],
        "running": ["port engine", "whistle"],
        "adequate": False,
    }
    assert [(entry.label, entry.text) for entry in list_entries(wire)] == [
        ("boiler pressure", "4 bar"),
        ("speed", "450 rpm (400 rpm to 500 rpm)"),
        ("port engine: bore", "3/4 in"),
        ("trunk 1: kind", "bore"),
        ("trunk 1: k", "0.5"),
        ("running", "port engine, whistle"),
        ("adequate", "no"),
    ]
