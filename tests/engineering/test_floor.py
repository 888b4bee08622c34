"""What the floor itself holds: the line of boiling, the usual shims, figures that are no text."""

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.kit import Kit
from service.engineering.saturation import saturation_pressure
from service.engineering.saying import Figure


def test_the_usual_shims_are_those_of_the_trade() -> None:
    """Common practice: 0.05, 0.1, 0.2 and 0.5 mm."""
    assert Kit().shims == pytest.approx((5e-5, 1e-4, 2e-4, 5e-4))


@pytest.mark.parametrize(("kelvin", "is_taken"), [(523.4, True), (523.61, False)])
def test_water_boils_at_forty_bar_at_the_most(kelvin: float, is_taken: bool) -> None:
    """The saturation line reaches 4 MPa at 523.5 K (IAPWS-IF97)."""
    if is_taken:
        assert saturation_pressure(kelvin) == pytest.approx(4e6, rel=5e-3)
    else:
        with pytest.raises(OutOfRange) as refusal:
            saturation_pressure(kelvin)
        assert refusal.value.field == "temperature"


def test_a_figure_of_a_sentence_is_no_text() -> None:
    with pytest.raises(TypeError):
        str(Figure("fine", 1e-3))
