"""Operations on plants: nothing is kept that a check could not use, and no limit is raised."""

import itertools
import threading
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.engineering.errors import EngineeringError
from service.plant.check import check_plant
from service.quantities import QuantityError
from service.records.database import Database
from service.records.errors import Conflict, Refused
from service.records.history import Signature
from service.records.models import Gender, Item, ItemKind, Joint, Plant
from service.records.operations.checking import load_plant
from service.records.operations.customers import create_customer
from service.records.operations.plants import (
    MOST_ITEMS,
    MOST_JOINTS,
    create_item,
    create_joint,
    create_plant,
    update_item,
    update_plant,
)
from tests.records.conftest import at_once, open_commission

FEMALE = {"name": "outlet", "gender": Gender.FEMALE, "thread": "1/4 x 40 ME"}
MALE = {"name": "inlet", "gender": Gender.MALE, "thread": "1/4 x 40 ME"}
NUMBERS = itertools.count()


def enter_item(session: Session, plant_id: int, signed: Signature, **changes: Any) -> Item:
    particulars = {
        "kind": ItemKind.FITTING, "name": f"item {next(NUMBERS)}", "data": {},
        "ports": [MALE, FEMALE],
    }  # fmt: skip
    return create_item(session, plant_id, signed=signed, **(particulars | changes))


def enter_boiler(session: Session, plant_id: int, signed: Signature, stated: str) -> Item:
    data = {"boiler": {"inspector_pressure": stated, "evaporation": None}}
    return enter_item(session, plant_id, signed, kind=ItemKind.BOILER, data=data, ports=[])


@pytest.mark.parametrize(
    "faulty",
    [
        {"working_pressure": "41 bar"},
        {"working_pressure": "50"},
        {"working_pressure": "0 psi"},
        {"back_pressure": "50 psi"},
        {"feed_temperature": "160 degC"},
    ],
)
def test_a_plant_whose_steam_cannot_be_reckoned_is_refused(
    session: Session, plant: Plant, signed: Signature, faulty: dict[str, str]
) -> None:
    particulars = {"name": "P", "working_pressure": "50 psi"} | faulty

    with pytest.raises((EngineeringError, QuantityError)):
        create_plant(session, plant.commission_id, signed=signed, **particulars)


def test_no_way_leads_above_the_inspectors_pressure(
    session: Session, plant: Plant, signed: Signature
) -> None:
    boiler = enter_boiler(session, plant.id, signed, "60 psi")

    for attempt in (
        lambda: update_plant(
            session, plant.id, version=None, working_pressure="61 psi", signed=signed
        ),
        lambda: update_item(
            session, boiler.id, version=None, signed=signed,
            data={"boiler": {"inspector_pressure": "3.4 bar", "evaporation": None}},
        ),
        lambda: enter_boiler(session, plant.id, signed, "49 psi"),
    ):  # fmt: skip
        with pytest.raises(Refused) as refusal, session.begin_nested():
            attempt()
        assert refusal.value.code == "above-inspector-pressure"
    session.expire_all()
    assert plant.working_pressure == "50 psi"
    assert boiler.data["boiler"]["inspector_pressure"] == "60 psi"


def test_the_limit_itself_is_not_above_the_limit(
    session: Session, plant: Plant, signed: Signature
) -> None:
    enter_boiler(session, plant.id, signed, "50 psi")
    enter_boiler(session, plant.id, signed, "3.45 bar")

    with pytest.raises(Refused):
        enter_boiler(session, plant.id, signed, "3.44 bar")


def test_the_plant_and_its_boiler_cannot_pass_each_other(own: Database, signed: Signature) -> None:
    """One raises the plant to 58 psi while another lowers the boiler to 55 psi."""
    with own.writing() as session:
        customer = create_customer(session, name="M", signed=signed)
        commission = open_commission(session, customer.id, signed)
        plant_id = create_plant(
            session, commission.id, name="P", working_pressure="50 psi", signed=signed
        ).id
        boiler_id = enter_boiler(session, plant_id, signed, "60 psi").id
    start = threading.Barrier(2)

    def change(number: int) -> str:
        start.wait(10)
        with own.writing() as session:
            if number:
                update_plant(session, plant_id, version=1, working_pressure="58 psi", signed=signed)
            else:
                update_item(
                    session, boiler_id, version=1, signed=signed,
                    data={"boiler": {"inspector_pressure": "55 psi", "evaporation": None}},
                )  # fmt: skip
            return "changed"

    results = at_once(2, change)
    assert results.count("changed") == 1
    assert [type(one) for one in results if one != "changed"] == [Refused]


def test_an_item_says_in_which_port_it_is_wrong(
    session: Session, plant: Plant, signed: Signature
) -> None:
    for faulty, field in (
        (MALE | {"bore": "1/4 in"}, "ports.1.bore"),
        (MALE | {"thread": "1/4 x 41 ME"}, "ports.1.thread"),
        (MALE | {"material": "unobtainium"}, "ports.1.material"),
        (FEMALE | {"name": "b", "length": "1 m"}, "ports.1.length"),
        (FEMALE | {"name": "b", "drilled": "1/4 in"}, "ports.1.drilled"),
    ):
        with pytest.raises((EngineeringError, QuantityError)) as refusal, session.begin_nested():
            enter_item(session, plant.id, signed, ports=[FEMALE, faulty])
        assert refusal.value.field == field


