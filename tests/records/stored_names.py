"""The names that stand inside the JSON columns, and how they are gathered from the rows.

A name here is known to rows that workshops keep already. Whoever changes one brings a migration
that rewrites the rows; only then may it be changed here. The backup in data/ keeps its old names.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from service.records.database import Base, Database

BACKUP = Path(__file__).parent / "data" / "demo-of-e5e1588c36cc.zip"
"""A backup of the demo at the revision it names, its pictures left out; it is never made anew."""

MEASURED_THREAD = {"diameter", "pitch", "threads_per_inch", "angle", "taper", "hand"}
PORT = {"length", "bore", "boss", "drilled", "material", "thread"} | {
    f"thread.{name}" for name in MEASURED_THREAD
}
"""Beside `name` and `gender`, which are columns of a port and members of a part's port."""

STORED_NAMES: dict[str, set[str]] = {
    "items.data": {
        "material", "steam_way", "engine", "boiler", "safety_valve",
        "steam_way.bore", "steam_way.length", "steam_way.loss",
        "engine.bore", "engine.stroke", "engine.cylinders", "engine.acting", "engine.speed",
        "engine.cut_off", "engine.clearance", "engine.condensation", "engine.piston_rod",
        "engine.diagram_factor", "engine.exhaust_closure",
        "boiler.inspector_pressure", "boiler.evaporation",
        "safety_valve.set_pressure", "safety_valve.accumulation", "safety_valve.seat",
        "safety_valve.lift", "safety_valve.seat_angle", "safety_valve.discharge_coefficient",
    },
    "ports.data": PORT,
    "parts.ports": PORT | {"name", "gender"},
    "reports.content": {
        "workshop", "address", "email", "phone", "measure", "logo", "logo.sha256",
        "logo.media_type", "logo.width", "logo.height", "number", "replaces",
        "reference", "title", "customer", "from_day", "to_day", "issued_on",
        "stage", "promised", "headline", "public_notes", "next_steps",
        "notes", "notes.day", "notes.text", "notes.pictures", "notes.pictures.sha256",
        "notes.pictures.media_type", "notes.pictures.width", "notes.pictures.height",
        "notes.pictures.caption",
        "decisions", "decisions.asked_on", "decisions.question", "decisions.note",
        "answers", "answers.asked_on", "answers.question", "answers.answer", "answers.answered_on",
        "hours", "hours.minutes_in_span", "hours.minutes_to_date", "hours.estimate_minutes",
        "hours.by_operation", "hours.by_operation.operation", "hours.by_operation.minutes",
        "hours.labour_to_date", "hours.estimate_value", "hours.currency",
    },
    "workshop.logo": {"sha256", "media_type", "width", "height"},
    "workshop.shelf": set(),
    "idempotency_keys.headers": {"Content-Type", "Location", "ETag", "Cache-Control"},
}  # fmt: skip

HISTORY = {"audit_lines.before", "audit_lines.after"}
"""What a record was called when it was changed; shown as it stands and read by nothing."""

STORED_WORDS: dict[str, set[str]] = {
    "commissions.stage": {
        "enquiry", "quoted", "agreed", "planning", "in_hand", "waiting", "testing", "ready",
        "handed_over", "closed", "declined",
    },
    "commissions.price_basis": {"estimate", "quotation", "stage_prices", "time_and_materials"},
    "items.kind": {
        "boiler", "burner", "engine", "distribution_block", "stop_valve", "safety_valve",
        "check_valve", "blowdown_valve", "water_gauge", "pressure_gauge", "whistle", "lubricator",
        "feed_pump", "separator", "pipe", "union", "nipple", "bush", "adapter", "plug", "fitting",
    },
    "labour_entries.operation": {
        "measuring", "drawing", "marking_out", "sawing", "filing", "drilling", "reaming", "turning",
        "milling", "threading", "bending", "silver_soldering", "soft_soldering", "lapping",
        "fitting", "piping", "lagging", "woodwork", "painting", "polishing", "hydraulic_test",
        "steaming", "fault_finding", "sublet", "reporting", "packing", "ordering", "quoting",
        "tool_making", "rework", "other",
    },
    "parts.owner": {"customer", "workshop", "bought"},
    "ports.gender": {"male", "female"},
    "reports.state": {"draft", "issued", "revoked"},
    "workshop.measure": {"metric", "imperial", "us"},
    "tokens.scope": {"owner", "bench", "calculate"},
    **{
        column: {
            "expected", "received", "on_bench", "sublet", "fitted", "used_up", "returned",
            "spoiled", "lost",
        }
        for column in ("parts.state", "movements.from_state", "movements.to_state")
    },
}  # fmt: skip
"""The words that each column of states and kinds may hold."""


def gather_names(part: Any, path: str = "") -> Iterator[str]:
    """Every name within a JSON value, by its path; the items of a list share theirs."""
    if isinstance(part, dict):
        for name, inner in part.items():
            here = f"{path}.{name}" if path else name
            yield here
            yield from gather_names(inner, here)
    elif isinstance(part, list):
        for inner in part:
            yield from gather_names(inner, path)


def stored_names(database: Database) -> dict[str, set[str]]:
    """The names that stand in every JSON column of a database today."""
    found: dict[str, set[str]] = {}
    with database.reading() as session:
        for table in Base.metadata.sorted_tables:
            for column in table.columns:
                if isinstance(column.type, sa.JSON):
                    names = {
                        name
                        for value in session.scalars(sa.select(column))
                        for name in gather_names(value)
                    }
                    found[f"{table.name}.{column.name}"] = names
    return found


def find_strangers(database: Database) -> dict[str, set[str]]:
    """Names in the rows that nobody wrote down, by column."""
    return {
        column: strange
        for column, names in stored_names(database).items()
        if column not in HISTORY and (strange := names - STORED_NAMES.get(column, set()))
    }
