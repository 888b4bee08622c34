"""Steam along a line: inverse answers, smoothness through choking, and order under change."""

from dataclasses import replace
from math import isfinite, pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.steam.passages import (
    Bend,
    Bore,
    Contraction,
    Corner,
    Loss,
    Pipe,
    StopValve,
    Tee,
    Valve,
    find_expanding_steam,
    find_pulsation,
    flow_through,
    pressure_after,
    trace_line,
)
from service.engineering.steam.passages.elements import entry_head
from service.engineering.steam.passages.expanding_steam import find_inlet_pressure
from service.engineering.steam.passages.losses import friction_factor, stop_valve_loss
from service.quantities.wording import word
from tests.engineering.steam.bare_flow import mass_flow

BOILER = 501_325.0
BLOCK = [
    Bore(0.003, 0.04),
    Corner(0.003),
    StopValve(0.003, 0.0006),
    Pipe(0.0032, 0.2),
    Bend(0.0032, 0.009),
]


bores = st.floats(0.001, 0.012)
elements = st.one_of(
    st.builds(Bore, bores, st.floats(0, 0.3)),
    st.builds(Corner, bores),
    st.builds(lambda bore: Bend(bore, 3 * bore), bores),
    st.builds(lambda bore, part: StopValve(bore, part * bore), bores, st.floats(0.03, 0.5)),
    st.builds(lambda bore: Tee(bore, 1.5 * bore, 0.5), bores),
    st.builds(lambda bore: Contraction(bore, 1.5 * bore), bores),
    st.builds(Loss, bores, st.floats(0, 60)),
    st.builds(
        lambda bore, loss: Valve(bore, bore**2 * sqrt(1.6e9 / loss)), bores, st.floats(0.1, 60)
    ),
)
lines = st.lists(elements, min_size=1, max_size=5)
outlets = st.floats(0.02, 0.99)


def test_losses_of_one_bore_add_up_by_hand() -> None:
    """Three losses of 14.5 in 3 mm carry 60 g/min: p² falls by G² p v (K + 2 ln) at each."""
    found = pressure_after([Loss(0.003, 14.5)] * 3, pressure=BOILER, flow=1e-3)

    flux_term = (1e-3 / (pi / 4 * 0.003**2)) ** 2 * find_expanding_steam(BOILER).product
    for state in found.elements:
        loss = (state.pressure_in**2 - state.pressure_out**2) / flux_term
        logarithm = 2 * (state.pressure_in / state.pressure_out - 1)
        assert loss == pytest.approx(14.5 + logarithm, rel=0.01)
    assert (found.outlet_pressure - 101_325) / 1e5 == pytest.approx(1.9, abs=0.05)


def test_dropping_inlet_density_flatters_the_line() -> None:
    steam = find_expanding_steam(BOILER)
    head = (1e-3 / (pi / 4 * 0.003**2)) ** 2 * steam.product / BOILER / 2
    naive = 3 * 14.5 * head

    found = pressure_after([Loss(0.003, 14.5)] * 3, pressure=BOILER, flow=1e-3)

    assert BOILER - found.outlet_pressure > 1.2 * naive


@given(lines, outlets)
def test_flow_and_pressure_are_inverse(line: list, part: float) -> None:
    outlet = BOILER * part
    passed = flow_through(line, pressure=BOILER, outlet_pressure=outlet)

    if passed.choked:
        lower = max(outlet / 2, 1e3)
        assert mass_flow(line, BOILER, lower) == pytest.approx(passed.flow, rel=1e-9)
    else:
        back = pressure_after(line, pressure=BOILER, flow=passed.flow)
        assert back.outlet_pressure == pytest.approx(outlet, rel=1e-6)


@given(lines, outlets)
def test_states_along_the_line_hang_together(line: list, part: float) -> None:
    passed = flow_through(line, pressure=BOILER, outlet_pressure=BOILER * part)

    assert passed.elements[0].pressure_in == pytest.approx(BOILER, rel=1e-9)
    for state in passed.elements:
        assert state.pressure_in >= state.pressure_out > 0
        assert 0 < state.mach <= 1 + 1e-9
        assert isfinite(state.velocity)
    for before, after in zip(passed.elements, passed.elements[1:], strict=False):
        assert after.pressure_in <= before.pressure_out * (1 + 1e-12)
    assert passed.choked == any(state.choked for state in passed.elements)
    assert passed.flow_band.low <= passed.flow <= passed.flow_band.high


