"""Operations on supplied parts: nothing a customer owns is lost from the books."""

from collections.abc import Callable

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from service.records.database import Database
from service.records.errors import RecordError, Refused
from service.records.history import Signature
from service.records.models import Commission, Movement, Owner, Part, PartState
from service.records.operations.customers import create_customer
from service.records.operations.parts import MOVES, move_part, receive_part, update_part
from tests.records.conftest import at_once, open_commission

Receive = Callable[..., Part]


@pytest.fixture
def receive(session: Session, commission: Commission, signed: Signature) -> Receive:
    """Receives a line of parts."""

    def enter(**changes: object) -> Part:
        particulars = {
            "name": "Union", "owner": Owner.CUSTOMER, "quantity": 5, "ports": [],
            "state": PartState.RECEIVED,
        } | changes  # fmt: skip
        return receive_part(session, commission_id=commission.id, signed=signed, **particulars)

    return enter


@pytest.mark.parametrize("from_state", list(PartState))
@pytest.mark.parametrize("to_state", list(PartState))
def test_a_part_goes_only_where_its_state_lets_it(
    session: Session, receive: Receive, signed: Signature, from_state: PartState,
    to_state: PartState,
) -> None:  # fmt: skip
    part = receive()
    part.state = from_state
    session.flush()
    allowed = to_state is from_state or to_state in MOVES[from_state]

    if allowed:
        assert move_part(session, part.id, to_state=to_state, note="n", signed=signed)
        assert part.state is to_state
    else:
        with pytest.raises(Refused) as refusal:
            move_part(session, part.id, to_state=to_state, note="n", signed=signed)
        assert refusal.value.field == "to_state"
        assert part.state is from_state


def test_every_state_has_its_moves_and_nothing_goes_back_to_expected() -> None:
    assert set(MOVES) == set(PartState)
    assert not any(PartState.EXPECTED in states for states in MOVES.values())


@settings(
    max_examples=25, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
@given(
    moves=st.lists(
        st.tuples(st.integers(0, 3), st.sampled_from(PartState), st.integers(1, 6)), max_size=8
    )
)
def test_whatever_is_moved_the_pieces_add_up(
    session: Session, commission: Commission, signed: Signature, receive: Receive,
    moves: list[tuple[int, PartState, int]],
) -> None:  # fmt: skip
    first = receive()
    ours = sa.select(Part).where(Part.id >= first.id).order_by(Part.id)
    for index, to_state, quantity in moves:
        lines = list(session.scalars(ours))
        try:
            with session.begin_nested():
                move_part(
                    session, lines[index % len(lines)].id, to_state=to_state, quantity=quantity,
                    note="n", signed=signed,
                )  # fmt: skip
        except RecordError:
            session.expire_all()

    lines = list(session.scalars(ours))
    assert sum(line.quantity for line in lines) == 5
    for line in lines:
        last = session.scalars(
            sa.select(Movement).where(Movement.part_id == line.id).order_by(Movement.id.desc())
        ).first()
        assert last is not None
        assert last.to_state is line.state


def test_a_split_line_remembers_where_it_came_from(
    session: Session, receive: Receive, signed: Signature
) -> None:
    part = receive(place="box B", private_notes="p")
    movement = move_part(
        session, part.id, to_state=PartState.SUBLET, quantity=2, place="plater", signed=signed
    )

    split = session.get_one(Part, movement.part_id)
    assert (split.split_from_id, split.quantity, split.place) == (part.id, 2, "plater")
    assert (split.private_notes, part.quantity, part.place) == ("p", 3, "box B")
    assert (movement.from_place, movement.to_place, movement.quantity) == ("box B", "plater", 2)


def test_the_workshops_own_parts_may_be_used_up_without_a_word(
    session: Session, receive: Receive, signed: Signature
) -> None:
    part = receive(owner=Owner.WORKSHOP)

    assert move_part(session, part.id, to_state=PartState.USED_UP, signed=signed).note is None


def test_a_count_may_be_corrected_until_the_line_moves(
    session: Session, receive: Receive, signed: Signature
) -> None:
    part = receive()
    update_part(session, part.id, version=1, quantity=4, signed=signed)
    move_part(session, part.id, to_state=PartState.ON_BENCH, signed=signed)

    with pytest.raises(Refused):
        update_part(session, part.id, version=None, quantity=3, signed=signed)


def test_two_hands_cannot_take_the_same_pieces(own: Database, signed: Signature) -> None:
    with own.writing() as session:
        customer = create_customer(session, name="M", signed=signed)
        commission = open_commission(session, customer.id, signed)
        part_id = receive_part(
            session, commission_id=commission.id, state=PartState.RECEIVED, name="Union",
            owner=Owner.CUSTOMER, quantity=5, ports=[], signed=signed,
        ).id  # fmt: skip

    def take_two(_: int) -> int:
        with own.writing() as session:
            return move_part(
                session, part_id, to_state=PartState.FITTED, quantity=2, signed=signed
            ).quantity

    results = at_once(4, take_two)
    with own.reading() as session:
        assert session.scalar(sa.select(sa.func.sum(Part.quantity))) == 5
        fitted = session.scalar(
            sa.select(sa.func.sum(Part.quantity)).where(Part.state == PartState.FITTED)
        )
    assert [one for one in results if one == 2] == [2, 2]
    assert all(isinstance(one, Refused) for one in results if one != 2)
    assert fitted == 4
