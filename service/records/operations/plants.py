"""Plants, their items and joints: planning what is to be built.

Whatever is entered is read once as calculation will read it, so that nothing is kept that a check
could not use later.
"""

from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.plant.workable import require_workable
from service.records.errors import Conflict, Refused
from service.records.history import Signature, amend, enter, strike
from service.records.kit_files import kit_of
from service.records.models import Commission, Gender, Item, Joint, Part, Plant, Port
from service.records.operations.lookup import Page, get, get_read, hold, page, require_named
from service.records.plant_reading import check_pressures, read_item, read_joint_angles, read_plant

MOST_ITEMS = 500
MOST_JOINTS = 500  # each is checked whenever the plant is


def list_plants(session: Session, commission_id: int, **asked: Any) -> Page[Plant]:
    """A page of a commission's plants, newest first."""
    get(session, Commission, commission_id)
    return page(session, Plant, commission_id=commission_id, **asked)


def create_plant(
    session: Session, commission_id: int, *, signed: Signature, **particulars: Any
) -> Plant:
    """Enter a plant for a commission."""
    get(session, Commission, commission_id)
    plant = Plant(commission_id=commission_id, **particulars)
    require_workable(read_plant(plant, items=(), joints=()))
    enter(session, plant, signed=signed)
    return plant


