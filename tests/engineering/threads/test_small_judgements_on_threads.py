"""Small judgements in which a changed figure or a turned sign would pass unnoticed elsewhere."""

import pytest

from service.engineering.kit import Bar, Kit
from service.engineering.threads.catalogue import describe_thread
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.joint import check_fitting
from service.engineering.threads.remedies import plan_adapter

QUARTER = find_thread("1/4 x 40 ME")
MM = 1e-3


def hexagon(across: float) -> Bar:
    return Bar(f"{across} mm hexagon", "hexagon", across * MM, across * MM, "mm", "brass", 0.5)


def test_the_smallest_bar_on_hand_that_will_do_is_taken() -> None:
    """Common practice: what is turned away is wasted."""
    ends = MaleEnd(QUARTER, 6 * MM), FemaleEnd(QUARTER, 6 * MM)

    plan = plan_adapter(
        *ends, bore=2 * MM, material="brass", kit=Kit(stock=(hexagon(20), hexagon(12)))
    )

    assert plan.stock == "12 mm hexagon"


@pytest.mark.parametrize(
    ("length", "depth", "told"),
    [(None, None, True), (6 * MM, None, False), (None, 6 * MM, False), (6 * MM, 6 * MM, False)],
)
def test_a_length_is_taken_only_where_neither_end_gives_one(
    length: float | None, depth: float | None, told: bool
) -> None:
    check = check_fitting(MaleEnd(QUARTER, length), FemaleEnd(QUARTER, depth))

    codes = {finding.code for finding in check.findings}
    assert ("engagement-length-unknown" in codes) is told


@pytest.mark.parametrize(
    ("designation", "has_other_bases"),
    [("1/4-28 UNF", True), ("M6 x 0.75", True), ("1/4 x 40 ME", False), ("1/8-27 NPT", False)],
)
def test_a_hole_in_a_parallel_60_degree_thread_is_told_on_every_basis(
    designation: str, has_other_bases: bool
) -> None:
    """Charts of 60 degree threads reckon the depth in two ways beside the thread's own."""
    drilled = describe_thread(find_thread(designation), drilled=5.5 * MM).drilled

    assert drilled is not None
    assert bool(drilled.other_bases) is has_other_bases
    assert "own" not in drilled.other_bases
