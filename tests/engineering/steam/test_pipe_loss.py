"""Heat and water lost by small pipe: lagging can make it worse, and a drain may be wanted."""

from dataclasses import replace
from math import log, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange
from service.engineering.saturation import saturation
from service.engineering.steam.boiler import PipeRun, pipe_loss
from service.engineering.steam.boiler.pipe_loss import (
    BRIGHT_EMISSIVITY,
    find_loss_per_length,
    find_surface_flux,
    find_warming_condensate,
)
from service.quantities.wording import word

THIN = PipeRun(0.003, 0.002, 0.3)
STEAM = {"pressure": 501_325.0, "air_temperature": 293.15}


def codes(loss) -> set[str]:
    return {finding.code for finding in loss.findings}


def test_thin_lagging_on_bright_pipe_makes_it_worse_and_says_from_where_it_pays() -> None:
    bright = replace(THIN, emissivity=BRIGHT_EMISSIVITY, lagging=0.001)

    found = pipe_loss(bright, **STEAM)

    assert found.loss_per_length > found.bare_loss_per_length
    assert "lagging-worse" in codes(found)
    assert found.least_lagging is not None
    thicker = pipe_loss(replace(bright, lagging=found.least_lagging * 1.05), **STEAM)
    assert thicker.loss_per_length < thicker.bare_loss_per_length


def test_poor_lagging_on_bright_pipe_may_never_pay() -> None:
    found = pipe_loss(replace(THIN, emissivity=0.0, lagging=0.002, conductivity=1.0), **STEAM)

    assert found.least_lagging is None
    assert "leave it bare and bright" in word(found.findings[0].text)


def test_lagging_pays_on_oxidised_pipe() -> None:
    found = pipe_loss(replace(THIN, lagging=0.004), **STEAM)

    assert found.loss_per_length < found.bare_loss_per_length
    assert codes(found) == {"lagging-helps"}


def test_condensate_dominates_a_small_engine_and_not_a_large_one() -> None:
    """0.3 m of 3 mm pipe: 20 to 40 % of 1 g/min, about 1 % of 34 g/min, by the heat balance."""
    small = pipe_loss(THIN, **STEAM, flow=1 / 60e3)
    large = pipe_loss(THIN, **STEAM, flow=34 / 60e3)

    assert small.share is not None
    assert 0.2 < small.share < 0.4
    assert "drain-wanted" in codes(small)
    assert large.share == pytest.approx(0.01, abs=0.003)
    assert large.findings == ()


def test_pipe_that_condenses_everything_fails() -> None:
    found = pipe_loss(replace(THIN, length=3.0), **STEAM, flow=1 / 60e3)

    assert found.findings[0].level == "fail"


def test_warm_up_condensate_by_hand() -> None:
    """1 kg of brass (380 J/kg/K) from 20 degC to 4 bar gauge leaves about 24 g."""
    steam = saturation(501_325.0)

    found = find_warming_condensate(380 * (steam.temperature - 293.15), steam)

    assert found == pytest.approx(0.0238, abs=5e-4)


def test_fittings_count_as_pipe() -> None:
    plain, fitted = (pipe_loss(replace(THIN, fittings=number), **STEAM).heat for number in (0, 2))

    assert fitted / plain == pytest.approx(1 + 2 * 0.4 * 0.003 / 0.015 / 0.3)


@settings(max_examples=40)
@given(st.floats(0.002, 0.05), st.floats(0.0005, 0.03), st.floats(0.02, 0.5))
def test_heat_through_lagging_is_heat_off_its_surface(
    diameter: float, lagging: float, conductivity: float
) -> None:
    """The surface temperature found from conduction gives off the same heat."""
    loss = find_loss_per_length(
        425.0,
        air=293.15,
        diameter=diameter,
        emissivity=0.9,
        lagging=lagging,
        conductivity=conductivity,
    )
    outside = diameter + 2 * lagging
    surface = 425.0 - loss * log(outside / diameter) / (2 * pi * conductivity)
    flux = find_surface_flux(surface, air=293.15, diameter=outside, emissivity=0.9)

    assert flux * pi * outside == pytest.approx(loss, rel=0.02)  # Morgan's ranges meet to 1 %
    assert 293.15 < surface < 425.0


@given(st.floats(0.002, 0.05), st.floats(1.2e5, 1.5e6), st.floats(1.2e5, 1.5e6))
def test_hotter_pipe_never_loses_less(bore: float, one: float, other: float) -> None:
    run = PipeRun(bore * 1.3, bore, 1.0)
    low, high = (
        pipe_loss(run, pressure=pressure, air_temperature=293.15).loss_per_length
        for pressure in sorted((one, other))
    )

    assert low <= high * 1.01


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: PipeRun(0.0, 0.0, 1), "outside_diameter"),
        (lambda: PipeRun(0.003, 0.003, 1), "bore"),
        (lambda: PipeRun(0.003, 0.002, 0), "length"),
        (lambda: PipeRun(0.003, 0.002, 1, fittings=-1), "fittings"),
        (lambda: pipe_loss(THIN, **STEAM, flow=0.0), "flow"),
        (lambda: pipe_loss(THIN, pressure=5e5, air_temperature=500.0), "air_temperature"),
        (lambda: pipe_loss(replace(THIN, emissivity=1.5), **STEAM), "emissivity"),
        (lambda: pipe_loss(replace(THIN, lagging=-0.001), **STEAM), "lagging"),
        (
            lambda: pipe_loss(replace(THIN, lagging=0.001, conductivity=0.0), **STEAM),
            "conductivity",
        ),
        (lambda: pipe_loss(THIN, pressure=1.0, air_temperature=293.0), "pressure"),
    ],
)
def test_nonsense_is_refused_by_field(call, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()

    assert refusal.value.field == field
