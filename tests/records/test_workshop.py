"""The workshop's record: one row, made with the schema."""

from decimal import Decimal
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.engineering.threads.catalogue import families
from service.quantities.wording import Measure
from service.records.backups.restoring import restore
from service.records.backups.writing import back_up
from service.records.database import Database, make_engine
from service.records.errors import Conflict, Refused, Stale
from service.records.history import Signature
from service.records.models import AuditLine, Scope, Workshop
from service.records.operations.tokens import create_token, find_asker
from service.records.operations.workshop import get_workshop, update_workshop, whole_shelf
from service.records.schema import upgrade
from tests.conftest import NOW
from tests.records.filled import keep

KEYS = tuple(family.key for family in families())


def test_a_change_raises_the_version_and_leaves_an_audit_line(
    session: Session, signed: Signature
) -> None:
    before = get_workshop(session).version

    changed = update_workshop(
        session, version=before, signed=signed, measure=Measure.US, tax_rate=Decimal("17.50")
    )

    assert changed.version == before + 1
    line = session.scalars(sa.select(AuditLine).where(AuditLine.noun == "workshop")).one()
    assert (line.record_id, line.person) == (1, "tester")
    assert line.after == {"measure": "us", "tax_rate": "17.50"}
    with pytest.raises(Stale):
        update_workshop(session, version=before, signed=signed, name="Too late")


def test_there_is_no_second_workshop(session: Session, signed: Signature) -> None:
    session.add(
        Workshop(
            id=2, name="Another", measure=Measure.METRIC, currency="GBP",
            tax_registered=False, shelf=[], created_at=NOW, updated_at=NOW,
        )
    )  # fmt: skip
    with pytest.raises(sa.exc.IntegrityError):
        session.flush()
    session.rollback()


def test_the_shelf_is_the_tables_order_with_what_is_named_first() -> None:
    assert whole_shelf([]) == KEYS
    assert whole_shelf(["metric", "BA"])[:3] == ("metric", "BA", KEYS[0])
    assert sorted(whole_shelf(["NPT"])) == sorted(KEYS)


@pytest.mark.parametrize("shelf", [["M E"], ["ME", "BA", "ME"]])
def test_a_shelf_of_unknown_or_repeated_families_is_refused(
    session: Session, signed: Signature, shelf: list[str]
) -> None:
    with pytest.raises(Refused) as refusal:
        update_workshop(session, version=None, signed=signed, shelf=shelf)

    assert refusal.value.field == "shelf"


def test_whoever_asks_finds_the_workshops_custom_as_it_now_is(
    session: Session, signed: Signature
) -> None:
    _, secret = create_token(session, name="phone", scope=Scope.BENCH, signed=signed)
    update_workshop(
        session, version=None, signed=signed, measure=Measure.IMPERIAL, shelf=["BA", "ME"]
    )

    asker = find_asker(session, secret, now=NOW)

    assert asker is not None
    assert asker.custom.measure is Measure.IMPERIAL
    assert asker.custom.shelf == ("BA", "ME")
    assert asker.custom.name == get_workshop(session).name


def opened(folder: Path, name: str) -> Database:
    engine = make_engine(f"sqlite:///{folder / name}")
    with engine.connect() as connection:
        upgrade(connection)
    return Database(engine)


def test_a_fresh_database_takes_a_backup_and_one_with_a_named_workshop_does_not(
    tmp_path: Path, signed: Signature
) -> None:
    source, target = opened(tmp_path, "a.sqlite"), opened(tmp_path, "b.sqlite")
    home, away = keep(source, tmp_path / "home"), keep(target, tmp_path / "away")
    with source.writing() as session:
        fresh = get_workshop(session)
        assert (fresh.name, fresh.measure, fresh.currency, fresh.shelf) == (
            "The workshop", Measure.METRIC, "GBP", [],
        )  # fmt: skip
        update_workshop(session, version=1, signed=signed, name="Harbour Lane Works")
    back_up(home, tmp_path / "backup.zip", now=NOW)

    restore(away, tmp_path / "backup.zip", overwrite=False, issued=0, signed=signed)

    with target.reading() as session:
        assert get_workshop(session).name == "Harbour Lane Works"
        assert session.scalar(sa.select(sa.func.count()).select_from(Workshop)) == 1
    with pytest.raises(Conflict, match="holds records"):
        restore(away, tmp_path / "backup.zip", overwrite=False, issued=0, signed=signed)
    source.dispose()
    target.dispose()
