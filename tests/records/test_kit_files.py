"""The workshop's kit: real files, read as written, watched, and kept when they go wrong."""

import logging
import os
from decimal import Decimal
from pathlib import Path

import pytest

from service.engineering.kit import USUAL_SHIMS, Kit
from service.records.kit_files import KitFiles
from service.records.kit_tables import HEADINGS

THREADS = (
    "designation,family,form,diameter,unit,pitch,threads_per_inch,source\n"
    "# the box that came with the old plant\n"
    "old gas 7/16,own,55,7/16,in,,24,measured on the bench\n"
)
PRICES = HEADINGS["prices.csv"] + "\n"


@pytest.fixture
def files(tmp_path: Path) -> KitFiles:
    """The files of an empty folder, looked at every time."""
    return KitFiles(tmp_path, look_every=0.0)


def write(folder: Path, name: str, text: str) -> None:
    (folder / name).write_text(text, encoding="utf-8")


def test_without_files_everything_is_the_projects_own(files: KitFiles) -> None:
    assert files.kit == Kit()
    assert files.problems == ()


def test_a_thread_of_the_workshops_own_joins_the_catalogue(files: KitFiles, tmp_path: Path) -> None:
    write(tmp_path, "threads.csv", THREADS)

    (thread,) = files.kit.threads

    assert thread.designation == "old gas 7/16"
    assert thread.pitch == pytest.approx(0.0254 / 24)
    assert files.kit.catalogue is not None
    assert files.kit.catalogue[-1] == thread


def test_an_own_thread_that_says_so_is_left_hand(files: KitFiles, tmp_path: Path) -> None:
    rows = THREADS + "old gas 1/2 LH,own,55,1/2,in,,24,measured on the bench\n"
    write(tmp_path, "threads.csv", rows)
    write(tmp_path, "taps-and-dies.csv", "thread,cuts\n1/2 old gas left hand,tap\n")

    right, left = files.kit.threads

    assert files.problems == ()
    assert (right.hand, left.hand) == ("right", "left")
    assert files.kit.taps_and_dies is not None
    assert files.kit.taps_and_dies[0].thread == left


def test_every_table_is_read_in_workshop_notation(files: KitFiles, tmp_path: Path) -> None:
    write(tmp_path, "threads.csv", THREADS)
    write(tmp_path, "drills.csv", "drill\n7/32 in\nNo. 30\n5.6 mm\n")
    write(tmp_path, "shims.csv", "thickness\n2 thou\n0.1 mm\n")
    write(tmp_path, "times.csv", "operation,minutes\nsilver solder,45\n")
    write(tmp_path, "taps-and-dies.csv", "thread,cuts\n1/4-40 ME,both\n2BA,tap\n7/16 old gas,die\n")
    write(
        tmp_path,
        "stock.csv",
        "bar,metal,length\n5/8 in square,brass,14 in\n3/8 in hexagon,gunmetal,200 mm\n"
        "17 x 23 mm,brass,300 mm\n0.7 in round,mild steel,1 1/2 in\n",
    )
    write(
        tmp_path,
        "prices.csv",
        PRICES + "Stop valve,1/4 x 40 ME; 2BA,,18.50,GBP,the harbour\nPacking,,packing,3,EUR,\n",
    )

    kit = files.kit

    assert files.problems == ()
    assert [drill.name for drill in kit.drills or ()] == ["7/32 in", "No. 30", "5.6 mm"]
    assert kit.shims == pytest.approx((0.0000508, 0.0001))
    assert kit.times == {"silver solder": 45.0}
    assert [(t.thread.designation, t.tap, t.die) for t in kit.taps_and_dies or ()] == [
        ("1/4 x 40 ME", True, True), ("2 BA", True, False), ("old gas 7/16", False, True),
    ]  # fmt: skip
    square, hexagon, rectangle, odd_round = kit.stock or ()
    assert (square.name, square.metal, square.unit) == ("5/8 in square", "brass", "in")
    assert (square.width, square.length) == pytest.approx((0.015875, 0.3556))
    assert (hexagon.shape, hexagon.width) == ("hexagon", pytest.approx(0.009525))
    assert (rectangle.shape, rectangle.width, rectangle.height) == (
        "rectangle", pytest.approx(0.017), pytest.approx(0.023),
    )  # fmt: skip
    assert (odd_round.width, odd_round.length) == pytest.approx((0.01778, 0.0381))
    valve, packing = kit.prices
    assert (valve.amount, valve.currency, valve.supplier) == (
        Decimal("18.50"),
        "GBP",
        "the harbour",
    )
    assert valve.threads == ("1/4 x 40 ME", "2 BA")
    assert (packing.kind, packing.threads, packing.amount) == ("packing", (), Decimal(3))


