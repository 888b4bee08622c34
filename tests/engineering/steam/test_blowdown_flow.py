"""Boiling water let out: how losses are carried to the tightest bore, and the two bounds."""

from itertools import accumulate, pairwise
from math import log, pi, sqrt

import pytest

from service.engineering.saturation import saturation
from service.engineering.steam.boiler import Blowdown, blow_down
from service.engineering.steam.passages import Bore, Loss, Valve

FOUR_BAR = 501_325.0
CHAMBER = 0.0696 * 1.622**2 + 0.622**2 + 1  # sharp entry by Rennels, and one velocity head


def blow(*parts: object, water: float = 0.1) -> Blowdown:
    return blow_down(parts, pressure=FOUR_BAR, water=water)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("parts", "bore", "loss"),
    [
        ([Bore(2e-3, 0.0)], 2e-3, CHAMBER),
        ([Bore(2e-3, 0.2)], 2e-3, CHAMBER + 0.03 * 100),  # wall friction 0.03
        ([Loss(4e-3, 16.0), Loss(2e-3, 1.0)], 2e-3, 1 + 16 / 4**2),  # by the square of the areas
        ([Loss(2e-3, 1.0), Loss(4e-3, 16.0)], 2e-3, 1 + 16 / 4**2),
        ([Loss(2e-3, 0.5)], 2e-3, 1.0),  # never less than the velocity head
        ([Loss(2e-3, 1.5)], 2e-3, 1.5),
        # Kv 0.1: K = 1.6e9 D⁴/Kv² to the three figures that 31.6 has
        ([Valve(4e-3, 0.1)], 4e-3, 1.6e9 * 4e-3**4 / 0.1**2),
    ],
)
def test_water_that_does_not_flash_goes_by_bernoulli(
    parts: list[object], bore: float, loss: float
) -> None:
    """The upper bound, A root(2 rho dp/K) with the water as dense as in the boiler."""
    density = 1 / saturation(FOUR_BAR).liquid_volume

    found = blow(*parts)

    expected = pi / 4 * bore**2 * sqrt(2 * density * 4e5 / loss)
    assert found.flow.high == pytest.approx(expected, rel=2e-3 if bore == 4e-3 else 1e-6)


def test_the_likely_flow_lies_a_quarter_of_the_way_up() -> None:
    flow = blow(Bore(2e-3, 0.01)).flow

    assert flow.likely == pytest.approx(flow.low + (flow.high - flow.low) / 4)


def test_the_time_is_the_water_over_the_flow() -> None:
    found = blow(Bore(2e-3, 0.01), water=0.3)

    assert found.emptying_time.low == pytest.approx(0.3 / found.flow.high)
    assert found.emptying_time.likely == pytest.approx(0.3 / found.flow.likely)
    assert found.emptying_time.high == pytest.approx(0.3 / found.flow.low)


@pytest.mark.parametrize("loss", [6.0, 60.0])
def test_flashing_water_meets_its_loss_between_entry_and_outlet(loss: float) -> None:
    """From an entry p1 with G² v1²/2 = ∫v dp, the way bears 2 ∫dp/v/G² - 2 ln(v2/v1) = K - 1."""
    found = blow(Loss(2e-3, loss))
    square = (found.flow.low / (pi / 4 * 2e-3**2)) ** 2
    path = expand(800)
    falls = [one[0] - other[0] for one, other in pairwise(path)]
    heads = accumulate(
        (
            fall * (one[1] + other[1]) / 2
            for fall, (one, other) in zip(falls, pairwise(path), strict=True)
        ),
        initial=0.0,
    )
    entry = next(
        number for number, head in enumerate(heads) if 2 * head >= square * path[number][1] ** 2
    )
    borne = -1.0
    push = 0.0
    for fall, (one, other) in list(zip(falls, pairwise(path), strict=True))[entry:]:
        push += fall * (1 / one[1] + 1 / other[1]) / 2
        borne = max(borne, 2 * push / square - 2 * log(other[1] / path[entry][1]))

    assert borne == pytest.approx(loss - 1, rel=0.03)


def expand(steps: int) -> list[tuple[float, float]]:
    """Pressure and volume of the mixture on its way down at constant entropy."""
    boiler, path = saturation(FOUR_BAR), []
    for number in range(steps + 1):
        state = saturation(FOUR_BAR - 4e5 * (number / steps) ** 2)
        dry = (boiler.liquid_entropy - state.liquid_entropy) / (
            state.vapour_entropy - state.liquid_entropy
        )
        volume = state.liquid_volume + dry * (state.vapour_volume - state.liquid_volume)
        path.append((state.pressure, volume))
    return path


def test_it_always_says_what_hurts() -> None:
    levels = {finding.code: finding.level for finding in blow(Bore(1e-3, 0.01)).findings}

    assert levels == {"lead-away": "caution", "fix-drain": "caution"}
