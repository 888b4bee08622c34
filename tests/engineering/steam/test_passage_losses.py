"""Each part of a passage costs what its textbook form says: losses, friction, valves, choking."""

from collections.abc import Sequence
from math import log, log10, pi, radians, sqrt

import pytest

from service.engineering.errors import NoSolution
from service.engineering.findings import Working
from service.engineering.saturation import saturation
from service.engineering.steam.passages import (
    Bend,
    Bore,
    Contraction,
    Corner,
    Loss,
    PassageFlow,
    Pipe,
    StopValve,
    Tee,
    Valve,
    find_pulsation,
    flow_through,
    pressure_after,
)
from service.engineering.steam.passages.losses import friction_factor
from tests.engineering.steam.bare_flow import mass_flow

BOILER = 501_325.0
STEAM = saturation(BOILER)
PRODUCT = BOILER * STEAM.vapour_volume

# Sharp entry from a chamber by Rennels: 0.0696 * 1.622² + 0.622², and one velocity head.
CHAMBER = 0.0696 * 1.622**2 + 0.622**2 + 1


def flux(flow: float, diameter: float) -> float:
    return flow / (pi / 4 * diameter**2)


def losses(parts: Sequence[object], *, flow: float = 2e-4) -> list[float]:
    """K of every part by G² p v (K + 2 ln(p_in/p_out)) = p_in² - p_out², from its pressures."""
    passed = pressure_after(parts, pressure=BOILER, flow=flow)  # type: ignore[arg-type]
    return [
        (state.pressure_in**2 - state.pressure_out**2)
        / (flux(flow, state.element.diameter) ** 2 * PRODUCT)
        - 2 * log(state.pressure_in / state.pressure_out)
        for state in passed.elements
    ]


def symbols(passed: PassageFlow) -> set[str]:
    return {working.symbol for working in passed.workings}


def colebrook(reynolds: float, roughness: float) -> float:
    factor = 0.03
    for _ in range(50):
        factor = (2 * log10(roughness / 3.7 + 2.51 / reynolds / sqrt(factor))) ** -2
    return factor


@pytest.mark.parametrize(
    ("parts", "number", "loss"),
    [
        ([Bore(3e-3, 0.0)], 0, CHAMBER),
        # 3 mm out of 6 mm, jet 1.573313: 0.0696 (1 - 1/32) 1.573313² + 0.573313² + 1 - 1/16
        ([Bore(6e-3, 0.0), Bore(3e-3, 0.0)], 1, 0.166904 + 0.328688 + 0.9375),
        ([Bore(3e-3, 0.0), Bore(6e-3, 0.0)], 1, 0.0),
        ([Bore(3e-3, 0.0), Bore(3e-3, 0.0)], 1, 0.0),
        ([Bore(6e-3, 0.0), Bore(3e-3, 0.0), Bore(3e-3, 0.0)], 2, 0.0),  # sped up already
        # mitre of 90 degrees: 0.42 sin 45 + 2.56 sin³ 45
        ([Bore(3e-3, 0.0), Corner(3e-3)], 1, 0.296985 + 0.905097),
        # and of 60: 0.42/2 + 2.56/8
        ([Bore(3e-3, 0.0), Corner(3e-3, radians(60))], 1, 0.21 + 0.32),
        ([Corner(3e-3)], 0, 0.296985 + 0.905097 + CHAMBER),
        # bend of 3 bores, 90 degrees, f = 0.031, by hand
        ([Bore(3e-3, 0.0), Bend(3e-3, 9e-3)], 1, 0.146084 + 0.123319 + 0.035191),
        # bend of 2 bores, 180 degrees: 0.031 * 2 pi + 0.1744 + 6.6 * 0.031 * 2/2⁴
        ([Bore(3e-3, 0.0), Bend(3e-3, 6e-3, pi)], 1, 0.194779 + 0.1744 + 0.025575),
        ([Bend(3e-3, 9e-3)], 0, 0.304594 + CHAMBER),
        # a contraction pays for its own two bores, whatever stands before it
        ([Bore(9e-3, 0.0), Contraction(3e-3, 6e-3)], 1, 0.166904 + 0.328688 + 0.9375),
        # branch of 4 mm off 6 mm with 0.3 of the flow: 1 + (16/36/0.3)² and its own head
        ([Tee(4e-3, 6e-3, 0.3)], 0, 2 + (16 / 36 / 0.3) ** 2),
        ([Tee(3e-3, 3e-3)], 0, 3.0),
        ([Loss(3e-3, 7.5)], 0, 7.5),
    ],
)
def test_a_part_costs_its_loss_coefficient(parts: list[object], number: int, loss: float) -> None:
    assert losses(parts)[number] == pytest.approx(loss, abs=2e-5)


