"""Loading the demo, whole or not at all, and issuing its report."""

import datetime as dt
import tomllib
from decimal import Decimal
from enum import StrEnum
from importlib.resources import files
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.documents.photographs import CleanPicture, clean_photograph
from service.documents.report import ReportContent, typeset_report
from service.quantities.wording import Measure
from service.records import models
from service.records.blobs import BlobStore, name_blob
from service.records.database import Database
from service.records.history import Signature
from service.records.models import Commission, Part, PartState, Plant, Report, ReportState
from service.records.operations.commissions import create_commission
from service.records.operations.customers import create_customer
from service.records.operations.labour import log_labour
from service.records.operations.parts import move_part, receive_part
from service.records.operations.pictures import enter_picture
from service.records.operations.plants import create_item, create_joint, create_plant
from service.records.operations.progress import post_progress
from service.records.operations.report_contents import gather_report
from service.records.operations.reports import (
    draft_report,
    find_report_by_link,
    issue_report,
    relink_report,
)
from service.records.operations.workshop import get_workshop, update_workshop
from service.settings import Settings

FOLDER = files("service.demo")
STORY: dict[str, Any] = tomllib.loads((FOLDER / "story.toml").read_text(encoding="utf-8"))
REFERENCE: str = STORY["commission"]["reference"]
WORDS: dict[str, type[StrEnum]] = {
    "gender": models.Gender,
    "kind": models.ItemKind,
    "measure": Measure,
    "operation": models.Operation,
    "owner": models.Owner,
    "price_basis": models.PriceBasis,
    "stage": models.Stage,
}
"""The members of the story that are words of a list."""


def find_demo(session: Session) -> Plant | None:
    """The demo's plant, when it was loaded before."""
    title = STORY["commission"]["title"]
    return session.scalar(
        sa.select(Plant)
        .join(Commission, Commission.id == Plant.commission_id)
        .where(Commission.reference == REFERENCE, Commission.title == title)
        .limit(1)
    )


def read_picture(name: str) -> bytes:
    """One of the drawn pictures: two that stand for photographs, and the logo."""
    return (FOLDER / "pictures" / f"{name}.jpg").read_bytes()


def load_demo(database: Database, blobs: BlobStore, *, now: dt.datetime) -> None:
    """Load the demo, whole or not at all; nothing happens when it is there already."""
    with database.reading() as session:
        if find_demo(session) is not None:
            return
    pictures = [clean_photograph(read_picture(one["file"])) for one in STORY["pictures"]]
    logo = clean_photograph(read_picture("logo"))
    signed = Signature(person="demo", now=now)
    with database.writing() as session:
        _name_workshop(session, logo, blobs, signed)
        commission = _open_commission(session, signed)
        parts = _receive_parts(session, commission, signed)
        _plan_plant(session, commission, parts, signed)
        _log_work(session, commission, signed)
        _post_notes(session, commission, pictures, blobs, signed)


def issue_demo_report(
    database: Database, blobs: BlobStore, settings: Settings, *, now: dt.datetime
) -> tuple[str, bytes]:
    """The link and the paper of the demo's report, issued the first time it is asked for.

    The database keeps no link; the demo's lies beside its paper, which says the same, so that the
    link that somebody has open goes on opening.
    """
    signed = Signature(person="demo", now=now)
    with database.writing() as session:
        issued = _issued_report(session)
        if issued is not None:
            paper = blobs.read(issued.document_sha256 or "")
            secret = _kept_secret(settings)
            if find_report_by_link(session, secret) is not issued:
                _, secret = relink_report(session, issued.id, version=None, signed=signed)
            return _link(settings, secret), paper
        zone = settings.time_zone
        today = now.astimezone(zone).date()
        report = _draft(session, signed, today=today)
        content = gather_report(session, report, zone=zone, issued_on=today)
        report_id, version = report.id, report.version
    paper = typeset_report(ReportContent.from_plain(content), read_picture=blobs.read)
    with database.writing() as session:
        _, secret = issue_report(
            session,
            report_id,
            version=version,
            content=content,
            document_sha256=name_blob(paper),
            signed=signed,
        )
        blobs.put(paper)
    return _link(settings, secret), paper


def _issued_report(session: Session) -> Report | None:
    return session.scalar(
        sa.select(Report)
        .join(Commission, Commission.id == Report.commission_id)
        .where(Commission.reference == REFERENCE, Report.state == ReportState.ISSUED)
        .order_by(Report.id.desc())
        .limit(1)
    )


def _draft(session: Session, signed: Signature, *, today: dt.date) -> Report:
    commission = session.scalars(
        sa.select(Commission).where(Commission.reference == REFERENCE)
    ).one()
    report, _ = draft_report(
        session,
        commission_id=commission.id,
        from_day=today - dt.timedelta(days=14),
        to_day=today,
        signed=signed,
        **STORY["report"],
    )
    return report