@given(lines, outlets, outlets)
def test_lower_outlet_never_passes_less(line: list, one: float, other: float) -> None:
    low, high = sorted((one, other))

    assert mass_flow(line, BOILER, BOILER * low) >= mass_flow(line, BOILER, BOILER * high) * (
        1 - 1e-12
    )


@given(lines, outlets, st.floats(1.0, 1.5), st.data())
def test_bigger_bore_never_lowers_a_flow(
    line: list, part: float, factor: float, data: st.DataObject
) -> None:
    """Every bore of the line at once; lengths, lifts and radii as they scale."""
    wider = [_widen(element, factor) for element in line]

    assert mass_flow(wider, BOILER, BOILER * part) >= mass_flow(line, BOILER, BOILER * part) * (
        1 - 1e-12
    )


@given(st.lists(st.builds(Loss, bores, st.floats(1, 40)), min_size=1, max_size=4), outlets)
def test_bigger_bore_at_one_place_never_lowers_a_flow(line: list, part: float) -> None:
    for place, element in enumerate(line):
        wider = [*line]
        wider[place] = Loss(element.diameter * 1.2, element.k)

        assert mass_flow(wider, BOILER, BOILER * part) >= mass_flow(line, BOILER, BOILER * part) * (
            1 - 1e-12
        )


@given(lines, elements, outlets)
def test_one_more_element_never_raises_a_flow(line: list, extra: object, part: float) -> None:
    """Put at the outlet, where it cannot change how another part is entered."""
    outlet = BOILER * part

    assert mass_flow([*line, extra], BOILER, outlet) <= mass_flow(line, BOILER, outlet) * (
        1 + 1e-12
    )


@settings(max_examples=40)
@given(lines)
def test_inlet_pressure_rises_without_a_kink(line: list) -> None:
    """Slopes either side of every flow agree, through choking and through turbulence."""
    traced, steam = trace_line(line), find_expanding_steam(BOILER)
    most = mass_flow(traced, BOILER, 101_325.0)

    def inlet(flow: float) -> float:
        return find_inlet_pressure(traced, steam, flow=flow, outlet_pressure=101_325.0)

    for step in range(1, 60):
        flow = most * step / 40
        width = most * 1e-6
        behind = (inlet(flow) - inlet(flow - width)) / width
        ahead = (inlet(flow + width) - inlet(flow)) / width
        assert ahead == pytest.approx(behind, rel=2e-3, abs=BOILER / most * 1e-4)


def test_flow_settles_smoothly_at_choking() -> None:
    line = trace_line([Loss(0.003, 11.0)])
    choking = 0.2609 * BOILER
    width = 200.0

    def slope(outlet: float) -> float:
        flows = [mass_flow(line, BOILER, outlet + side * width) for side in (-1, 1)]
        return (flows[1] - flows[0]) / (2 * width)

    steepest = abs(slope(0.8 * BOILER))
    for offset in (-2000, -500, 0, 500, 2000):
        assert abs(slope(choking + offset)) < 0.02 * steepest


def test_valve_chokes_before_its_loss_coefficient_says() -> None:
    valve = Valve(0.004, 0.1764, 0.7)
    plain = Loss(0.004, 1.6e9 * 0.004**4 / 0.1764**2)

    assert mass_flow([valve], BOILER, 101_325.0) < 0.9 * mass_flow([plain], BOILER, 101_325.0)
    assert mass_flow([valve], BOILER, 4.8e5) == pytest.approx(
        mass_flow([plain], BOILER, 4.8e5), rel=0.02
    )


def test_nearly_closed_valve_passes_by_its_lift() -> None:
    half = [StopValve(0.004, lift) for lift in (0.0001, 0.0002)]
    flows = [mass_flow([valve], BOILER, 4.9e5) for valve in half]

    assert flows[1] / flows[0] == pytest.approx(2.0, rel=0.1)
    assert stop_valve_loss(0.004, 0.001) == stop_valve_loss(0.004, 0.008)


@given(st.floats(1000, 8000), st.floats(0, 0.01))
def test_friction_changes_over_without_a_step_or_a_kink(reynolds: float, rough: float) -> None:
    width = 0.01
    behind, here, ahead = (friction_factor(reynolds + side * width, rough) for side in (-1, 0, 1))

    assert ahead - here == pytest.approx(here - behind, abs=1e-8)


