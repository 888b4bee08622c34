"""Calculations and the state of a commission, readable at a phone's width.

The figures asserted here are those of the trade or of plain geometry; that the service reckons
right is tested on its own floor.
"""

import json
from pathlib import Path
from typing import Any

from tests.clients.conftest import Phone, Workshop

PLANT = ("--pressure", "50 psi", "--back", "0.1 bar", "--feed", "15 degC")
ENGINE = {"bore": "3/4 in", "stroke": "3/4 in", "speed": "600 rpm", "cylinders": 2}


def test_a_thread_shows_its_sizes_and_the_depth_a_drill_leaves(phone: Phone) -> None:
    ran = phone.run("thread", "1/4 x 40 ME", "--drill", "7/32 in")
    assert ran.code == 0
    assert "1/4 x 40 ME angle 55 deg pitch 0.635 mm, 40 per inch major 6.35 mm" in ran.said
    assert "Drilled 5.56 mm: 98 %" in ran.said  # 1/64 in a side of 0.64 P: 97.6 %


def test_the_demand_of_one_engine_shows_its_band_and_the_cautions(phone: Phone) -> None:
    ran = phone.run(
        *("demand", *PLANT, "--bore", "3/4 in", "--stroke", "3/4 in", "--speed", "600 rpm"),
        *("--cylinders", "2", "--acting", "double", "--cut-off", "0.75", "--clearance", "0.1"),
        *("--rod", "1/8 in", "--name", "port engine"),
    )
    assert ran.code == 0
    assert ran.said.startswith("port engine steam ")
    assert "g/min to" in ran.said
    assert "W indicated" in ran.said
    assert "* The working pressure stated by the inspector is the limit." in ran.said


def test_the_demand_of_a_file_of_engines_is_added_up(phone: Phone, tmp_path: Path) -> None:
    file = tmp_path / "engines.json"
    names = ("port engine", "starboard engine")
    file.write_text(json.dumps([{**ENGINE, "name": name, "condensation": 0} for name in names]))
    ran = phone.run("demand", "--file", str(file), *PLANT)
    assert ran.code == 0
    likely = [float(line.split()[1]) for line in ran.lines if line.strip().startswith("dry")]
    assert likely[0] == likely[1]
    assert abs(likely[2] - 2 * likely[0]) <= 0.02 * likely[0]  # four figures are shown
    assert "All together" in ran.said


def test_a_wrong_quantity_is_refused_with_the_field_and_what_to_write(phone: Phone) -> None:
    ran = phone.run("demand", "--pressure", "50", "--bore", "3/4 in", "--stroke", "3/4 in",
                    "--speed", "600 rpm")  # fmt: skip
    assert ran.code == 1
    assert ran.said.startswith("Refused: pressure: ")


def test_a_joint_that_goes_says_so(phone: Phone) -> None:
    ran = phone.run("fit", "1/4 x 40 ME", "1/4 x 40 ME", "--length", "1/4 in", "--depth", "5/16 in")
    assert ran.code == 0
    assert ran.said.startswith("1/4 x 40 ME into 1/4 x 40 ME GOES")


def test_a_joint_that_does_not_go_shows_remedies_in_order_and_marks_the_refused(
    phone: Phone,
) -> None:
    ran = phone.run(
        *("fit", "1/4 x 40 ME", "1/4 x 32 ME", "--pressure", "60 psi", "--length", "1/4 in"),
        *("--bore", "1/8 in", "--depth", "5/16 in", "--boss", "7/16 in", "--drilled", "7/32 in"),
        *("--male-material", "bronze", "--male-owner", "customer", "--steps"),
        *("--found", "20 deg", "--wanted", "90 deg"),
    )
    assert ran.code == 0
    assert "MAKE GOOD FAIL Pitch 40 per inch in 32 per inch" in ran.said
    numbers = [line for line in ran.lines if line[:1].isdigit() and "min" in line]
    assert numbers[0].startswith("1. ")
    assert " REFUSED " in ran.said
    assert "To point it:" in ran.said


