"""What an engine takes and gives by its diagram, and where each judgement on it turns."""

from dataclasses import replace
from math import log, pi, sqrt

import pytest

from service.engineering.errors import NoSolution
from service.engineering.saturation import saturation
from service.engineering.steam.engine import Engine, plant_demand, steam_demand
from service.engineering.steam.engine.engine import EngineDemand

AIR = 101_325.0
FOUR_BAR = 501_325.0
BACK = 111_000.0

# A full-stroke engine of diagram factor 1: its mean pressure is chest less exhaust, by definition.
FULL = Engine(
    name="full",
    bore=0.02,
    stroke=0.02,
    cylinders=1,
    acting="double",
    speed=8.0,
    cut_off=1.0,
    clearance=0.1,
    diagram_factor=1.0,
)
CUT = replace(FULL, cut_off=0.1, clearance=0.05)
# Mean pressure of admission and expansion over that of the chest: e + (e + c) ln((1 + c)/(e + c)).
SHARE = 0.1 + 0.15 * log(1.05 / 0.15)


def take(engine: Engine, pressure: float = FOUR_BAR, back: float = BACK) -> EngineDemand:
    return steam_demand(engine, pressure=pressure, back_pressure=back, feed_temperature=288.15)


def judged(found: EngineDemand) -> dict[str, str]:
    return {finding.code: finding.level for finding in found.findings}


@pytest.mark.parametrize(
    ("mean", "code", "level"),
    [
        (-1.0, "no-work", "fail"),
        (1.0, "little-work", "caution"),
        (49_990.0, "little-work", "caution"),
        (50_010.0, None, None),
    ],
)
def test_an_engine_must_overcome_half_a_bar_of_its_own_friction(
    mean: float, code: str | None, level: str | None
) -> None:
    """By p (e + (e + c) ln((1 + c)/(e + c))) - pb with e 0.1 and c 0.05."""
    found = take(CUT, (BACK + mean) / SHARE)

    assert found.mean_effective_pressure == pytest.approx(mean, abs=1e-3)
    work = {key: judged(found)[key] for key in {"no-work", "little-work"} & judged(found).keys()}
    assert work == ({code: level} if code else {})
    assert (found.steam_rate is None) is (mean < 0)


def test_steam_for_each_joule_is_steam_over_power() -> None:
    found = take(FULL)

    assert found.indicated_power == pytest.approx((FOUR_BAR - BACK) * pi / 2 * 0.02**3 * 8.0)
    assert found.steam_rate is not None
    assert found.steam_rate.high == pytest.approx(found.steam.high / found.indicated_power)


@pytest.mark.parametrize("setting", [(1.0, 0.1, 0.0), (0.5, 0.08, 0.2), (0.25, 0.05, 0.6)])
def test_mean_pressure_is_the_area_of_the_diagram(setting: tuple[float, float, float]) -> None:
    """p dv step by step round admission, expansion, exhaust and compression, p v constant."""
    cut_off, clearance, closure = setting
    steps = 20_000
    places = [(number + 0.5) / steps for number in range(steps)]

    def push(place: float) -> float:
        filled = (cut_off + clearance) / (place + clearance)
        return FOUR_BAR * min(1.0, filled)

    def resist(left: float) -> float:
        return BACK * max(1.0, (closure + clearance) / (left + clearance))

    area = sum(push(place) - resist(place) for place in places) / steps
    engine = replace(
        FULL, cut_off=cut_off, clearance=clearance, exhaust_closure=closure, diagram_factor=0.8
    )
    assert take(engine).mean_effective_pressure == pytest.approx(0.8 * area, rel=1e-5)


@pytest.mark.parametrize(("side", "far"), [(1.0001, False), (0.9999, True)])
def test_steam_that_expands_below_the_exhaust_is_told(side: float, far: bool) -> None:
    """At release 0.15/1.05 of the admission pressure is left."""
    found = judged(take(CUT, side * BACK * 1.05 / 0.15))

    assert (found.get("expands-too-far") == "caution") is far


@pytest.mark.parametrize(("side", "far"), [(1.0001, False), (0.9999, True)])
def test_a_cushion_above_admission_is_told(side: float, far: bool) -> None:
    """Closing at 0.3 into a clearance of 0.1 squeezes the exhaust to four times its pressure."""
    found = judged(take(replace(FULL, exhaust_closure=0.3), side * 4 * BACK))

    assert (found.get("compresses-too-far") == "caution") is far


@pytest.mark.parametrize(("share", "high"), [(0.1999, False), (0.2001, True)])
@pytest.mark.parametrize("gauge", [4e5, 1e5])
def test_an_exhaust_above_a_fifth_of_the_gauge_pressure_is_told(
    share: float, high: bool, gauge: float
) -> None:
    found = judged(take(FULL, AIR + gauge, AIR + share * gauge))

    assert (found.get("high-exhaust-pressure") == "caution") is high


def test_below_the_atmosphere_only_a_vacuum_is_no_high_exhaust() -> None:
    assert "high-exhaust-pressure" not in judged(take(FULL, 0.9e5, 0.5e5))


