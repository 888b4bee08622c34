"""Loading a whole plant for calculation."""

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.engineering.threads.fit import Owner
from service.plant import graph
from service.records.kit_files import kit_of
from service.records.models import Part, Plant
from service.records.operations.lookup import get
from service.records.operations.plants import items_of, joints_of
from service.records.plant_reading import read_graph


def load_plant(session: Session, plant_id: int) -> graph.Plant:
    """The plant as a graph, ready to be checked."""
    plant = get(session, Plant, plant_id)
    items = items_of(session, plant_id)
    return read_graph(
        plant,
        items=items,
        joints=joints_of(session, plant_id),
        threads=kit_of(session).threads,
        owners=_owners(session, [item.part_id for item in items if item.part_id]),
    )


def _owners(session: Session, part_ids: list[int]) -> dict[int, Owner]:
    rows = session.execute(sa.select(Part.id, Part.owner).where(Part.id.in_(part_ids)))
    return {part_id: owner.value for part_id, owner in rows}
