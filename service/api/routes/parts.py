"""Supplied parts and their movements over HTTP."""

from typing import Any

from service.api.access import session, signed
from service.api.blueprint import Blueprint
from service.api.noun import Noun, writes
from service.api.schemas.parts import (
    MovementIn,
    MovementOut,
    MovementPage,
    PartIn,
    PartOut,
    PartPage,
    PartPatch,
    PartQuery,
)
from service.records.models import Movement, Part, Scope
from service.records.operations.parts import (
    list_movements,
    list_parts,
    move_part,
    receive_part,
    update_part,
)

blp = Blueprint("parts", __name__, description="Supplied parts: whose, how many, where.")

parts = Noun(blp, Part, PartOut, "/parts", "/parts/<number:part_id>")
parts.lists(list_parts, PartPage, "List part lines, newest first.", PartQuery)
parts.creates(receive_part, PartIn, "Enter a part line, received or expected.", Scope.BENCH)
parts.reads("get_part", "Read a part line.")
parts.amends(update_part, PartPatch, "Amend what is known of a part line.")

movements = Noun(blp, Movement, MovementOut, f"{parts.one}/movements")
movements.lists(list_movements, MovementPage, "List a part line's movements, newest first.")


@writes(blp, "POST", movements.all, "move_part", MovementOut,
        body=MovementIn, scope=Scope.BENCH, manner="creates", status=201)  # fmt: skip
def move(data: dict[str, Any], part_id: int) -> Movement:
    """Move a part line, or some of it."""
    return move_part(session(), part_id, signed=signed(), **data)