@pytest.mark.parametrize(
    ("make", "roughness"),
    [(Bore, 3.2e-6), (Pipe, 1.5e-6), (lambda d, long: Bore(d, long, 2e-5), 2e-5)],
)
def test_wall_friction_is_darcy_over_the_length(make, roughness: float) -> None:
    """f L/D by Colebrook; 3.2 µm as drilled, 1.5 µm as drawn, or as stated."""
    flow = 4e-4
    reynolds = 4 * flow / (pi * 3e-3 * STEAM.vapour_viscosity)
    short, long = (
        losses([Bore(3e-3, 0.0), make(3e-3, length)], flow=flow)[1] for length in (0.1, 0.2)
    )

    assert reynolds > 4000
    assert short == pytest.approx(colebrook(reynolds, roughness / 3e-3) * 0.1 / 3e-3, rel=1e-3)
    assert long == pytest.approx(2 * short, rel=1e-6)


@pytest.mark.parametrize(
    ("reynolds", "weight"),
    [(500.0, 0.0), (1999.9, 0.0), (2000.0, 0.0), (2500.0, 0.15625), (3000.0, 0.5),
     (3500.0, 0.84375), (4000.0, 1.0), (9000.0, 1.0)],
)  # fmt: skip
def test_flow_turns_turbulent_from_2000_to_4000(reynolds: float, weight: float) -> None:
    """64/Re below, Colebrook above, and the cubic 3 t² - 2 t³ between."""
    expected = (1 - weight) * 64 / reynolds + weight * colebrook(reynolds, 1e-3)

    assert friction_factor(reynolds, 1e-3) == pytest.approx(expected, rel=5e-4)


def test_a_loss_that_does_not_choke_obeys_its_equation() -> None:
    """G² p v (K + 2 ln(p1/p2)) = p1² - p2² for K 9 in 3 mm, 4 to 2 bar gauge, by hand."""
    beyond = 301_325.0
    expected = sqrt((BOILER**2 - beyond**2) / PRODUCT / (9 + 2 * log(BOILER / beyond)))

    passed = flow_through([Loss(3e-3, 9.0)], pressure=BOILER, outlet_pressure=beyond)

    assert flux(passed.flow, 3e-3) == pytest.approx(expected, rel=1e-9)
    assert passed.velocity == pytest.approx(expected * PRODUCT / beyond, rel=1e-9)
    assert passed.elements[0].mach == pytest.approx(expected * sqrt(PRODUCT) / beyond, rel=1e-9)


def test_a_plain_bore_chokes_where_its_exit_reaches_the_root_of_p_v() -> None:
    """Choked, p1² = p2² (1 + K + 2 ln(p1/p2)): a loss of 9 chokes at p2/p1 = 0.282527."""
    ratio = 0.282527
    assert 1 + 9 + 2 * log(1 / ratio) == pytest.approx(ratio**-2, rel=1e-4)

    free, choked = (
        flow_through([Loss(3e-3, 9.0)], pressure=BOILER, outlet_pressure=ratio * side * BOILER)
        for side in (1.002, 0.998)
    )

    assert not free.choked
    assert "choked" not in {finding.code for finding in free.findings}
    assert choked.choked
    assert choked.elements[0].mach == pytest.approx(1.0)
    assert {("choked", "caution")} <= {(one.code, one.level) for one in choked.findings}


