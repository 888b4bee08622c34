"""The workshop's own tables: read as they are written, refused by name when they cannot be."""

from pathlib import Path

import pytest

from service.engineering.threads.joint import USUAL_SHIMS
from service.records.kit_files import HEADINGS, Kit, TableError, read_kit

THREADS = (
    "designation,family,form,diameter,unit,pitch,threads_per_inch,source\n"
    "# the box that came with the old plant\n"
    "old gas 7/16,own,55,7/16,in,,24,measured on the bench\n"
)


def test_without_files_everything_is_the_projects_own(tmp_path: Path) -> None:
    assert read_kit(tmp_path / "tables") == Kit()


def test_a_thread_of_the_workshops_own_joins_the_catalogue(tmp_path: Path) -> None:
    (tmp_path / "threads.csv").write_text(THREADS)

    tables = read_kit(tmp_path)

    (thread,) = tables.threads
    assert thread.designation == "old gas 7/16"
    assert thread.pitch == pytest.approx(0.0254 / 24)
    assert tables.catalogue is not None
    assert tables.catalogue[-1] == thread


def test_drills_shims_and_times_are_read_in_workshop_notation(tmp_path: Path) -> None:
    (tmp_path / "drills.csv").write_text("drill\n7/32 in\nNo. 30\n5.6 mm\n")
    (tmp_path / "shims.csv").write_text("thickness\n2 thou\n0.1 mm\n")
    (tmp_path / "times.csv").write_text("operation,minutes\nsilver solder,45\n")

    tables = read_kit(tmp_path)

    assert tables.drills is not None
    assert [drill.name for drill in tables.drills] == ["7/32 in", "No. 30", "5.6 mm"]
    assert tables.shims == pytest.approx((0.0000508, 0.0001))
    assert tables.times == {"silver solder": 45.0}


def test_a_missing_file_keeps_the_usual_shims(tmp_path: Path) -> None:
    (tmp_path / "drills.csv").write_text("drill\n7/32 in\n")

    assert read_kit(tmp_path).shims == USUAL_SHIMS


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("threads.csv", THREADS.replace("7/16,in", "none,in"), "threads.csv"),
        ("threads.csv", THREADS.replace("old gas 7/16", "1/4 x 40 ME"), "called 1/4 x 40 ME"),
        ("drills.csv", "drill\nNo. 300\n", "drills.csv"),
        ("drills.csv", "drill\n", "no rows"),
        ("shims.csv", "thickness\n0.1\n", "shims.csv"),
        ("shims.csv", "thick\n0.1 mm\n", HEADINGS["shims.csv"]),
        ("times.csv", "operation,minutes\nsilver solder,soon\n", "soon"),
        ("times.csv", "operation,minutes\nsmelting,5\n", "smelting"),
        ("times.csv", "operation,minutes\nsilver solder,9999\n", "times.csv"),
        ("times.csv", "operation,minutes\nsilver solder\n", "times.csv"),
    ],
)
def test_a_table_that_cannot_be_read_is_named(
    tmp_path: Path, name: str, text: str, told: str
) -> None:
    (tmp_path / name).write_text(text)

    with pytest.raises(TableError, match=name) as refusal:
        read_kit(tmp_path)

    assert told in str(refusal.value)
