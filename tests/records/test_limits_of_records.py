"""How long, how many, how late: the limits that operations and tables set, a hair either side."""

import datetime as dt
import json
import zipfile
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.backups.restoring import restore
from service.records.backups.writing import back_up
from service.records.database import Base, Database
from service.records.errors import NotFound, Refused, Stale
from service.records.history import Signature, check_version
from service.records.kit_files import KitFiles
from service.records.models import (
    Commission,
    Customer,
    IdempotencyKey,
    Item,
    ItemKind,
    Operation,
    Owner,
    PartState,
    Plant,
    Scope,
)
from service.records.operations.commissions import (
    create_commission,
    list_commissions,
    next_reference,
    update_commission,
)
from service.records.operations.customers import create_customer, list_customers
from service.records.operations.idempotency import claim_key, forget_old_keys
from service.records.operations.labour import log_labour
from service.records.operations.lookup import get, hold, require_named
from service.records.operations.parts import receive_part
from service.records.operations.plants import create_item, create_plant, update_plant
from service.records.operations.summaries import summarise
from service.records.operations.tokens import create_token, find_asker, revoke_token
from tests.conftest import NOW
from tests.records.conftest import open_commission
from tests.records.filled import SIGNED, keep

HAIR = dt.timedelta(microseconds=1)
LARGEST = 2_147_483_647  # of a four-byte INTEGER


# Keys


def test_a_key_is_kept_for_ninety_days(session: Session, signed: Signature) -> None:
    for key, age in (("old", dt.timedelta(90) + HAIR), ("edge", dt.timedelta(90)), ("new", HAIR)):
        claim_key(session, sender="phone", key=key, fingerprint="f", now=signed.now - age)

    assert forget_old_keys(session, now=signed.now) == 1
    assert set(session.scalars(sa.select(IdempotencyKey.key))) == {"edge", "new"}


def test_a_key_is_the_senders_own(session: Session, signed: Signature) -> None:
    one = claim_key(session, sender="phone", key="k", fingerprint="f", now=signed.now)
    other = claim_key(session, sender="desk", key="k", fingerprint="g", now=signed.now)

    assert one.id != other.id


# Tokens


def test_a_token_lives_until_its_moment(session: Session, signed: Signature) -> None:
    until = signed.now + dt.timedelta(days=1)
    token, secret = create_token(
        session, name="phone", scope=Scope.BENCH, expires_at=until, signed=signed
    )

    asker = find_asker(session, secret, now=until - HAIR)
    assert asker is not None
    assert (asker.token_id, asker.name, asker.scope) == (token.id, "phone", Scope.BENCH)
    assert find_asker(session, secret, now=until) is None
    assert find_asker(session, secret[:-1], now=signed.now) is None
    revoke_token(session, token.id, signed=signed)
    session.flush()
    assert find_asker(session, secret, now=signed.now) is None


def test_a_token_is_made_only_for_a_time_to_come(session: Session, signed: Signature) -> None:
    with pytest.raises(Refused):
        create_token(session, name="n", scope=Scope.OWNER, expires_at=signed.now, signed=signed)
    token, _ = create_token(
        session, name="n", scope=Scope.OWNER, expires_at=signed.now + HAIR, signed=signed
    )
    assert token.expires_at == signed.now + HAIR


def test_a_secret_is_256_bits_of_chance(session: Session, signed: Signature) -> None:
    """43 signs of six bits each are 258; the mark in front tells a scanner what was leaked."""
    secrets = {
        create_token(session, name="n", scope=Scope.OWNER, signed=signed)[1] for _ in range(3)
    }

    assert len(secrets) == 3
    assert {(secret[:4], len(secret)) for secret in secrets} == {("cbx_", 4 + 43)}


@pytest.mark.parametrize(
    ("held", "opens"),
    [
        (Scope.OWNER, {Scope.OWNER, Scope.BENCH, Scope.CALCULATE}),
        (Scope.BENCH, {Scope.BENCH, Scope.CALCULATE}),
        (Scope.CALCULATE, {Scope.CALCULATE}),
    ],
)
def test_a_scope_opens_what_lies_below_it(held: Scope, opens: set[Scope]) -> None:
    assert {needed for needed in Scope if held.allows(needed)} == opens


# References and pages


@pytest.mark.parametrize(
    ("present", "following"),
    [
        ("26-999", "26-1000"),
        ("26-008", "26-009"),
        ("26-999998", "26-999999"),
        ("26-999999", "26-1000000"),  # six figures are counted on
        ("26-1000000", "26-001"),  # seven are somebody's own
        ("26-14A", "26-001"),
        ("25-014", "26-001"),
    ],
)
def test_a_running_number_follows_one_of_six_figures(
    session: Session, commission: Commission, signed: Signature, present: str, following: str
) -> None:
    update_commission(session, commission.id, version=None, reference=present, signed=signed)
    session.flush()

    assert next_reference(session, year=2026) == following


