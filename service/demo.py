"""An invented customer, commission and plant, so that a newcomer sees the whole job at once."""

import datetime as dt
from decimal import Decimal
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.documents.demo_pictures import draw_block_picture, draw_boiler_picture
from service.documents.photographs import clean_photograph
from service.documents.report import ReportContent, typeset_report
from service.records.blobs import BlobStore
from service.records.database import Database
from service.records.history import Signature
from service.records.models import (
    Commission,
    Gender,
    ItemKind,
    Operation,
    Owner,
    Part,
    PartState,
    Plant,
    PriceBasis,
    Report,
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
from service.records.operations.reports import draft_report, issue_report
from service.settings import Settings

REFERENCE = "26-014"
TITLE = "Twin-engine plant for the launch Sandpiper"


def find_demo(session: Session) -> Plant | None:
    """The demo's plant, when it was loaded before."""
    return session.scalar(
        sa.select(Plant)
        .join(Commission, Commission.id == Plant.commission_id)
        .where(Commission.reference == REFERENCE, Commission.title == TITLE)
        .limit(1)
    )


def load_demo(database: Database, blobs: BlobStore, *, now: dt.datetime) -> None:
    """Load the demo, whole or not at all; nothing happens when it is there already."""
    pictures = [clean_photograph(draw()) for draw in (draw_block_picture, draw_boiler_picture)]
    signed = Signature(person="demo", now=now)
    with database.writing() as session:
        if find_demo(session) is not None:
            return
        commission = _open_commission(session, signed)
        parts = _receive_parts(session, commission, signed)
        _plan_plant(session, commission, parts, signed)
        _log_work(session, commission, signed)
        _post_notes(session, commission, pictures, blobs, signed)


def issue_demo_report(
    database: Database, blobs: BlobStore, settings: Settings, *, now: dt.datetime
) -> tuple[str, bytes]:
    """Draft and issue the demo's report: its link and its paper.

    Each call issues a report anew, as the link of an earlier one is kept nowhere.
    """
    signed = Signature(person="demo", now=now)
    today = now.astimezone(settings.time_zone).date()
    with database.writing() as session:
        commission = session.scalars(
            sa.select(Commission).where(Commission.reference == REFERENCE)
        ).one()
        last = session.scalar(
            sa.select(sa.func.max(Report.number)).where(Report.commission_id == commission.id)
        )
        report, _ = draft_report(
            session,
            commission_id=commission.id,
            from_day=today - dt.timedelta(days=14),
            to_day=today,
            replaces=last,
            headline="The block is drilled and tapped; please choose how the whistle stands.",
            next_steps="Adapter for the port engine's inlet, then a dry fit on the base with "
            "pictures before any hole is drilled in your parts.",
            signed=signed,
        )
        content = gather_report(
            session, report, workshop=settings.workshop, zone=settings.time_zone, issued_on=today
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
    return f"{settings.base_address}/r/{secret}", paper


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


PARTS: tuple[tuple[str, Owner, int, str, str], ...] = (
    ("Vertical boiler, copper, 4 in", Owner.CUSTOMER, 1, "Clean; papers seen", "shelf 1"),
    ("Port engine, twin", Owner.CUSTOMER, 1, "Free; glands dry", "shelf 1"),
    ("Starboard engine, twin", Owner.CUSTOMER, 1, "Tight at top centre", "shelf 1"),
    ("Stop valve, imported", Owner.CUSTOMER, 2, "Threads good, gland packing gone", "box B"),
    ("Whistle", Owner.CUSTOMER, 1, "Good", "box B"),
    ("Safety valve", Owner.CUSTOMER, 1, "Seat marked", "box B"),
    ("Union, 1/8 in, imported", Owner.CUSTOMER, 2, "Good", "box B"),
    ("Water gauge", Owner.CUSTOMER, 1, "Glass cracked in the post", "box B"),
    ("Brass square bar, 3/4 in", Owner.WORKSHOP, 1, "New", "rack"),
    ("Pressure gauge, 0 to 100 psi", Owner.BOUGHT, 1, "New", "drawer 4"),
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


def _port(name: str, gender: Gender, thread: str, **sizes: str) -> dict[str, Any]:
    return {"name": name, "gender": gender, "thread": thread, **sizes}


def _male(name: str, thread: str, **sizes: str) -> dict[str, Any]:
    return _port(name, Gender.MALE, thread, **{"length": "1/4 in", **sizes})


def _female(name: str, thread: str, **sizes: str) -> dict[str, Any]:
    return _port(name, Gender.FEMALE, thread, **{"length": "5/16 in", **sizes})


def _engine(bore: str, stroke: str, speed: str) -> dict[str, Any]:
    return {
        "engine": {
            "bore": bore, "stroke": stroke, "cylinders": 2, "acting": "double", "speed": speed,
            "cut_off": 0.75, "clearance": 0.10, "condensation": None, "piston_rod": "1/8 in",
            "diagram_factor": None, "exhaust_closure": 0.0,
        }
    }  # fmt: skip


ITEMS: tuple[tuple[ItemKind, str, str | None, dict[str, Any], list[dict[str, Any]]], ...] = (
    (
        ItemKind.BOILER,
        "boiler",
        "Vertical boiler, copper, 4 in",
        {
            "material": "bronze",
            "boiler": {"inspector_pressure": "60 psi", "evaporation": "57 g/min"},
        },
        [
            _female("steam bush", "3/8 x 32 ME", boss="5/8 in"),
            _female("safety valve bush", "3/8 x 32 ME", boss="5/8 in"),
            _female("upper gauge bush", "1/4 x 40 ME", boss="7/16 in"),
            _female("lower gauge bush", "1/4 x 40 ME", boss="7/16 in"),
            _female("gauge syphon bush", "1/8 BSP", boss="5/8 in"),
            _female("blowdown bush", "1/4 x 26 brass", boss="7/16 in"),
        ],
    ),
    (
        ItemKind.STOP_VALVE,
        "main stop valve",
        None,
        {"material": "brass"},
        [
            _male("inlet", "3/8 x 32 ME", bore="3/16 in"),
            _male("outlet", "1/4 x 40 ME", bore="1/8 in"),
        ],
    ),
    (
        ItemKind.DISTRIBUTION_BLOCK,
        "distribution block",
        "Brass square bar, 3/4 in",
        {"material": "brass"},
        [
            _female("inlet", "1/4 x 40 ME", drilled="7/32 in", boss="3/4 in"),
            _female("port outlet", "1/4 x 40 ME", drilled="7/32 in", boss="3/4 in"),
            _female("starboard outlet", "1/4 x 40 ME", drilled="7/32 in", boss="3/4 in"),
            _female("whistle outlet", "1/4 x 40 ME", drilled="7/32 in", boss="3/4 in"),
        ],
    ),
    (
        ItemKind.STOP_VALVE,
        "port stop valve",
        "Stop valve, imported",
        {"material": "bronze"},
        [
            _male("inlet", "1/4-40 UNS", bore="1/8 in"),
            _female("outlet", "1/8-27 NPT", boss="5/8 in"),
        ],
    ),
    (
        ItemKind.STOP_VALVE,
        "starboard stop valve",
        "Stop valve, imported",
        {"material": "bronze"},
        [_male("inlet", "1/4 x 40 ME", bore="1/8 in"), _female("outlet", "1/8 BSP", boss="5/8 in")],
    ),
    (
        ItemKind.WHISTLE,
        "whistle",
        "Whistle",
        {"material": "brass"},
        [_male("foot", "M6 x 0.75", bore="3/32 in")],
    ),
    (
        ItemKind.SAFETY_VALVE,
        "safety valve",
        "Safety valve",
        {"material": "bronze", "safety_valve": {"set_pressure": "55 psi"}},
        [_male("inlet", "3/8 x 26 brass", bore="3/16 in")],
    ),
    (
        ItemKind.WATER_GAUGE,
        "water gauge",
        "Water gauge",
        {"material": "brass"},
        [
            _male("upper", "1/4 x 40 ME", bore="3/32 in"),
            _male("lower", "1/4 x 40 ME", bore="3/32 in"),
        ],
    ),
    (
        ItemKind.PRESSURE_GAUGE,
        "pressure gauge syphon",
        "Pressure gauge, 0 to 100 psi",
        {"material": "brass"},
        [_male("foot", "1/8 BSP", bore="3/32 in")],
    ),
    (
        ItemKind.BLOWDOWN_VALVE,
        "blowdown valve",
        None,
        {"material": "bronze"},
        [_male("inlet", "1/4 x 40 ME", bore="1/8 in")],
    ),
    (
        ItemKind.UNION,
        "port union",
        "Union, 1/8 in, imported",
        {"material": "brass"},
        [
            _male("tail", "1/8-27 NPT", bore="5/32 in"),
            _male("cone end", "1/4 x 32 ME", bore="1/8 in"),
        ],
    ),
    (
        ItemKind.UNION,
        "starboard union",
        "Union, 1/8 in, imported",
        {"material": "brass"},
        [
            _male("tail", "1/8-27 NPT", bore="5/32 in"),
            _male("cone end", "1/4 x 32 ME", bore="1/8 in"),
        ],
    ),
    (
        ItemKind.ENGINE,
        "port engine",
        "Port engine, twin",
        {"material": "gunmetal", **_engine("5/8 in", "5/8 in", "500 rpm")},
        [_female("steam inlet", "1/4 x 32 ME", boss="7/16 in")],
    ),
    (
        ItemKind.ENGINE,
        "starboard engine",
        "Starboard engine, twin",
        {"material": "gunmetal", **_engine("5/8 in", "5/8 in", "500 rpm")},
        [_female("steam inlet", "1/4-28 UNF", boss="7/16 in")],
    ),
)

JOINTS: tuple[tuple[str, str, str, str, str | None, str | None], ...] = (
    ("main stop valve", "inlet", "boiler", "steam bush", None, None),
    ("main stop valve", "outlet", "distribution block", "inlet", None, None),
    ("port stop valve", "inlet", "distribution block", "port outlet", "90 deg", "20 deg"),
    (
        "starboard stop valve",
        "inlet",
        "distribution block",
        "starboard outlet",
        "90 deg",
        "200 deg",
    ),
    ("whistle", "foot", "distribution block", "whistle outlet", None, None),
    ("safety valve", "inlet", "boiler", "safety valve bush", None, None),
    ("water gauge", "upper", "boiler", "upper gauge bush", None, None),
    ("water gauge", "lower", "boiler", "lower gauge bush", None, None),
    ("pressure gauge syphon", "foot", "boiler", "gauge syphon bush", None, None),
    ("blowdown valve", "inlet", "boiler", "blowdown bush", None, None),
    ("port union", "tail", "port stop valve", "outlet", None, None),
    ("starboard union", "tail", "starboard stop valve", "outlet", None, None),
    ("port union", "cone end", "port engine", "steam inlet", None, None),
    ("starboard union", "cone end", "starboard engine", "steam inlet", None, None),
)


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


LABOUR: tuple[tuple[int, Operation, int, str, bool], ...] = (
    (12, Operation.MEASURING, 95, "threads of the whole box, gauges and callipers", True),
    (11, Operation.ORDERING, 25, "bar and packing", False),
    (9, Operation.MARKING_OUT, 40, "block, from one datum corner", True),
    (8, Operation.DRILLING, 90, "block drilled", True),
    (7, Operation.THREADING, 70, "block tapped 1/4 x 40, three outlets and inlet", True),
    (5, Operation.TURNING, 110, "two blanks for adapters", True),
    (3, Operation.REWORK, 30, "one adapter scrapped, my own slip", False),
    (1, Operation.FITTING, 55, "main stop valve to boiler and block", True),
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
    captions = ("The distribution block on the drilling table", "The boiler from its front end")
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
        for picture, caption in zip(pictures, captions, strict=True)
    ]
    for days_ago, text, for_customer, question, shown in (
        (12, "Every thread in the box was measured. Five of the fittings are not what the boiler "
             "and block want; the list is in the check.", True, None, [kept[1].id]),
        (10, "Supplier of the imported fittings is slow to answer; do not wait for them.",
         False, None, []),
        (7, "The distribution block is squared, drilled and tapped for the three outlets.",
         True, None, [kept[0].id]),
        (2, "The whistle's foot is metric, so it needs an adapter whichever way it stands.",
         True, "Shall the whistle stand upright beside the funnel, or lie along the deck?", []),
    ):  # fmt: skip
        post_progress(
            session,
            commission_id=commission.id,
            day=signed.now.date() - dt.timedelta(days=days_ago),
            text=text,
            for_customer=for_customer,
            decision_wanted=question,
            pictures=shown,
            signed=signed,
        )
