"""The root finder, and how findings write quantities."""

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import NoSolution
from service.engineering.solving import solve_rising
from service.engineering.steam.wording import difference_text, flow_text, gauge_text, length_text


@given(st.floats(0.001, 0.999), st.floats(0.1, 30))
def test_root_is_found_however_bent_the_function(root: float, bend: float) -> None:
    found = solve_rising(lambda x: exp(bend * x) - exp(bend * root), 0.0, high=1.0)

    assert found == pytest.approx(root, abs=1e-9)


@given(st.floats(0.001, 0.999))
def test_root_at_a_step_is_found(step: float) -> None:
    found = solve_rising(lambda x: 1.0 if x >= step else -2.0, 0.0, high=1.0)

    assert found == pytest.approx(step, abs=1e-9)


def test_root_at_an_end_is_that_end() -> None:
    assert solve_rising(lambda x: x, 0.0, high=1.0) == 0.0
    assert solve_rising(lambda x: x - 1, 0.0, high=1.0) == 1.0


@pytest.mark.parametrize("shift", [-2.0, 2.0])
def test_function_without_a_root_is_refused(shift: float) -> None:
    with pytest.raises(NoSolution):
        solve_rising(lambda x: x + shift, 0.0, high=1.0)


@pytest.mark.parametrize(
    ("length", "text"),
    [
        (0.01905, "19.05 mm (3/4 in)"),
        (0.0254, "25.4 mm (1 in)"),
        (0.030956, "30.96 mm (1 7/32 in)"),
        (0.003, "3 mm"),
        (0.00016, "0.16 mm"),
    ],
)
def test_lengths_are_written_in_millimetres_with_the_inch_fraction(length, text) -> None:
    assert length_text(length) == text


def test_pressures_and_flows_are_written_for_the_bench() -> None:
    assert gauge_text(501_325.0) == "4.00 bar gauge"
    assert difference_text(35_000.0) == "0.35 bar"
    assert flow_text(34.1 / 60e3) == "34.1 g/min"
    assert flow_text(1.2345 / 60) == "1234 g/min"
