"""The check of a plant: worst first, every joint, the supply, and the inspector's limit."""

from dataclasses import replace

import pytest

from service.engineering.errors import EngineeringError, NoSolution, OutOfRange, UnknownMaterial
from service.engineering.steam.engine import Engine
from service.plant.check import Judged, PlantCheck, check_plant
from service.plant.graph import Boiler, End, Item, Joint, Plant, Port, SafetyValve
from service.plant.supply import ATMOSPHERE
from service.plant.workable import require_workable
from service.quantities import parse_thread

BAR = 1e5
PSI = 6894.757
FORTY = parse_thread("1/4 x 40 ME")
METRIC = parse_thread("M6 x 0.75")


def gauge(bar: float) -> float:
    return ATMOSPHERE + bar * BAR


def make_engine(**changes: object) -> Engine:
    particulars = {
        "name": "port engine", "bore": 0.01905, "stroke": 0.01905, "cylinders": 2,
        "acting": "double", "speed": 10.0, "cut_off": 0.75, "clearance": 0.1,
    } | changes  # fmt: skip
    return Engine(**particulars)  # type: ignore[arg-type]


def make_item(name: str, *ports: Port, **data: object) -> Item:
    kind = next(iter(data), "fitting")
    return Item(name=name, kind=kind, owner="workshop", ports=ports, **data)  # type: ignore[arg-type]


def make_plant(*items: Item, joints: tuple[Joint, ...] = (), pressure: float = 3.0) -> Plant:
    return Plant(
        name="P",
        working_pressure=gauge(pressure),
        back_pressure=ATMOSPHERE,
        feed_temperature=288.15,
        items=items,
        joints=joints,
    )


def make_joint(key: int, male: Port, female: Port, **points: float) -> Joint:
    return Joint(
        key=key,
        male=End(make_item(f"valve {key}", male), male),
        female=End(make_item("block", female), female),
        **points,
    )


def boiler(stated: float = 4.0, evaporation: float | None = None, name: str = "boiler") -> Item:
    return make_item(name, boiler=Boiler(gauge(stated), evaporation))


def valve(setting: float) -> Item:
    return make_item("safety valve", safety_valve=SafetyValve(gauge(setting)))


ENGINE_ITEM = make_item("port engine", engine=make_engine())


def codes(check: PlantCheck) -> list[str]:
    return [one.finding.code for one in check.judged]


def find(check: PlantCheck, code: str) -> Judged:
    (found,) = [one for one in check.judged if one.finding.code == code]
    return found


def test_findings_and_joints_stand_worst_first() -> None:
    male = Port("inlet", "male", FORTY, bore=0.003)
    joints = (
        make_joint(1, male, Port("a", "female", FORTY)),
        make_joint(2, male, Port("b", "female", METRIC)),
        make_joint(3, male, Port("c", "female", FORTY)),
    )
    check = check_plant(make_plant(boiler(), valve(3.5), ENGINE_ITEM, joints=joints))

    order = ["fail", "caution", "ok"]
    levels = [one.finding.level for one in check.judged]
    assert levels == sorted(levels, key=order.index)
    assert check.level == levels[0] == "fail"
    assert [one.joint.key for one in check.joints] == [2, 1, 3]  # as entered where equal


def test_every_joint_is_checked_at_the_working_pressure() -> None:
    male, female = Port("inlet", "male", FORTY), Port("a", "female", FORTY)
    low, high = (
        check_plant(make_plant(joints=(make_joint(1, male, female),), pressure=pressure))
        for pressure in (1.0, 4.0)
    )

    ratio = high.joints[0].fitting.engagement.end_load / low.joints[0].fitting.engagement.end_load
    assert ratio == pytest.approx(4.0)  # the end load is gauge pressure on the same area


