"""Small judgements in which a changed figure or a turned sign would pass unnoticed elsewhere."""

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.kit import Bar, Kit
from service.engineering.saturation import saturation_pressure
from service.engineering.saying import Figure
from service.engineering.steam.boiler import Boiler, Shell, boiler_supply, heat_electrically
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


def test_the_usual_shims_are_those_of_the_trade() -> None:
    """Common practice: 0.05, 0.1, 0.2 and 0.5 mm."""
    assert Kit().shims == pytest.approx((5e-5, 1e-4, 2e-4, 5e-4))


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


@pytest.mark.parametrize(("kelvin", "is_taken"), [(523.4, True), (523.61, False)])
def test_water_boils_at_forty_bar_at_the_most(kelvin: float, is_taken: bool) -> None:
    """The saturation line reaches 4 MPa at 523.5 K (IAPWS-IF97)."""
    if is_taken:
        assert saturation_pressure(kelvin) == pytest.approx(4e6, rel=5e-3)
    else:
        with pytest.raises(OutOfRange) as refusal:
            saturation_pressure(kelvin)
        assert refusal.value.field == "temperature"


def test_the_arithmetic_of_a_supply_ends_in_its_evaporation() -> None:
    boiler = Boiler(
        firing=heat_electrically(1500.0),
        shell=Shell("horizontal", 0.1, 0.2),
        low_level=0.05,
        high_level=0.075,
        metal_mass=2.5,
    )
    supply = boiler_supply(boiler, pressure=5e5, feed_temperature=288.15, air_temperature=293.15)
    values = {line.symbol: line.value for line in supply.workings}

    assert values["m"] == pytest.approx(supply.evaporation.likely)


def test_a_figure_of_a_sentence_is_no_text() -> None:
    with pytest.raises(TypeError):
        str(Figure("fine", 1e-3))


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