def test_a_missing_file_keeps_the_usual(files: KitFiles, tmp_path: Path) -> None:
    write(tmp_path, "drills.csv", "drill\n7/32 in\n")

    assert files.kit.shims == USUAL_SHIMS
    assert files.kit.taps_and_dies is None
    assert files.kit.stock is None


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("threads.csv", THREADS.replace("7/16,in", "none,in"), "line 3, column diameter"),
        (
            "threads.csv",
            THREADS.replace("old gas 7/16", "1/4 x 40 ME"),
            "line 3, column designation: There is a thread called 1/4 x 40 ME",
        ),
        ("drills.csv", "drill\n7/32 in\n# broken\nNo. 300\n", "line 4, column drill"),
        ("drills.csv", "drill\n", "no rows"),
        ("drills.csv", "drill\n5.63 mm\n", "the nearest is No. 2"),
        ("drills.csv", "drill\n5.6 m\n", "line 2, column drill"),
        ("shims.csv", "thickness\n0.1\n", "line 2, column thickness"),
        ("shims.csv", "thickness\n6 mm\n", "at most 5 mm"),
        ("shims.csv", "thick\n0.1 mm\n", HEADINGS["shims.csv"]),
        ("times.csv", "operation,minutes\nsilver solder,soon\n", "line 2, column minutes: 'soon'"),
        ("times.csv", "operation,minutes\nsmelting,5\n", "line 2, column operation"),
        ("times.csv", "operation,minutes\nsilver solder,9999\n", "line 2, column minutes"),
        ("times.csv", "operation,minutes\nsilver solder\n", "line 2: 1 columns; it has 2"),
        ("taps-and-dies.csv", "thread,cuts\n2 BA,reamer\n", "'reamer' is none of tap, die, both"),
        ("taps-and-dies.csv", "thread,cuts\n1/4 x 41 ME,tap\n", "line 2, column thread"),
        ("stock.csv", "bar,metal,length\n5/8 in square,cheese,1 in\n", "is none of brass, "),
        ("stock.csv", "bar,metal,length\n5/8 in square,brass,0 mm\n", "line 2, column length"),
        ("stock.csv", "bar,metal,length\nsome,brass,1 in\n", "3/8 in hexagon or 15 x 20 mm"),
        ("stock.csv", "bar,metal,length\n300 mm round,brass,1 in\n", "3 to 200 mm"),
        ("prices.csv", PRICES + "Valve,2 BA,,12.505,GBP,\n", "line 2, column price: Write"),
        ("prices.csv", PRICES + "Valve,2 BA,,-1,GBP,\n", "line 2, column price"),
        ("prices.csv", PRICES + "Valve,2 BA,,12,pounds,\n", "GBP, EUR or USD"),
        ("prices.csv", PRICES + "Valve,,,12,GBP,\n", "line 2, column kind"),
        ("prices.csv", PRICES + '"Valve,2 BA,,12,GBP,\n', "line 2"),
    ],
)
def test_a_wrong_table_is_told_of_by_line_and_column_and_the_projects_own_is_in_force(
    files: KitFiles, tmp_path: Path, name: str, text: str, told: str
) -> None:
    write(tmp_path, name, text)

    (problem,) = files.problems

    assert problem.startswith(name)
    assert told in problem
    assert "The project's own is in force." in problem
    assert files.kit == Kit()