@pytest.mark.parametrize(("year", "head"), [(2026, "26"), (2099, "99"), (2100, "00"), (2001, "01")])
def test_a_reference_begins_with_two_figures_of_its_year(
    session: Session, customer: Customer, year: int, head: str
) -> None:
    signed = Signature(person="tester", now=NOW.replace(year=year))
    assert open_commission(session, customer.id, signed).reference == f"{head}-001"
    assert open_commission(session, customer.id, signed).reference == f"{head}-002"


@pytest.mark.parametrize(("made", "rest"), [(2, False), (3, False), (4, True)])
def test_a_page_leads_on_only_when_more_is_there(
    session: Session, commission: Commission, signed: Signature, made: int, rest: bool
) -> None:
    for _ in range(made - 1):
        create_customer(session, name="M", signed=signed)
        open_commission(session, commission.customer_id, signed)
    customers, further = list_customers(session, cursor=None, limit=3)
    rows, cursor = list_commissions(session, cursor=None, limit=3)

    assert (len(customers), len(rows)) == (min(made, 3), min(made, 3))
    assert [further is not None, cursor is not None] == [rest, rest]
    if rest:
        assert (further, cursor) == (customers[-1].id, rows[-1]["id"])
        assert len(list_customers(session, cursor=further, limit=3)[0]) == 1
        assert len(list_commissions(session, cursor=cursor, limit=3)[0]) == 1


@pytest.mark.parametrize("look", [get, hold])
def test_a_record_that_is_not_there_is_told(session: Session, look: Any) -> None:
    with pytest.raises(NotFound):
        look(session, Customer, LARGEST)
    with pytest.raises(Refused) as refusal:
        require_named(session, Customer, LARGEST, field="customer_id")
    assert (refusal.value.field, refusal.value.code) == ("customer_id", "unknown-record")


def test_only_the_version_that_was_read_may_be_changed(customer: Customer) -> None:
    check_version(customer, customer.version, "customer")
    for other in (customer.version - 1, customer.version + 1):
        with pytest.raises(Stale):
            check_version(customer, other, "customer")


# Plants


def test_a_plant_holds_five_hundred_items(
    session: Session, plant: Plant, signed: Signature
) -> None:
    def make(name: str) -> Item:
        return create_item(
            session, plant.id, kind=ItemKind.PIPE, name=name, data={}, ports=[], signed=signed
        )

    first = make("first")
    values = {name: getattr(first, name) for name in ("plant_id", "kind", "data", "version")}
    moments = {"created_at": signed.now, "updated_at": signed.now}
    others = [{**values, **moments, "name": f"other {number}"} for number in range(498)]
    session.execute(sa.insert(Item), others)

    assert make("the five hundredth").id
    with pytest.raises(Refused):
        make("one more")


@pytest.mark.parametrize(
    ("working", "allowed"),
    [
        ("60 psi", True),
        ("59.999999 psi", True),
        ("60.000001 psi", False),
        ("4.13685 bar", True),
        ("4.13686 bar", False),  # 60 psi is 4.136 854 bar
        ("5.15010 bar abs", True),  # and 5.150 104 bar absolute
        ("5.15011 bar abs", False),
    ],
)
def test_the_inspectors_pressure_is_not_passed_by_a_hair(
    session: Session, plant: Plant, signed: Signature, working: str, allowed: bool
) -> None:
    create_item(
        session, plant.id, kind=ItemKind.BOILER, name="boiler", ports=[], signed=signed,
        data={"boiler": {"inspector_pressure": "60 psi", "evaporation": None}},
    )  # fmt: skip

    def raise_plant() -> None:
        update_plant(session, plant.id, version=None, working_pressure=working, signed=signed)

    if allowed:
        raise_plant()
        assert plant.working_pressure == working
    else:
        with pytest.raises(Refused) as refusal:
            raise_plant()
        assert refusal.value.code == "above-inspector-pressure"
        assert refusal.value.field == "working_pressure"


def test_every_boiler_of_a_plant_is_asked(
    session: Session, plant: Plant, signed: Signature
) -> None:
    create_item(
        session, plant.id, kind=ItemKind.PIPE, name="pipe", data={}, ports=[], signed=signed
    )
    for pressure in ("80 psi", "60 psi", "90 psi"):
        create_item(
            session, plant.id, kind=ItemKind.BOILER, name=f"boiler of {pressure}", ports=[],
            data={"boiler": {"inspector_pressure": pressure, "evaporation": None}}, signed=signed,
        )  # fmt: skip

    with pytest.raises(Refused):
        update_plant(session, plant.id, version=None, working_pressure="61 psi", signed=signed)


