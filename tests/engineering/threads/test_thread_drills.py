"""The drill series."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange, UnknownDrill
from service.engineering.threads.catalogue import Drill, all_drills, find_drill, nearest_drill


def test_four_series_are_complete() -> None:
    by_series: dict[str, list[Drill]] = {}
    for drill in all_drills():
        by_series.setdefault(drill.series, []).append(drill)

    assert len(by_series["number"]) == 80
    assert len(by_series["letter"]) == 26
    assert len(by_series["fraction"]) == 80
    assert {f"{tenth / 10:g} mm" for tenth in range(10, 141)} <= {
        drill.name for drill in by_series["metric"]
    }


def test_names_are_unique_and_sizes_rise() -> None:
    drills = all_drills()

    assert len({drill.name for drill in drills}) == len(drills)
    assert [drill.diameter for drill in drills] == sorted(drill.diameter for drill in drills)


def test_number_drills_shrink_and_letters_grow() -> None:
    numbers = [find_drill(f"No. {number}").diameter for number in range(1, 81)]
    letters = [find_drill(f"letter {letter}").diameter for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]

    assert numbers == sorted(numbers, reverse=True)
    assert letters == sorted(letters)
    assert numbers[0] < letters[0]


def test_unknown_drill_names_the_nearest() -> None:
    with pytest.raises(UnknownDrill, match=r"5\.6 mm") as refusal:
        find_drill("5.6mm")

    assert refusal.value.field == "drill"


def test_nearest_is_sought_among_the_drills_on_hand() -> None:
    on_hand = [find_drill("5 mm"), find_drill("6 mm")]

    assert nearest_drill(0.0056, drills=on_hand).name == "6 mm"
    assert nearest_drill(0.0056).name == "5.6 mm"


def test_of_two_equally_near_the_larger_is_taken() -> None:
    on_hand = [Drill("small", 0.004, "metric"), Drill("large", 0.006, "metric")]

    assert nearest_drill(0.005, drills=on_hand).name == "large"


@pytest.mark.parametrize("diameter", [0.0, -0.001, nan])
def test_impossible_hole_is_refused(diameter: float) -> None:
    with pytest.raises(OutOfRange):
        nearest_drill(diameter)


def test_an_empty_drill_stand_is_refused() -> None:
    with pytest.raises(OutOfRange, match="no drills"):
        nearest_drill(0.005, drills=[])


@given(st.floats(0.0005, 0.030))
def test_no_drill_lies_nearer_than_the_nearest(diameter: float) -> None:
    nearest = nearest_drill(diameter)

    assert all(
        abs(nearest.diameter - diameter) <= abs(drill.diameter - diameter) < inf
        for drill in all_drills()
    )
