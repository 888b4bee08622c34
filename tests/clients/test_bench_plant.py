"""The bench script on whole things: an adapter, a plant's check, and any calculation by name."""

import json
from pathlib import Path
from typing import Any

from tests.clients.conftest import Phone, Workshop


def test_an_adapter_is_worked_out_with_its_operations(phone: Phone, tmp_path: Path) -> None:
    drawing = tmp_path / "adapter.svg"

    ran = phone.run("adapter", "male 1/4 x 40 ME", "female M6 x 0.75", "--bore", "1/8 in",
                    "--drawing", str(drawing))  # fmt: skip

    assert ran.code == 0
    assert "Of 3/8 in hexagon, brass" in ran.said
    assert "drill 5.25 mm" in ran.said
    assert "1. Chuck" in ran.said
    assert drawing.read_text().lstrip().startswith("<")


def test_an_end_without_its_gender_is_asked_for(phone: Phone) -> None:
    ran = phone.run("adapter", "1/4 x 40 ME", "female M6", "--bore", "1/8 in")

    assert ran.code == 2
    assert "gender" in ran.said


def test_a_plants_check_shows_the_worst_first(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    assert "has no plant yet" in phone.run("check", commission["reference"]).said
    plant = workshop.make(
        f"/commissions/{commission['id']}/plants", {"name": "Launch", "working_pressure": "50 psi"}
    )
    ends = {}
    for name, gender, thread in (("bush", "female", "1/4 x 40 ME"), ("whistle", "male", "M6")):
        port = {"name": "end", "gender": gender, "thread": thread}
        item = {"kind": "fitting", "name": name, "ports": [port]}
        ends[gender] = workshop.make(f"/plants/{plant['id']}/items", item)["ports"][0]["id"]
    workshop.make(
        f"/plants/{plant['id']}/joints",
        {"male_port_id": ends["male"], "female_port_id": ends["female"]},
    )

    ran = phone.run("check", commission["reference"])

    assert ran.code == 0
    assert ran.said.startswith("Launch FAIL whistle (end) into bush (end)")
    assert "> whistle (end) into bush (end): " in ran.said


def test_any_calculation_is_asked_by_its_name(phone: Phone, tmp_path: Path) -> None:
    request = tmp_path / "valve.json"
    request.write_text(json.dumps({
        "set_pressure": "4 bar", "accumulation": 0.1, "evaporation": "57 g/min", "seat": "4 mm",
        "lift": "0.3 mm", "seat_angle": "90 deg", "discharge_coefficient": 0.6,
    }))  # fmt: skip

    ran = phone.run("calc", "safety-valve", str(request))

    assert ran.code == 0
    assert "adequate: True" in ran.said
    assert "only the accumulation test proves it" in ran.said


def test_a_paper_of_a_calculation_is_saved(phone: Phone, tmp_path: Path) -> None:
    request, paper = tmp_path / "demand.json", tmp_path / "sheet.pdf"
    request.write_text(json.dumps({
        "pressure": "50 psi",
        "engines": [{"bore": "3/4 in", "stroke": "3/4 in", "speed": "600 rpm"}],
    }))  # fmt: skip

    assert phone.run("calc", "steam-demand/sheet.pdf", str(request), "--save", str(paper)).code == 0
    assert paper.read_bytes().startswith(b"%PDF")


def test_a_request_that_is_no_json_is_told(phone: Phone, tmp_path: Path) -> None:
    (tmp_path / "bad.json").write_text("{")

    assert phone.run("calc", "thread", str(tmp_path / "bad.json")).code == 2
    assert phone.run("calc", "thread", str(tmp_path / "none.json")).code == 2
