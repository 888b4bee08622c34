"""Which way steam takes from the boiler: the shortest, and never on through an engine."""

from dataclasses import replace
from itertools import pairwise

import pytest

from service.engineering.kit import Kit
from service.engineering.steam.engine import Engine
from service.engineering.steam.passages import Bore, Loss
from service.engineering.threads.catalogue.series import find_thread
from service.plant.check import check_plant
from service.plant.graph import Boiler, End, Item, Joint, Plant, Port, SteamWay
from service.plant.ways import trace_ways

THREAD = find_thread("1/4 x 40 ME")
AIR = 101_325.0


def male(name: str, bore: float | None = None, length: float | None = 6e-3) -> Port:
    return Port(name, "male", THREAD, length=length, bore=bore)


def female(name: str, bore: float | None = None) -> Port:
    return Port(name, "female", THREAD, length=6e-3, bore=bore)


def engine(name: str) -> Item:
    built = Engine(
        name=name,
        bore=0.016,
        stroke=0.016,
        cylinders=2,
        acting="double",
        speed=8.3,
        cut_off=0.75,
        clearance=0.1,
        condensation=0.8,
    )
    return Item(name, "engine", "customer", (male("inlet"), female("exhaust")), engine=built)


def fitting(name: str, way: SteamWay | None = None, bore: float | None = None) -> Item:
    ports = (male("inlet", bore), female("outlet"))
    return Item(name, "fitting", "workshop", ports, steam_way=way)


def boiler(name: str = "boiler") -> Item:
    ports = (female("bush"), female("other bush"))
    return Item(name, "boiler", "customer", ports, boiler=Boiler(AIR + 5e5, 1e-3))


def chain(*items: Item, first: int = 1) -> list[Joint]:
    """Each item's male inlet screwed into the last port of the one before it."""
    return [
        Joint(number, End(after, after.ports[0]), End(before, before.ports[-1]))
        for number, (before, after) in enumerate(pairwise(items), first)
    ]


def plant(joints: list[Joint], *items: Item) -> Plant:
    return Plant("P", AIR + 3e5, AIR + 0.1e5, 288.15, items, tuple(joints))


def test_steam_does_not_flow_on_through_an_engine() -> None:
    """A second engine hangs on the first one's exhaust, and a valve with a third behind it."""
    source, first, second, third = boiler(), engine("first"), engine("second"), engine("third")
    cock = fitting("cock")
    joints = chain(source, first, second) + chain(first, cock, third, first=10)

    ways = trace_ways(plant(joints, source, first, second, third, cock))

    assert set(ways.branches) == {"first"}
    assert ways.unreached == ("second", "third")
    assert ways.unstated == ()


def test_the_engine_behind_an_engine_is_told_and_takes_no_steam() -> None:
    source, first, second = boiler(), engine("first"), engine("second")

    check = check_plant(plant(chain(source, first, second), source, first, second))

    judged = {(one.subject, one.finding.code) for one in check.judged}
    assert ("second", "engine-not-joined") in judged
    assert ("first", "engine-not-joined") not in judged
    assert check.running is not None
    assert [one.name for one in check.running.engines] == ["first"]


@pytest.mark.parametrize("turn", [1, -1])
def test_steam_takes_the_way_of_fewest_joints(turn: int) -> None:
    source, last = boiler(), engine("engine")
    long = [fitting(name, SteamWay(3e-3, 0.01)) for name in ("a", "b")]
    short = fitting("short", SteamWay(5e-3, 0.02))
    joints = chain(source, *long, last) + chain(source, short, last, first=10)

    ways = trace_ways(plant(joints[::turn], source, *long, short, last))

    assert ways.trunk == (Bore(5e-3, 0.02),)
    assert ways.branches == {"engine": ()}


def test_joints_are_followed_whichever_end_is_male() -> None:
    """The boiler's own nipple screwed into the engine."""
    source = replace(boiler(), ports=(male("nipple", 4e-3),))
    last = replace(engine("engine"), ports=(female("inlet"),))
    joint = Joint(1, End(source, source.ports[0]), End(last, last.ports[0]))

    ways = trace_ways(plant([joint], source, last))

    assert ways.unreached == ()
    assert ways.branches == {"engine": (Bore(4e-3, 6e-3),)}


@pytest.mark.parametrize(
    ("port", "passed"),
    [
        (male("inlet", 3e-3), (Bore(3e-3, 6e-3),)),
        (male("inlet", 3e-3, None), (Bore(3e-3, 3e-3),)),  # a bore as long as it is wide
        (male("inlet"), ()),
    ],
)
def test_a_male_end_is_a_passage_once_its_bore_is_measured(
    port: Port, passed: tuple[Bore, ...]
) -> None:
    source, last = boiler(), replace(engine("engine"), ports=(port,))

    ways = trace_ways(plant(chain(source, last), source, last))

    assert ways.branches["engine"] == passed


def test_an_item_is_its_bore_and_then_its_loss() -> None:
    cock = fitting("cock", SteamWay(3e-3, 0.02, 7.5), bore=4e-3)
    plain = fitting("plain", SteamWay(3e-3, 0.02))
    source, last = boiler(), engine("engine")

    ways = trace_ways(plant(chain(source, cock, plain, last), source, cock, plain, last))

    assert ways.trunk == (
        Bore(4e-3, 6e-3), Bore(3e-3, 0.02), Loss(3e-3, 7.5), Bore(3e-3, 0.02)
    )  # fmt: skip
    assert ways.unstated == ()


def test_an_item_on_the_way_of_which_nothing_is_known_is_named_and_the_ends_are_not() -> None:
    dark, known, late = fitting("dark"), fitting("known", bore=3e-3), fitting("late")
    aside = fitting("aside")
    source, last = boiler(), engine("engine")
    joints = chain(source, dark, known, late, last) + chain(source, aside, first=10)

    check = check_plant(plant(joints, source, dark, known, late, aside, last))

    named = [one.subject for one in check.judged if one.finding.code == "bore-unknown"]
    assert named == ["dark", "late"]


def test_the_trunk_ends_where_the_ways_part_and_at_the_first_boiler_it_begins() -> None:
    source, spare = boiler(), boiler("spare")
    block = fitting("block", SteamWay(6e-3, 0.05))
    port, stbd = engine("port"), engine("stbd")
    gate = fitting("gate", SteamWay(3e-3, 0.02))
    joints = chain(source, block, port) + chain(block, gate, stbd, first=10)

    both = trace_ways(plant(joints, source, spare, block, gate, port, stbd))
    other = trace_ways(plant(joints, spare, source, block, gate, port, stbd))

    assert both.trunk == (Bore(6e-3, 0.05),)
    assert both.branches == {"port": (), "stbd": (Bore(3e-3, 0.02),)}
    assert other.branches == {}
    assert other.unreached == ("port", "stbd")


def test_without_a_boiler_no_engine_is_reached() -> None:
    block, last = fitting("block"), engine("engine")

    assert trace_ways(plant(chain(block, last), block, last)).unreached == ("engine",)


def test_a_joint_is_shimmed_with_what_the_workshop_has() -> None:
    source, last = boiler(), engine("engine")
    (joint,) = chain(source, last)
    turned = replace(joint, points_wanted=1.5, points_found=0.3)
    asked = plant([turned], source, last)

    usual, none = (check_plant(asked, hand).joints[0] for hand in (None, Kit(shims=())))

    assert usual.indexing is not None
    assert usual.indexing != none.indexing
    half = replace(joint, points_wanted=1.5)
    assert check_plant(plant([half], source, last)).joints[0].indexing is None
