"""Threads laid together, adapters and engagement over HTTP."""

from xml.etree import ElementTree

import pytest

from tests.conftest import Caller

PAIR = {"male": "1/4-40 UNS", "female": "1/4 x 40 ME", "engaged_length": "1/4 in"}
JOINT = {
    "male": "M10 x 1.5", "female": "M10", "length": "10 mm", "pressure": "4 bar",
    "male_material": "mild steel", "female_material": "brass",
}  # fmt: skip
ADAPTER = {
    "a": {"gender": "male", "thread": "1/4 x 40 ME", "length": "1/4 in"},
    "b": {"gender": "female", "thread": "M6 x 0.75"},
    "bore": "1/8 in",
}


def test_a_60_degree_male_fouls_a_55_degree_female(calculator: Caller) -> None:
    preferring = {"Prefer": "pictures"}
    answer = calculator.post("/calculations/thread-overlay", PAIR, headers=preferring).json

    # 0.040 P on diameter at 40 tpi: geometry of the two forms, worked by hand.
    assert answer["diametral_interference"]["value"] == pytest.approx(0.0253, abs=0.0005)
    assert answer["findings"][0]["code"] == "angle-differs"
    assert ElementTree.fromstring(answer["picture"]).tag.endswith("svg")


def test_the_loosest_fit_plays_more_than_the_tightest(calculator: Caller) -> None:
    same = {**PAIR, "male": "1/4 x 40 ME"}
    plays = [
        calculator.post("/calculations/thread-overlay", {**same, "fit": fit}).json["play"]["value"]
        for fit in ("tightest", "middle", "loosest")
    ]

    assert plays == sorted(plays)
    assert plays[0] < plays[-1]


def test_the_overlay_is_drawn(calculator: Caller) -> None:
    answer = calculator.post("/calculations/thread-overlay/picture.svg", PAIR)

    assert answer.mimetype == "image/svg+xml"
    assert ElementTree.fromstring(answer.data).tag.endswith("svg")


def test_engagement_gives_the_shear_areas_of_the_handbook(calculator: Caller) -> None:
    answer = calculator.post("/calculations/engagement", JOINT).json

    # M10 x 1.5, one diameter engaged: 155.80 and 214.77 mm2 in a table of a bolted-joint handbook,
    # which takes other limits than we do.
    assert answer["shear_area_male"]["value"] == pytest.approx(155.80, rel=0.01)
    assert answer["shear_area_female"]["value"] == pytest.approx(214.77, rel=0.01)
    needed = {row["material"]: row["needed_length"]["value"] for row in answer["needed_in"]}
    assert needed["mild steel"] <= needed["brass"]


def test_an_adapter_is_worked_out_and_drawn(calculator: Caller) -> None:
    plan = calculator.post("/calculations/adapter", ADAPTER).json
    svg = calculator.post("/calculations/adapter/drawing.svg", ADAPTER)
    dxf = calculator.post("/calculations/adapter/drawing.dxf", ADAPTER)

    assert plan["b"]["drill"] == "5.25 mm"
    assert plan["total_length"]["value"] > plan["body_length"]["value"]
    assert ElementTree.fromstring(svg.data).tag.endswith("svg")
    assert b"SECTION" in dxf.data


@pytest.mark.parametrize(
    ("path", "body", "field"),
    [
        ("thread-overlay", {**PAIR, "fit": "snug"}, "fit"),
        ("thread-overlay", {**PAIR, "male": "1/4 x 41 ME"}, "male"),
        ("thread-overlay", {**PAIR, "engaged_length": "5"}, "engaged_length"),
        ("engagement", {**JOINT, "male_material": "cheese"}, "male_material"),
        ("engagement", {**JOINT, "length": "0 mm"}, "length"),
        ("adapter", {**ADAPTER, "bore": "0 mm"}, "bore"),
        ("adapter", {**ADAPTER, "bore": "9 mm"}, "bore"),
        ("adapter", {**ADAPTER, "material": "cheese"}, "material"),
    ],
)
def test_a_request_that_cannot_be_reckoned_names_its_field(
    calculator: Caller, path: str, body: dict[str, object], field: str
) -> None:
    answer = calculator.post(f"/calculations/{path}", body)

    assert answer.status_code == 422
    assert field in answer.json["errors"]