def test_entry_is_paid_only_when_steam_must_speed_up() -> None:
    after_wide, after_narrow = (
        trace_line([Bore(wide, 0.01), Bore(0.003, 0.01)]).segments[1].loss
        for wide in (0.006, 0.002)
    )

    assert after_narrow == 0.0
    assert after_wide == pytest.approx(entry_head(0.003, 0.006))
    assert trace_line([Bore(0.003, 0.01)]).segments[0].loss == pytest.approx(1.57, abs=0.01)


def test_pulsating_demand_costs_as_its_mean_square() -> None:
    steady = mass_flow(BLOCK, BOILER, 4.5e5)

    assert mass_flow(BLOCK, BOILER, 4.5e5, pulsation=2.0) == pytest.approx(steady / sqrt(2))
    pulsing = pressure_after(BLOCK, pressure=BOILER, flow=steady / sqrt(2), pulsation=2.0)
    assert pulsing.outlet_pressure == pytest.approx(4.5e5, rel=1e-9)
    assert find_pulsation("single", 1) > find_pulsation("double", 1) > find_pulsation("double", 2)


def test_flow_beyond_choking_has_no_pressure_and_says_how_much_goes() -> None:
    most = mass_flow(BLOCK, BOILER, 1e3)

    with pytest.raises(NoSolution) as refusal:
        pressure_after(BLOCK, pressure=BOILER, flow=most * 1.01)
    (told,) = (part.value for part in refusal.value.message if not isinstance(part, str))
    assert told == pytest.approx(most)
    assert refusal.value.field == "flow"


def test_answer_names_the_choked_part_and_the_quick_one() -> None:
    passed = flow_through(
        [Bore(0.002, 0.02), Bore(0.006, 0.05)], pressure=BOILER, outlet_pressure=101_325.0
    )

    by_code = {finding.code: finding for finding in passed.findings}
    assert passed.elements[0].choked
    assert not passed.elements[1].choked
    assert "2 mm (part 1)" in word(by_code["choked"].text)
    assert "quick-steam" in by_code
    assert "large-drop" in by_code
    assert len(passed.workings) == 6


def test_small_drop_is_called_small() -> None:
    passed = pressure_after([Bore(0.006, 0.05)], pressure=BOILER, flow=2e-4)

    assert [finding.code for finding in passed.findings] == ["small-drop"]
    assert passed.outlet_band.low < passed.outlet_pressure < passed.outlet_band.high


def test_flow_near_choking_is_told() -> None:
    line = [Loss(0.003, 10.0)]
    flow = 0.97 * mass_flow(line, BOILER, 1e3)

    passed = pressure_after(line, pressure=BOILER, flow=flow)

    assert "near-choking" in {finding.code for finding in passed.findings}


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: Bore(-0.003, 0.04), "diameter"),
        (lambda: Bore(0.003, -1), "length"),
        (lambda: Bore(0.003, 1, 0.001), "roughness"),
        (lambda: Bend(0.003, 0.001), "radius"),
        (lambda: Corner(0.003, 3.0), "angle"),
        (lambda: Contraction(0.004, 0.003), "diameter"),
        (lambda: Tee(0.004, 0.003), "diameter"),
        (lambda: Tee(0.003, 0.004, 0.0), "share"),
        (lambda: Loss(0.003, -1), "k"),
        (lambda: Valve(0.003, 0.0), "kv"),
        (lambda: Valve(0.003, 5.0), "kv"),
        (lambda: Valve(0.003, 0.05, 2.0), "xt"),
        (lambda: StopValve(0.003, 0.0), "lift"),
        (lambda: trace_line([]), "elements"),
        (lambda: mass_flow(BLOCK, BOILER, 6e5), "outlet_pressure"),
        (lambda: mass_flow(BLOCK, 5e6, 6e5), "pressure"),
        (lambda: mass_flow(BLOCK, BOILER, 4e5, pulsation=0.5), "pulsation"),
        (lambda: flow_through(BLOCK, pressure=BOILER, outlet_pressure=BOILER), "outlet_pressure"),
        (lambda: pressure_after(BLOCK, pressure=BOILER, flow=0.0), "flow"),
        (lambda: pressure_after(BLOCK, pressure=BOILER, flow=float("nan")), "flow"),
        (lambda: find_pulsation("double", 0), "cylinders"),
    ],
)
def test_nonsense_is_refused_by_field(call, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()

    assert refusal.value.field == field


def _widen(element, factor: float):
    scaled = {
        name: getattr(element, name) * factor
        for name in ("diameter", "radius", "run_diameter", "upstream_diameter", "lift")
        if hasattr(element, name)
    }
    if isinstance(element, Valve):
        scaled["kv"] = element.kv * factor**2
    return replace(element, **scaled)
