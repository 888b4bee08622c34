"""Where a figure written for the bench changes its form: the inch fraction, the decimals."""

import pytest

from service.engineering.steam.wording import flow_text, length_text


@pytest.mark.parametrize(
    ("over", "named"), [(-1.1e-5, False), (-9e-6, True), (9e-6, True), (1.1e-5, False)]
)
def test_an_inch_fraction_is_named_within_a_hundredth_of_a_millimetre(
    over: float, named: bool
) -> None:
    assert ("3/4 in" in length_text(0.01905 + over)) is named


@pytest.mark.parametrize(("grams", "decimals"), [(99.9, 1), (100.1, 0)])
def test_tenths_of_a_gram_are_written_below_a_hundred(grams: float, decimals: int) -> None:
    assert flow_text(grams / 60e3).startswith(f"{grams:.{decimals}f} ")