def test_setting_the_ports_keeps_those_that_stay(
    session: Session, plant: Plant, signed: Signature
) -> None:
    item = enter_item(session, plant.id, signed)
    inlet = item.ports[0].id
    update_item(
        session, item.id, version=1, data={}, signed=signed,
        ports=[MALE | {"bore": "1/8 in"}, FEMALE | {"name": "drain"}],
    )  # fmt: skip

    session.expire_all()
    assert [port.name for port in item.ports] == ["inlet", "drain"]
    assert item.ports[0].id == inlet
    assert item.ports[0].data == {"thread": "1/4 x 40 ME", "bore": "1/8 in"}
    assert item.version == 2


def test_two_items_of_one_plant_have_two_names(
    session: Session, plant: Plant, signed: Signature
) -> None:
    enter_item(session, plant.id, signed, name="port engine")
    other = enter_item(session, plant.id, signed)

    with pytest.raises(Conflict) as refusal, session.begin_nested():
        enter_item(session, plant.id, signed, name="port engine")
    assert refusal.value.code == "name-taken"
    with pytest.raises(Conflict):
        update_item(session, other.id, version=1, data={}, name="port engine", signed=signed)


def test_setting_the_same_ports_changes_nothing(
    session: Session, plant: Plant, signed: Signature
) -> None:
    item = enter_item(session, plant.id, signed)
    update_item(session, item.id, version=1, data={}, ports=[MALE, FEMALE], signed=signed)

    assert item.version == 1


def test_two_joints_made_at_once_at_one_port_are_one_joint(
    own: Database, signed: Signature
) -> None:
    with own.writing() as session:
        customer = create_customer(session, name="M", signed=signed)
        commission = open_commission(session, customer.id, signed)
        plant_id = create_plant(
            session, commission.id, name="P", working_pressure="50 psi", signed=signed
        ).id
        female = enter_item(session, plant_id, signed).ports[1].id
        males = [enter_item(session, plant_id, signed).ports[0].id for _ in range(4)]

    def join(number: int) -> int:
        with own.writing() as session:
            return create_joint(
                session, plant_id, male_port_id=males[number], female_port_id=female, signed=signed
            ).id

    results = at_once(4, join)
    assert len([one for one in results if isinstance(one, int)]) == 1
    assert len([one for one in results if isinstance(one, Conflict)]) == 3
    with own.reading() as session:
        assert session.scalar(sa.select(sa.func.count()).select_from(Joint)) == 1


def test_a_plant_holds_so_many_items_and_no_more(
    session: Session, plant: Plant, signed: Signature
) -> None:
    template = enter_item(session, plant.id, signed, ports=[])
    values = {
        column.key: getattr(template, column.key)
        for column in sa.inspect(Item).column_attrs
        if column.key != "id"
    }
    others = [values | {"name": f"other {number}"} for number in range(MOST_ITEMS - 1)]
    session.execute(sa.insert(Item), others)

    with pytest.raises(Refused, match=str(MOST_ITEMS)):
        enter_item(session, plant.id, signed, ports=[])


def test_a_plant_holds_so_many_joints_and_no_more(
    session: Session, plant: Plant, signed: Signature
) -> None:
    def enter_ports(kind: dict[str, Any], count: int) -> list[Any]:
        ports = [kind | {"name": f"port {number}"} for number in range(20)]
        items = [enter_item(session, plant.id, signed, ports=ports) for _ in range(count)]
        return [port.id for item in items for port in item.ports]

    count = MOST_JOINTS // 20 + 1
    pairs = list(zip(enter_ports(MALE, count), enter_ports(FEMALE, count), strict=True))
    template = create_joint(
        session, plant.id, male_port_id=pairs[0][0], female_port_id=pairs[0][1], signed=signed
    )
    values = {
        column.key: getattr(template, column.key)
        for column in sa.inspect(Joint).column_attrs
        if column.key != "id"
    }
    session.execute(
        sa.insert(Joint),
        [
            values | {"male_port_id": male, "female_port_id": female}
            for male, female in pairs[1:MOST_JOINTS]
        ],
    )

    male, female = pairs[MOST_JOINTS]
    with pytest.raises(Refused, match=str(MOST_JOINTS)):
        create_joint(session, plant.id, male_port_id=male, female_port_id=female, signed=signed)


def test_what_was_entered_is_what_is_checked(
    session: Session, plant: Plant, signed: Signature
) -> None:
    enter_boiler(session, plant.id, signed, "60 psi")
    valve = enter_item(
        session, plant.id, signed,
        name="valve",
        data={"material": "bronze"},
        ports=[MALE | {"length": "1/4 in", "bore": "1/8 in"}],
    )  # fmt: skip
    block = enter_item(
        session, plant.id, signed,
        name="block",
        ports=[FEMALE | {"boss": "7/16 in", "drilled": "7/32 in", "material": "brass"}],
    )  # fmt: skip
    create_joint(
        session, plant.id, male_port_id=valve.ports[0].id, female_port_id=block.ports[0].id,
        points_wanted="90 deg", points_found="20 deg", signed=signed,
    )  # fmt: skip

    loaded = load_plant(session, plant.id)
    (joint,) = loaded.joints
    assert joint.male.port.length == pytest.approx(0.00635)
    assert joint.male.port.bore == pytest.approx(0.003175)
    assert (joint.male.port.material, joint.female.port.material) == ("bronze", "brass")
    assert joint.female.port.drilled == pytest.approx(0.00555625)
    assert joint.points_wanted == pytest.approx(1.5707963)
    assert loaded.working_pressure == pytest.approx(101_325 + 50 * 6894.757, rel=1e-6)
    assert check_plant(loaded).joints[0].indexing is not None
