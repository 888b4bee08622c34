"""A family of threads that is added by rows of two tables alone: read, shown, drilled, checked.

The tables are read once a process, so a copy of the service is asked in a process of its own.
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import service

FAMILY = (
    "Kettle,Kettle thread,50,kettle;tea pot,3k;4k,in,tpi,,mm,Whitworth,,yes,1.4,"
    "invented for this test,nobody's standard\n"
)
SIZES = "".join(
    f"{size} x {count} Kettle,Kettle,50,{size},in,,{count},,,,,,,nobody's standard\n"
    for size, count in [("1/4", 36), ("5/16", 36), ("5/16", 30), ("1/2", 36)]
)
SPELLINGS = [
    "1/4x36 kettle", "KETTLE 1/4-36", "¼ kettle", "1/4 x 36 tea pot", "1/4-36 Kettle-3K",
    "1/4 in kettle", "1/4 x 36 tpi kettle 4k",
]  # fmt: skip
SCRIPT = f"""
import json, sys
from math import degrees
from pathlib import Path
import service
from service.engineering.threads.catalogue import describe_thread, families, tapping_drills
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.joint import check_fitting
from service.quantities import QuantityError, parse_thread
from service.settings import Settings

thread = parse_thread("1/4 x 36 Kettle")
def refusal(text):
    try:
        return parse_thread(text).designation
    except QuantityError as told:
        return told.message
app = service.create_app(Settings(data=Path(sys.argv[1])))
fitting = check_fitting(
    MaleEnd(parse_thread("1/4 x 40 ME"), 0.00635), FemaleEnd(thread, 0.00794),
    pressure=5e5, steam_temperature=425.0,
)
same = check_fitting(
    MaleEnd(thread, 0.00635), FemaleEnd(thread, 0.00794), pressure=5e5, steam_temperature=425.0
)
print(json.dumps({{
    "read": [parse_thread(text).designation for text in {SPELLINGS!r}],
    "refused": [refusal("5/16 kettle"), refusal("1/4 x 36"), refusal("#1/4 kettle")],
    "angle": degrees(thread.form.included_angle),
    "pitch": thread.pitch,
    "drills": [one.drill.series for one in describe_thread(thread).tapping_drills],
    "percents": [one.depth_percent for one in tapping_drills(thread)],
    "family": [one.description for one in families() if one.key == "Kettle"],
    "verdicts": [fitting.verdict, same.verdict],
    "where": service.__file__,
}}))
"""


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What a service says whose tables have the rows and whose code is untouched."""
    folder = tmp_path_factory.mktemp("family")
    shutil.copytree(
        Path(service.__file__).parent,
        folder / "service",
        ignore=shutil.ignore_patterns("__pycache__"),
    )
    tables = folder / "service" / "engineering" / "tables"
    for name, rows in (("thread_families.csv", FAMILY), ("thread_series.csv", SIZES)):
        with (tables / name).open("a", encoding="utf-8") as table:
            table.write(rows)
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(folder / "data")],
        cwd=folder, env={**os.environ, "PYTHONPATH": str(folder)}, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    answer: dict[str, Any] = json.loads(done.stdout)
    assert answer["where"].startswith(str(folder))
    return answer


def test_it_is_read_in_every_spelling_and_refused_where_it_is_unclear(told: dict[str, Any]) -> None:
    assert set(told["read"]) == {"1/4 x 36 Kettle"}
    two_sizes, no_family, numbered = told["refused"]
    assert "5/16 x 36 Kettle or 5/16 x 30 Kettle" in two_sizes
    assert "1/4 x 36 Kettle" in no_family
    assert "nearest" in numbered


def test_it_is_shown_with_its_own_angle_and_pitch(told: dict[str, Any]) -> None:
    assert told["family"] == ["invented for this test"]
    assert told["angle"] == pytest.approx(50)
    assert told["pitch"] == pytest.approx(0.0254 / 36)


def test_it_is_drilled_by_the_system_of_its_row(told: dict[str, Any]) -> None:
    """The practice for a form of no standard: 60 to 90 % in a soft metal."""
    assert told["drills"][0] == "metric"
    assert all(60 <= percent <= 90 for percent in told["percents"])


def test_it_is_checked_against_another_and_against_itself(told: dict[str, Any]) -> None:
    other, itself = told["verdicts"]
    assert other in ("does_not_go", "make_good")
    assert itself in ("goes", "goes_with_care")