@pytest.mark.parametrize(
    ("acting", "cut_off", "early"),
    [("single", 0.799, True), ("single", 0.8, False), ("double", 0.799, False)],
)
def test_a_single_acting_engine_cuts_off_from_eight_tenths(
    acting: str, cut_off: float, early: bool
) -> None:
    found = judged(take(replace(FULL, acting=acting, cut_off=cut_off)))  # type: ignore[arg-type]

    assert (found.get("early-cut-off") == "caution") is early


@pytest.mark.parametrize(
    ("bore", "condensation", "code"),
    [
        (0.01249, None, "wet-small-cylinder"),
        (0.0125, None, None),
        (0.01249, 0.5, None),
        (0.05, None, None),
        (0.0501, None, "condensation-held"),
        (0.0501, 0.5, None),
        (0.02, 0.0, "ideal-steam"),
        (0.02, 1e-6, None),
    ],
)
def test_how_far_condensation_is_to_be_trusted(
    bore: float, condensation: float | None, code: str | None
) -> None:
    """Below 12.5 mm most steam condenses; the table ends at 50 mm; a stated figure is taken."""
    found = take(replace(FULL, bore=bore, condensation=condensation))

    assert judged(found) == ({code: "caution"} if code else {})


@pytest.mark.parametrize(
    ("bore", "low", "likely", "high"),
    [
        (0.005, 1.0, 1.5, 2.0),
        (0.008, 1.0, 1.5, 2.0),
        (sqrt(8 * 12) / 1e3, 0.85, 1.3, 1.8),
        (sqrt(12 * 22) / 1e3, 0.6, 0.95, 1.4),
        (sqrt(22 * 50) / 1e3, 0.415, 0.65, 1.0),
        (0.05, 0.33, 0.5, 0.8),
        (0.2, 0.33, 0.5, 0.8),
    ],
)
def test_condensation_lies_on_the_logarithm_of_the_bore_and_is_held_at_the_ends(
    bore: float, low: float, likely: float, high: float
) -> None:
    found = take(replace(FULL, bore=bore))

    band = found.engine.condensation_band
    assert (band.low, band.likely, band.high) == (pytest.approx((low, likely, high)))
    assert found.steam.low == pytest.approx(found.dry_steam * (1 + low))
    assert found.steam.likely == pytest.approx(found.dry_steam * (1 + likely))
    assert found.steam.high == pytest.approx(found.dry_steam * (1 + high))


@pytest.mark.parametrize(
    ("acting", "bore", "factor"),
    [("single", 0.004, 0.65), ("single", sqrt(8 * 22) / 1e3, 0.675),
     ("single", sqrt(22 * 50) / 1e3, 0.725), ("single", 0.09, 0.75), ("double", 0.004, 0.70),
     ("double", sqrt(8 * 22) / 1e3, 0.725), ("double", 0.022, 0.75), ("double", 0.09, 0.80)],
)  # fmt: skip
def test_the_diagram_factor_grows_with_the_bore(acting: str, bore: float, factor: float) -> None:
    engine = replace(FULL, acting=acting, bore=bore, diagram_factor=None)  # type: ignore[arg-type]

    found = take(engine)

    assert found.engine.effective_diagram_factor == pytest.approx(factor)
    assert found.mean_effective_pressure == pytest.approx(factor * (FOUR_BAR - BACK))


@pytest.mark.parametrize(("side", "refused"), [(0.9999, False), (1.0001, True)])
def test_a_cushion_that_holds_all_that_is_let_in_leaves_nothing_to_take(
    side: float, refused: bool
) -> None:
    """Closing where (x + c)/vb meets (e + c)/v1."""
    pressure, back = 2e5, 1.9e5
    volumes = saturation(pressure).vapour_volume, saturation(back).vapour_volume
    closure = side * ((0.1 + 0.1) * volumes[1] / volumes[0] - 0.1)
    engine = replace(FULL, cut_off=0.1, exhaust_closure=closure)

    if not refused:
        assert take(engine, pressure, back).dry_steam > 0
        return
    with pytest.raises(NoSolution) as refusal:
        take(engine, pressure, back)
    assert refusal.value.field == "exhaust_closure"


def test_every_cylinder_and_every_revolution_takes_its_steam() -> None:
    one = take(FULL)
    third = 1.5**2

    assert take(replace(FULL, cylinders=3)).dry_steam == pytest.approx(3 * one.dry_steam)
    assert take(replace(FULL, speed=16.0)).dry_steam == pytest.approx(2 * one.dry_steam)
    assert take(replace(FULL, stroke=0.04)).dry_steam == pytest.approx(2 * one.dry_steam)
    assert take(replace(FULL, acting="single")).dry_steam == pytest.approx(one.dry_steam / 2)
    wider = take(replace(FULL, bore=0.03, condensation=0.0))
    assert wider.dry_steam == pytest.approx(third * one.dry_steam)


def test_a_plant_sums_what_its_engines_take() -> None:
    both = plant_demand(
        [FULL, replace(FULL, name="other", cylinders=2)],
        pressure=FOUR_BAR,
        back_pressure=BACK,
        feed_temperature=288.15,
    )

    assert both.dry_steam == pytest.approx(3 * take(FULL).dry_steam)
    assert both.heat.high == pytest.approx(3 * take(FULL).heat.high)