def test_a_joint_that_should_point_is_indexed_and_a_taper_says_it_cannot_be() -> None:
    taper = parse_thread("1/8-27 NPT")
    points = {"points_wanted": 1.5, "points_found": 0.3}
    joints = (
        make_joint(1, Port("inlet", "male", FORTY), Port("a", "female", FORTY), **points),
        make_joint(2, Port("inlet", "male", taper), Port("b", "female", taper), **points),
        make_joint(3, Port("inlet", "male", FORTY), Port("c", "female", FORTY)),
    )
    by_key = {one.joint.key: one for one in check_plant(make_plant(joints=joints)).joints}

    assert by_key[1].indexing is not None
    assert by_key[2].indexing is None
    assert "cannot-be-indexed" in [finding.code for finding in by_key[2].findings]
    assert by_key[3].indexing is None


def test_a_plant_above_the_inspectors_pressure_fails() -> None:
    check = check_plant(make_plant(boiler(3.0), valve(3.0), pressure=3.1))

    found = find(check, "above-inspector-pressure")
    assert (found.subject, found.finding.level) == ("boiler", "fail")
    assert found.finding.value == pytest.approx(3.1 * BAR)
    assert found.finding.limit == pytest.approx(3.0 * BAR)
    assert "above-inspector-pressure" not in codes(
        check_plant(make_plant(boiler(3.0), valve(3.0), pressure=3.0))
    )


def test_of_two_boilers_the_lower_limit_counts() -> None:
    check = check_plant(make_plant(boiler(4.0), boiler(3.2, name="second"), valve(3.5)))

    assert find(check, "valve-above-limit").finding.limit == pytest.approx(3.2 * BAR)


@pytest.mark.parametrize(
    ("setting", "code", "level"),
    [
        (4.1, "valve-above-limit", "fail"),
        (2.9, "valve-below-working", "fail"),
        (3.5, "valve-setting", "ok"),
        (4.0, "valve-setting", "ok"),
        (3.0, "valve-setting", "ok"),
    ],
)
def test_a_safety_valve_lifts_between_working_and_stated_pressure(
    setting: float, code: str, level: str
) -> None:
    found = find(check_plant(make_plant(boiler(4.0), valve(setting))), code)

    assert (found.subject, found.finding.level) == ("safety valve", level)
    assert found.finding.value == pytest.approx(setting * BAR)
    assert found.finding.unit == "Pa gauge"


def test_every_safety_valve_is_judged() -> None:
    check = check_plant(make_plant(boiler(4.0), valve(3.5), valve(4.5)))

    assert codes(check).count("valve-setting") == codes(check).count("valve-above-limit") == 1


def test_what_is_missing_is_said() -> None:
    assert set(codes(check_plant(make_plant()))) == {"no-engines", "no-boiler"}
    without_valve = check_plant(make_plant(boiler(evaporation=0.001), ENGINE_ITEM))
    assert find(without_valve, "no-safety-valve").finding.level == "fail"
    unknown = check_plant(make_plant(boiler(), valve(3.5), ENGINE_ITEM))
    assert find(unknown, "evaporation-unknown").finding.level == "caution"
    assert unknown.evaporation is None


def test_evaporation_is_known_only_when_every_boiler_states_it() -> None:
    known = check_plant(make_plant(boiler(evaporation=1e-3), boiler(evaporation=2e-3)))
    partly = check_plant(make_plant(boiler(evaporation=1e-3), boiler()))

    assert known.evaporation == pytest.approx(3e-3)
    assert partly.evaporation is None


@pytest.mark.parametrize(
    ("share", "code", "level"),
    [("low", "supply-short", "fail"), ("likely", "supply-close", "caution"),
     ("high", "supply-enough", "ok")],
)  # fmt: skip
def test_the_supply_is_judged_by_the_band_of_the_demand(share: str, code: str, level: str) -> None:
    demand = check_plant(make_plant(ENGINE_ITEM)).demand
    assert demand is not None
    stated = getattr(demand.steam, share) * (0.999 if share == "low" else 1.001)
    check = check_plant(make_plant(boiler(evaporation=stated), valve(3.5), ENGINE_ITEM))

    found = find(check, code)
    assert found.finding.level == level
    assert found.finding.value == pytest.approx(demand.steam.likely)
    assert found.finding.limit == pytest.approx(stated)
    assert found.finding.source