def test_indexing_shows_the_shims_and_the_cut_that_does_without(phone: Phone) -> None:
    ran = phone.run("index", "1/4 x 40 ME", "--found", "20 deg", "--wanted", "110 deg",
                    "--shim", "0.476 mm", "--shim", "0.1 mm")  # fmt: skip
    assert ran.code == 0
    # A quarter turn forward is three quarters back: 3/4 of 0.635 mm, or a quarter to face off.
    assert "wanted 0.476 mm shims 0.476 mm points at 110 deg or face 0.159 mm" in ran.said


def test_a_taper_shows_how_far_it_goes_in_and_its_size_where_that_is_asked(phone: Phone) -> None:
    """R 1/8: 9.728 mm at 4.0 mm from its small end, so 1/16 mm more at 5 mm; 4.41 turns by hand."""
    ran = phone.run("thread", "R 1/8", "--at", "5 mm")

    assert ran.code == 0
    assert "9.79 mm" in ran.said
    assert "4.4 turns" in ran.said


def test_a_left_hand_thread_and_the_class_that_was_asked_are_shown(phone: Phone) -> None:
    ran = phone.run("thread", "1/4x40 LH", "--male-class", "close")

    assert ran.code == 0
    assert "1/4 x 40 ME LH" in ran.said
    assert "LEFT" in ran.said
    assert "close in medium" in ran.said
    assert "is taken" in " ".join(ran.said.split())


def test_an_unknown_thread_is_named_with_what_tells_it_apart(phone: Phone) -> None:
    ran = phone.run("identify", "--od", "6.28mm", "--tpi", "40")
    assert ran.code == 0
    assert "1. 1/4 x 40 ME" in ran.said  # 1/4 in by 40: model engineers' thread, or American
    assert "1/4-40 UNS" in ran.said
    assert "to tell: " in ran.said
    counted = phone.run("identify", "--od", "6.28 mm", "--count", "20", "--over", "1/2 in",
                        "--angle", "55 deg", "--error", "0.03 mm")  # fmt: skip
    assert "1. 1/4 x 40 ME" in counted.said
    assert phone.run("identify", "--bore", "5.55 mm", "--tpi", "40").code == 0
    gauged = phone.run("identify", "--od", "9.45 mm", "--gauge", "inch", "--tpi", "26",
                       "--angle", "47.5 deg", "--times", "1", "--length", "8 mm",
                       "--second", "9.45 mm", "--apart", "6 mm")  # fmt: skip
    assert "None of the catalogue agrees" in gauged.said
    assert "none of these" in gauged.said
    assert "NO " in gauged.said
    assert all(len(line) <= 40 for line in gauged.lines)
    assert "44 and 48" in phone.run("identify", "--od", "6.28mm", "--tpi", "45").said


def test_halves_of_a_reading_are_asked_for_together(phone: Phone) -> None:
    for half in (
        ("--count", "20"),
        ("--over", "1/2 in"),
        ("--second", "6 mm"),
        ("--apart", "5 mm"),
    ):
        ran = phone.run("identify", "--od", "6.28mm", *half)
        assert ran.code == 2
        assert "go together" in ran.said


def test_status_shows_hours_against_the_estimate_parts_decisions_and_what_waits(
    phone: Phone, workshop: Workshop, commission: dict[str, Any]
) -> None:
    reference = commission["reference"]
    phone.run_offline("log", reference, "9h", "turning")
    phone.run_offline("part", "receive", reference, "Valve", "--quantity", "2")
    phone.run_offline("note", reference, "x", "--customer", "--decision", "Shall it be lagged?")
    assert phone.run("send").code == 0
    phone.run_offline("log", reference, "20 min", "packing")
    ran = phone.run("status", reference)
    assert ran.code == 0
    assert ran.said.startswith(f"{reference} {commission['title']} stage in hand")
    assert "hours 9 h 00 of 10 h 00, 1 h 00 left" in ran.said
    assert "80 % of the estimate" in ran.said
    assert "parts 2 received" in ran.said
    assert "Shall it be lagged?" in ran.said
    assert f"Waiting here: 1 of this, 1 in all. - 20 min packing, {reference}" in ran.said


def test_status_without_network_shows_what_waits(phone: Phone) -> None:
    phone.run_offline("log", "26-014", "20 min", "packing")
    ran = phone.run_offline("status", "26-014")
    assert ran.code == 3
    assert "Waiting here: 1 of this" in ran.said
    assert "No network" in ran.said
