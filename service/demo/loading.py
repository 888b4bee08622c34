"""Loading the demo, whole or not at all, and issuing its report."""

import datetime as dt
from decimal import Decimal
from importlib.resources import files
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.demo.story import CAPTIONS, ITEMS, JOINTS, LABOUR, NOTES, PARTS
from service.documents.photographs import clean_photograph
from service.documents.report import ReportContent, typeset_report
from service.records.blobs import BlobStore
from service.records.database import Database
from service.records.history import Signature
from service.records.models import (
    Commission,
    Part,
    PartState,
    Plant,
    PriceBasis,
    Report,
    ReportState,
    Stage,
)
from service.records.operations.commissions import create_commission
from service.records.operations.customers import create_customer
from service.records.operations.labour import log_labour
from service.records.operations.parts import move_part, receive_part
from service.records.operations.pictures import enter_picture
from service.records.operations.plants import create_item, create_joint, create_plant
from service.records.operations.progress import post_progress
from service.records.operations.report_contents import gather_report
from service.records.operations.reports import draft_report, issue_report, relink_report
from service.settings import Settings

REFERENCE = "26-014"
PICTURES = ("block", "boiler")
TITLE = "Twin-engine plant for the launch Sandpiper"


def find_demo(session: Session) -> Plant | None:
    """The demo's plant, when it was loaded before."""
    return session.scalar(
        sa.select(Plant)
        .join(Commission, Commission.id == Plant.commission_id)
        .where(Commission.reference == REFERENCE, Commission.title == TITLE)
        .limit(1)
    )


def read_picture(name: str) -> bytes:
    """One of the drawn pictures that stand for photographs."""
    return (files("service.demo") / "pictures" / f"{name}.jpg").read_bytes()


def load_demo(database: Database, blobs: BlobStore, *, now: dt.datetime) -> None:
    """Load the demo, whole or not at all; nothing happens when it is there already."""
    with database.reading() as session:
        if find_demo(session) is not None:
            return
    pictures = [clean_photograph(read_picture(name)) for name in PICTURES]
    signed = Signature(person="demo", now=now)
    with database.writing() as session:
        commission = _open_commission(session, signed)
        parts = _receive_parts(session, commission, signed)
        _plan_plant(session, commission, parts, signed)
        _log_work(session, commission, signed)
        _post_notes(session, commission, pictures, blobs, signed)


def issue_demo_report(
    database: Database, blobs: BlobStore, settings: Settings, *, now: dt.datetime
) -> tuple[str, bytes]:
    """The link and the paper of the demo's report, issued the first time it is asked for.

    A link is kept nowhere, so an issued report gets a new one each time.
    """
    signed = Signature(person="demo", now=now)
    with database.writing() as session:
        issued = _issued_report(session)
        if issued is not None:
            report, secret = relink_report(session, issued.id, version=None, signed=signed)
            return _link(settings, secret), blobs.read(report.document_sha256 or "")
        report = _draft(session, signed, today=now.astimezone(settings.time_zone).date())
        content = gather_report(
            session,
            report,
            workshop=settings.workshop,
            zone=settings.time_zone,
            issued_on=now.astimezone(settings.time_zone).date(),
        )
        report_id, version = report.id, report.version
    paper = typeset_report(ReportContent.from_plain(content), read_picture=blobs.read)
    with database.writing() as session:
        _, secret = issue_report(
            session,
            report_id,
            version=version,
            content=content,
            document_sha256=blobs.put(paper),
            signed=signed,
        )
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
        headline="The block is drilled and tapped; please choose how the whistle stands.",
        next_steps="Adapter for the whistle and bushes for the rest of the box, then a dry fit on "
        "the base with pictures before any hole is drilled in your parts.",
        signed=signed,
    )
    return report


def _link(settings: Settings, secret: str) -> str:
    return f"{settings.base_address}/r/{secret}"


def write_paper(settings: Settings, paper: bytes) -> Path:
    """Write the report's paper into the data folder."""
    settings.data.mkdir(parents=True, exist_ok=True)
    target = settings.data / f"{REFERENCE}-progress-report.pdf"
    target.write_bytes(paper)
    return target


def _open_commission(session: Session, signed: Signature) -> Commission:
    customer = create_customer(
        session,
        name="Maud Ellery",
        email="maud.ellery@example.org",
        phone="01632 960 112",
        address="3 Staithe Row, Northwold",
        signed=signed,
    )
    return create_commission(
        session,
        customer_id=customer.id,
        reference=REFERENCE,
        title=TITLE,
        stage=Stage.IN_HAND,
        price_basis=PriceBasis.ESTIMATE,
        hourly_rate=Decimal("38.50"),
        currency="GBP",
        estimate_minutes=60 * 60,
        promised=signed.now.date() + dt.timedelta(days=90),
        public_notes="Boiler, two engines and a box of fittings were supplied by you.",
        private_notes="Allow for the imported fittings; nothing in that box matches.",
        signed=signed,
    )


def _receive_parts(session: Session, commission: Commission, signed: Signature) -> dict[str, Part]:
    parts = {
        name: receive_part(
            session,
            commission_id=commission.id,
            state=PartState.RECEIVED,
            name=name,
            owner=owner,
            quantity=quantity,
            condition=condition,
            place=place,
            ports=[],
            signed=signed,
        )
        for name, owner, quantity, condition, place in PARTS
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
    plant = create_plant(
        session,
        commission.id,
        name="Sandpiper plant",
        working_pressure="50 psi",
        back_pressure="0.1 bar",
        feed_temperature="15 degC",
        signed=signed,
    )
    ports: dict[tuple[str, str], int] = {}
    for kind, name, part, data, item_ports in ITEMS:
        item = create_item(
            session,
            plant.id,
            kind=kind,
            name=name,
            part_id=parts[part].id if part else None,
            data=data,
            ports=item_ports,
            signed=signed,
        )
        ports |= {(name, port.name): port.id for port in item.ports}
    for male_item, male_port, female_item, female_port, wanted, found in JOINTS:
        create_joint(
            session,
            plant.id,
            male_port_id=ports[male_item, male_port],
            female_port_id=ports[female_item, female_port],
            points_wanted=wanted,
            points_found=found,
            signed=signed,
        )


def _log_work(session: Session, commission: Commission, signed: Signature) -> None:
    for days_ago, operation, minutes, note, billable in LABOUR:
        log_labour(
            session,
            commission_id=commission.id,
            day=signed.now.date() - dt.timedelta(days=days_ago),
            operation=operation,
            minutes=minutes,
            note=note,
            billable=billable,
            signed=signed,
        )


def _post_notes(
    session: Session,
    commission: Commission,
    pictures: list[Any],
    blobs: BlobStore,
    signed: Signature,
) -> None:
    kept = [
        enter_picture(
            session,
            commission_id=commission.id,
            sha256=blobs.put(picture.data),
            media_type=picture.media_type,
            width=picture.width,
            height=picture.height,
            size=len(picture.data),
            caption=caption,
            signed=signed,
        )
        for picture, caption in zip(pictures, CAPTIONS, strict=True)
    ]
    for days_ago, text, for_customer, question, shown in NOTES:
        post_progress(
            session,
            commission_id=commission.id,
            day=signed.now.date() - dt.timedelta(days=days_ago),
            text=text,
            for_customer=for_customer,
            decision_wanted=question,
            pictures=[kept[number].id for number in shown],
            signed=signed,
        )