def test_engines_are_reckoned_together() -> None:
    one = check_plant(make_plant(ENGINE_ITEM)).demand
    other = make_item("starboard engine", engine=make_engine(name="starboard engine"))
    two = check_plant(make_plant(ENGINE_ITEM, other)).demand

    assert one is not None
    assert two is not None
    assert two.steam.likely == pytest.approx(2 * one.steam.likely)
    assert [engine.name for engine in two.engines] == ["port engine", "starboard engine"]


def test_the_check_carries_cautions_once_and_workings_with_sources() -> None:
    check = check_plant(make_plant(boiler(evaporation=1e-3), valve(3.5), ENGINE_ITEM))

    assert check.cautions
    assert len(set(check.cautions)) == len(check.cautions)
    assert all(working.source for working in check.workings)


# What may be entered


def test_a_sound_plant_is_workable() -> None:
    port = Port("a", "female", FORTY, length=0.008, boss=0.011, drilled=0.00556)
    require_workable(make_plant(boiler(), ENGINE_ITEM, make_item("block", port)))


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"working_pressure": ATMOSPHERE}, "back_pressure"),
        ({"working_pressure": 5e6}, "working_pressure"),
        ({"back_pressure": 100.0}, "back_pressure"),
        ({"feed_temperature": 450.0}, "feed_temperature"),
        ({"feed_temperature": 270.0}, "feed_temperature"),
    ],
)
def test_conditions_that_cannot_be_reckoned_are_named(
    changes: dict[str, float], field: str
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        require_workable(replace(make_plant(), **changes))  # type: ignore[arg-type]
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("port", "error", "field"),
    [
        (Port("a", "male", FORTY, bore=0.006), OutOfRange, "ports.0.bore"),
        (Port("a", "male", FORTY, length=0.0), OutOfRange, "ports.0.length"),
        (Port("a", "female", FORTY, length=0.3), OutOfRange, "ports.0.length"),
        (Port("a", "female", FORTY, boss=0.006), OutOfRange, "ports.0.boss"),
        (Port("a", "female", FORTY, drilled=0.0064), OutOfRange, "ports.0.drilled"),
        (Port("a", "female", FORTY, material="cheese"), UnknownMaterial, "ports.0.material"),
    ],
)
def test_a_port_that_no_fitting_has_is_named(
    port: Port, error: type[EngineeringError], field: str
) -> None:
    with pytest.raises(error) as refusal:
        require_workable(make_plant(make_item("f", port)))
    assert refusal.value.field == field


def test_an_engine_that_holds_back_more_than_it_takes_is_named() -> None:
    stuck = make_engine(cut_off=0.01, clearance=0.5, exhaust_closure=0.9)
    plant = replace(make_plant(make_item("e", engine=stuck)), back_pressure=gauge(2.5))

    with pytest.raises(NoSolution) as refusal:
        require_workable(plant)
    assert refusal.value.field == "engine.exhaust_closure"


def test_what_is_workable_can_be_checked() -> None:
    threads = [
        parse_thread(text)
        for text in ("1/4 x 40 ME", "2 BA", "16 BA", "1/8 BSP", "1/8 BSP taper", "1/8-27 NPT",
                     "M6 x 0.75", "M24 x 2", "1/4-28 UNF", "1 BSW", "3/8 x 26 brass",
                     "6.3 mm x 0.6 mm 60 deg")
    ]  # fmt: skip
    failed = []
    for male in threads:
        for female in threads:
            ports = Port("a", "male", male), Port("b", "female", female)
            plant = make_plant(
                make_item("f", *ports),
                joints=(make_joint(1, *ports, points_wanted=1.0, points_found=0.0),),
            )
            require_workable(plant)
            try:
                check_plant(plant)
            except EngineeringError as error:
                failed.append((male.designation, female.designation, str(error)))

    assert failed == []
