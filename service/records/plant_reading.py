"""From rows to the plant that calculation works on: the kept texts are read as quantities here."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

from service.engineering.errors import EngineeringError
from service.engineering.steam.engine import Engine
from service.engineering.steam.safety_valve import SafetyValve as MeasuredValve
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import Owner
from service.plant import graph
from service.quantities import Kind, QuantityError, parse, parse_drill, parse_thread, read_given
from service.records.errors import Refused
from service.records.models import Item, ItemKind, Joint, Plant, Port

Thing = TypeVar("Thing")

CONDITIONS = ("working_pressure", "back_pressure", "feed_temperature")
"""What a plant is to work under; left out, the dataclass says what is taken."""


def read_plant(
    plant: Plant, *, items: Sequence[graph.Item], joints: Sequence[graph.Joint]
) -> graph.Plant:
    """The plant with items and joints that were read already."""
    written = {name: getattr(plant, name) for name in ("name", *CONDITIONS)}
    return read_given(graph.Plant, written, items=tuple(items), joints=tuple(joints))


def read_graph(
    plant: Plant,
    *,
    items: Sequence[Item],
    joints: Sequence[Joint],
    owners: dict[int, Owner],
    threads: tuple[Thread, ...],
) -> graph.Plant:
    """The whole plant; `owners` tells by part number whose an item is.

    `threads` are the workshop's own, known beside the catalogue.
    """
    read = [
        read_item(item, owner=owners.get(item.part_id or 0, "workshop"), threads=threads)
        for item in items
    ]
    ends = {
        port.id: graph.End(whole, part)
        for item, whole in zip(items, read, strict=True)
        for port, part in zip(item.ports, whole.ports, strict=True)
    }
    return read_plant(plant, items=read, joints=[_read_joint(joint, ends) for joint in joints])


def read_item(item: Item, *, owner: Owner, threads: tuple[Thread, ...]) -> graph.Item:
    """One item; raise for the field that cannot be read or lies out of range."""
    data = item.data
    return graph.Item(
        name=item.name,
        kind=item.kind.value,
        owner=owner,
        ports=tuple(
            _read_port(port, data, f"ports.{number}", threads)
            for number, port in enumerate(item.ports)
        ),
        steam_way=(
            _read_section(graph.SteamWay, data, "steam_way") if data.get("steam_way") else None
        ),
        **_read_particulars(item),
    )


def read_joint_angles(joint: Joint) -> tuple[float | None, float | None]:
    """Where a joint's fitting should point and where it stops, in radians."""
    return (
        _angle(joint.points_wanted, "points_wanted"),
        _angle(joint.points_found, "points_found"),
    )


def check_pressures(plant: Plant, items: Sequence[Item]) -> None:
    """Refuse a working pressure above what an inspector stated for any boiler in the plant."""
    working = _pressure(plant.working_pressure, "working_pressure")
    for item in items:
        if item.kind is not ItemKind.BOILER:
            continue
        stated = item.data["boiler"]["inspector_pressure"]
        if working > _pressure(stated, "boiler.inspector_pressure"):
            raise Refused(
                f"The plant's working pressure of {plant.working_pressure} is above the {stated} "
                f"that the inspector stated for {item.name}. That limit is not raised here.",
                field="working_pressure",
                code="above-inspector-pressure",
            )


@contextmanager
def _within(section: str) -> Iterator[None]:
    """Name the section of the request in which a refused field stands."""
    try:
        yield
    except (QuantityError, EngineeringError) as error:
        error.field = f"{section}.{error.field}" if error.field else section
        raise


def _read_port(
    port: Port, item_data: dict[str, Any], section: str, threads: tuple[Thread, ...]
) -> graph.Port:
    data = port.data
    with _within(section):
        return read_given(
            graph.Port,
            data,
            name=port.name,
            gender=port.gender.value,
            thread=parse_thread(data["thread"], field="thread", workshop_threads=threads),
            drilled=_drill(data.get("drilled")),
            material=data.get("material") or item_data.get("material") or "brass",
        )


def _read_section(thing: type[Thing], data: dict[str, Any], section: str, **further: Any) -> Thing:
    with _within(section):
        return read_given(thing, data[section], **further)


def _read_particulars(item: Item) -> dict[str, Any]:
    """What only an item of this kind has."""
    if item.kind is ItemKind.ENGINE:
        return {"engine": _read_section(Engine, item.data, "engine", name=item.name)}
    if item.kind is ItemKind.BOILER:
        return {"boiler": _read_section(graph.Boiler, item.data, "boiler")}
    if item.kind is ItemKind.SAFETY_VALVE:
        return {"safety_valve": _read_safety_valve(item.data)}
    return {}


def _read_safety_valve(data: dict[str, Any]) -> graph.SafetyValve:
    particulars = data["safety_valve"]
    with _within("safety_valve"):
        return read_given(graph.SafetyValve, particulars, measured=_read_seat(particulars))


def _read_seat(particulars: dict[str, Any]) -> MeasuredValve | None:
    """The valve's seat and lift; both are needed before anything can be reckoned."""
    if particulars.get("seat") is None or particulars.get("lift") is None:
        return None
    return read_given(MeasuredValve, particulars)


def _read_joint(joint: Joint, ends: dict[int, graph.End]) -> graph.Joint:
    wanted, found = read_joint_angles(joint)
    return graph.Joint(
        key=joint.id,
        male=ends[joint.male_port_id],
        female=ends[joint.female_port_id],
        points_wanted=wanted,
        points_found=found,
    )


def _pressure(text: str, field: str) -> float:
    return parse(text, Kind.PRESSURE, field=field).absolute


def _angle(text: str | None, field: str) -> float | None:
    return None if text is None else parse(text, Kind.ANGLE, field=field).si


def _drill(text: str | None) -> float | None:
    return None if text is None else parse_drill(text, field="drilled").si
