"""Heat off pipes: convection by its ranges, radiation, lagging that pays, drains wanted."""

from dataclasses import replace
from math import log, pi

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.saturation import saturation
from service.engineering.steam.boiler import PipeLoss, PipeRun, pipe_loss
from service.engineering.steam.boiler.pipe_loss import (
    find_convection,
    find_loss_per_length,
    find_surface_flux,
)

STEAM = saturation(501_325.0)
RUN = PipeRun(0.006, 0.005, 1.0)


def lose(run: PipeRun = RUN, *, flow: float | None = None) -> PipeLoss:
    return pipe_loss(run, pressure=501_325.0, air_temperature=293.15, flow=flow)


def judged(found: PipeLoss) -> dict[str, str]:
    return {finding.code: finding.level for finding in found.findings}


# Air at 350 K and one atmosphere by the tables: 20.92e-6 m²/s, 0.0300 W/m/K, Pr 0.700; between
# 400 and 300 K the Rayleigh number is then 4.4815e9 D³.
RAYLEIGH = 9.80665 * 100 / 350 / 20.92e-6**2 * 0.700


@pytest.mark.parametrize(
    ("rayleigh", "factor", "exponent"),
    [
        (80, 1.02, 0.148),
        (125, 0.850, 0.188),
        (8e3, 0.850, 0.188),
        (1.25e4, 0.480, 0.250),
        (8e6, 0.480, 0.250),
        (1.25e7, 0.125, 0.333),
    ],
)
def test_convection_changes_its_law_with_the_rayleigh_number(
    rayleigh: float, factor: float, exponent: float
) -> None:
    """Morgan (1975): Nu = C Ra^n; at one temperature h goes with D^(3n - 1)."""
    diameter = (rayleigh / RAYLEIGH) ** (1 / 3)

    here, wider = (
        find_convection(400.0, air=300.0, diameter=each) for each in (diameter, 1.01 * diameter)
    )

    assert log(wider / here) / log(1.01) == pytest.approx(3 * exponent - 1, abs=1e-9)
    assert here == pytest.approx(factor * rayleigh**exponent * 0.0300 / diameter, rel=0.015)


def test_radiation_goes_with_the_fourth_power() -> None:
    """5.670374e-8 (400⁴ - 300⁴) = 992.3 W/m² for a black surface."""
    black, bright = (
        find_surface_flux(400.0, air=300.0, diameter=0.01, emissivity=part) for part in (1.0, 0.0)
    )

    assert black - bright == pytest.approx(992.315, rel=1e-5)
    assert bright == pytest.approx(
        100 * find_convection(400.0, air=300.0, diameter=0.01), rel=1e-12
    )
    assert find_surface_flux(300.0, air=300.0, diameter=0.01, emissivity=1.0) == 0.0


def test_a_bare_pipe_loses_its_flux_over_its_own_surface() -> None:
    """Dull metal unless stated: 0.7."""
    flux = find_surface_flux(STEAM.temperature, air=293.15, diameter=0.006, emissivity=0.7)

    assert lose().loss_per_length == pytest.approx(flux * pi * 0.006)
    assert lose().heat == pytest.approx(flux * pi * 0.006 * 1.0)
    assert lose().condensate == pytest.approx(lose().heat / STEAM.latent_heat)


def test_lagging_of_string_is_dull_and_resists_by_the_logarithm() -> None:
    """Emissivity 0.9 and 0.06 W/m/K unless stated; 2 pi k/ln(D/d) from metal to surface."""
    found = lose(replace(RUN, lagging=0.005)).loss_per_length

    surface = STEAM.temperature - found * log(16 / 6) / (2 * pi * 0.06)
    flux = find_surface_flux(surface, air=293.15, diameter=0.016, emissivity=0.9)
    assert flux * pi * 0.016 == pytest.approx(found, rel=1e-3)


def test_copper_warmed_through_leaves_its_condensate() -> None:
    """8930 kg/m³ and 385 J/kg/K on the ring of metal, fittings not counted."""
    mass = 8930 * pi / 4 * (0.006**2 - 0.005**2)
    heat = mass * 385 * (STEAM.temperature - 293.15)

    found = lose(replace(RUN, fittings=3))

    assert found.warming_condensate == pytest.approx(heat / STEAM.latent_heat)


def test_the_critical_radius_is_conductivity_over_the_surface_coefficient() -> None:
    excess = STEAM.temperature - 293.15
    flux = find_surface_flux(STEAM.temperature, air=293.15, diameter=0.006, emissivity=0.9)

    assert lose().critical_radius == pytest.approx(0.06 * excess / flux)


@pytest.mark.parametrize(
    ("share", "found"), [(0.0499, None), (0.0501, "caution"), (0.999, "caution"), (1.001, "fail")]
)
def test_a_drain_is_wanted_from_a_twentieth_and_nothing_arrives_from_the_whole(
    share: float, found: str | None
) -> None:
    flow = lose().condensate / share

    answer = lose(flow=flow)

    assert answer.share == pytest.approx(share)
    assert judged(answer).get("drain-wanted") == found


@pytest.mark.parametrize(
    ("thicker", "code", "level"),
    [(-2e-5, "lagging-worse", "caution"), (2e-5, "lagging-helps", "ok")],
)
def test_lagging_pays_from_the_thickness_at_which_it_loses_no_more(
    thicker: float, code: str, level: str
) -> None:
    """A bright pipe: thin dull lagging makes it worse."""
    bright = PipeRun(0.003, 0.002, 1.0, emissivity=0.05)
    least = lose(bright).least_lagging
    assert least is not None
    assert 5e-4 < least < 0.03

    found = lose(replace(bright, lagging=least + thicker))

    assert judged(found) == {code: level}
    assert (found.loss_per_length < found.bare_loss_per_length) is (level == "ok")


def test_lagging_is_looked_at_from_a_tenth_of_a_millimetre_to_fifty() -> None:
    """Conductivities at which 50 mm lose just as much as the bright pipe, or a hair more."""
    bright = PipeRun(0.003, 0.002, 1.0, emissivity=0.05)
    bare = lose(bright).bare_loss_per_length

    def through(conductivity: float) -> float:
        return find_loss_per_length(
            STEAM.temperature, air=293.15, diameter=0.003, emissivity=0.9, lagging=0.05,
            conductivity=conductivity,
        )  # fmt: skip

    low, high = 0.01, 2.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if through(middle) < bare else (low, middle)
    assert lose(replace(bright, conductivity=low * 0.999)).least_lagging == pytest.approx(
        0.05, rel=0.01
    )
    assert lose(replace(bright, conductivity=low * 1.001)).least_lagging is None
    stout = PipeRun(0.05, 0.045, 1.0, emissivity=0.9)  # any lagging pays on it
    assert lose(stout).least_lagging == pytest.approx(1e-4, rel=1e-9)


@pytest.mark.parametrize("lagging", [5e-324, 1e-33, 0.99e-4, -1e-9])
def test_lagging_too_thin_to_be_any_is_refused_and_none_is_bare(lagging: float) -> None:
    assert lose(replace(RUN, lagging=0.0)).loss_per_length > 0
    with pytest.raises(OutOfRange) as refusal:
        lose(replace(RUN, lagging=lagging))
    assert refusal.value.field == "lagging"
