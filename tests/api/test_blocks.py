"""The distribution block, planned and drawn over HTTP."""

import io
from copy import deepcopy
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest
from ezdxf.filemanagement import read

from service.engineering.block import BlockRequest, Port, RunningCase, plan_block
from service.quantities import parse_thread
from service.quantities.wording import word
from tests.api.conftest import EXAMPLES
from tests.conftest import Caller

PATH = "/calculations/distribution-block"
EXAMPLE = EXAMPLES["distribution-block"]
ATMOSPHERE, INCH, PSI = 101_325.0, 0.0254, 6894.757293168
OUTLET: dict[str, Any] = EXAMPLE["outlets"][0]


def ask(calculator: Caller, address: str = PATH, **changes: Any) -> Any:
    """The example with some members changed; None takes one out."""
    body = deepcopy(EXAMPLE) | changes
    return calculator.post(
        address, {name: value for name, value in body.items() if value is not None}
    )


def outlet(**changes: Any) -> dict[str, Any]:
    """The example with its second outlet changed."""
    return {"outlets": [OUTLET, OUTLET | changes, OUTLET]}


def refused(answer: Any) -> list[str]:
    """The fields at fault."""
    assert answer.status_code == 422, answer.get_data(as_text=True)
    return list(answer.json["errors"])


def test_answer_is_that_of_the_engineering_floor(calculator: Caller) -> None:
    quarter = parse_thread("1/4 x 40 ME")
    flow = 20 / 60e3
    found = plan_block(
        BlockRequest(
            outlets=tuple(
                Port(quarter, name=name, spacing=INCH * 5 / 8)
                for name in ("port engine", "starboard engine", "blower")
            ),
            inlet=Port(parse_thread("5/16 x 32 ME"), name="stop valve"),
            pressure=60 * PSI + ATMOSPHERE,
            drop_budget=2 * PSI,
            cases=(
                RunningCase("both engines", (flow, flow, 0.0)),
                RunningCase("all", (flow, flow, flow / 4), (flow / 2,)),
            ),
            ends=(Port(quarter, name="whistle"),),
        )
    )
    answer = ask(calculator)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    shown = answer.json
    assert shown["section"]["name"] == found.section.name
    assert shown["bore"]["value"] == pytest.approx(found.bore * 1e3)
    assert shown["length"]["value"] == pytest.approx(found.length * 1e3)
    assert shown["engagement"]["value"] == pytest.approx(found.engagement * 1e3)
    assert shown["wall_least"]["value"] == pytest.approx(found.wall_least * 1e3)
    assert shown["mass"]["value"] == pytest.approx(found.mass * 1e3)
    assert shown["drop"]["likely"]["value"] == pytest.approx(found.drop.likely / 1e5, rel=1e-6)
    letters = [hole["letter"] for hole in shown["setting_out"]]
    assert letters == [hole.letter for hole in found.setting_out]
    assert [step["text"] for step in shown["operations"]] == [
        word(s.text) for s in found.operations
    ]
    assert [one["why"] for one in shown["alternatives"]] == [
        word(a.why) for a in found.alternatives
    ]
    assert all(one["text"] for one in shown["refused"])


def test_drop_keeps_the_budget_and_is_named_by_the_letter_of_the_hole(calculator: Caller) -> None:
    shown = ask(calculator).json
    assert shown["drop"]["likely"]["value"] <= 2 * PSI / 1e5 * (1 + 1e-6)
    holes = {hole["letter"]: hole["name"] for hole in shown["setting_out"]}
    running = {(drop["case"], holes[drop["hole"]]) for drop in shown["drops"]}
    assert ("both engines", "port engine") in running
    assert ("both engines", "blower") not in running
    assert ("all", "whistle") in running


def test_outlets_stand_as_far_apart_as_their_valves_want(calculator: Caller) -> None:
    holes = ask(calculator).json["setting_out"]
    stations = sorted(hole["x"]["value"] for hole in holes if hole["purpose"] == "outlet")
    assert len(stations) == 3
    assert all(right - left >= 15.875 - 1e-6 for left, right in pairwise(stations))


def test_block_weighs_less_than_the_bar_it_is_cut_from(calculator: Caller) -> None:
    # Brass is about 8.5 g/cm3 (handbook).
    shown = ask(calculator).json
    bar = shown["section"]["area"]["value"] * shown["length"]["value"] * 8.5e-3
    assert 0.6 * bar < shown["mass"]["value"] < bar


def test_bar_on_hand_is_taken_by_name_or_by_size(calculator: Caller) -> None:
    named = ask(calculator, sections=["1 in square"]).json
    sized = ask(calculator, sections=[{"shape": "square", "width": "1 in"}]).json
    assert named["section"]["name"] == "1 in square"
    for figure in ("bore", "length", "engagement", "mass"):
        assert sized[figure] == named[figure]
    metric = {"shape": "rectangle", "width": "20 mm", "height": "25 mm"}
    assert ask(calculator, sections=[metric]).json["section"]["name"] in ("20 mm x 25 mm",)


