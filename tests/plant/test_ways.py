"""The steam's way from boiler to engines, traced through the joints, and what it costs."""

from dataclasses import replace

import pytest

from service.engineering.steam.engine import Engine
from service.engineering.steam.passages import Bore, Loss
from service.engineering.threads.catalogue.series import find_thread
from service.plant.check import check_plant
from service.plant.graph import Boiler, End, Item, Joint, Plant, Port, SteamWay
from service.plant.ways import trace_ways

THREAD = find_thread("1/4 x 40 ME")
BAR = 1e5
ATMOSPHERE = 101_325.0


def port(name: str, gender: str, bore: float | None = None) -> Port:
    return Port(name, gender, THREAD, length=6e-3, bore=bore)  # type: ignore[arg-type]


def engine(name: str) -> Item:
    built = Engine(
        name=name, bore=0.0159, stroke=0.0159, cylinders=2, acting="double", speed=8.3,
        cut_off=0.75, clearance=0.1, condensation=0.8,
    )  # fmt: skip
    return Item(name, "engine", "customer", (port("inlet", "female"),), engine=built)


def valve(name: str, way: SteamWay | None) -> Item:
    ports = (port("inlet", "male", 3e-3), port("outlet", "male", 3e-3))
    return Item(name, "stop_valve", "workshop", ports, steam_way=way)


def join(key: int, male: Item, female: Item, *, at: tuple[int, int]) -> Joint:
    return Joint(key, End(male, male.ports[at[0]]), End(female, female.ports[at[1]]))


def make_plant(way: SteamWay | None = None) -> Plant:
    """A boiler, a main valve, a block, and two engines each behind a valve."""
    outlets = tuple(port(name, "female") for name in ("bush", "other bush"))
    boiler = Item("boiler", "boiler", "customer", outlets, boiler=Boiler(7 * BAR, 1e-3))
    main = valve("main valve", SteamWay(4e-3, 30e-3, 13.0))
    holes = tuple(port(name, "female") for name in ("inlet", "port", "starboard"))
    block = Item("block", "distribution_block", "workshop", holes, steam_way=SteamWay(4e-3, 60e-3))
    sides = [(valve(f"{side} valve", way), engine(f"{side} engine")) for side in ("port", "stbd")]
    joints = [join(1, main, boiler, at=(0, 0)), join(2, main, block, at=(1, 0))]
    for number, (side_valve, side_engine) in enumerate(sides, 1):
        joints.append(join(10 + number, side_valve, block, at=(0, number)))
        joints.append(join(20 + number, side_valve, side_engine, at=(1, 0)))
    return Plant(
        name="launch",
        working_pressure=ATMOSPHERE + 3.5 * BAR,
        back_pressure=ATMOSPHERE + 0.1 * BAR,
        feed_temperature=288.15,
        items=(boiler, main, block, *(item for pair in sides for item in pair)),
        joints=tuple(joints),
    )


def test_the_shared_beginning_is_the_trunk_and_the_rest_are_branches() -> None:
    ways = trace_ways(make_plant(SteamWay(3e-3, 25e-3, 13.0)))

    trunk = [type(element) for element in ways.trunk]
    assert trunk == [Bore, Bore, Loss, Bore, Bore]  # into and through the valve, into the block
    assert set(ways.branches) == {"port engine", "stbd engine"}
    assert [type(element) for element in ways.branches["port engine"]] == [Bore, Bore, Loss, Bore]
    assert not ways.unreached
    assert not ways.unstated


def test_an_engine_to_which_nothing_leads_is_named() -> None:
    plant = make_plant()
    cut = replace(plant, joints=tuple(joint for joint in plant.joints if joint.key != 22))

    assert trace_ways(cut).unreached == ("stbd engine",)
    codes = {(one.subject, one.finding.code) for one in check_plant(cut).judged}
    assert ("stbd engine", "engine-not-joined") in codes


def test_a_narrower_way_costs_more_pressure_and_is_cautioned() -> None:
    wide = check_plant(make_plant(SteamWay(4e-3, 25e-3, 2.0)))
    narrow = check_plant(make_plant(SteamWay(1.5e-3, 25e-3, 13.0)))

    assert wide.running is not None
    assert narrow.running is not None
    for broad, tight in zip(wide.running.engines, narrow.running.engines, strict=True):
        assert tight.pressure.likely < broad.pressure.likely
    codes = {one.finding.code for one in narrow.judged if one.subject == "port engine"}
    assert "passages-take-much" in codes


def test_what_the_engines_take_is_what_leaves_the_boiler() -> None:
    check = check_plant(make_plant(SteamWay(3e-3, 25e-3, 13.0)))

    assert check.running is not None
    taken = sum(each.steam.likely for each in check.running.engines)
    assert taken == pytest.approx(check.running.steam.likely, rel=1e-9)


def test_without_a_stated_evaporation_nothing_is_settled() -> None:
    plant = make_plant()
    boiler = replace(plant.items[0], boiler=Boiler(7 * BAR, None))

    check = check_plant(replace(plant, items=(boiler, *plant.items[1:])))

    assert check.running is None
    assert "evaporation-unknown" in {one.finding.code for one in check.judged}
