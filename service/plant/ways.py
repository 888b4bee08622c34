"""How steam gets from the boiler to each engine: traced through the joints of the plant."""

from collections import deque
from dataclasses import dataclass

from service.engineering.steam.passages import Bore, Element, Loss
from service.plant.graph import Item, Joint, Plant, Port


@dataclass(frozen=True, slots=True)
class Ways:
    """The passages of a plant as a tree: one trunk, and a branch to each engine."""

    trunk: tuple[Element, ...]
    branches: dict[str, tuple[Element, ...]]  # by the engine's name, in the order steam meets them
    unreached: tuple[str, ...]  # engines to which no joints lead from a boiler
    unstated: tuple[str, ...]  # items on the way of whose bore nothing is known


@dataclass(frozen=True, slots=True)
class _Stop:
    """An item on the way, and the joint by which steam came to it."""

    item: Item
    joint: Joint | None


def trace_ways(plant: Plant) -> Ways:
    """Follow the joints from the first boiler to each engine; the shared beginning is the trunk."""
    boiler = next((item for item in plant.items if item.boiler), None)
    reached = _spread_from(boiler, plant.joints) if boiler else {}
    engines = [item for item in plant.items if item.engine]
    routes = {item.name: reached[item.name] for item in engines if item.name in reached}
    shared = _shared_length(list(routes.values()))
    trunk = next((route[:shared] for route in routes.values()), [])
    stops = {stop.item.name: stop for route in routes.values() for stop in route[1:-1]}
    return Ways(
        trunk=_elements(trunk),
        branches={name: _elements(route[shared:]) for name, route in routes.items()},
        unreached=tuple(item.name for item in engines if item.name not in reached),
        unstated=tuple(name for name, stop in stops.items() if not _elements([stop])),
    )


def _spread_from(start: Item, joints: tuple[Joint, ...]) -> dict[str, list[_Stop]]:
    """The shortest route to every item that joints lead to, by the item's name."""
    routes = {start.name: [_Stop(start, None)]}
    waiting = deque([start])
    while waiting:
        item = waiting.popleft()
        for joint, other in _neighbours(item, joints):
            # Steam does not flow on through an engine to what stands behind it.
            if other.name not in routes and item.engine is None:
                routes[other.name] = [*routes[item.name], _Stop(other, joint)]
                waiting.append(other)
    return routes


def _neighbours(item: Item, joints: tuple[Joint, ...]) -> list[tuple[Joint, Item]]:
    return [
        (joint, far.item)
        for joint in joints
        for near, far in ((joint.male, joint.female), (joint.female, joint.male))
        if near.item.name == item.name
    ]


def _shared_length(routes: list[list[_Stop]]) -> int:
    """How many stops all routes have in common; of a single route, all but the engine."""
    if len(routes) == 1:
        return len(routes[0]) - 1
    names = [[stop.item.name for stop in route] for route in routes]
    shared = 0
    for stops in zip(*names, strict=False):
        if len(set(stops)) > 1:
            break
        shared += 1
    return shared


def _elements(route: list[_Stop]) -> tuple[Element, ...]:
    """The passages of the stops of a route, in order."""
    return tuple(element for stop in route for element in _pass(stop))


def _pass(stop: _Stop) -> list[Element]:
    """What steam passes to get into an item and through it."""
    entered = pass_port(stop.joint.male.port) if stop.joint else []
    return [*entered, *pass_item(stop.item)]


def pass_port(port: Port) -> list[Element]:
    """The passage through a male end; raise `OutOfRange` for a bore that steam is not reckoned in.

    An end whose bore nobody measured is no passage.
    """
    if not port.bore:
        return []
    return [Bore(diameter=port.bore, length=port.length or port.bore)]


def pass_item(item: Item) -> list[Element]:
    """The passages inside an item; raise `OutOfRange` as `pass_port` does."""
    way = item.steam_way
    if way is None:
        return []
    loss = [Loss(diameter=way.bore, k=way.loss)] if way.loss else []
    return [Bore(diameter=way.bore, length=way.length), *loss]