def _kept_secret(settings: Settings) -> str:
    place = _link_file(settings)
    return place.read_text(encoding="utf-8").strip() if place.is_file() else ""


def _link_file(settings: Settings) -> Path:
    return settings.data / f"{REFERENCE}-progress-report.key"


def _link(settings: Settings, secret: str) -> str:
    """The link, its secret kept for the next time."""
    place = _link_file(settings)
    place.touch(mode=0o600)
    place.write_text(secret, encoding="utf-8")
    return f"{settings.base_address}/r/{secret}"


def write_paper(settings: Settings, paper: bytes) -> Path:
    """Write the report's paper into the data folder."""
    settings.data.mkdir(parents=True, exist_ok=True)
    target = settings.data / f"{REFERENCE}-progress-report.pdf"
    target.write_bytes(paper)
    return target


def _name_workshop(
    session: Session, logo: CleanPicture, blobs: BlobStore, signed: Signature
) -> None:
    """A workshop that has a name of its own keeps it."""
    if get_workshop(session).version > 1:
        return
    workshop = _read(STORY["workshop"])
    update_workshop(session, version=None, signed=signed, logo=_describe(logo), **workshop)
    blobs.put(logo.data)


def _open_commission(session: Session, signed: Signature) -> Commission:
    customer = create_customer(session, signed=signed, **STORY["customer"])
    told = _read(STORY["commission"])
    rate = Decimal(told.pop("hourly_rate"))
    promised = signed.now.date() + dt.timedelta(days=told.pop("promised_in_days"))
    return create_commission(
        session, customer_id=customer.id, hourly_rate=rate, promised=promised, signed=signed, **told
    )


def _receive_parts(session: Session, commission: Commission, signed: Signature) -> dict[str, Part]:
    parts = {
        told["name"]: receive_part(
            session,
            commission_id=commission.id,
            state=PartState.RECEIVED,
            ports=[],
            signed=signed,
            **_read(told),
        )
        for told in STORY["parts"]
    }
    move_part(
        session,
        parts["Brass square bar, 3/4 in"].id,
        to_state=PartState.ON_BENCH,
        place="bench",
        note="for the block",
        signed=signed,
    )
    return parts


def _plan_plant(
    session: Session, commission: Commission, parts: dict[str, Part], signed: Signature
) -> None:
    plant = create_plant(session, commission.id, signed=signed, **STORY["plant"])
    ports: dict[tuple[str, str], int] = {}
    for told in STORY["items"]:
        data = _read(told)
        known = {name: data.pop(name) for name in ("kind", "name")}
        known["ports"] = [_read(port) for port in data.pop("ports")]
        if part := data.pop("part", None):
            known["part_id"] = parts[part].id
        item = create_item(session, plant.id, data=data, signed=signed, **known)
        ports |= {(item.name, port.name): port.id for port in item.ports}
    for told in map(_read, STORY["joints"]):
        ends = {f"{end}_port_id": ports[*told.pop(end)] for end in ("male", "female")}
        create_joint(session, plant.id, signed=signed, **ends, **told)


def _log_work(session: Session, commission: Commission, signed: Signature) -> None:
    for told in STORY["labour"]:
        log_labour(session, commission_id=commission.id, signed=signed, **_dated(told, signed))


def _post_notes(
    session: Session,
    commission: Commission,
    pictures: list[CleanPicture],
    blobs: BlobStore,
    signed: Signature,
) -> None:
    kept = [
        enter_picture(
            session,
            commission_id=commission.id,
            size=len(picture.data),
            caption=told["caption"],
            signed=signed,
            **_describe(picture),
        )
        for picture, told in zip(pictures, STORY["pictures"], strict=True)
    ]
    for picture in pictures:
        blobs.put(picture.data)
    for told in STORY["notes"]:
        note = _dated(told, signed)
        note["pictures"] = [kept[number].id for number in note["pictures"]]
        post_progress(session, commission_id=commission.id, signed=signed, **note)


def _describe(picture: CleanPicture) -> dict[str, Any]:
    """What the record of a picture says of it."""
    told = {name: getattr(picture, name) for name in ("media_type", "width", "height")}
    return {"sha256": name_blob(picture.data), **told}


def _dated(told: dict[str, Any], signed: Signature) -> dict[str, Any]:
    told = _read(told)
    return {"day": signed.now.date() - dt.timedelta(days=told.pop("days_ago")), **told}


def _read(told: dict[str, Any]) -> dict[str, Any]:
    """A part of the story of one's own, its words taken out of their lists."""
    return {name: WORDS[name](v) if name in WORDS else v for name, v in told.items()}
