"""Supplied parts: receiving, identifying, moving."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.errors import Refused
from service.records.history import Signature, amend, enter, write_line
from service.records.models import Commission, Item, Movement, Owner, Part, PartState
from service.records.operations.lookup import Page, get, get_read, hold, page, require_named

MOVES: dict[PartState, set[PartState]] = {
    PartState.EXPECTED: {PartState.RECEIVED, PartState.LOST},
    PartState.RECEIVED: set(PartState) - {PartState.EXPECTED},
    PartState.ON_BENCH: set(PartState) - {PartState.EXPECTED},
    PartState.SUBLET: set(PartState) - {PartState.EXPECTED},
    PartState.FITTED: set(PartState) - {PartState.EXPECTED},
    PartState.LOST: {PartState.RECEIVED, PartState.RETURNED},
    PartState.SPOILED: {PartState.RETURNED},
    PartState.USED_UP: set(),
    PartState.RETURNED: {PartState.RECEIVED},
}
"""From each state, the states a part may go to."""

EXPLAINED = {PartState.SPOILED, PartState.LOST, PartState.USED_UP}
"""States in which a customer's property has gone: a note must say how."""


def list_parts(session: Session, **asked: Any) -> Page[Part]:
    """A page of part lines, newest first, perhaps of one `commission_id`, `state` or `owner`."""
    return page(session, Part, **asked)


def list_movements(session: Session, part_id: int, **asked: Any) -> Page[Movement]:
    """A page of one part line's movements, newest first."""
    get(session, Part, part_id)
    return page(session, Movement, part_id=part_id, **asked)


def receive_part(
    session: Session, *, commission_id: int, state: PartState, signed: Signature, **particulars: Any
) -> Part:
    """Enter a part line and its first movement."""
    require_named(session, Commission, commission_id, field="commission_id")
    if state not in {PartState.EXPECTED, PartState.RECEIVED}:
        raise Refused("A new part is either expected or received.", field="state")
    part = Part(commission_id=commission_id, state=state, **particulars)
    enter(session, part, signed=signed)
    _write_movement(session, part, from_state=None, from_place=None, note=None, signed=signed)
    return part


def update_part(
    session: Session, part_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> Part:
    """Amend what is known of a part line; its state and place change by movements only."""
    part = get_read(session, Part, part_id, version)
    if "quantity" in changes and part.state not in {PartState.EXPECTED, PartState.RECEIVED}:
        raise Refused(
            "The quantity was counted in; move some of the line instead.", field="quantity"
        )
    amend(session, part, changes, signed=signed)
    return part


def move_part(
    session: Session,
    part_id: int,
    *,
    to_state: PartState,
    signed: Signature,
    quantity: int | None = None,
    place: str | None = None,
    note: str | None = None,
) -> Movement:
    """Move a part line, or some of it; moving some splits the line and moves the new one."""
    part = hold(session, Part, part_id)
    _check_move(part, to_state, note)
    moving = _split(session, part, quantity, signed=signed)
    from_state, from_place = moving.state, moving.place
    moving.state, moving.place, moving.updated_at = to_state, place, signed.now
    movement = _write_movement(
        session, moving, from_state=from_state, from_place=from_place, note=note, signed=signed
    )
    write_line(
        session,
        "moved",
        moving,
        before={"state": from_state, "place": from_place},
        after={"state": to_state, "place": place},
        signed=signed,
    )
    return movement


def _check_move(part: Part, to_state: PartState, note: str | None) -> None:
    if to_state != part.state and to_state not in MOVES[part.state]:
        raise Refused(
            f"A part that is {_word(part.state)} cannot become {_word(to_state)}.", field="to_state"
        )
    if to_state in EXPLAINED and part.owner is Owner.CUSTOMER and not note:
        raise Refused(
            f"This is the customer's property: say in a note how it came to be {_word(to_state)}.",
            field="note",
        )


def _word(state: PartState) -> str:
    return state.value.replace("_", " ")


def _split(session: Session, part: Part, quantity: int | None, *, signed: Signature) -> Part:
    """The line that moves: the whole of `part`, or `quantity` of it as a line of its own."""
    if quantity is None or quantity == part.quantity:
        return part
    if quantity > part.quantity:
        raise Refused(f"The line holds {part.quantity}, not {quantity}.", field="quantity")
    if session.scalar(sa.select(Item.id).where(Item.part_id == part.id).limit(1)) is not None:
        raise Refused(
            "The plant names this line; enter the pieces as lines of their own first.",
            field="quantity",
        )
    split = Part(
        **{name: getattr(part, name) for name in _COPIED}, quantity=quantity, split_from_id=part.id
    )
    amend(session, part, {"quantity": part.quantity - quantity}, signed=signed)
    enter(session, split, signed=signed)
    return split


_COPIED = (
    "commission_id", "name", "owner", "condition", "place", "state", "ports", "private_notes",
)  # fmt: skip


def _write_movement(
    session: Session,
    part: Part,
    *,
    from_state: PartState | None,
    from_place: str | None,
    note: str | None,
    signed: Signature,
) -> Movement:
    movement = Movement(
        part_id=part.id,
        from_state=from_state,
        to_state=part.state,
        from_place=from_place,
        to_place=part.place,
        quantity=part.quantity,
        note=note,
        moved_at=signed.now,
        moved_by=signed.person,
    )
    session.add(movement)
    session.flush()  # the answer names the movement
    return movement