def test_a_wrong_price_is_not_repeated_where_anybody_reads_it(
    files: KitFiles, tmp_path: Path
) -> None:
    write(tmp_path, "prices.csv", PRICES + "Valve,2 BA,,77.123,GBP,\n")

    assert "77" not in files.problems[0]


def test_a_changed_file_is_seen_and_a_removed_one_gives_the_projects_own_again(
    files: KitFiles, tmp_path: Path
) -> None:
    write(tmp_path, "shims.csv", "thickness\n0.3 mm\n")
    assert files.kit.shims == pytest.approx((0.0003,))

    write(tmp_path, "shims.csv", "thickness\n0.3 mm\n0.4 mm\n")
    assert files.kit.shims == pytest.approx((0.0003, 0.0004))

    (tmp_path / "shims.csv").unlink()
    assert files.kit.shims == USUAL_SHIMS


def test_a_file_replaced_at_once_by_one_of_its_size_is_seen(
    files: KitFiles, tmp_path: Path
) -> None:
    write(tmp_path, "shims.csv", "thickness\n0.3 mm\n")
    assert files.kit.shims == pytest.approx((0.0003,))
    before = (tmp_path / "shims.csv").stat()

    write(tmp_path, "shims.new", "thickness\n0.7 mm\n")
    os.utime(tmp_path / "shims.new", ns=(before.st_atime_ns, before.st_mtime_ns))
    os.replace(tmp_path / "shims.new", tmp_path / "shims.csv")

    assert files.kit.shims == pytest.approx((0.0007,))


WHOLE = "drill\n7/32 in\nNo. 30\n5.6 mm\n"


@pytest.mark.parametrize("length", [n for n in range(len(WHOLE)) if not WHOLE[:n].endswith("\n")])
def test_a_half_saved_file_leaves_what_was_last_read_well(
    files: KitFiles, tmp_path: Path, length: int
) -> None:
    """Wherever in a line it is cut; one cut between two lines is a whole, shorter file."""
    write(tmp_path, "drills.csv", WHOLE)
    good = files.kit

    write(tmp_path, "drills.csv", WHOLE[:length])

    assert files.kit == good
    assert "What was last read well of it is in force." in files.problems[0]

    write(tmp_path, "drills.csv", WHOLE)
    assert files.problems == ()


def test_a_wrong_file_does_not_hold_up_the_change_of_another(
    files: KitFiles, tmp_path: Path
) -> None:
    write(tmp_path, "drills.csv", WHOLE)
    assert files.kit.drills is not None
    write(tmp_path, "drills.csv", "drill\nblunt\n")
    write(tmp_path, "shims.csv", "thickness\n0.3 mm\n")

    kit = files.kit

    assert len(kit.drills or ()) == 3
    assert kit.shims == pytest.approx((0.0003,))


def test_a_problem_is_logged_once_and_files_are_not_looked_at_all_the_time(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    files = KitFiles(tmp_path, look_every=3600.0)
    write(tmp_path, "shims.csv", "thickness\nthin\n")
    with caplog.at_level(logging.WARNING):
        assert len(files.problems) == 1
        assert len(files.problems) == 1
    assert len(caplog.records) == 1

    write(tmp_path, "shims.csv", "thickness\n0.3 mm\n")
    assert files.kit.shims == USUAL_SHIMS


def test_two_processes_see_the_same_change(tmp_path: Path) -> None:
    here, there = KitFiles(tmp_path, look_every=0.0), KitFiles(tmp_path, look_every=0.0)
    assert here.kit == there.kit

    write(tmp_path, "shims.csv", "thickness\n0.3 mm\n")

    assert here.kit.shims == there.kit.shims == pytest.approx((0.0003,))


def test_a_file_that_is_no_text_is_told_of(files: KitFiles, tmp_path: Path) -> None:
    (tmp_path / "drills.csv").write_bytes(b"drill\n\xff\xfe\n")

    assert "UTF-8" in files.problems[0]
