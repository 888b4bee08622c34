"""The root finder."""

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import NoSolution
from service.engineering.solving import solve_rising


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
