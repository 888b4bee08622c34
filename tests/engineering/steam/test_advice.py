"""What to open out: the costly part is named, and the bore it asks for keeps the budget."""

from dataclasses import replace

import pytest

from service.engineering.constants import ATMOSPHERE
from service.engineering.errors import OutOfRange
from service.engineering.steam.engine import Engine
from service.engineering.steam.network import (
    BoilerSupply,
    EngineOnBranch,
    Load,
    RunningCase,
    advise,
    prepare_plant,
)
from service.engineering.steam.network.bore_changes import PathAdvice, rebore
from service.engineering.steam.passages import (
    Bend,
    Bore,
    Contraction,
    Element,
    Pipe,
    StopValve,
    Tee,
    Valve,
)
from service.engineering.steam.passages.losses import valve_loss
from service.quantities.wording import figures_in, word

LIMIT = 5e5 + ATMOSPHERE
TRUNK = (StopValve(4e-3, 1.2e-3), Pipe(4e-3, 0.2))
WAY = (Bore(4e-3, 0.03), StopValve(2e-3, 0.6e-3), Pipe(3e-3, 0.2), Bend(3e-3, 9e-3))
CASE = RunningCase("one", ("engine",))


def make_engine(*, at: float = 3.5e5, way: tuple[Element, ...] = WAY) -> EngineOnBranch:
    engine = Engine(
        name="engine",
        bore=0.02,
        stroke=0.02,
        cylinders=1,
        acting="double",
        speed=500 / 60,
        cut_off=0.75,
        clearance=0.1,
        condensation=0.8,
    )
    return EngineOnBranch(engine, Load("propeller", 500 / 60, at + ATMOSPHERE), way)


def look(
    outlet: EngineOnBranch, *, trunk: tuple[Element, ...] = TRUNK, budget: float | None = None
) -> PathAdvice:
    supply = BoilerSupply(1000.0, LIMIT, 288.15)
    (path,) = advise(
        prepare_plant(supply, [outlet], trunk=trunk), cases=[CASE], budget=budget
    ).paths
    return path


def test_drops_of_the_parts_make_up_the_drop_of_the_way() -> None:
    path = look(make_engine())

    assert sum(place.drop for place in path.places) == pytest.approx(path.drop)
    assert sum(place.share for place in path.places) == pytest.approx(1)
    assert path.boiler_pressure == pytest.approx(path.chest_pressure + path.drop)
    assert [place.stretch for place in path.places] == ["trunk"] * 2 + ["branch"] * 4
    assert [place.number for place in path.places] == [1, 2, 1, 2, 3, 4]


def test_the_costliest_part_is_the_narrow_valve() -> None:
    path = look(make_engine())

    assert path.costliest is path.places[3]


def test_the_bore_found_at_each_place_just_keeps_the_budget() -> None:
    path = look(make_engine(), budget=0.2e5)
    parts = [place.element for place in path.places]
    found = [place for place in path.places if place.smallest_diameter is not None]

    assert found
    for number, place in enumerate(path.places):
        if place.smallest_diameter is None:
            continue
        for factor, within in ((1.0, True), (0.999, False)):
            changed = list(parts)
            changed[number] = rebore(place.element, place.smallest_diameter * factor)
            again = look(
                make_engine(way=tuple(changed[2:])), trunk=tuple(changed[:2]), budget=0.2e5
            )
            assert (again.drop <= again.allowed) is within


def test_over_budget_names_part_and_bore_in_the_finding() -> None:
    supply = BoilerSupply(1000.0, LIMIT, 288.15)
    narrow = (StopValve(1.5e-3, 0.4e-3),)
    answer = advise(prepare_plant(supply, [make_engine(way=narrow)]), cases=[CASE])

    (finding,) = answer.findings
    assert finding.code == "over-budget"
    assert finding.level == "caution"
    assert "stop valve of 1.5 mm (branch part 1)" in word(finding.text)
    wanted = next(figure.value for name, figure in figures_in(finding.text) if "small" in name)
    assert wanted * 1e4 == pytest.approx(round(wanted * 1e4))
    found = answer.paths[0].places[0].smallest_diameter
    assert found is not None
    assert found <= wanted < found + 1e-4
    assert answer.cautions


def test_two_narrow_parts_need_opening_out_together() -> None:
    supply = BoilerSupply(1000.0, LIMIT, 288.15)
    narrow = (StopValve(1e-3, 0.25e-3), StopValve(1.01e-3, 0.25e-3))
    answer = advise(prepare_plant(supply, [make_engine(way=narrow)]), cases=[CASE])

    assert all(place.smallest_diameter is None for place in answer.paths[0].places)
    assert "open out several" in word(answer.findings[0].text)


def test_the_allowance_never_exceeds_what_the_limit_leaves() -> None:
    path = look(make_engine(at=4.8e5), budget=1e5)

    assert path.allowed == pytest.approx(0.2e5)


def test_a_chest_pressure_above_the_limit_is_out_of_reach() -> None:
    supply = BoilerSupply(1000.0, LIMIT, 288.15)
    answer = advise(prepare_plant(supply, [make_engine(at=6e5)]), cases=[CASE])

    assert answer.findings[0].code == "out-of-reach"
    assert answer.findings[0].level == "fail"
    assert all(place.smallest_diameter is None for place in answer.paths[0].places)


def test_a_second_engine_on_the_trunk_costs_the_first_some_pressure() -> None:
    supply = BoilerSupply(1000.0, LIMIT, 288.15)
    first = make_engine()
    second = replace(first, engine=replace(first.engine, name="second"))
    alone, together, _ = advise(
        prepare_plant(supply, [first, second], trunk=TRUNK),
        cases=[CASE, RunningCase("both", ("engine", "second"))],
    ).paths

    assert together.drop > alone.drop
    assert together.flow == pytest.approx(alone.flow)


@pytest.mark.parametrize(
    "element", [Bore(3e-3, 0.1), Pipe(3e-3, 0.1), Contraction(3e-3, 9e-3), Tee(3e-3, 9e-3, 0.5)]
)
def test_a_plain_part_keeps_everything_but_its_bore(element: Element) -> None:
    assert rebore(rebore(element, 4e-3), 3e-3) == element


def test_a_valve_or_bend_keeps_its_proportions() -> None:
    valve = rebore(Valve(3e-3, 0.1), 6e-3)
    stop = rebore(StopValve(3e-3, 1e-3), 6e-3)
    bend = rebore(Bend(3e-3, 9e-3), 6e-3)

    assert isinstance(valve, Valve)
    assert valve_loss(6e-3, valve.kv) == pytest.approx(valve_loss(3e-3, 0.1))
    assert stop == StopValve(6e-3, 2e-3)
    assert bend == Bend(6e-3, 18e-3)


def test_a_budget_of_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange, match="budget"):
        look(make_engine(), budget=0.0)
