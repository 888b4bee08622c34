"""A figure as a bare number in the one unit of its kind, for axes and for arithmetic on paper."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.saying import Figure, FigureKind
from service.quantities.wording import Measure, convert_figure, show_figure

KINDS = [kind for kind in get_args(FigureKind) if kind not in ("name", "share", "turns", "count",
                                                               "duration")]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "value", "measure", "number", "unit"),
    [
        ("length", 0.0254, Measure.IMPERIAL, 1.0, "in"),
        ("fine", 0.0000254, Measure.US, 0.001, "in"),
        ("fine", 0.0000254, Measure.METRIC, 0.0254, "mm"),
        ("pressure", 101_325.0, Measure.US, 0.0, "psi"),
        ("pressure", 201_325.0, Measure.METRIC, 1.0, "bar"),
        ("mass", 0.45359237, Measure.IMPERIAL, 16.0, "oz"),  # a pound, by definition
        ("volume", 0.00454609, Measure.IMPERIAL, 160.0, "fl oz"),  # a gallon, by definition
        ("power", 20_000.0, Measure.US, 20_000.0, "W"),
        ("temperature", 273.15, Measure.US, 32.0, "degF"),
    ],
)
def test_a_bare_number_is_in_the_one_unit_of_its_kind(kind, value, measure, number, unit) -> None:
    told, named = convert_figure(Figure(kind, value), measure)

    assert told == pytest.approx(number, abs=1e-9)
    assert named == unit


@given(st.sampled_from(KINDS), st.sampled_from(Measure), st.floats(1e-9, 1e9))
def test_the_unit_does_not_change_with_the_size(kind, measure, value) -> None:
    assert (
        convert_figure(Figure(kind, value), measure)[1]
        == convert_figure(Figure(kind, 1.0), measure)[1]
    )


@pytest.mark.parametrize("measure", Measure)
def test_a_bare_number_is_the_one_that_the_words_round(measure) -> None:
    for kind, value in (("pressure", 4e5), ("flow", 3e-4), ("drop", 2e4), ("force", 13.0)):
        number, unit = convert_figure(Figure(kind, value), measure)
        shown, _, said = show_figure(Figure(kind, value), measure).partition(" ")
        assert said == unit
        half_a_digit = 0.5 * 10.0 ** -len(shown.partition(".")[2])
        assert float(shown) == pytest.approx(number, abs=half_a_digit)
