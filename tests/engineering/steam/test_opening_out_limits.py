"""What to open out: the allowance of a tenth, the bore by hand, and how far a bore is sought."""

from dataclasses import replace
from math import log, pi, sqrt

import pytest

from service.engineering.steam.engine import Engine, steam_demand
from service.engineering.steam.network import (
    Advice,
    BoilerSupply,
    EngineOnBranch,
    Load,
    OpenOutlet,
    RunningCase,
    advise,
    prepare_plant,
    trace_pressure_lines,
)
from service.engineering.steam.network.bore_changes import PathAdvice
from service.engineering.steam.passages import Bore, Contraction, Element, Loss, Tee
from service.engineering.steam.properties import vapour_volume

AIR = 101_325.0
LIMIT = AIR + 4e5
ENGINE = Engine(
    name="engine",
    bore=0.02,
    stroke=0.02,
    cylinders=1,
    acting="double",
    speed=8.0,
    cut_off=0.75,
    clearance=0.1,
    condensation=0.5,
)
CHEST = AIR + 3e5
ONE = RunningCase("one", ("engine",))
FLOW = steam_demand(
    ENGINE, pressure=CHEST, back_pressure=1.11e5, feed_temperature=288.15
).steam.likely


def look(
    *way: Element,
    at: float | None = CHEST,
    trunk: tuple[Element, ...] = (),
    budget: float | None = None,
) -> Advice:
    kind = "governed" if at is None else "propeller"
    outlet = EngineOnBranch(ENGINE, Load(kind, 8.0, at), way)  # type: ignore[arg-type]
    return advise(
        prepare_plant(BoilerSupply(1e3, LIMIT, 288.15), [outlet], trunk=trunk),
        cases=[ONE],
        budget=budget,
    )


def path(*way: Element, **asked: object) -> PathAdvice:
    (found,) = look(*way, **asked).paths  # type: ignore[arg-type]
    return found


def bore_for(loss: float, drop: float) -> float:
    """Bore of a loss that costs `drop` above the chest: A = m root(phi p v (K + 2 ln)/(p1² - p2²)).

    One double-acting cylinder pulses by 1.2 in the mean square; p v is that of the boiler's limit.
    """
    inlet, product = CHEST + drop, LIMIT * vapour_volume(LIMIT)
    head = 1.2 * product * (loss + 2 * log(inlet / CHEST)) / (inlet**2 - CHEST**2)
    return sqrt(4 / pi * FLOW * sqrt(head))


@pytest.mark.parametrize("place", ["branch", "trunk"])
@pytest.mark.parametrize(
    ("share", "code", "level"),
    [(0.0999, "within-budget", "ok"), (0.1001, "over-budget", "caution")],
)
def test_a_way_may_cost_a_tenth_of_the_gauge_pressure(
    place: str, share: float, code: str, level: str
) -> None:
    part = Loss(bore_for(12.0, share * 4e5), 12.0)

    advice = look(part) if place == "branch" else look(trunk=(part,))

    (finding,), (found,) = advice.findings, advice.paths
    assert (finding.code, finding.level) == (code, level)
    assert found.drop == pytest.approx(share * 4e5, rel=1e-9)
    assert found.allowed == pytest.approx(0.4e5)
    assert found.flow == pytest.approx(FLOW)
    assert found.within is (level == "ok")


@pytest.mark.parametrize(
    ("chest", "allowed"), [(3.5e5, 0.4e5), (3.7e5, 0.3e5), (3.9999e5, 10.0), (4e5, 0.0)]
)
def test_the_allowance_is_what_the_limit_leaves_at_most(chest: float, allowed: float) -> None:
    advice = look(Loss(4e-3, 1.0), at=AIR + chest)

    assert advice.paths[0].allowed == pytest.approx(allowed, abs=1e-6)
    found = (advice.findings[0].code, advice.findings[0].level)
    assert (found == ("out-of-reach", "fail")) is (allowed <= 0)


def test_without_a_reference_the_chest_is_what_the_budget_leaves() -> None:
    assert path(Loss(4e-3, 1.0), at=None).chest_pressure == pytest.approx(LIMIT - 0.4e5)
    tight = path(Loss(4e-3, 1.0), at=None, budget=0.1e5)
    assert tight.chest_pressure == pytest.approx(LIMIT - 0.1e5)
    assert tight.allowed == pytest.approx(0.1e5)


@pytest.mark.parametrize("part", [0.3, 0.9, 1.5, 3.0])
def test_the_smallest_bore_is_the_one_by_hand(part: float) -> None:
    wanted = bore_for(12.0, 0.4e5)

    (place,) = path(Loss(wanted / part, 12.0)).places

    assert place.smallest_diameter == pytest.approx(wanted, rel=1e-4)
    assert place.share == pytest.approx(1.0)


