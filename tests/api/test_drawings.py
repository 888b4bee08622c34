"""Drawings and pictures over HTTP: in every format and measure, and the same bytes each time."""

from typing import Any
from xml.etree import ElementTree

import pytest

from service.api.calculation import MEDIA_TYPES
from service.api.calculations import CALCULATIONS
from tests.conftest import Caller

BEGINNINGS = {"svg": b"<svg ", "dxf": b"  0\nSECTION\n", "pdf": b"%PDF-"}
DRAWN = [calculation for calculation in CALCULATIONS if calculation.drawings]
PICTURED = [calculation for calculation in CALCULATIONS if calculation.pictures]


def ask(calculator: Caller, address: str, body: Any, *, measure: str) -> Any:
    answer = calculator.post(address, json={**body}, headers={"Prefer": f"measure={measure}"})
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return answer


@pytest.mark.parametrize("ending", MEDIA_TYPES)
@pytest.mark.parametrize("calculation", DRAWN, ids=lambda calculation: calculation.name)
def test_a_drawing_comes_in_every_format_and_is_the_same_each_time(
    calculator: Caller, calculation: Any, ending: str
) -> None:
    address = f"{calculation.address}/drawing.{ending}"
    first, second, other = (
        ask(calculator, address, calculation.example, measure=measure)
        for measure in ("metric", "metric", "imperial")
    )

    assert first.mimetype == MEDIA_TYPES[ending]
    assert first.data.startswith(BEGINNINGS[ending])
    assert first.data == second.data
    assert first.data != other.data


@pytest.mark.parametrize("calculation", DRAWN, ids=lambda calculation: calculation.name)
def test_title_block_says_whose_the_drawing_is(calculator: Caller, calculation: Any) -> None:
    body = {**calculation.example, "title": "<Whistle> & more", "number": "N-1", "reference": "R-2"}
    answer = ask(calculator, f"{calculation.address}/drawing.svg", body, measure="metric")

    texts = [node.text for node in ElementTree.fromstring(answer.data).iter() if node.text]
    assert {"<Whistle> & more", "N-1", "R-2", "Tidewater Works", "Millimetres."} <= {
        text.partition(" Places")[0] for text in texts
    }


@pytest.mark.parametrize("calculation", PICTURED, ids=lambda calculation: calculation.name)
def test_a_picture_is_told_in_the_measure_asked_for(calculator: Caller, calculation: Any) -> None:
    for name in calculation.pictures:
        address = f"{calculation.address}/{name}.svg"
        metric, imperial = (
            ask(calculator, address, calculation.example, measure=measure)
            for measure in ("metric", "imperial")
        )
        assert metric.data != imperial.data
        for unit in (" mm", " bar"):
            texts = [node.text or "" for node in ElementTree.fromstring(imperial.data).iter()]
            assert not [text for text in texts if text.endswith(unit)]


def test_only_what_has_a_drawing_lists_one(calculator: Caller) -> None:
    listed = {
        item["name"]: item["drawings"] for item in calculator.get("/calculations").json["items"]
    }

    assert {name for name, drawings in listed.items() if drawings} == {
        calculation.name for calculation in DRAWN
    }
    assert listed["adapter"] == ["drawing.svg", "drawing.dxf", "drawing.pdf"]
