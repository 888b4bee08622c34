"""Calculation sheets over HTTP: a paper for each calculation."""

import pypdfium2
import pytest

from service.api.plain import list_figures
from tests.api.conftest import EXAMPLES
from tests.conftest import Caller


@pytest.mark.parametrize("name", EXAMPLES)
def test_sheet_of_a_calculation_is_a_pdf(calculator: Caller, name: str) -> None:
    answer = calculator.post(f"/calculations/{name}/sheet.pdf?reference=2026-014", EXAMPLES[name])
    assert answer.status_code == 200, answer.get_data(as_text=True)
    assert answer.mimetype == "application/pdf"
    assert answer.get_data().startswith(b"%PDF-")


def test_a_long_sentence_leaves_the_names_of_the_figures_whole(calculator: Caller) -> None:
    answer = calculator.post("/calculations/thread/sheet.pdf", EXAMPLES["thread"])
    page = pypdfium2.PdfDocument(answer.get_data())[0].get_textpage().get_text_range()

    lines = {line.strip() for line in page.splitlines()}
    assert any(line.startswith("included angle") for line in lines)
    assert any(line.startswith("limits: male effective: least") for line in lines)


@pytest.mark.parametrize("name", EXAMPLES)
def test_sheet_is_refused_where_the_calculation_is(calculator: Caller, name: str) -> None:
    spoilt = EXAMPLES[name] | {"colour": "blue"}
    answer = calculator.post(f"/calculations/{name}/sheet.pdf", spoilt)
    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["colour"]


def test_sheet_takes_only_its_own_query(calculator: Caller) -> None:
    answer = calculator.post(
        "/calculations/safety-valve/sheet.pdf?colour=blue", EXAMPLES["safety-valve"]
    )
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
    assert list(list_figures(wire)) == [
        ("boiler pressure", "4 bar"),
        ("speed", "450 rpm (400 rpm to 500 rpm)"),
        ("port engine: bore", "3/4 in"),
        ("trunk 1: kind", "bore"),
        ("trunk 1: k", "0.5"),
        ("running", "port engine, whistle"),
        ("adequate", "no"),
    ]