@pytest.mark.parametrize(("times", "found"), [(3.98, True), (4.02, False)])
def test_a_bore_is_sought_up_to_four_times_as_wide(times: float, found: bool) -> None:
    """A loss goes with the fourth power of its bore, so a hair decides."""
    wanted = bore_for(12.0, 0.4e5)

    (place,) = path(Loss(wanted / times, 12.0)).places

    assert (place.smallest_diameter is not None) is found
    if found:
        assert place.smallest_diameter == pytest.approx(wanted, rel=1e-3)


def test_a_bore_is_sought_down_to_a_quarter() -> None:
    wanted = bore_for(12.0, 0.4e5)

    (place,) = path(Loss(wanted * 6, 12.0)).places

    assert place.smallest_diameter == pytest.approx(wanted * 6 / 4, rel=1e-4)


def test_a_bore_stays_within_what_the_part_can_be() -> None:
    """A branch is no wider than its run, a contraction than what it leaves; a wall has its bore."""
    tee, step = Tee(1e-3, 1.2e-3), Contraction(1e-3, 1.2e-3)
    assert path(tee, at=AIR + 3.99e5).places[0].smallest_diameter is None
    assert path(step, at=AIR + 3.99999e5).places[0].smallest_diameter is None

    rough = Bore(8e-3, 1e-3, 3e-4)  # 20 times its roughness is 6 mm: more than it needs
    assert path(rough).places[0].smallest_diameter == pytest.approx(6e-3, rel=1e-3)


def test_engines_and_open_whistles_share_the_trunk() -> None:
    """Means add up, pulses by their squares; an open whistle blows at the limit."""
    other = replace(ENGINE, name="other", cylinders=2)
    whistle = OpenOutlet.of_diameter("whistle", 1.5e-3)
    load = Load("propeller", 8.0, CHEST)
    outlets = [EngineOnBranch(ENGINE, load), EngineOnBranch(other, load)]
    case = RunningCase("all", ("engine", "other", "whistle"))
    (way, _) = advise(
        prepare_plant(
            BoilerSupply(1e3, LIMIT, 288.15),
            outlets,
            trunk=(Loss(5e-3, 9.0),),
            open_outlets=[whistle],
        ),
        cases=[case],
    ).paths

    blown = trace_blowing(whistle)
    total = 3 * FLOW + blown
    square = total**2 + 0.2 * FLOW**2 + 0.05 * (2 * FLOW) ** 2
    inlet = way.boiler_pressure
    head = square / (pi / 4 * 5e-3**2) ** 2 * LIMIT * vapour_volume(LIMIT)
    assert inlet**2 - CHEST**2 == pytest.approx(head * (9 + 2 * log(inlet / CHEST)), rel=1e-9)


def trace_blowing(whistle: OpenOutlet) -> float:
    """0.62 of the choked nozzle of dry steam, k = 1.135, at the limit."""
    k = 1.135
    choked = sqrt(k * (2 / (k + 1)) ** ((k + 1) / (k - 1)))
    return 0.62 * whistle.area * sqrt(LIMIT / vapour_volume(LIMIT)) * choked


def test_pressure_stands_still_where_nothing_flows_and_falls_where_it_does() -> None:
    way = (Loss(3e-3, 9.0), Loss(4e-3, 5.0))
    heavy = EngineOnBranch(ENGINE, Load("propeller", 8.0, CHEST), way)
    stuck = EngineOnBranch(replace(ENGINE, name="stuck"), Load("fixed torque", 8.0, AIR + 9e5), way)
    lines = trace_pressure_lines(
        prepare_plant(BoilerSupply(1e5, LIMIT, 288.15), [heavy, stuck], trunk=(Loss(6e-3, 3.0),)),
        case=RunningCase("both", ("engine", "stuck")),
    )

    assert [line.flows for line in lines] == [True, False]
    block = lines[0].trunk[-1].pressure
    assert lines[0].trunk[0].pressure == pytest.approx(LIMIT)
    first = lines[0].branch[0].pressure
    taken = steam_demand(
        replace(ENGINE, speed=8 * propeller_part(lines[0].branch[1].pressure)),
        pressure=lines[0].branch[1].pressure,
        back_pressure=1.11e5,
        feed_temperature=288.15,
    ).steam.likely
    head = 1.2 * (taken / (pi / 4 * 3e-3**2)) ** 2 * block * vapour_volume(block)
    assert block**2 - first**2 == pytest.approx(head * (9 + 2 * log(block / first)), rel=1e-5)
    assert LIMIT > block > lines[0].branch[0].pressure > lines[0].branch[1].pressure
    assert [station.pressure for station in lines[1].branch] == pytest.approx([block, block])


def propeller_part(chest: float) -> float:
    """Root of the pressure above the start, over that of the reference."""
    start = EngineOnBranch(ENGINE, Load("propeller", 8.0, CHEST)).start_pressure
    return sqrt((chest - start) / (CHEST - start))