@pytest.mark.parametrize("xt", [0.3, 0.7])
def test_a_valve_passes_and_chokes_by_its_kv(xt: float) -> None:
    """31.6 Kv Y root(x p rho), Y = 1 - x/(3 Fk xT), kg/h and bar; choked from x = Fk xT on."""
    limit = 1.3 / 1.4 * xt
    valve = Valve(4e-3, 0.1, xt)
    for part in (0.2, 0.99):
        share = part * limit
        expected = (
            31.6 * 0.1 * (1 - share / (3 * limit))
            * sqrt(share * BOILER / 1e5 / STEAM.vapour_volume) / 3600
        )  # fmt: skip
        found = flow_through([valve], pressure=BOILER, outlet_pressure=BOILER * (1 - share))
        assert found.flow == pytest.approx(expected, rel=1e-7)
        assert not found.choked
    most = 31.6 * 0.1 * 2 / 3 * sqrt(limit * BOILER / 1e5 / STEAM.vapour_volume) / 3600
    found = flow_through([valve], pressure=BOILER, outlet_pressure=BOILER * (1 - 1.001 * limit))
    assert found.choked
    assert found.flow == pytest.approx(most, rel=1e-7)


@pytest.mark.parametrize(("share", "symbol"), [(0.999, "K_1"), (1.001, "x_1")])
def test_a_wide_open_valve_counts_as_its_bore_until_its_plug_chokes_first(
    share: float, symbol: str
) -> None:
    """K below 8/9 l/(1 - l)² with l = Fk xT = 0.65 leaves the bore the tighter: K 4.7166."""
    loss = share * 8 / 9 * 0.65 / 0.35**2
    valve = Valve(4e-3, 4e-3**2 * sqrt(1.6e9 / loss))

    passed = flow_through([valve], pressure=BOILER, outlet_pressure=4.9e5)

    assert symbol in symbols(passed)
    working: Working = next(one for one in passed.workings if one.symbol == symbol)
    assert working.value == pytest.approx(loss if symbol == "K_1" else 0.65)


@pytest.mark.parametrize("lift", [0.25, 0.3, 1.0, 0.2, 0.1, 0.05])
def test_a_stop_valve_closes_by_the_square_of_its_lift(lift: float) -> None:
    """340 f_T fully turbulent at 45.72 µm, and 0.155 ((d/h)² - 16) from a lift of d/4 down."""
    seat = 4e-3
    turbulent = (2 * log10(3.7 * seat / 4.572e-5)) ** -2
    expected = 340 * turbulent + (0.155 * (lift**-2 - 16) if lift < 0.25 else 0.0)

    kv = StopValve(seat, lift * seat).kv

    assert 1.6e9 * seat**4 / kv**2 == pytest.approx(expected, rel=1e-9)


def test_a_stop_valve_passes_as_the_valve_of_its_kv() -> None:
    stop = StopValve(4e-3, 1e-3, 0.5)

    assert mass_flow([stop], BOILER, 2e5) == mass_flow([Valve(4e-3, stop.kv, 0.5)], BOILER, 2e5)
    assert StopValve(4e-3, 1e-3).xt == Valve(4e-3, 0.1).xt == 0.7