def test_drills_on_hand_are_kept_to(calculator: Caller) -> None:
    answer = ask(calculator, drills=["4 mm", "3 mm", "7/32 in", "7 mm", "No. 30"]).json
    assert answer["bore"]["value"] in {4.0, 3.0, 5.55625, 7.0, 3.2639}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"outlets": []}, "outlets"),
        ({"inlet": None}, "inlet"),
        ({"pressure": "60"}, "pressure"),
        ({"pressure": 60}, "pressure"),
        ({"pressure": "0 psi"}, "pressure"),
        ({"drop_budget": "2"}, "drop_budget"),
        ({"drop_budget": "0 psi"}, "drop_budget"),
        ({"drop_budget": None}, "drop_budget"),
        ({"least_wall": "-1 mm"}, "least_wall"),
        ({"least_wall": "50 mm"}, "least_wall"),
        ({"material": "cheese"}, "material"),
        ({"pulsation": 0}, "pulsation"),
        (outlet(thread="1/8 NPT"), "outlets.1.thread"),
        (outlet(thread="1/4 of something"), "outlets.1.thread"),
        (outlet(spacing="5/8"), "outlets.1.spacing"),
        (outlet(spacing="-5/8 in"), "outlets.1.spacing"),
        (outlet(spacing="2 m"), "outlets.1.spacing"),
        (outlet(seat="1 mm"), "outlets.1.seat"),
        (outlet(engagement="0 mm"), "outlets.1.engagement"),
        (outlet(pointing="900 deg"), "outlets.1.pointing"),
        (outlet(male_material="cheese"), "outlets.1.male_material"),
        (outlet(place="inside"), "outlets.1.place"),
        (outlet(place="left end"), "outlets"),
        ({"inlet": {"thread": "1/4 BSPT"}}, "inlet.thread"),
        ({"ends": [{"thread": "1/8 NPT"}]}, "ends.0.thread"),
        ({"ends": [{"thread": "1/4 x 40 ME"}] * 2}, "ends"),
        ({"flows": []}, "flows"),
        ({"flows": [{"case": "all", "steam": ["20 g/min"]}]}, "flows"),
        ({"flows": [{"case": "all", "steam": ["20", "20 g/min", "0 g/min"]}]}, "flows.0.steam.0"),
        ({"flows": [{"case": "shut", "steam": ["0 g/min"] * 3}]}, "flows"),
        ({"sections": []}, "sections"),
        ({"sections": ["2 furlongs square"]}, "sections.0"),
        ({"sections": [12]}, "sections.0"),
        ({"sections": [{"shape": "square", "width": "12"}]}, "sections.0.width"),
        ({"sections": [{"shape": "star", "width": "12 mm"}]}, "sections.0.shape"),
        ({"sections": [{"shape": "round", "width": "1 m"}]}, "sections.0.width"),
        ({"sections": ["1/4 in square"]}, "sections"),
        ({"drills": ["5.63 mm"]}, "drills.0"),
        ({"drills": ["0 mm"]}, "drills.0"),
        ({"drills": ["0.5 mm"]}, "drills"),
    ],
)
def test_fault_names_its_field(calculator: Caller, changes: dict[str, Any], field: str) -> None:
    assert refused(ask(calculator, **changes)) == [field]


def test_bar_that_is_too_small_is_refused_with_the_figure(calculator: Caller) -> None:
    answer = ask(calculator, sections=["1/4 in square", "5/16 in square"])
    assert "mm" in answer.json["detail"]
    assert "5/16 in square" in answer.json["detail"]


def test_drawing_for_the_eye_is_svg_with_the_title_asked(calculator: Caller) -> None:
    answer = ask(calculator, f"{PATH}/drawing.svg", title="Launch plant, block", number="CB-17")
    assert answer.status_code == 200
    assert answer.mimetype == "image/svg+xml"
    drawn = answer.get_data(as_text=True)
    assert ElementTree.fromstring(drawn).tag == "{http://www.w3.org/2000/svg}svg"
    assert all(word in drawn for word in ("Launch plant, block", "CB-17", "1/4 x 40 ME"))


def test_drawing_for_a_drawing_program_is_sound_dxf(calculator: Caller) -> None:
    answer = ask(calculator, f"{PATH}/drawing.dxf")
    assert answer.status_code == 200
    assert answer.mimetype == "image/vnd.dxf"
    document = read(io.StringIO(answer.get_data().decode()))
    assert not document.audit().has_errors
    assert len(document.modelspace()) > 50


def test_drawing_on_paper_is_a_pdf(calculator: Caller) -> None:
    answer = ask(calculator, f"{PATH}/drawing.pdf")
    assert answer.status_code == 200
    assert answer.mimetype == "application/pdf"
    assert answer.get_data().startswith(b"%PDF-")


@pytest.mark.parametrize("kind", ["svg", "dxf", "pdf"])
def test_block_that_cannot_be_made_is_not_drawn(calculator: Caller, kind: str) -> None:
    answer = ask(calculator, f"{PATH}/drawing.{kind}", **outlet(thread="1/8 NPT"))
    assert refused(answer) == ["outlets.1.thread"]