def test_an_item_or_a_plant_of_an_unknown_one_is_not_entered(
    session: Session, signed: Signature
) -> None:
    with pytest.raises(NotFound):
        create_plant(session, LARGEST, name="P", working_pressure="50 psi", signed=signed)
    with pytest.raises(NotFound):
        create_item(
            session, LARGEST, kind=ItemKind.PIPE, name="p", data={}, ports=[], signed=signed
        )


# Money and time


@pytest.mark.parametrize(
    ("estimate", "minutes", "near"),
    [(100, 79, False), (100, 80, True), (1000, 799, False), (1000, 800, True), (0, 0, True),
     (None, 500, False)],
)  # fmt: skip
def test_the_estimate_is_near_from_four_fifths(
    session: Session, commission: Commission, signed: Signature,
    estimate: int | None, minutes: int, near: bool,
) -> None:  # fmt: skip
    update_commission(
        session, commission.id, version=None, estimate_minutes=estimate,
        hourly_rate=Decimal("60.00"), signed=signed,
    )  # fmt: skip
    if minutes:
        log(session, commission, signed, minutes, billable=True)
    log(session, commission, signed, 1000, billable=False)  # what is not charged is not counted

    summary = summarise(session, commission.id)
    assert summary.near_estimate is near
    assert summary.labour_value == Decimal(minutes)  # a pound a minute
    assert (summary.minutes, summary.billable_minutes) == (minutes + 1000, minutes)
    assert summary.estimate_value == (None if estimate is None else Decimal(estimate))


def log(
    session: Session, commission: Commission, signed: Signature, minutes: int, *, billable: bool
) -> None:
    log_labour(
        session, commission_id=commission.id, day=signed.now.date(), operation=Operation.FILING,
        minutes=minutes, note=None, billable=billable, signed=signed,
    )  # fmt: skip


CHECKS = [
    ("labour_entries", "minutes", 1, 0),
    ("parts", "quantity", 1, 0),
    ("commissions", "estimate_minutes", 0, -1),
    ("commissions", "hourly_rate", Decimal(0), Decimal("-0.01")),
    ("workshop", "tax_rate", Decimal(0), Decimal("-0.01")),
    ("workshop", "id", 1, 2),
]


@pytest.mark.parametrize(("table", "column", "within", "beyond"), CHECKS)
def test_the_tables_themselves_refuse_less(
    session: Session, commission: Commission, signed: Signature, table: str, column: str,
    within: Any, beyond: Any,
) -> None:  # fmt: skip
    log(session, commission, signed, 5, billable=True)
    receive_part(
        session, commission_id=commission.id, state=PartState.RECEIVED, name="n",
        owner=Owner.CUSTOMER, quantity=5, ports=[], signed=signed,
    )  # fmt: skip
    change = sa.update(Base.metadata.tables[table])
    session.execute(change.values({column: within}))
    with pytest.raises(sa.exc.IntegrityError), session.begin_nested():
        session.execute(change.values({column: beyond}))


# Files


@pytest.mark.parametrize("form", [0, 3, "1", None])
def test_a_backup_of_another_form_is_refused(own: Database, tmp_path: Path, form: object) -> None:
    holdings, source = keep(own, tmp_path / "data"), tmp_path / "backup.zip"
    back_up(holdings, source, now=NOW)
    with zipfile.ZipFile(source) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    assert json.loads(members["manifest.json"])["format"] == 2
    members["manifest.json"] = json.dumps(
        json.loads(members["manifest.json"]) | {"format": form}
    ).encode()
    with zipfile.ZipFile(source, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, data)

    with pytest.raises(Refused):
        restore(holdings, source, overwrite=True, issued=0, signed=SIGNED)


def test_more_rows_than_one_lot_come_back(own: Database, tmp_path: Path) -> None:
    """Lots are of a thousand: none is dropped at the seam, and none is doubled."""
    moment = {"created_at": NOW, "updated_at": NOW, "version": 1}
    with own.writing() as session:
        session.execute(
            sa.insert(Customer), [{"name": f"c {number}", **moment} for number in range(2001)]
        )
    holdings, source = keep(own, tmp_path / "data"), tmp_path / "backup.zip"
    back_up(holdings, source, now=NOW)
    found = restore(holdings, source, overwrite=True, issued=0, signed=SIGNED)

    assert found.counts["customers"] == 2001
    with own.reading() as session:
        assert len(set(session.scalars(sa.select(Customer.name)))) == 2001


def test_remarks_and_empty_lines_of_a_table_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / "shims.csv").write_text(
        "\ufeff# ours\n\nthickness\n# thin\n0.05 mm\n\n 2 thou \n", encoding="utf-8"
    )
    assert KitFiles(tmp_path).kit.shims == pytest.approx((5e-5, 5.08e-5))


def test_a_commission_of_nobody_is_not_opened(session: Session, signed: Signature) -> None:
    with pytest.raises(Refused) as refusal:
        create_commission(session, customer_id=LARGEST, title="T", signed=signed)
    assert refusal.value.field == "customer_id"