def update_plant(
    session: Session, plant_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> Plant:
    """Amend a plant; no boiler's stated pressure may be passed."""
    plant = get_read(session, Plant, plant_id, version, locked=True)
    amend(session, plant, changes, signed=signed)
    _check_items(session, plant, items_of(session, plant_id))
    return plant


def list_items(session: Session, plant_id: int, **asked: Any) -> Page[Item]:
    """A page of a plant's items, newest first."""
    get(session, Plant, plant_id)
    return page(session, Item, plant_id=plant_id, **asked)


def items_of(session: Session, plant_id: int) -> list[Item]:
    """All items of a plant in the order they were entered."""
    return list(session.scalars(sa.select(Item).where(Item.plant_id == plant_id).order_by(Item.id)))


def create_item(
    session: Session,
    plant_id: int,
    *,
    ports: list[dict[str, Any]],
    signed: Signature,
    **particulars: Any,
) -> Item:
    """Enter an item with its ports."""
    plant = hold(session, Plant, plant_id)
    if len(items_of(session, plant_id)) >= MOST_ITEMS:
        raise Refused(f"A plant holds {MOST_ITEMS} items at the most.")
    item = Item(plant_id=plant_id, **particulars)
    _check_name(session, plant_id, item.name)
    _check_part(session, plant, item.part_id)
    item.port_entries = _distinct(ports)
    _check_items(session, plant, [item])
    enter(session, item, signed=signed)
    return item


def update_item(
    session: Session,
    item_id: int,
    *,
    version: int | None,
    signed: Signature,
    data: dict[str, Any],
    ports: list[dict[str, Any]] | None = None,
    **changes: Any,
) -> Item:
    """Amend an item; ports keep their identity by name, and a joined port cannot be dropped.

    `data` holds the sections that change; a section is replaced whole.
    """
    item = get_read(session, Item, item_id, version)
    plant = hold(session, Plant, item.plant_id)
    _check_part(session, plant, changes.get("part_id"))
    _refuse_strange_sections(item, data)
    if changes.get("name", item.name) != item.name:
        _check_name(session, plant.id, changes["name"])
    changes["data"] = {**item.data, **data}
    if ports is not None:
        _check_joined_ports(session, item, _distinct(ports))
        changes["port_entries"] = ports
    amend(session, item, changes, signed=signed)
    _check_items(session, plant, [item])
    return item


def delete_item(session: Session, item_id: int, *, version: int | None, signed: Signature) -> None:
    """Take an item out of the plan; refused while one of its ports is joined."""
    item = get_read(session, Item, item_id, version)
    hold(session, Plant, item.plant_id)
    if joints := _joints_at(session, [port.id for port in item.ports]):
        raise Conflict(f"Joint {joints[0].id} uses this item; take the joint out first.")
    strike(session, item, signed=signed)


def list_joints(session: Session, plant_id: int, **asked: Any) -> Page[Joint]:
    """A page of a plant's joints, newest first."""
    get(session, Plant, plant_id)
    return page(session, Joint, plant_id=plant_id, **asked)


def joints_of(session: Session, plant_id: int) -> list[Joint]:
    """All joints of a plant in the order they were entered."""
    return list(
        session.scalars(sa.select(Joint).where(Joint.plant_id == plant_id).order_by(Joint.id))
    )


def create_joint(
    session: Session, plant_id: int, *, signed: Signature, **particulars: Any
) -> Joint:
    """Join a male port to a female port of the same plant."""
    hold(session, Plant, plant_id)
    if len(joints_of(session, plant_id)) >= MOST_JOINTS:
        raise Refused(f"A plant holds {MOST_JOINTS} joints at the most.")
    joint = Joint(plant_id=plant_id, **particulars)
    male = _check_end(session, joint, "male_port_id", Gender.MALE)
    female = _check_end(session, joint, "female_port_id", Gender.FEMALE)
    if male.item_id == female.item_id:
        raise Refused("An item is not screwed into itself.", field="female_port_id")
    read_joint_angles(joint)
    enter(session, joint, signed=signed)
    return joint


def update_joint(
    session: Session, joint_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> Joint:
    """Amend how a joint points, or its notes."""
    joint = get_read(session, Joint, joint_id, version)
    amend(session, joint, changes, signed=signed)
    read_joint_angles(joint)
    return joint


def delete_joint(
    session: Session, joint_id: int, *, version: int | None, signed: Signature
) -> None:
    """Take a joint out of the plan."""
    joint = get_read(session, Joint, joint_id, version)
    strike(session, joint, signed=signed)


def _check_items(session: Session, plant: Plant, items: list[Item]) -> None:
    threads = kit_of(session).threads
    read = [read_item(item, owner="workshop", threads=threads) for item in items]
    require_workable(read_plant(plant, items=read, joints=()))
    check_pressures(plant, items)


def _refuse_strange_sections(item: Item, data: dict[str, Any]) -> None:
    for section in data.keys() - {"material", "steam_way", item.kind.section}:
        raise Refused(f"This {item.kind} has no data of that kind.", field=section)


def _check_name(session: Session, plant_id: int, name: str) -> None:
    """A finding names its item, so two of one plant cannot be called the same."""
    taken = sa.select(Item.id).where(Item.plant_id == plant_id, Item.name == name)
    if session.scalar(taken) is not None:
        raise Conflict(f"This plant has a {name} already.", field="name", code="name-taken")


def _check_part(session: Session, plant: Plant, part_id: int | None) -> None:
    if part_id is None:
        return
    part = require_named(session, Part, part_id, field="part_id")
    if part.commission_id != plant.commission_id:
        raise Refused(f"There is no supplied part {part_id}.", field="part_id")


def _distinct(ports: list[dict[str, Any]]) -> list[dict[str, Any]]:
    names = [port["name"] for port in ports]
    if len(set(names)) != len(names):
        raise Refused("Two ports of one item have the same name.", field="ports")
    return ports


def _check_joined_ports(session: Session, item: Item, ports: list[dict[str, Any]]) -> None:
    """Refuse a list of ports that would pull a joint apart."""
    wanted = {port["name"]: port["gender"] for port in ports}
    for port in item.ports:
        if wanted.get(port.name) == port.gender or not _joints_at(session, [port.id]):
            continue
        if port.name in wanted:
            raise Conflict("A joined port cannot change its gender.", field="ports")
        raise Conflict("A joined port cannot be dropped; take the joint out first.", field="ports")


def _joints_at(session: Session, port_ids: list[int]) -> list[Joint]:
    if not port_ids:
        return []
    return list(
        session.scalars(
            sa.select(Joint).where(
                sa.or_(Joint.male_port_id.in_(port_ids), Joint.female_port_id.in_(port_ids))
            )
        )
    )


def _check_end(session: Session, joint: Joint, field: str, gender: Gender) -> Port:
    port = require_named(session, Port, getattr(joint, field), field=field)
    item = get(session, Item, port.item_id)
    if item.plant_id != joint.plant_id:
        raise Refused(f"There is no port {port.id} in this plant.", field=field)
    if port.gender is not gender:
        raise Refused(f"Port {port.id} is {port.gender}; a {gender} port is wanted.", field=field)
    if _joints_at(session, [port.id]):
        raise Conflict(f"Port {port.id} is joined already.", field=field, code="port-joined")
    return port