@pytest.mark.parametrize(
    ("acting", "cylinders", "factor"),
    [("double", 1, 1.2), ("single", 1, 2.0), ("single", 2, 1.2), ("double", 2, 1.05),
     ("single", 3, 1.05), ("double", 3, 1.05)],
)  # fmt: skip
def test_the_fewer_strokes_the_more_the_demand_pulses(
    acting: str, cylinders: int, factor: float
) -> None:
    """The table of the statement; two single-acting cylinders are one double-acting."""
    assert find_pulsation(acting, cylinders) == factor  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("part", "stiff", "easy"),
    [
        (Loss(3e-3, 10.0), Loss(3e-3, 14.0), Loss(3e-3, 10 / 1.4)),
        (Valve(4e-3, 0.1), Valve(4e-3, 0.1 / sqrt(1.4)), Valve(4e-3, 0.1 * sqrt(1.4))),
        (Tee(3e-3, 3e-3), Loss(3e-3, 4.2), Loss(3e-3, 3 / 1.4)),
    ],
)
def test_the_band_is_forty_per_cent_of_loss_either_way(part, stiff, easy) -> None:
    order = {"pressure": BOILER, "outlet_pressure": 3e5}

    band = flow_through([part], **order).flow_band

    assert band.low == pytest.approx(flow_through([stiff], **order).flow)
    assert band.high == pytest.approx(flow_through([easy], **order).flow)


def test_wall_friction_is_forty_per_cent_uncertain_too() -> None:
    """2 m of 3 mm: the low flow meets 1.4 times entry and friction at its own Reynolds number."""
    band = flow_through([Bore(3e-3, 2.0)], pressure=BOILER, outlet_pressure=4e5).flow_band

    for flow, factor in ((band.low, 1.4), (band.high, 1 / 1.4)):
        reynolds = 4 * flow / (pi * 3e-3 * STEAM.vapour_viscosity)
        loss = factor * (CHAMBER + colebrook(reynolds, 3.2e-6 / 3e-3) * 2.0 / 3e-3)
        expected = sqrt((BOILER**2 - 4e5**2) / PRODUCT / (loss + 2 * log(BOILER / 4e5)))
        assert flux(flow, 3e-3) == pytest.approx(expected, rel=1e-4)


def test_a_flow_that_only_the_likely_loss_passes_is_near_choking() -> None:
    """Beyond what 1.4 times the loss passes it is near; beyond what the loss itself does, none."""
    stiff, likely = (mass_flow([Loss(3e-3, loss)], BOILER, 1e3) for loss in (14.0, 10.0))

    def near(flow: float) -> bool:
        passed = pressure_after([Loss(3e-3, 10.0)], pressure=BOILER, flow=flow)
        return "near-choking" in {finding.code for finding in passed.findings}

    assert not near(0.9999 * stiff)
    assert near(1.0001 * stiff)
    assert near(0.9999 * likely)
    with pytest.raises(NoSolution) as refusal:
        pressure_after([Loss(3e-3, 10.0)], pressure=BOILER, flow=1.0001 * likely)
    assert refusal.value.field == "flow"


@pytest.mark.parametrize(("share", "quick"), [(0.999, False), (1.001, True)])
def test_steam_is_quick_above_forty_metres_a_second(share: float, quick: bool) -> None:
    """Without a loss the volume stays that of the boiler: 40 m/s is 40 A/v."""
    flow = share * 40 * pi / 4 * 3e-3**2 / STEAM.vapour_volume

    passed = pressure_after([Loss(3e-3, 0.0)], pressure=BOILER, flow=flow)

    found = {finding.code: finding for finding in passed.findings}
    assert ("quick-steam" in found) is quick
    assert passed.velocity == pytest.approx(share * 40)
    if quick:
        assert found["quick-steam"].level == "caution"


@pytest.mark.parametrize(
    ("gauge", "drop", "code", "level"),
    [
        (4e5, 0.3999e5, "small-drop", "ok"),
        (4e5, 0.4001e5, "large-drop", "caution"),
        (1e5, 0.0999e5, "small-drop", "ok"),
        (1e5, 0.1001e5, "large-drop", "caution"),
        (-0.1e5, 10.0, "large-drop", "caution"),
    ],
)
def test_a_passage_may_cost_a_tenth_of_the_gauge_pressure(
    gauge: float, drop: float, code: str, level: str
) -> None:
    pressure = 101_325 + gauge

    passed = flow_through([Loss(3e-3, 9.0)], pressure=pressure, outlet_pressure=pressure - drop)

    judged = {one.code: one.level for one in passed.findings if one.code.endswith("-drop")}
    assert judged == {code: level}
