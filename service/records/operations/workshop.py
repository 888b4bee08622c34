"""The workshop's own record: read by every paper, amended by its owner."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy.orm import Session

from service.engineering.kit import Kit
from service.engineering.threads.catalogue import families
from service.quantities.wording import Measure
from service.records.errors import Refused
from service.records.history import Signature, amend
from service.records.kit_files import kit_of
from service.records.models import Workshop
from service.records.models.workshop import THE_ONE
from service.records.operations.lookup import get, get_read


@dataclass(frozen=True, slots=True)
class Custom:
    """What a request must know of the workshop to write its answer."""

    name: str
    measure: Measure
    shelf: tuple[str, ...]


def get_workshop(session: Session) -> Workshop:
    """The one record."""
    return get(session, Workshop, THE_ONE)


def update_workshop(
    session: Session, *, version: int | None, signed: Signature, **changes: Any
) -> Workshop:
    """Amend the workshop."""
    workshop = get_read(session, Workshop, THE_ONE, version)
    if "shelf" in changes:
        _check_shelf(changes["shelf"])
    amend(session, workshop, changes, signed=signed)
    return workshop


def find_kit(session: Session) -> Kit:
    """What the workshop has, its shelf as the record has it."""
    return replace(kit_of(session), shelf=whole_shelf(get_workshop(session).shelf))


def whole_shelf(keys: Iterable[str]) -> tuple[str, ...]:
    """Every family once: those named first, the rest in the table's order."""
    return tuple(dict.fromkeys((*keys, *(family.key for family in families()))))


def _check_shelf(keys: list[str]) -> None:
    known = [family.key for family in families()]
    for place, key in enumerate(keys):
        if key not in known:
            raise Refused(f"The families of threads are {', '.join(known)}.", field="shelf")
        if key in keys[:place]:
            raise Refused(f"{key} stands on the shelf twice.", field="shelf")
